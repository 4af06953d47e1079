import type { CircuitNumbers, CompiledCircuit } from '../../engine/solver/compiled-circuit.ts';
import {
  GLIDE_SECONDS,
  MOST_MEASUREMENTS,
  type Slot,
  type SwitchEvery,
  type WatchedNets,
} from '../../worklets/bench-messages.ts';
import { ProcessorLink } from './processor-link.ts';

/**
 * Messages to the processor about the builds and how they are heard. They are repeated to a later processor.
 * Everything that changes a build's loudness before the level match begins a new measurement of loudness.
 */
export class BenchRemote extends EventTarget {
  protected readonly link = new ProcessorLink();
  /** Number of the measurement of loudness that was last asked for. */
  #measurement = 0;

  protected get measurement(): number {
    return this.#measurement;
  }

  /** Measures the loudness of both builds anew. Earlier measurements no longer count. */
  measureLoudness(): void {
    this.#measurement = (this.#measurement % MOST_MEASUREMENTS) + 1;
    this.link.send({ type: 'measureLoudness', number: this.#measurement });
  }

  /** Gives a slot a circuit, compiled for `circuitRateHz`. */
  setCircuit(slot: Slot, circuit: CompiledCircuit): void {
    this.link.keep(`circuit ${slot}`, { type: 'circuit', slot, circuit });
    this.measureLoudness();
  }

  /** Gives a slot's circuit other numbers, now and for a later start; its structure must be the same. */
  setValues(slot: Slot, numbers: CircuitNumbers, glideSeconds: number = GLIDE_SECONDS): void {
    this.link.amend(`circuit ${slot}`, (message) =>
      message.type === 'circuit' ? { ...message, circuit: { ...message.circuit, ...numbers } } : message,
    );
    this.link.send({ type: 'values', slot, numbers, glideSeconds });
    this.measureLoudness();
  }

  /** Puts the probe on a net of each build's circuit: undefined for the output, null if a build does not have it. */
  setProbe(nets: Readonly<Record<Slot, string | null | undefined>>): void {
    this.link.keep('probe', { type: 'probe', nets });
  }

  /** Whether scope frames are to come, and the net of each build that they show beside the probe's. */
  wantScope(isWanted: boolean, nets: WatchedNets = {}): void {
    this.link.keep('scope', { type: 'scope', isWanted, nets });
  }

  /** Nets of each build's circuit whose levels are wanted while the probe is on the output. */
  wantLevels(nets: Readonly<Record<Slot, readonly string[]>>): void {
    this.link.keep('levels', { type: 'levels', nets });
  }

  /** Sets the hiss of a slot's build, as a filter for the sample rate of the session; empty for none. */
  setNoise(slot: Slot, coefficients: Float64Array): void {
    this.link.keep(`noise ${slot}`, { type: 'noise', slot, coefficients });
    this.measureLoudness();
  }

  /** Lets the pop of a slot's footswitch be heard now, V at the session's sample rate. */
  pop(slot: Slot, samples: Float64Array<ArrayBuffer>): void {
    this.link.send({ type: 'pop', slot, samples });
  }

  /** An impulse response in place of the built-in speaker, at the session's sample rate; empty for that. */
  setSpeaker(response: Float64Array): void {
    this.link.keep('speaker', { type: 'speaker', response });
    this.measureLoudness();
  }

  /** Corrects the input of a slot's build, at the session's sample rate; empty for no correction. */
  correctInput(slot: Slot, coefficients: Float64Array): void {
    this.link.keep(`input ${slot}`, { type: 'correctInput', slot, coefficients });
    this.measureLoudness();
  }

  hear(slot: Slot): void {
    this.link.keep('hear', { type: 'hear', slot });
  }

  /** Switches A and B automatically from now on. */
  alternate(every: SwitchEvery): void {
    this.link.keep('alternate', { type: 'alternate', every });
  }

  /** Lets the difference of A and B be heard alone, or no longer. */
  hearDifference(isHeard: boolean, gainDb: number): void {
    this.link.keep('difference', { type: 'difference', isHeard, gainDb });
  }

  /** Makes every switch sound the same, and removes from the telemetry what depends on the heard build, until switched off. */
  setBlind(isBlind: boolean): void {
    this.link.keep('blind', { type: 'blind', isBlind });
  }
}
