import type { Network } from '../../engine/network/network.ts';
import type { CircuitNumbers, CompiledCircuit } from '../../engine/solver/compiled-circuit.ts';
import type { Slot } from '../../worklets/bench-messages.ts';

/** What is to be played of a build, and what the audio thread has of it. */
export interface WantedBuild {
  readonly network: Network;
  /** With the effect on, where it is to be played bypassed: plots and hiss are made of it, so it is checked too. */
  readonly engaged: Network | undefined;
  /** Key of the structure that plays, at the rate of the request; undefined where nothing does. */
  readonly playing: string | undefined;
}

/** Builds that are to be played otherwise than now. */
export interface SwapRequest {
  readonly builds: Readonly<Partial<Record<Slot, WantedBuild>>>;
  /** Rate at which the circuits are to be solved, Hz. */
  readonly circuitRateHz: number;
  /** A knob is turned: the operating point is looked for near the one of before, which takes a tenth of the time. */
  readonly isTurn: boolean;
}

/** What the audio thread is to be given: a circuit of another structure, or other numbers for the one that it has. */
export type PreparedBuild =
  | { readonly kind: 'circuit'; readonly structureKey: string; readonly circuit: CompiledCircuit }
  | { readonly kind: 'values'; readonly structureKey: string; readonly numbers: CircuitNumbers };

/** All builds of a request, or why one of them cannot be played, in one sentence. */
export type SwapAnswer =
  | { readonly kind: 'ready'; readonly builds: Readonly<Partial<Record<Slot, PreparedBuild>>> }
  | { readonly kind: 'refused'; readonly slot: Slot; readonly message: string };

export interface ToSwapWorker {
  readonly id: number;
  readonly swap: SwapRequest;
}

export interface FromSwapWorker {
  readonly id: number;
  readonly answer: SwapAnswer;
}
