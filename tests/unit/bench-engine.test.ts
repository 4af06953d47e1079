import { describe, expect, it } from 'vitest';
import { buildNoise } from '../../engine/analysis/build-noise.ts';
import { noiseFilter } from '../../engine/analysis/noise-filter.ts';
import { networkOfChain } from '../../engine/builds/chain.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine, LOWEST_SAMPLE_RATE_HZ } from '../../worklets/bench-engine.ts';
import {
  type BenchSettings,
  STARTING_SETTINGS,
  TELEMETRY,
  TELEMETRY_LENGTH,
  type ToProcessor,
} from '../../worklets/bench-messages.ts';
import { SCOPE_LENGTH } from '../../worklets/scope-recorder.ts';
import { presetBuild } from '../preset-build.ts';
import { OPTIONS, peakOf, RATE_HZ, run, sine, stepOf } from './engine-run.ts';
import { expectNoGarbage, garbageOf } from './garbage.ts';

/** Messages that are sent every 32 blocks, telemetry and scope every 12: bytes for each block. */
const MOST_MESSAGE_BYTES = 600;
const MOST_BOXED_BYTES = 64;

const circuitOfPreset = (preset: string) =>
  compileCircuit(networkOf(presetBuild(preset), NOMINAL_TEMPERATURE_K), {
    sampleRateHz: RATE_HZ * OPTIONS.factor,
  });
const plain = circuitOfPreset('soft-plain');
const led = circuitOfPreset('soft-led');
const asymmetric = circuitOfPreset('soft-asymmetric');

const DIODE = {
  saturationCurrentA: 2.52e-9,
  // n·V_T of 45.3 mV at 27 °C.
  emissionCoefficient: 45.3e-3 / thermalVoltage(NOMINAL_TEMPERATURE_K),
  seriesOhms: 0,
  zeroBiasCapacitanceF: 0,
};
/** Diode clipper of Yeh, Abel & Smith (DAFx-07): so small that very many blocks take little time. */
const DIODE_CLIPPER: Network = {
  input: 'in',
  output: 'out',
  rails: [],
  temperatureK: NOMINAL_TEMPERATURE_K,
  primitives: [
    { kind: 'resistor', ...ofPart('R1'), nodes: ['in', 'out'], ohms: 2200 },
    { kind: 'capacitor', ...ofPart('C1'), nodes: ['out', GROUND], farads: 10e-9 },
    { kind: 'diode', ...ofPart('D1'), nodes: ['out', GROUND], count: 1, data: DIODE },
    { kind: 'diode', ...ofPart('D2'), nodes: [GROUND, 'out'], count: 1, data: DIODE },
  ],
};

function bench(settings: Partial<BenchSettings> = {}): BenchEngine {
  const engine = new BenchEngine(OPTIONS);
  engine.receive({
    type: 'settings',
    settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0, ...settings },
  });
  engine.receive({ type: 'circuit', slot: 'a', circuit: plain });
  engine.receive({ type: 'circuit', slot: 'b', circuit: led });
  return engine;
}

/** The largest difference after `from`, without slow drift: output coupling and bias take seconds to settle. */
const differenceOf = (one: Float32Array, other: Float32Array, from: number) => {
  const rest = one.subarray(from).map((value, n) => value - other[from + n]!);
  const mean = rest.reduce((sum, value) => sum + value, 0) / rest.length;
  return peakOf(rest.map((value) => value - mean));
};

