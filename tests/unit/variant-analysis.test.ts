import { describe, expect, it } from 'vitest';
import { FrequencyResponse, logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import { VariantAnalysis } from '../../engine/analysis/variant-analysis.ts';
import type { Build } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import { compose } from '../../engine/network/compose.ts';
import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { solveComplex } from '../../engine/solver/dense-linear.ts';
import { NodalSystem } from '../../engine/solver/nodal-system.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { networkParameters } from '../../engine/solver/parameters.ts';
import { presetBuild } from '../preset-build.ts';
import { solvedPreset } from '../reference/solved-devices.ts';
import { loadPresetVectors } from '../reference/vectors.ts';
import { expectNoGarbage, garbageOf } from './garbage.ts';
import { randomNetwork } from './random-network.ts';
import { capacitor, diode, inductor, network, resistor, source, uniform } from './small-networks.ts';

const HZ = logarithmicFrequencies(20, 20_000, 13);
const T = NOMINAL_TEMPERATURE_K;
const nodesOf = (of: Network) => new NodalSystem(pruneNetwork(of)).nodeNames;

/** Every number changed a little: within 5 % up or down, from a seed. */
function varied(parameters: Float64Array, seed: number): Float64Array {
  const draw = uniform(seed);
  return parameters.map((value) => value * (0.95 + 0.1 * draw()));
}

/**
 * Gains of all nodes by dense elimination with pivoting, from the matrices at an operating point: the way without a
 * plan.
 */
function denseGains(system: NodalSystem, volts: Float64Array, hz: number): readonly number[] {
  system.inductorS.fill(0);
  system.evaluate(volts, 0);
  const n = system.size;
  const [re, im] = [new Float64Array(n * n), new Float64Array(n * n)];
  const omega = 2 * Math.PI * hz;
  system.pattern.rows.forEach((row, place) => {
    if (row < 0 || row >= n) return;
    const entry = row * n + system.pattern.columns[place]!;
    re[entry] = system.jacobian[place]!;
    im[entry] = omega * system.capacitance[place]! - system.reciprocalInductance[place]! / omega;
  });
  const [xRe, xIm] = [new Float64Array(n), new Float64Array(n)];
  xRe[system.structure.input] = 1;
  expect(solveComplex(re, im, n, xRe, xIm)).toBe(-1);
  return Array.from(xRe, (value, node) => Math.hypot(value, xIm[node]!));
}

/** Checks that variants have the gains of dense elimination within 1e-9, wherever a signal is larger than rounding. */
function expectDense(unpruned: Network, seeds: readonly number[]): void {
  const circuit = pruneNetwork(unpruned);
  const nets = nodesOf(circuit);
  const analysis = new VariantAnalysis(circuit, { nets, hz: HZ });
  const system = new NodalSystem(circuit);
  for (const seed of seeds) {
    const parameters = varied(analysis.nominal, seed);
    expect(analysis.solve(parameters)).toBe('found');
    system.setParameters(parameters);
    HZ.forEach((hz, index) => {
      const dense = denseGains(system, analysis.volts, hz);
      dense.forEach((gain, net) => {
        if (gain < 1e-6) return;
        const own = 10 ** (analysis.gainsDb[net * HZ.length + index]! / 20);
        expect(Math.abs(own / gain - 1), `${nets[net]} at ${hz} Hz, seed ${seed}`).toBeLessThan(1e-9);
      });
    });
  }
  // They are solved with the plan of the nominal network.
  expect(analysis.denseSolutions).toBe(0);
}

describe('variants of one structure', () => {
  it.each(presetNames())('have the gains of dense elimination within 1e-9: %s', (name) =>
    expectDense(networkOf(presetBuild(name), T), [1, 2, 3]),
  );

  it('have these gains in random networks too', () => {
    for (let seed = 1; seed <= 60; seed++) expectDense(randomNetwork(seed), [seed]);
  });

  it('have the same operating point as each alone without a starting point, within a nanovolt', () => {
    for (const name of presetNames()) {
      const circuit = pruneNetwork(networkOf(presetBuild(name), T));
      const analysis = new VariantAnalysis(circuit, { nets: [], hz: [] });
      const hot = pruneNetwork(networkOf(presetBuild(name), T + 30));
      analysis.solveNetwork(hot);
      const { volts } = operatingPoint(hot);
      analysis.nodeNames.forEach((node, index) => {
        expect(Math.abs(analysis.volts[index]! - volts.get(node)!), `${name} ${node}`).toBeLessThan(1e-9);
      });
    }
  });

  /** tests/reference/generate.py: SciPy with hand-written equations of each preset. */
  it.each([
    ['soft-plain', 'soft-germanium'],
    ['soft-germanium', 'soft-led'],
    ['soft-plain', 'soft-linear-tone'],
  ] as const)('have what SciPy finds, where from the numbers of %s go those of %s', (from, to) => {
    const { response } = loadPresetVectors(to);
    const hz = [...response.frequenciesHz];
    const analysis = new VariantAnalysis(solvedPreset(from), { nets: ['out'], hz });
    analysis.solveNetwork(solvedPreset(to));
    // With the tolerance of the reference tests for a single network.
    hz.forEach((each, index) => {
      expect(Math.abs(analysis.gainsDb[index]! - response.magnitudeDb[index]!), `${each} Hz`).toBeLessThan(
        1e-3,
      );
    });
  });

  it('have the gain of a low-pass with their values: 1/√(1 + (2πfRC)²)', () => {
    const analysis = new VariantAnalysis(
      network([resistor('R1', 'in', 'out', 1e3), capacitor('C1', 'out', GROUND, 1e-7)]),
      { nets: ['out'], hz: HZ },
    );
    for (const [ohms, farads] of [
      [1e3, 1e-7],
      [1e5, 1e-7],
      [10, 1e-12],
    ] as const) {
      expect(analysis.solve(Float64Array.of(ohms, farads))).toBe('found');
      HZ.forEach((hz, index) => {
        const wanted = -10 * Math.log10(1 + (2 * Math.PI * hz * ohms * farads) ** 2);
        expect(analysis.gainsDb[index]).toBeCloseTo(wanted, 10);
      });
    }
  });

  it('can have coils: a current through one at rest, and the resonance of 1/(2π√LC)', () => {
    const analysis = new VariantAnalysis(
      network([
        source('vcc', 9),
        resistor('R1', 'vcc', 'a', 1e3),
        inductor('L1', 'a', 'b', 1),
        resistor('R2', 'b', GROUND, 2e3),
        resistor('R3', 'in', 'out', 1e5),
        inductor('L2', 'out', GROUND, 1),
        capacitor('C1', 'out', GROUND, 1e-6),
        resistor('R4', 'out', 'b', 1e6),
      ]),
      { nets: ['out'], hz: [1 / (2 * Math.PI * Math.sqrt(0.5 * 2e-6))] },
    );
    // L1, L2 and C1 with another value; L2 with C1 is then an open circuit at that frequency
    const parameters = analysis.nominal.slice();
    [parameters[2], parameters[5], parameters[6]] = [3, 0.5, 2e-6];
    expect(analysis.solve(parameters)).toBe('found');
    expect(analysis.volts[analysis.nodeNames.indexOf('b')]).toBeCloseTo(
      9 / (1 + 1000 * (1 / 2000 + 1e-6)),
      9,
    );
    // 100k with 1M, and 667 Ω with the 3 H of L1 beside the 2k behind it, where the rest is open
    const hz = analysis.wanted.hz[0]!;
    const z = 2 * Math.PI * hz * 3;
    const [re, im] = inParallel([1e3, z], 2e3);
    const wanted = 20 * Math.log10(Math.hypot(1e6 + re, im) / Math.hypot(1.1e6 + re, im));
    expect(analysis.gainsDb[0]).toBeCloseTo(wanted, 9);
  });

  it('find an operating point that is far from the nominal one', () => {
    const data = {
      saturationCurrentA: 1e-14,
      emissionCoefficient: 1,
      seriesOhms: 0,
      zeroBiasCapacitanceF: 0,
    };
    const analysis = new VariantAnalysis(
      network([
        source('vcc', 9),
        resistor('R1', 'vcc', 'out', 1e9),
        diode('D1', ['out', GROUND], data),
        resistor('R2', 'in', GROUND, 1),
      ]),
      { nets: ['out'], hz: [1000] },
    );
    const parameters = analysis.nominal.slice();
    parameters[1] = 10;
    expect(analysis.solve(parameters)).toBe('found');
    const volts = analysis.volts[analysis.nodeNames.indexOf('out')]!;
    const amps = 1e-14 * Math.expm1(volts / thermalVoltage(T)) + 1e-12 * volts;
    expect(amps * 10 + volts).toBeCloseTo(9, 9);
  });

  it('do not depend on the variants before them', () => {
    const analysis = new VariantAnalysis(networkOf(presetBuild('clean-plain'), T), { nets: ['out'], hz: HZ });
    const [one, other] = [1, 2].map((seed) => varied(analysis.nominal, seed));
    analysis.solve(one!);
    const first = [...analysis.volts, ...analysis.gainsDb];
    analysis.solve(other!);
    analysis.solve(one!);
    expect([...analysis.volts, ...analysis.gainsDb]).toEqual(first);
  });

  it('can be two builds in a row', () => {
    const pedal = networkOf(presetBuild('soft-plain'), T);
    const row = compose(
      [
        { id: 'first', network: pedal },
        { id: 'second', network: pedal },
      ],
      [
        [
          { unit: 'first', net: 'out' },
          { unit: 'second', net: 'in' },
        ],
      ],
    ).network;
    expectDense(row, [1]);
  });
});

describe('numbers of another structure', () => {
  const plain = presetBuild('soft-plain');
  const analysis = new VariantAnalysis(networkOf(plain, T), { nets: ['out'], hz: [1000] });
  const withPart = (ref: string, change: object): Build => ({
    ...plain,
    parts: { ...plain.parts, [ref]: { ...plain.parts[ref], ...change } },
  });

  it('are refused where there are more or fewer of them, with both counts', () => {
    const count = analysis.nominal.length;
    expect(() => analysis.solve(new Float64Array(count + 1))).toThrow(
      `${count + 1} numbers for a network that has ${count}`,
    );
  });

  it.each([
    ['left out', withPart('D1', { fit: 'open' })],
    ['bridged', withPart('R4', { fit: 'bridged' })],
    ['doubled', withPart('R4', { piggyback: '10k' })],
    ['of a type with a range', withPart('U1', { type: 'LM741' })],
  ])('are refused by name where a part is %s', (_, build) => {
    expect(() => analysis.solveNetwork(networkOf(build, T))).toThrow(
      /makes another structure|has another structure/,
    );
  });

  it('are refused with the frequency at which they have no solution', () => {
    // A capacitor and a coil without loss in series: at resonance the gain is infinite.
    const omega = 2 * Math.PI * 1000;
    const tank = (farads: number) =>
      network([capacitor('C1', 'in', 'out', farads), inductor('L1', 'out', GROUND, 1 / omega)]);
    const tanks = new VariantAnalysis(tank(2 / omega), { nets: ['out'], hz: [100, 1000, 5000] });
    expect(() => tanks.solveNetwork(tank(1 / omega))).toThrow(/1000 Hz/);
  });

  it('are refused with a sentence where they have no operating point, and the next ones are solved', () => {
    const starved = withPart('V1', { value: '1V' });
    expect(() => analysis.solveNetwork(networkOf(starved, T))).toThrow(/U1.* is starved/);
    analysis.solveNetwork(networkOf(plain, T));
    const { decibels } = new FrequencyResponse(networkOf(plain, T)).at(1000, 'out');
    expect(analysis.gainsDb[0]).toBeCloseTo(decibels, 9);
  });

  it('that are not finite are reported as such', () => {
    const parameters = networkParameters(pruneNetwork(networkOf(plain, T)));
    parameters[3] = Number.NaN;
    expect(analysis.solve(parameters)).not.toBe('found');
    expect(analysis.solve(analysis.nominal)).toBe('found');
  });
});

it('solving variants causes no garbage collection', async () => {
  const analysis = new VariantAnalysis(networkOf(presetBuild('soft-plain'), T), {
    nets: ['out'],
    hz: [1000],
  });
  const variants = Array.from({ length: 20 }, (_, seed) => varied(analysis.nominal, seed));
  let next = 0;
  const solve = () => {
    next = (next + 1) % variants.length;
    analysis.solve(variants[next]!);
  };
  // Six numbers were boxed on a busy machine, where V8 did not inline a function; an array of the unknowns takes more.
  const mostBytes = 128;
  expectNoGarbage(await garbageOf(solve, { blocks: 20_000, mostBytes }), mostBytes);
});

/** A complex impedance and a resistance in parallel. */
function inParallel([re, im]: readonly [number, number], ohms: number): readonly [number, number] {
  const scale = ohms / ((re + ohms) ** 2 + im * im);
  return [scale * (re * (re + ohms) + im * im), scale * im * ohms];
}
