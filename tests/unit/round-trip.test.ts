import { describe, expect, it } from 'vitest';
import { ROUND_TRIP_SAMPLES, roundTrip, roundTripSignal } from '../../engine/analysis/round-trip.ts';
import { maximumLengthSequence } from '../../engine/audio/maximum-length-sequence.ts';
import {
  type MeasuredRoundTrip,
  measuredPathMs,
  roundTripSentences,
} from '../../ui/audio/measured-round-trip.ts';
import { LoopRecorder } from '../../worklets/loop-recorder.ts';

const RATE_HZ = 48_000;
const signal = roundTripSignal();

/** The test signal as it returns, a whole number of samples later. */
function delayed(samples: number, gain = 1): Float32Array {
  return Float32Array.from({ length: ROUND_TRIP_SAMPLES }, (_, n) =>
    n < samples ? 0 : gain * signal[n - samples]!,
  );
}

/** The same with a fraction of a sample of delay, by a long band-limited interpolation. */
function delayedBetween(samples: number): Float32Array {
  const whole = Math.floor(samples);
  const part = samples - whole;
  const reach = 200;
  const taps = Array.from({ length: 2 * reach }, (_, index) => {
    const t = index - reach + 1 - part;
    const window = 0.5 + 0.5 * Math.cos((Math.PI * t) / (reach + 1));
    return window * (t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t));
  });
  return Float32Array.from({ length: ROUND_TRIP_SAMPLES }, (_, n) =>
    taps.reduce((sum, tap, index) => sum + tap * (signal[n - whole - (index - reach + 1)] ?? 0), 0),
  );
}

const plus = (one: Float32Array, other: Float32Array) => one.map((value, n) => value + other[n]!);

/** Gaussian noise by Box and Muller from a linear congruential generator (Numerical Recipes), the same in every run. */
function noise(rms: number): Float32Array {
  let state = 12345;
  const uniform = () => {
    state = (Math.imul(1664525, state) + 1013904223) >>> 0;
    return (state + 1) / 2 ** 32;
  };
  return Float32Array.from(
    { length: ROUND_TRIP_SAMPLES },
    () => rms * Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform()),
  );
}

/** A capacitor in series: a high-pass of the first order. */
function coupled(input: Float32Array, cornerHz: number): Float32Array {
  const decay = Math.exp((-2 * Math.PI * cornerHz) / RATE_HZ);
  let before = 0;
  let output = 0;
  return input.map((value) => {
    output = decay * output + ((1 + decay) / 2) * (value - before);
    before = value;
    return output;
  });
}

describe('a maximum-length sequence', () => {
  // MacWilliams and Sloane, Proc. IEEE 64 (1976), 1715, properties I to III of pseudo-random sequences
  it.each([9, 15] as const)('of order %i has one more +1 than −1', (order) => {
    const sequence = maximumLengthSequence(order);
    expect(sequence.length).toBe(2 ** order - 1);
    expect(sequence.reduce((sum, value) => sum + value, 0)).toBe(1);
  });

  it('has the autocorrelation N at zero and −1 everywhere else', () => {
    const sequence = maximumLengthSequence(9);
    const length = sequence.length;
    for (let shift = 0; shift < length; shift++) {
      const sum = sequence.reduce((total, value, n) => total + value * sequence[(n + shift) % length]!, 0);
      expect(sum).toBe(shift === 0 ? length : -1);
    }
  });

  it('of order 15 has this autocorrelation too, at a few hundred shifts', () => {
    const sequence = maximumLengthSequence(15);
    const length = sequence.length;
    for (let shift = 0; shift < length; shift += 97) {
      let sum = 0;
      for (let n = 0; n < length; n++) sum += sequence[n]! * sequence[(n + shift) % length]!;
      expect(sum).toBe(shift === 0 ? length : -1);
    }
  });

  it('has half its runs of length one, a quarter of length two, an eighth of length three', () => {
    const sequence = maximumLengthSequence(9);
    const runs: number[] = [];
    const start = sequence.findIndex((value, n) => n > 0 && value !== sequence[n - 1]);
    for (let n = 0; n < sequence.length; n++) {
      const at = (start + n) % sequence.length;
      if (n === 0 || sequence[at] !== sequence[(at - 1 + sequence.length) % sequence.length]) runs.push(1);
      else runs[runs.length - 1]!++;
    }
    const counts = [1, 2, 3].map((length) => runs.filter((run) => run === length).length);
    expect([runs.length, ...counts]).toEqual([256, 128, 64, 32]);
  });
});

