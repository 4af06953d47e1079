import type { Network } from '../../engine/network/network.ts';
import type { CircuitNumbers, CompiledCircuit } from '../../engine/solver/compiled-circuit.ts';
import type { Slot } from '../../worklets/bench-messages.ts';

/** What a build must play next, and what the audio thread has of it. */
export interface WantedBuild {
  readonly network: Network;
  /** With the effect on, also if it plays bypassed: plots and hiss are made of it, so it is checked too. */
  readonly engaged: Network | undefined;
  /** Key of the structure that plays, at the rate of the request; undefined if nothing plays. */
  readonly playing: string | undefined;
}

/** Builds that must play something other than now. */
export interface SwapRequest {
  readonly builds: Readonly<Partial<Record<Slot, WantedBuild>>>;
  /** Rate at which the circuits are solved, Hz. */
  readonly circuitRateHz: number;
  /** A knob is turning: the search for the operating point begins at the last one, which takes a tenth of the time. */
  readonly isTurn: boolean;
}

/** What the audio thread gets: a circuit with another structure, or new numbers for its present circuit. */
export type PreparedBuild =
  | { readonly kind: 'circuit'; readonly structureKey: string; readonly circuit: CompiledCircuit }
  | { readonly kind: 'values'; readonly structureKey: string; readonly numbers: CircuitNumbers };

/** A build that cannot be played in the present state, with the reason in one sentence. */
export interface Unsolvable {
  readonly slot: Slot;
  readonly message: string;
}

/** All builds of a request, or the reason in one sentence for which one of them cannot be played. */
export type SwapAnswer =
  | { readonly kind: 'ready'; readonly builds: Readonly<Partial<Record<Slot, PreparedBuild>>> }
  | ({ readonly kind: 'refused' } & Unsolvable);

export interface ToSwapWorker {
  readonly id: number;
  readonly swap: SwapRequest;
}

export interface FromSwapWorker {
  readonly id: number;
  readonly answer: SwapAnswer;
}