describe('a speaker of the user on the audio thread', () => {
  const heard = (standIn: boolean, response?: number[]) => {
    const engine = bench({ standIn });
    engine.receive({ type: 'mute', muted: false });
    if (response) engine.receive({ type: 'speaker', response: Float64Array.from(response) });
    return run(engine, sine(0.5));
  };

  it('replaces the built-in speaker, and is heard only when a speaker filter is wanted', () => {
    const bare = heard(false);
    const halved = heard(true, [0.5]);
    expect(
      differenceOf(
        bare.map((value) => value / 2),
        halved,
        RATE_HZ / 4,
      ),
    ).toBeLessThan(1e-6);
    expect(differenceOf(bare, heard(false, [0.5]), 0)).toBe(0);
  });

  it('is replaced by the built-in one again', () => {
    const engine = bench({ standIn: true });
    engine.receive({ type: 'mute', muted: false });
    engine.receive({ type: 'speaker', response: Float64Array.of(0.5) });
    engine.receive({ type: 'speaker', response: new Float64Array(0) });
    expect(differenceOf(run(engine, sine(0.5)), heard(true), 0)).toBe(0);
  });
});

describe('the bench on the audio thread', () => {
  it('has filters for every rate from the lowest supported rate up, and refuses a lower one', () => {
    for (const sampleRateHz of [LOWEST_SAMPLE_RATE_HZ, 32_000, 44_100, 384_000]) {
      expect(() => new BenchEngine({ ...OPTIONS, sampleRateHz })).not.toThrow();
    }
    expect(() => new BenchEngine({ ...OPTIONS, sampleRateHz: 24_000 })).toThrow(RangeError);
  });

  it('is silent at once when it is muted at once, and fades in from there', () => {
    const engine = bench();
    engine.receive({ type: 'mute', muted: false });
    run(engine, sine(0.4));
    engine.receive({ type: 'mute', muted: true, isAtOnce: true });
    engine.receive({ type: 'mute', muted: false });
    const faded = run(engine, sine(0.4));
    expect(peakOf(faded.subarray(0, 480))).toBeLessThan(0.02 * peakOf(faded));
    expect(peakOf(faded)).toBeGreaterThan(0.05);
  });

  it('is silent until it is unmuted, and fades in without a jump', () => {
    const engine = bench();
    expect(peakOf(run(engine, sine(0.1)))).toBe(0);
    engine.receive({ type: 'mute', muted: false });
    const faded = run(engine, sine(0.4));
    // In the middle of the fade of 0.2 s the gate is at one half; in the first milliseconds it is almost zero.
    expect(peakOf(faded.subarray(0, 480))).toBeLessThan(0.02 * peakOf(faded));
    expect(peakOf(faded.subarray(RATE_HZ * 0.3))).toBeGreaterThan(0.05);
  });

  it('gives the same samples whatever the length of its blocks', () => {
    const outputs = [1, 37, 128, 512, 3000].map((block) => {
      const engine = bench({ standIn: true });
      engine.receive({ type: 'mute', muted: false });
      return run(engine, sine(0.3), block, {
        4800: () => engine.receive({ type: 'hear', slot: 'b' }),
        7200: () => engine.receive({ type: 'circuit', slot: 'b', circuit: asymmetric }),
      });
    });
    for (const output of outputs.slice(1)) expect(output).toEqual(outputs[0]);
  });

  it('switches between A and B within 5 ms and without a click', () => {
    const still = [bench(), bench()];
    still[1]!.receive({ type: 'hear', slot: 'b' });
    const engine = bench();
    for (const each of [...still, engine]) each.receive({ type: 'mute', muted: false });
    const input = sine(0.6);
    const [a, b] = still.map((each) => run(each, input));
    const at = RATE_HZ * 0.4;
    const switched = run(engine, input, 128, { [at]: () => engine.receive({ type: 'hear', slot: 'b' }) });
    expect(switched.subarray(0, at)).toEqual(a!.subarray(0, at));
    const latency = Math.ceil(engine.latencySamples) + 0.005 * RATE_HZ + 1;
    expect(switched.subarray(at + latency)).toEqual(b!.subarray(at + latency));
    // A fade of 240 samples between signals that differ by d adds at most (π/2)·d/240 to the step between samples.
    const difference = Math.max(peakOf(a!), peakOf(b!)) * 2;
    expect(stepOf(switched)).toBeLessThan(
      Math.max(stepOf(a!), stepOf(b!)) + (Math.PI / 2) * (difference / 240),
    );
  });

  it('moves a changed value slowly without a click, and ends where a freshly compiled build is', () => {
    const engine = bench();
    engine.receive({ type: 'mute', muted: false });
    const louder = { ...presetBuild('soft-plain'), knobs: { gain: 1, tone: 0.5, output: 0.6 } };
    const options = { sampleRateHz: RATE_HZ * OPTIONS.factor };
    const numbers = compileCircuit(networkOf(louder, NOMINAL_TEMPERATURE_K), options);
    expect(numbers.structureKey).toBe(plain.structureKey);
    const input = sine(1.5);
    const changed = run(engine, input, 128, {
      [RATE_HZ * 0.5]: () => engine.receive({ type: 'values', slot: 'a', numbers }),
    });
    const fresh = bench();
    fresh.receive({
      type: 'circuit',
      slot: 'a',
      circuit: compileCircuit(networkOf(louder, NOMINAL_TEMPERATURE_K), options),
    });
    fresh.receive({ type: 'mute', muted: false });
    const expected = run(fresh, input);
    // Over a tenth of a second the drift is linear to a thousandth of the signal.
    expect(differenceOf(changed, expected, RATE_HZ * 1.4)).toBeLessThan(0.005 * peakOf(expected));
    expect(stepOf(changed)).toBeLessThan(1.2 * stepOf(expected));
  });

  it('fades in a build with another structure, and only the newest of several that arrive together', () => {
    const engine = bench();
    engine.receive({ type: 'mute', muted: false });
    const input = sine(1.5);
    const swapped = run(engine, input, 128, {
      [RATE_HZ * 0.5]: () => {
        for (const circuit of [asymmetric, led, asymmetric, led])
          engine.receive({ type: 'circuit', slot: 'a', circuit });
      },
    });
    const fresh = bench();
    fresh.receive({ type: 'hear', slot: 'b' });
    fresh.receive({ type: 'mute', muted: false });
    const expected = run(fresh, input);
    // Over a tenth of a second the drift is linear to a thousandth of the signal.
    expect(differenceOf(swapped, expected, RATE_HZ * 1.4)).toBeLessThan(0.005 * peakOf(expected));
    expect(stepOf(swapped)).toBeLessThan(1.5 * stepOf(expected));
  });

  it('goes to another order of a chain without a gap, and sounds otherwise there', () => {
    const [lift, soft] = ['clean-midlift', 'soft-plain'].map((name) => {
      return { build: presetBuild(name), isOn: true, cableMetres: 0.3 };
    });
    const [first, other] = [
      [lift!, soft!],
      [soft!, lift!],
    ].map((pedals) =>
      compileCircuit(networkOfChain({ pedals }, NOMINAL_TEMPERATURE_K), {
        sampleRateHz: RATE_HZ * OPTIONS.factor,
      }),
    );
    const input = sine(0.6);
    const played = (at: Record<number, (engine: BenchEngine) => void>) => {
      const engine = bench();
      engine.receive({ type: 'circuit', slot: 'a', circuit: first! });
      engine.receive({ type: 'mute', muted: false });
      const acts = Object.entries(at).map(([frame, act]) => [frame, () => act(engine)]);
      return run(engine, input, 128, Object.fromEntries(acts));
    };
    const before = played({});
    const exchanged = played({
      [RATE_HZ * 0.3]: (engine) => engine.receive({ type: 'circuit', slot: 'a', circuit: other! }),
    });
    // In every period of the tone a peak, at least half of the lower one of both orders: a gap would have none.
    const period = Math.ceil(RATE_HZ / 220);
    const peaks = Array.from({ length: Math.floor((RATE_HZ * 0.3) / period) }, (_, n) => {
      const start = RATE_HZ * 0.3 - period + n * period;
      return peakOf(exchanged.subarray(start, start + period));
    });
    expect(Math.min(...peaks)).toBeGreaterThan(0.5 * Math.min(peaks[0]!, peaks.at(-1)!));
    expect(differenceOf(exchanged, before, RATE_HZ * 0.5)).toBeGreaterThan(0.1 * peakOf(before));
  });

  it('never exceeds −1 dB of full scale, whatever the input is', () => {
    const engine = bench({ outputDb: 60 });
    engine.receive({ type: 'mute', muted: false });
    const hot = sine(0.5, 20, 3000).map((value, n) =>
      n % 977 === 0 ? Number.NaN : n % 1201 === 0 ? 1e30 : value,
    );
    const output = run(engine, hot);
    expect(output.every(Number.isFinite)).toBe(true);
    expect(peakOf(output)).toBeLessThanOrEqual(10 ** (-1 / 20) + 1e-7);
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    engine.readTelemetry(telemetry, output.length);
    expect(telemetry[TELEMETRY.limiterReductionDb]).toBeLessThan(-20);
    expect(telemetry[TELEMETRY.nonFiniteInputs]).toBeGreaterThan(0);
    expect(telemetry[TELEMETRY.resets]).toBe(0);
  });

  it('measures the input in volts and counts the samples that clip the interface', () => {
    const engine = bench({ voltsPerFullScale: 2, clipVolts: 2 });
    run(engine, sine(1, 0.5));
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    engine.readTelemetry(telemetry, RATE_HZ);
    expect(telemetry[TELEMETRY.inputPeakV]).toBeCloseTo(1, 3);
    expect(telemetry[TELEMETRY.inputRmsV]).toBeCloseTo(Math.SQRT1_2, 1);
    expect(telemetry[TELEMETRY.inputClips]).toBe(0);
    run(
      engine,
      sine(0.1, 4).map((value) => Math.max(-1, Math.min(1, value))),
    );
    engine.readTelemetry(telemetry, RATE_HZ);
    expect(telemetry[TELEMETRY.inputClips]).toBeGreaterThan(0);
  });

  it('knows the loudness of both builds at the same time, for the level match', () => {
    const engine = bench();
    engine.receive({ type: 'mute', muted: false });
    run(engine, sine(0.5));
    engine.receive({ type: 'measureLoudness', number: 1 });
    run(engine, sine(1.2));
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    engine.readTelemetry(telemetry, RATE_HZ);
    const { loudnessA, loudnessB, measuredSeconds } = TELEMETRY;
    // after 0.2 s in which the earlier sound dies away, and a block
    expect(Math.abs(telemetry[measuredSeconds]! - 1)).toBeLessThan(300 / RATE_HZ);
    const difference = telemetry[loudnessA]! - telemetry[loudnessB]!;
    expect(Math.abs(difference)).toBeGreaterThan(0.5);
    const matchDb = { a: 0, b: difference };
    engine.receive({
      type: 'settings',
      settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0, matchDb },
    });
    run(engine, sine(0.2));
    const a = run(engine, sine(1));
    engine.receive({ type: 'hear', slot: 'b' });
    run(engine, sine(0.2));
    const b = run(engine, sine(1));
    const level = (signal: Float32Array) => 10 * Math.log10(signal.reduce((sum, x) => sum + x * x, 0));
    // A 220 Hz tone with harmonics: K-weighting and RMS agree to a few tenths of a decibel.
    expect(Math.abs(level(a) - level(b))).toBeLessThan(0.5);
  });

  it('changes nothing when the build that plays is chosen again', () => {
    const [once, again] = [bench(), bench()];
    for (const each of [once, again]) each.receive({ type: 'mute', muted: false });
    const input = sine(0.4);
    const expected = run(once, input);
    const chosen = run(again, input, 128, {
      9600: () => again.receive({ type: 'hear', slot: 'a' }),
      14400: () => again.receive({ type: 'hear', slot: 'a' }),
    });
    expect(chosen).toEqual(expected);
  });

  it('adds the hiss that the noise analysis of each build gives, for each build separately, and is silent without it', () => {
    const engine = bench();
    engine.receive({ type: 'mute', muted: false });
    const silence = new Float32Array(RATE_HZ * 4);
    const noiseFree = run(engine, silence);
    expect(peakOf(noiseFree.subarray(RATE_HZ))).toBeLessThan(1e-9);
    const noises = ['soft-plain', 'soft-led'].map((preset) =>
      buildNoise(presetBuild(preset), {
        input: 'pickup',
        temperatureK: NOMINAL_TEMPERATURE_K,
        isBypassed: false,
        around: {},
      }),
    );
    const say = (slot: 'a' | 'b', coefficients: Float64Array) =>
      engine.receive({ type: 'noise', slot, coefficients });
    const [a, b] = noises.map(({ points }) => noiseFilter(points, RATE_HZ).coefficients);
    say('a', a!);
    say('b', b!);
    const heardA = run(engine, silence).subarray(RATE_HZ);
    engine.receive({ type: 'hear', slot: 'b' });
    const heardB = run(engine, silence).subarray(RATE_HZ);
    const rms = (signal: Float32Array) =>
      Math.sqrt(signal.reduce((sum, value) => sum + value * value, 0) / signal.length);
    // 3 s of noise whose power lies within some kilohertz: ±0.1 dB; the fit is good to 0.3 dB, and the generator
    // goes on to 24 kHz and down to 0 Hz.
    expect(Math.abs(20 * Math.log10(rms(heardA) / noises[0]!.outputV))).toBeLessThan(0.5);
    expect(Math.abs(20 * Math.log10(rms(heardB) / noises[1]!.outputV))).toBeLessThan(0.5);
    say('b', new Float64Array(0));
    expect(peakOf(run(engine, silence).subarray(RATE_HZ))).toBeLessThan(1e-9);
  });

  it('keeps its level while it switches between two equal builds', () => {
    const engine = bench();
    engine.receive({ type: 'circuit', slot: 'b', circuit: plain });
    const still = bench();
    for (const each of [engine, still]) each.receive({ type: 'mute', muted: false });
    const input = sine(0.6);
    const expected = run(still, input);
    const switched = run(engine, input, 128, { 19200: () => engine.receive({ type: 'hear', slot: 'b' }) });
    // Both ran from the start, so only the rounding to single precision remains.
    expect(peakOf(switched.map((value, n) => value - expected[n]!).subarray(4800))).toBeLessThan(1e-6);
  });

  it('does not reset its counts when a circuit replaces another', () => {
    const engine = bench();
    engine.receive({ type: 'mute', muted: false });
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    const poisoned = plain.parameters.map(() => Number.NaN);
    engine.receive({ type: 'values', slot: 'a', numbers: { ...plain, parameters: poisoned } });
    run(engine, sine(0.1));
    engine.readTelemetry(telemetry, 4800);
    const resets = telemetry[TELEMETRY.resets]!;
    expect(resets).toBeGreaterThan(0);
    engine.receive({ type: 'circuit', slot: 'a', circuit: asymmetric });
    for (let n = 0; n < 30; n++) {
      run(engine, sine(0.01));
      engine.readTelemetry(telemetry, 480);
      expect(telemetry[TELEMETRY.newtonPerSample]).toBeGreaterThanOrEqual(0);
      expect(telemetry[TELEMETRY.resets]).toBeGreaterThanOrEqual(resets);
    }
  });

  it('fades to silence without a click where a sample is not a number', () => {
    const input = sine(0.25);
    const engine = bench();
    engine.receive({ type: 'mute', muted: false });
    const values = (parameters: Float64Array) => () =>
      engine.receive({ type: 'values', slot: 'a', numbers: { ...plain, parameters } });
    const heard = run(engine, input, 128, { 6400: values(plain.parameters.map(() => Number.NaN)) });
    const largestStep = (from: number, to: number) =>
      peakOf(heard.subarray(from + 1, to).map((value, n) => value - heard[from + n]!));
    const before = peakOf(heard.subarray(3200, 6400));
    expect(before).toBeGreaterThan(0.01);
    // A high-pass follows the circuit; it still rings for some milliseconds.
    expect(peakOf(heard.subarray(9600))).toBeLessThan(1e-8);
    // From full volume to zero in 5 ms the cosine changes by at most π/2 ÷ 240 a sample.
    const usual = largestStep(3200, 6400);
    expect(largestStep(6390, 7000)).toBeLessThan(1.05 * Math.max(usual, (before * Math.PI) / 480));
  });

  it('is silent while a part has a value that is not a number, and plays again after a good value for any part', () => {
    const input = sine(0.25);
    for (let index = 0; index < plain.parameters.length; index++) {
      const engine = bench({ standIn: true });
      engine.receive({ type: 'mute', muted: false });
      const broken = plain.parameters.slice();
      broken[index] = Number.NaN;
      engine.receive({ type: 'values', slot: 'a', numbers: { ...plain, parameters: broken } });
      expect(run(engine, input.subarray(0, 2400)).every(Number.isFinite)).toBe(true);
      engine.receive({ type: 'values', slot: 'a', numbers: plain });
      const mended = run(engine, input);
      expect(mended.every(Number.isFinite)).toBe(true);
      expect(peakOf(mended.subarray(9600)), `number ${index}`).toBeGreaterThan(0.01);
    }
  }, 120_000);

  it('allocates nothing while it plays and is probed, and little while it glides, switches and answers requests', async () => {
    const engine = new BenchEngine({ ...OPTIONS, factor: 1 });
    const clipper = compileCircuit(DIODE_CLIPPER, { sampleRateHz: RATE_HZ, paired: true });
    engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, outputDb: 20 } });
    engine.receive({ type: 'circuit', slot: 'a', circuit: clipper });
    engine.receive({ type: 'circuit', slot: 'b', circuit: clipper });
    engine.receive({ type: 'mute', muted: false });
    const input = sine(128 / RATE_HZ, 1, 750);
    const output = new Float32Array(128);
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    const scope = new Float32Array(SCOPE_LENGTH);
    const messages: ToProcessor[] = [
      {
        type: 'values',
        slot: 'a',
        numbers: { ...clipper, parameters: clipper.parameters.map((value) => value * 1.01) },
      },
      { type: 'hear', slot: 'b' },
      { type: 'values', slot: 'a', numbers: clipper },
      { type: 'hear', slot: 'a' },
      { type: 'probe', nets: { a: 'out', b: 'in' } },
      { type: 'probe', nets: { a: undefined, b: null } },
      { type: 'scope', isWanted: true, nets: { a: 'out' } },
      { type: 'levels', nets: { a: ['in', 'out'], b: ['out'] } },
      { type: 'probe', nets: { a: 'in', b: undefined } },
    ];
    let n = 0;
    const process = () => {
      if (n % 32 === 0) engine.receive(messages[(n >> 5) % messages.length]!);
      engine.process(input, output);
      if (n % 12 === 0) engine.readTelemetry(telemetry, 1536);
      if (n % 12 === 0) engine.readScope(scope);
      n++;
    };
    // The code for messages is compiled late, because they are seldom, and `receive` may allocate: a few numbers.
    // With some 100 bytes of a block the young generation is full after seven minutes of sound.
    for (const { heapBytes, arrayBytes } of await garbageOf(process, {
      blocks: 10_000,
      mostBytes: MOST_MESSAGE_BYTES,
    })) {
      expect(heapBytes).toBeLessThan(MOST_MESSAGE_BYTES);
      expect(arrayBytes).toBeLessThan(1);
    }
    // V8 boxes a number that one function passes to another if it does not inline the call: at most a few in a block.
    const mostBytes = MOST_BOXED_BYTES;
    expectNoGarbage(await garbageOf(() => engine.process(input, output), { mostBytes }), mostBytes);
  }, 240_000);
});