describe('the round trip', () => {
  it.each([0, 1, 128, 1003, 20_000])(
    'of %i samples is found to a hundredth of a sample, with its level',
    (samples) => {
      const result = roundTrip(delayed(samples, 0.5), RATE_HZ);
      expect(result.verdict).toBe('clear');
      expect(result.delaySamples).toBeCloseTo(samples, 2);
      expect(result.returnedDb).toBeCloseTo(-24 - 6.02, 1);
      expect(result.isInverted).toBe(false);
    },
  );

  it.each([700.25, 700.5, 1234.9])('of %f samples is found between samples', (samples) => {
    const result = roundTrip(delayedBetween(samples), RATE_HZ);
    expect(result.verdict).toBe('clear');
    // the delay filter falls in the last percent of the band, and this blurs the peak by the same amount
    expect(Math.abs(result.delaySamples - samples)).toBeLessThan(0.02);
  });

  it('is found where the loop inverts the signal, and this is reported', () => {
    expect(roundTrip(delayed(900, -0.3), RATE_HZ)).toMatchObject({ verdict: 'clear', isInverted: true });
    expect(roundTrip(delayed(900, -0.3), RATE_HZ).delaySamples).toBeCloseTo(900, 2);
  });

  it('is found in noise 20 dB above it: the correlation over 32767 samples gains 45 dB', () => {
    const result = roundTrip(plus(delayed(900, 0.1), noise(0.0631)), RATE_HZ);
    expect(result.verdict).toBe('clear');
    // 25 dB of peak over noise: an error of a twentieth of the height moves the peak by less than a tenth of a sample
    expect(Math.abs(result.delaySamples - 900)).toBeLessThan(0.1);
  });

  it('is found behind the coupling capacitors of an interface, which add no delay', () => {
    const result = roundTrip(coupled(coupled(delayed(1500), 20), 5), RATE_HZ);
    expect(result.verdict).toBe('clear');
    expect(Math.abs(result.delaySamples - 1500)).toBeLessThan(0.02);
  });

  it('is not found where nothing returned', () => {
    expect(roundTrip(new Float32Array(ROUND_TRIP_SAMPLES), RATE_HZ).verdict).toBe('silent');
  });

  it('is not found where another signal returned', () => {
    expect(roundTrip(noise(0.01), RATE_HZ).verdict).toBe('absent');
    const hum = Float32Array.from(
      { length: ROUND_TRIP_SAMPLES },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 50 * n) / RATE_HZ),
    );
    expect(roundTrip(hum, RATE_HZ).verdict).toBe('absent');
  });

  it('is refused at a level at which it may be crosstalk', () => {
    expect(roundTrip(plus(delayed(900, 10 ** (-50 / 20)), noise(1e-4)), RATE_HZ).verdict).toBe('low');
  });

  it('is refused where the input clips', () => {
    const loud = delayed(900, 20).map((value) => Math.max(-1, Math.min(1, value)));
    expect(roundTrip(loud, RATE_HZ).verdict).toBe('clipped');
  });

  it('is refused where sound returns by two ways that are nearly as strong', () => {
    const result = roundTrip(plus(delayed(400), delayed(1500, 0.7)), RATE_HZ);
    expect(result.verdict).toBe('unclear');
    expect(result.clearanceDb).toBeCloseTo(20 * Math.log10(1 / 0.7), 1);
    expect(roundTrip(plus(delayed(400), delayed(1500, 0.4)), RATE_HZ).verdict).toBe('clear');
  });

  it('accepts only a recording of the signal’s length', () => {
    expect(() => roundTrip(new Float32Array(100), RATE_HZ)).toThrow(/100 samples/);
  });

  it('is played at the stated level, 24 dB below full scale', () => {
    expect(Math.max(...signal)).toBeCloseTo(0.0631, 4);
    expect(signal.reduce((least, value) => Math.min(least, value), 0)).toBeCloseTo(-0.0631, 4);
  });
});

