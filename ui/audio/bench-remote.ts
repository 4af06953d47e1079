import type { CircuitNumbers, CompiledCircuit } from '../../engine/solver/compiled-circuit.ts';
import { GLIDE_SECONDS, MOST_MEASUREMENTS, type Slot, type Turn } from '../../worklets/bench-messages.ts';
import { ProcessorLink } from './processor-link.ts';

/**
 * What the processor is told of builds and of what is heard of them. It stands for processors to come. What makes a
 * build louder or quieter ahead of the level match begins a new measurement of loudness.
 */
export class BenchRemote extends EventTarget {
  protected readonly link = new ProcessorLink();
  /** Number of the measurement of loudness that was last asked for. */
  #measurement = 0;

  protected get measurement(): number {
    return this.#measurement;
  }

  /** Measures the loudness of both builds anew. What has been measured before no longer counts from here on. */
  measureLoudness(): void {
    this.#measurement = (this.#measurement % MOST_MEASUREMENTS) + 1;
    this.link.send({ type: 'measureLoudness', number: this.#measurement });
  }

  /** Gives a slot a circuit, compiled for `circuitRateHz`. */
  setCircuit(slot: Slot, circuit: CompiledCircuit): void {
    this.link.keep(`circuit ${slot}`, { type: 'circuit', slot, circuit });
    this.measureLoudness();
  }

  /** Gives the circuit of a slot other numbers, now and whenever sound is started anew; its structure has to be the same. */
  setValues(slot: Slot, numbers: CircuitNumbers, glideSeconds: number = GLIDE_SECONDS): void {
    this.link.amend(`circuit ${slot}`, (message) =>
      message.type === 'circuit' ? { ...message, circuit: { ...message.circuit, ...numbers } } : message,
    );
    this.link.send({ type: 'values', slot, numbers, glideSeconds });
    this.measureLoudness();
  }

  /** Puts the probe on a net of each build's circuit: undefined for the output, null where a build does not have it. */
  setProbe(nets: Readonly<Record<Slot, string | null | undefined>>): void {
    this.link.keep('probe', { type: 'probe', nets });
  }

  /** Whether scope frames are to come. */
  wantScope(isWanted: boolean): void {
    this.link.keep('scope', { type: 'scope', isWanted });
  }

  /** Nets of each build's circuit whose levels are wanted while the probe is on the output. */
  wantLevels(nets: Readonly<Record<Slot, readonly string[]>>): void {
    this.link.keep('levels', { type: 'levels', nets });
  }

  /** Gives a slot's build another noise of its own, as a filter for the sample rate of the session; empty for none. */
  setNoise(slot: Slot, coefficients: Float64Array): void {
    this.link.keep(`noise ${slot}`, { type: 'noise', slot, coefficients });
    this.measureLoudness();
  }

  /** An impulse response in place of the built-in speaker, at the session's sample rate; empty for that. */
  setSpeaker(response: Float64Array): void {
    this.link.keep('speaker', { type: 'speaker', response });
    this.measureLoudness();
  }

  /** Bends what a slot's build is fed; empty for not at all. At the session's sample rate. */
  correctInput(slot: Slot, coefficients: Float64Array): void {
    this.link.keep(`input ${slot}`, { type: 'correctInput', slot, coefficients });
    this.measureLoudness();
  }

  hear(slot: Slot): void {
    this.link.keep('hear', { type: 'hear', slot });
  }

  /** Lets A and B take turns by themselves, from now on. */
  alternate(turn: Turn): void {
    this.link.keep('alternate', { type: 'alternate', turn });
  }

  /** Lets the difference of A and B be heard alone, or no longer. */
  hearDifference(isHeard: boolean, gainDb: number): void {
    this.link.keep('difference', { type: 'difference', isHeard, gainDb });
  }

  /** Makes every switch sound alike and keeps what is heard out of the telemetry, until it is told otherwise. */
  setBlind(isBlind: boolean): void {
    this.link.keep('blind', { type: 'blind', isBlind });
  }
}
