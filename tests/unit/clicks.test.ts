import { describe, expect, it } from 'vitest';
import { inputCorrection } from '../../engine/analysis/input-correction.ts';
import { FilterFade } from '../../engine/audio/filter-fade.ts';
import { packSections } from '../../engine/audio/shaped-noise.ts';
import { speakerResponse } from '../../engine/audio/speaker.ts';
import { USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import {
  type BenchOptions,
  type BenchSettings,
  STARTING_SETTINGS,
  type ToProcessor,
} from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';
import { capacitor, network, resistor, source } from './small-networks.ts';

const OPTIONS: BenchOptions = { sampleRateHz: 48_000, factor: 4, quality: 'low-latency' };
const RATE_HZ = OPTIONS.sampleRateHz;
/** A linear circuit, so that a sine stays a sine. */
const CIRCUIT = compileCircuit(
  network([
    resistor('R1', 'in', 'tap', 2000),
    resistor('R2', 'tap', 'out', 1000),
    resistor('R3', 'out', GROUND, 1000),
    source('vcc', 5),
    capacitor('C1', 'in', 'biased', 100e-6),
    resistor('R4', 'biased', 'vcc', 10_000),
  ]),
  { sampleRateHz: RATE_HZ * OPTIONS.factor },
);

const BLOCK = 128;
const PERIOD = 240;
const FRAMES = 900 * BLOCK;
/**
 * The times at which: something is set before, the change comes (the sine is near no peak and no zero), everything has
 * settled.
 */
const BEFORE = 225 * BLOCK;
const CHANGE = 454 * BLOCK;
const SETTLED = 825 * BLOCK;
const sine = (phase: number) =>
  Float32Array.from({ length: FRAMES }, (_, n) => 0.01 * Math.sin((2 * Math.PI * n) / PERIOD + phase));
const TONE = sine(0);

const settings = (change: Partial<BenchSettings>): ToProcessor => ({
  type: 'settings',
  settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0, ...change },
});

function bench(standIn: boolean): BenchEngine {
  const engine = new BenchEngine(OPTIONS);
  engine.receive(settings({ standIn }));
  for (const slot of ['a', 'b'] as const) engine.receive({ type: 'circuit', slot, circuit: CIRCUIT });
  engine.receive({ type: 'mute', muted: false });
  return engine;
}

function play(
  engine: BenchEngine,
  input: Float32Array,
  at: Record<number, readonly ToProcessor[]>,
): Float32Array {
  const output = new Float32Array(input.length);
  for (let start = 0; start < input.length; start += BLOCK) {
    for (const message of at[start] ?? []) engine.receive(message);
    engine.process(input.subarray(start, start + BLOCK), output.subarray(start, start + BLOCK));
  }
  return output;
}

/** The largest third difference of a signal between two frames: it is large where the signal jumps or has a kink. */
function thirdDifference(signal: Float32Array, from: number, to: number): number {
  let most = 0;
  for (let n = from + 3; n < to; n++) {
    most = Math.max(most, Math.abs(signal[n]! - 3 * signal[n - 1]! + 3 * signal[n - 2]! - signal[n - 3]!));
  }
  return most;
}

const NONE = new Float64Array(0);
/** Echoes and a decay, which a fade of the output alone would not hide. */
const RESPONSE = speakerResponse(
  new Float64Array(6000).map((_, n) => (n % 1700 === 0 ? 1 : 0) + 0.2 * Math.sin(n * n) * Math.exp(-n / 800)),
  RATE_HZ,
  RATE_HZ,
);
const CORRECTION = inputCorrection(
  networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K),
  USUAL_INSTRUMENT,
  RATE_HZ,
).coefficients;
const HISS = packSections([{ b0: 1, b1: 0, b2: 0, a1: -0.9, a2: 0 }], 1e-7);

const speaker = (response: Float64Array): ToProcessor => ({ type: 'speaker', response });
const correct = (coefficients: Float64Array): ToProcessor => ({
  type: 'correctInput',
  slot: 'a',
  coefficients,
});
const probe = (net: string | undefined): ToProcessor => ({ type: 'probe', nets: { a: net, b: net } });
const riff: ToProcessor = {
  type: 'riff',
  samples: sine(1).slice(0, RATE_HZ),
  startFrame: 4800,
  endFrame: 40_000,
};
const quieter = settings({ matchDb: { a: -6, b: 0 } });
const difference = (gainDb: number): ToProcessor => ({ type: 'difference', isHeard: true, gainDb });

