import { PairedSimulators } from '../engine/solver/paired-simulators.ts';
import type { BuildVoice } from './build-voice.ts';
import { CircuitRunner } from './circuit-runner.ts';

interface Pairing {
  readonly a: CircuitRunner;
  readonly b: CircuitRunner;
  readonly pair: PairedSimulators;
}

/**
 * Solves both builds together while their circuits have one structure, that is until a part is not fitted or a
 * type of another kind is; likewise two circuits that are fading in.
 */
export class VoicePairing {
  readonly #a: BuildVoice;
  readonly #b: BuildVoice;
  /** Pairs that play, and pairs that will play after a crossfade. */
  #pairings: readonly Pairing[] = [];
  /** 1 if the block is solved: for the circuits that play, and for those that fade in. */
  readonly #solved = new Uint8Array(2);

  constructor(a: BuildVoice, b: BuildVoice) {
    this.#a = a;
    this.#b = b;
  }

  /** After a circuit was loaded. Allocates. */
  prepare(): void {
    const [a, b] = [this.#a.newestRunner, this.#b.newestRunner];
    const kept = this.#pairings.filter((pairing) => this.#a.has(pairing.a) && this.#b.has(pairing.b));
    const pair = a && b && PairedSimulators.of(a.simulator, b.simulator);
    this.#pairings = pair ? [...kept, { a, b, pair }] : kept;
  }

  /** Solves a block of each pair. Real-time safe. @param voltsA Input of A at the base rate, V. */
  process(voltsA: Float64Array, voltsB: Float64Array, frames: number): void {
    this.#solved[0] = this.#solve(this.#a.runner, voltsA, this.#b.runner, voltsB, frames);
    const { incomingRunner } = this.#a;
    this.#solved[1] = incomingRunner
      ? this.#solve(incomingRunner, voltsA, this.#b.incomingRunner, voltsB, frames)
      : 0;
  }

  /** Whether the circuits that play have been solved for this block, so that they need only resampling. */
  get isRunnerSolved(): boolean {
    return this.#solved[0] === 1;
  }

  /** The same for circuits that fade in. */
  get isIncomingSolved(): boolean {
    return this.#solved[1] === 1;
  }

  #solve(
    a: CircuitRunner | undefined,
    voltsA: Float64Array,
    b: CircuitRunner | undefined,
    voltsB: Float64Array,
    frames: number,
  ): 0 | 1 {
    for (let index = 0; index < this.#pairings.length; index++) {
      const pairing = this.#pairings[index]!;
      if (pairing.a !== a || pairing.b !== b) continue;
      CircuitRunner.solveTogether(
        pairing.pair,
        pairing.a,
        voltsA,
        this.#a.isProbed,
        pairing.b,
        voltsB,
        this.#b.isProbed,
        frames,
      );
      return 1;
    }
    return 0;
  }
}
