import { describe, expect, it } from 'vitest';
import { accuracyWarning, offlineRate } from '../../engine/analysis/offline-rate.ts';
import { accuracyExcerpts, solverAccuracy } from '../../engine/analysis/solver-accuracy.ts';
import { type OversamplingFactor, oversamplingLatencySamples } from '../../engine/audio/oversampler.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { findOpamp } from '../../engine/parts/catalogue.ts';
import { presetBuild } from '../preset-build.ts';
import { waveErrorDb } from '../reference/error-db.ts';
import { sampleSignal, signalOf } from '../reference/signals.ts';
import { SOLVED_CASES } from '../reference/solved-cases.ts';
import { solvedPreset } from '../reference/solved-devices.ts';
import { loadPresetVectors } from '../reference/vectors.ts';
import { capacitor, network, opamp, peakOf, resistor, run, sine, source } from './small-networks.ts';

const RATE_HZ = 48_000;

describe("the estimate of the solver's error", () => {
  it.each([
    ['soft-lifted', 'sine-1000Hz-2V', 8],
    ['soft-lifted', 'sine-1000Hz-2V', 16],
    ['clean-plain', 'sine-1000Hz-1V', 8],
    ['clean-plain', 'plucked-1V', 16],
    ['soft-lifted', 'sine-1000Hz-2V', 32],
  ] as const)('is that against SciPy within 12 dB: %s, %s, %ix', (preset, name, factor) => {
    const circuit = solvedPreset(preset);
    const wave = loadPresetVectors(preset).waves.find((each) => each.name === name)!;
    const inputV = sampleSignal(signalOf(wave.input), RATE_HZ, wave.durationSeconds);
    const known = waveErrorDb(wave, factor, (volts, rateHz) => run(circuit, rateHz, volts).output);
    // With a fade, as a recording would have; the reference's sines begin with a corner, which the fade removes.
    const excerptsV = accuracyExcerpts([inputV], RATE_HZ);
    const { errorDb } = solverAccuracy(circuit, excerptsV, { factor, sampleRateHz: RATE_HZ });
    expect(Math.abs(errorDb! - known)).toBeLessThan(12);
  });

  it('is made on the loudest section of a recording and on the section with most treble', () => {
    const [second, third] = [0.15 * RATE_HZ, 0.3 * RATE_HZ];
    const recording = sine(RATE_HZ, RATE_HZ, 200, 0.1);
    for (let n = second; n < third; n++) recording[n]! *= 5;
    for (let n = third; n < third + second; n++) recording[n] = 0.2 * Math.sin(n);
    const pieces = [recording.subarray(0, 1000), recording.subarray(1000)];
    const [loud, sharp] = accuracyExcerpts(pieces, RATE_HZ);
    expect(loud![3600]).toBe(recording[second + 3600]);
    expect(sharp![3600]).toBe(recording[third + 3600]);
  });

  it('is not made of the end alone, which is too short to compare', () => {
    const recording = sine(0.15 * RATE_HZ + 60, RATE_HZ, 82, 0.01);
    recording.subarray(-60).fill(1);
    const length = 0.15 * RATE_HZ;
    const excerptsV = accuracyExcerpts([recording], RATE_HZ);
    for (const excerptV of excerptsV) expect(excerptV.length).toBeGreaterThanOrEqual(length);
    // The window that ends with the recording, from the sample after its fade to the one before the other fade.
    expect(excerptsV[0]![200]).toBe(recording[260]);
  });

  it('has silence behind the part, for the delay of the filters and the low-pass of 1 ms', () => {
    const recording = sine(0.1 * RATE_HZ, RATE_HZ, 3000, 1);
    const options = { factor: 32, quality: 'linear-phase', sampleRateHz: RATE_HZ } as const;
    const [excerptV] = accuracyExcerpts([recording], RATE_HZ);
    const needed = oversamplingLatencySamples(options) + 0.001 * RATE_HZ;
    expect(excerptV!.length - recording.length).toBeGreaterThanOrEqual(needed);
    expect(peakOf(excerptV!.subarray(recording.length))).toBe(0);
  });

  it.each([
    ['silence', new Float64Array(RATE_HZ)],
    ['a recording under 2 ms', sine(90, RATE_HZ, 3000, 1)],
    ['no recording', new Float64Array(0)],
  ])('is not made for %s', (_, recording) => {
    const circuit = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
    const excerptsV = accuracyExcerpts([recording], RATE_HZ);
    const { errorDb, isSaid } = solverAccuracy(circuit, excerptsV, { factor: 8, sampleRateHz: RATE_HZ });
    expect([errorDb, isSaid]).toEqual([undefined, false]);
  });
});

