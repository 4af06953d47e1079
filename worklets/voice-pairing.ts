import { PairedSimulators } from '../engine/solver/paired-simulators.ts';
import type { BuildVoice } from './build-voice.ts';
import { CircuitRunner } from './circuit-runner.ts';

interface Pairing {
  readonly a: CircuitRunner;
  readonly b: CircuitRunner;
  readonly pair: PairedSimulators;
}

/**
 * Solves both builds at once while their circuits have one structure, as they have until a part is left out or a type
 * of another kind fitted. A circuit that is being faded in is solved alone.
 */
export class VoicePairing {
  readonly #a: BuildVoice;
  readonly #b: BuildVoice;
  /** Those that play and those that will once what has been loaded is faded in. */
  #pairings: readonly Pairing[] = [];

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

  /**
   * Solves a block of the circuits that play, where they are a pair. Real-time safe.
   *
   * @param voltsA Input of A at the base rate, V.
   * @returns Whether they were; the voices then only have to bring it to the base rate.
   */
  process(voltsA: Float64Array, voltsB: Float64Array, frames: number): boolean {
    for (let index = 0; index < this.#pairings.length; index++) {
      const { a, b, pair } = this.#pairings[index]!;
      if (a !== this.#a.runner || b !== this.#b.runner) continue;
      CircuitRunner.runTogether(pair, a, voltsA, this.#a.isProbed, b, voltsB, this.#b.isProbed, frames);
      return true;
    }
    return false;
  }
}
