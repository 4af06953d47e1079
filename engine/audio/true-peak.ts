import { ratioToDb } from '../units/decibels.ts';

/**
 * Interpolation filter for four times the rate: phases 0 and 1 of twelve taps each; phases 3 and 2 are these
 * backwards.
 * @see ITU-R BS.1770-5 Annex 2, table of the order 48, 4-phase FIR interpolating filter; the numbers are from
 *   memory, and the tests check the response that such a filter must have
 */
const PHASE_0 = [
  0.001708984375, 0.010986328125, -0.0196533203125, 0.033203125, -0.0594482421875, 0.1373291015625,
  0.97216796875, -0.102294921875, 0.047607421875, -0.026611328125, 0.014892578125, -0.00830078125,
];
const PHASE_1 = [
  -0.0291748046875, 0.029296875, -0.0517578125, 0.089111328125, -0.16650390625, 0.465087890625, 0.77978515625,
  -0.2003173828125, 0.1015625, -0.0582275390625, 0.0330810546875, -0.0189208984375,
];
const PHASES = [PHASE_0, PHASE_1, [...PHASE_1].reverse(), [...PHASE_0].reverse()];
const TAPS = 12;

/**
 * Highest magnitude of a signal between its samples, estimated at four times the rate after ITU-R BS.1770-5
 * Annex 2: the peak that a converter or a lossy codec may produce. The filter is defined at 48 kHz and used by ratio
 * at other rates.
 */
export class TruePeakMeter {
  /** The four phases one after another. */
  readonly #taps = Float64Array.from(PHASES.flat());
  /** The last samples, kept twice so that they always lie in one piece. */
  readonly #history = new Float64Array(2 * TAPS);
  readonly #place = new Int32Array(1);
  readonly #state = new Float64Array(1);

  /** Highest magnitude since `reset`, in the unit of the signal. */
  get peak(): number {
    return this.#state[0]!;
  }

  /** The same against full scale 1, dBTP. */
  get peakDb(): number {
    return ratioToDb(this.#state[0]!);
  }

  /** @param input Length ≥ frames, finite. Real-time safe. */
  process(input: Float64Array, frames: number): void {
    const taps = this.#taps;
    const history = this.#history;
    let place = this.#place[0]!;
    let peak = this.#state[0]!;
    for (let n = 0; n < frames; n++) {
      place = place === 0 ? TAPS - 1 : place - 1;
      history[place] = input[n]!;
      history[place + TAPS] = input[n]!;
      for (let phase = 0; phase < PHASES.length; phase++) {
        let sum = 0;
        for (let tap = 0; tap < TAPS; tap++) sum += taps[phase * TAPS + tap]! * history[place + tap]!;
        const magnitude = sum < 0 ? -sum : sum;
        if (magnitude > peak) peak = magnitude;
      }
    }
    this.#place[0] = place;
    this.#state[0] = peak;
  }

  reset(): void {
    this.#history.fill(0);
    this.#state.fill(0);
  }
}

/** True peak of a whole recording, the highest of its channels, dBTP. It is assumed to end in silence. */
export function truePeakDb(channels: readonly Float64Array[]): number {
  const tail = new Float64Array(TAPS);
  const peaks = channels.map((channel) => {
    const meter = new TruePeakMeter();
    meter.process(channel, channel.length);
    meter.process(tail, TAPS);
    return meter.peakDb;
  });
  return Math.max(Number.NEGATIVE_INFINITY, ...peaks);
}