const CHANGES: readonly (readonly [
  name: string,
  standIn: boolean,
  before: readonly ToProcessor[],
  change: readonly ToProcessor[],
])[] = [
  ['the speaker filter on', false, [], [settings({ standIn: true })]],
  ['the speaker filter off', true, [], [settings({ standIn: false })]],
  ['an impulse response', true, [], [speaker(RESPONSE)]],
  ['another impulse response', true, [speaker(RESPONSE)], [speaker(RESPONSE.map((value) => -value))]],
  ['the built-in speaker again', true, [speaker(RESPONSE)], [speaker(NONE)]],
  ['volts of full scale', false, [], [settings({ voltsPerFullScale: 4.36 })]],
  ['output level', false, [], [settings({ outputDb: -20 })]],
  ['level match', false, [], [quieter]],
  ['the guitar correction', false, [], [correct(CORRECTION)]],
  ['no guitar correction', false, [correct(CORRECTION)], [correct(NONE)]],
  ['noise', false, [], [{ type: 'noise', slot: 'a', coefficients: HISS }]],
  ['the probe on a net', false, [], [probe('tap')]],
  ['the probe on another net', false, [probe('tap')], [probe('biased')]],
  ['the probe on another net and back', false, [probe('tap')], [probe('biased'), probe('tap')]],
  ['the probe off', false, [probe('tap')], [probe(undefined)]],
  ['the probe off and on', false, [probe('tap')], [probe(undefined), probe('tap')]],
  ['a riff', false, [], [riff]],
  ['no riff', false, [riff], [{ type: 'stopRiff' }]],
  ['a riff from its start', false, [riff], [{ type: 'stopRiff' }, riff]],
  ['the ends of a riff', false, [riff], [{ type: 'trimRiff', startFrame: 20_000, endFrame: 40_000 }]],
  ['the input kept out', false, [], [{ type: 'gateInput', isOpen: false }]],
  ['the input let in', false, [{ type: 'gateInput', isOpen: false }], [{ type: 'gateInput', isOpen: true }]],
  ['B', false, [quieter], [{ type: 'hear', slot: 'b' }]],
  ['the difference', false, [quieter], [difference(0)]],
  ['the gain of the difference', false, [quieter, difference(0)], [difference(6)]],
  ['mute', false, [], [{ type: 'mute', muted: true }]],
];

describe('a steady sine', () => {
  // A fade of 5 ms by half a cosine (common practice for a switch without a click) adds (π/240)²/2 to a second
  // difference and therefore to a third, 4.8 times the (2π/240)³ of the sine itself.
  it.each(CHANGES)('has no click when the change is to %s', (_, standIn, before, change) => {
    const output = play(bench(standIn), TONE, { [BEFORE]: before, [CHANGE]: change });
    const steady = [thirdDifference(output, CHANGE - 5000, CHANGE), thirdDifference(output, SETTLED, FRAMES)];
    expect(thirdDifference(output, CHANGE - 10, SETTLED)).toBeLessThan(5 * Math.max(...steady));
  });

  it('fails this check with a click: a sine that stops at once', () => {
    const stopped = TONE.map((sample, n) => (n < CHANGE ? sample : 0));
    const output = play(bench(false), stopped, {});
    const steady = thirdDifference(output, CHANGE - 5000, CHANGE);
    expect(thirdDifference(output, CHANGE - 10, SETTLED)).toBeGreaterThan(100 * steady);
  });
});

describe('a speaker that is no longer used', () => {
  it.each([
    ['the built-in filter', NONE],
    ['an impulse response', RESPONSE],
  ])('gives nothing of before when it is heard again in silence: %s', (_, response) => {
    const ended = TONE.map((sample, n) => (n < 500 * BLOCK ? 50 * sample : 0));
    const output = play(bench(true), ended, {
      0: [speaker(response)],
      [CHANGE]: [settings({ standIn: false })],
      [SETTLED]: [settings({ standIn: true })],
    });
    expect(Math.max(...output.subarray(SETTLED).map(Math.abs))).toBe(0);
  });

  it('is faded out for A and for B in the same way', () => {
    const heard = (['a', 'b'] as const).map((slot) =>
      play(bench(true), TONE, { 0: [{ type: 'hear', slot }], [CHANGE]: [settings({ standIn: false })] }),
    );
    expect(heard[0]!.subarray(BEFORE)).toEqual(heard[1]!.subarray(BEFORE));
  });
});

describe('filters that follow each other', () => {
  const through = (gain: number) => ({
    process: (input: Float64Array, frames: number, output: Float64Array) => {
      for (let n = 0; n < frames; n++) output[n] = gain * input[n]!;
    },
    reset: () => {},
  });

  it('have weights that add up to one, also when one change starts before another has ended', () => {
    const filters = [1, 1, 1].map(through);
    const fade = new FilterFade(filters[0]!, RATE_HZ, BLOCK);
    const ones = new Float64Array(BLOCK).fill(1);
    const output = new Float64Array(BLOCK);
    for (let block = 0; block < 60; block++) {
      fade.fadeTo(filters[block < 12 ? block % 3 : 2]!);
      fade.process(ones, BLOCK, output);
      for (const sample of output) expect(sample).toBeCloseTo(1, 12);
    }
  });

  it('end with the last filter', () => {
    const last = through(0.25);
    const fade = new FilterFade(through(1), RATE_HZ, BLOCK);
    const output = new Float64Array(BLOCK);
    fade.process(new Float64Array(BLOCK).fill(1), BLOCK, output);
    fade.fadeTo(through(5));
    fade.fadeTo(last);
    for (let block = 0; block < 10; block++) fade.process(new Float64Array(BLOCK).fill(1), BLOCK, output);
    expect([...output]).toEqual(Array.from({ length: BLOCK }, () => 0.25));
  });
});