/**
 * A gain of 1000 behind a coupling capacitor; its output reaches its limits within a microsecond in both directions.
 */
const squarer = network([
  source('vcc', 9),
  source('vee', -9),
  capacitor('C1', 'in', 'plus', 1e-6),
  resistor('R1', 'plus', GROUND, 1e5),
  resistor('R2', 'minus', GROUND, 1e2),
  resistor('R3', 'minus', 'out', 1e5),
  opamp('U1', ['plus', 'minus', 'out', 'vcc', 'vee'], findOpamp('TL072').data),
]);

/** An oscillator of some kilohertz that the input pushes about: errors grow until two solutions have nothing in common. */
const beyondHelp = network([
  source('vcc', 9),
  source('vee', -9),
  resistor('R1', 'in', 'plus', 1e4),
  resistor('R2', 'plus', 'out', 2e4),
  resistor('R3', 'minus', 'out', 1e4),
  capacitor('C1', 'minus', GROUND, 1e-8),
  opamp('U1', ['plus', 'minus', 'out', 'vcc', 'vee'], findOpamp('TL072').data),
]);

describe('a rate that follows the estimate', () => {
  const excerptsV = accuracyExcerpts([sine(0.04 * RATE_HZ, RATE_HZ, 3000, 1)], RATE_HZ);
  const linear = network([resistor('R1', 'in', 'out', 1e3), capacitor('C1', 'out', GROUND, 1e-8)]);

  it('goes up where the estimate needs it, for all compared builds, and stays where it does not', () => {
    const aim = { from: 4, aimDb: -70, sampleRateHz: RATE_HZ } as const;
    const [own] = offlineRate([linear], excerptsV, aim);
    expect(own!.factor).toBe(4);
    const both = offlineRate([linear, squarer], excerptsV, aim);
    expect(both[0]!.factor).toBe(both[1]!.factor);
    expect(both[1]!.factor).toBeGreaterThan(4);
  });

  it('rises to what comes nearest by tens of decibels where the wanted error is out of reach, while it need not be reported', () => {
    const aim = { from: 4, most: 32, sampleRateHz: RATE_HZ } as const;
    const factorFor = (aimDb: number) => offlineRate([squarer], excerptsV, { ...aim, aimDb })[0]!.factor;
    // The same search, as far as it may go: -52, -68, -92 and -111 dB at 4x to 32x.
    expect(factorFor(-100)).toBe(32);
    // Out of reach: the lowest rate of the tens of decibels above it, -110, and -90.
    expect(factorFor(-120)).toBe(32);
    expect(factorFor(-130)).toBe(32);
    const upTo16 = offlineRate([squarer], excerptsV, { ...aim, most: 16, aimDb: -200 });
    expect(upTo16[0]!.factor).toBe(16);
    const upTo8 = offlineRate([squarer], excerptsV, { ...aim, most: 8, aimDb: -200 });
    expect(upTo8[0]!.factor).toBe(8);
    const [own] = offlineRate([squarer], excerptsV, { ...aim, most: 4, aimDb: -70 });
    expect(own!.factor).toBe(4);
  });

  it('rises for one build where another is beyond help', () => {
    const aim = { from: 4, most: 16, aimDb: -70, sampleRateHz: RATE_HZ } as const;
    const [own, other] = offlineRate([squarer, beyondHelp], excerptsV, aim);
    expect([own!.factor, other!.factor]).toEqual([16, 16]);
    expect([own!.isSaid, other!.isSaid]).toEqual([false, true]);
  });

  it('says that no rate is enough where none is', () => {
    const accuracy = solverAccuracy(beyondHelp, excerptsV, { factor: 8, sampleRateHz: RATE_HZ });
    expect(accuracyWarning(beyondHelp, accuracy, RATE_HZ)).toMatch(
      /U1 on: it oscillates or is unstable there\. No rate of this tool is enough\.$/,
    );
  });

  it('says what rate is enough where one doubling gains little and the next one much', () => {
    const { network: solvedCase } = SOLVED_CASES.find(({ name }) => name.endsWith('hundreds before diodes'))!;
    const circuit = solvedCase();
    const loudV = accuracyExcerpts([sine(0.04 * RATE_HZ, RATE_HZ, 1780, 0.05)], RATE_HZ);
    const at = (factor: OversamplingFactor) =>
      solverAccuracy(circuit, loudV, { factor, sampleRateHz: RATE_HZ });
    const named = /It would need (\d+)x\.$/.exec(accuracyWarning(circuit, at(8), RATE_HZ) ?? '');
    const enough = Number(named?.[1]) as OversamplingFactor;
    expect([at(8), at((enough / 2) as OversamplingFactor), at(enough)].map(({ isSaid }) => isSaid)).toEqual([
      true,
      true,
      false,
    ]);
  });

  it('says when the error is a share of 1 mV, because the output is quieter', () => {
    // A divider by 10,000 behind the gain of 1000.
    const primitives = [
      ...squarer.primitives,
      resistor('R4', 'out', 'low', 1e5),
      resistor('R5', 'low', GROUND, 10),
    ];
    const quiet = { ...squarer, primitives, output: 'low' };
    const accuracy = solverAccuracy(quiet, excerptsV, { factor: 4, sampleRateHz: RATE_HZ });
    expect(accuracy.isQuiet).toBe(true);
    const sentence = accuracyWarning(quiet, { ...accuracy, isSaid: true }, RATE_HZ);
    expect(sentence).toMatch(/off by −\d\d dB of 1 mV \(the output is quieter\) from U1 on/);
    const loud = solverAccuracy(squarer, excerptsV, { factor: 4, sampleRateHz: RATE_HZ });
    expect(loud.isQuiet).toBe(false);
  });

  it('names the parts at a rate that has no half, too', () => {
    const accuracy = solverAccuracy(squarer, excerptsV, { factor: 1, sampleRateHz: RATE_HZ });
    expect(accuracyWarning(squarer, accuracy, RATE_HZ)).toMatch(/ from U1 on: /);
  });

  it('compares what a low recording rate holds', () => {
    // A resistor makes no error at any rate; a low-pass above half of the rate made one of its own.
    const wire = network([resistor('R1', 'in', 'out', 1e3), resistor('R2', 'out', GROUND, 1e3)]);
    const slowHz = 22_050;
    const tone = accuracyExcerpts([sine(0.1 * slowHz, slowHz, 3000, 1)], slowHz);
    const { errorDb } = solverAccuracy(wire, tone, { factor: 1, sampleRateHz: slowHz });
    expect(errorDb).toBeLessThan(-80);
  });

  it.each([0, 1])('says that an output which is no number has no estimate, in whichever part: %i', (at) => {
    const parts = [sine(2000, RATE_HZ, 200, 0.1), sine(2000, RATE_HZ, 200, 0.1)];
    parts[at]!.fill(Number.NaN);
    const wire = network([resistor('R1', 'in', 'out', 1e3), resistor('R2', 'out', GROUND, 1e3)]);
    const accuracy = solverAccuracy(wire, parts, { factor: 4, sampleRateHz: RATE_HZ });
    expect(accuracyWarning(wire, accuracy, RATE_HZ)).toMatch(/could not be estimated/);
  });

  it('says where the error begins in the part of the recording that has it', () => {
    const circuit = networkOf(presetBuild('clean-bright'), NOMINAL_TEMPERATURE_K);
    const loud = sine(0.013 * RATE_HZ, RATE_HZ, 82, 1);
    const sharp = sine(0.01 * RATE_HZ, RATE_HZ, 9000, 0.9);
    const said = (...partsV: Float64Array[]) => {
      const accuracy = solverAccuracy(circuit, partsV, { factor: 8, sampleRateHz: RATE_HZ });
      return accuracyWarning(circuit, accuracy, RATE_HZ);
    };
    const ofSharp = said(sharp);
    expect(ofSharp).toMatch(/from U1B/);
    expect(said(loud, sharp)).toBe(ofSharp);
  });

  it('says where an error that matters begins, by how much, and which rate it would need', () => {
    const accuracy = solverAccuracy(squarer, excerptsV, { factor: 4, sampleRateHz: RATE_HZ });
    expect(accuracy.isSaid).toBe(true);
    const sentence = accuracyWarning(squarer, accuracy, RATE_HZ);
    expect(sentence).toMatch(
      /^The solver may be off by −\d\d dB of the output from U1 on: its edges are too fast for 4x\. It would need \d+x\.$/,
    );
    const own = accuracyWarning(squarer, accuracy, RATE_HZ, (factor) => `Choose ${factor}x.`);
    expect(own).toBe(sentence?.replace('It would need', 'Choose'));
    const good = solverAccuracy(linear, excerptsV, { factor: 4, sampleRateHz: RATE_HZ });
    expect(accuracyWarning(linear, good, RATE_HZ)).toBeUndefined();
  });
});