describe('the recorder of a loop', () => {
  it.each([64, 128, 300])(
    'counts the frames that it writes and reads in the same way, in blocks of %i',
    (block) => {
      const played = Float32Array.from({ length: 1000 }, (_, n) => (n + 1) / 2048);
      const recorder = new LoopRecorder(played, 150);
      const delay = 700;
      const line: number[] = Array.from({ length: delay }, () => 0);
      let blocks = 0;
      while (!recorder.isDone) {
        const input = Float32Array.from({ length: block }, () => line.shift() ?? 0);
        const output = new Float32Array(block);
        recorder.process(input, output);
        line.push(...output);
        blocks++;
      }
      expect(blocks).toBe(Math.ceil(1150 / block));
      const expected = Float32Array.from({ length: 1000 }, (_, n) => (n < delay ? 0 : played[n - delay]!));
      expect(recorder.recorded).toEqual(expected);
    },
  );

  it('treats a missing input as silence', () => {
    const recorder = new LoopRecorder(new Float32Array(100).fill(1), 0);
    recorder.process(undefined, new Float32Array(128));
    expect([recorder.isDone, Math.max(...recorder.recorded)]).toEqual([true, 0]);
  });
});

describe('a measured delay', () => {
  const measured: MeasuredRoundTrip = {
    result: { verdict: 'clear', delaySamples: 960.5, returnedDb: -27.3, isInverted: false, clearanceDb: 43 },
    inputLabel: 'Interface',
    sampleRateHz: 48_000,
    baseMs: 5,
  };
  const sound = {
    input: { label: 'Interface', sampleRateHz: 48_000, channelCount: 2, keptOn: [] },
    sampleRateHz: 48_000,
    latency: { baseMs: 5, outputMs: 20, engineMs: 1.1 },
    roundTrip: measured,
  };

  it('is stated as a whole, with the share of each part', () => {
    const text = roundTripSentences(measured, 1.1);
    expect(text).toContain('From string to ear 21.1 ms, 1013.3 samples at 48000 Hz');
    expect(text).toContain('1.1 ms circuit, 20.0 ms interface and browser');
    expect(text).toContain('-27 dB of full scale, its peak 43 dB above the next');
  });

  it('is not a number where it is unclear', () => {
    for (const verdict of ['clipped', 'silent', 'absent', 'low', 'unclear'] as const) {
      const failed = { ...measured, result: { ...measured.result, verdict } };
      expect(roundTripSentences(failed, 1.1)).not.toContain('ms');
      expect(measuredPathMs({ ...sound, roundTrip: failed })).toBeUndefined();
    }
  });

  it('is valid only for the device, rate and buffer with which it was measured', () => {
    expect(measuredPathMs(sound)).toBeCloseTo(20.01, 2);
    expect(measuredPathMs({ ...sound, input: { ...sound.input, label: 'Another' } })).toBeUndefined();
    expect(measuredPathMs({ ...sound, input: undefined })).toBeUndefined();
    expect(measuredPathMs({ ...sound, sampleRateHz: 44_100 })).toBeUndefined();
    expect(measuredPathMs({ ...sound, latency: { ...sound.latency, baseMs: 10 } })).toBeUndefined();
  });
});
