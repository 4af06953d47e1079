import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { clippingSpread } from '../../engine/analysis/spread-clipping.ts';
import { type AskSpread, type SpreadReport, spreadBuilds } from '../../engine/analysis/spread-report.ts';
import { SpreadRun } from '../../engine/analysis/spread-run.ts';
import {
  LEVEL_HZ,
  SPREAD_HZ,
  type SpreadSettings,
  setIn,
  temperatureIn,
  withSet,
} from '../../engine/analysis/spread-settings.ts';
import { bandOf, summarise } from '../../engine/analysis/spread-summary.ts';
import { doSpreadTask } from '../../engine/analysis/spread-tasks.ts';
import {
  clippingKindsText,
  extremesText,
  measureText,
  notVariedText,
  timesText,
} from '../../engine/analysis/spread-text.ts';
import { type Build, startingBuild } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { buildTitle } from '../../engine/builds/build-title.ts';
import {
  amountAt,
  type Deviation,
  deviateOf,
  deviationsOf,
  withoutSpread,
} from '../../engine/builds/deviations.ts';
import { networkWithin } from '../../engine/builds/surroundings.ts';
import { swapsBetween, withSwap } from '../../engine/builds/swaps.ts';
import { parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { findBjt } from '../../engine/parts/catalogue.ts';
import { bipolarAtSpread } from '../../engine/parts/data-at-spread.ts';
import { baseEmitterSpread } from '../../engine/parts/type-spread.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { countedUniform, keyOf, normalAt } from '../../engine/units/counted-normal.ts';
import { presetBuild } from '../preset-build.ts';

/** tests/reference/spread.py: SciPy and numpy. */
const REFERENCE = JSON.parse(
  readFileSync(new URL('../reference/vectors/spread.json', import.meta.url), 'utf8'),
) as SpreadVectors;

interface SpreadVectors {
  readonly normal: readonly { readonly share: number; readonly deviate: number }[];
  /** Mean and standard deviation of the amount of each kind. */
  readonly amounts: Readonly<Record<string, { readonly mean: number; readonly deviation: number }>>;
  readonly lowPass: {
    readonly hz: readonly number[];
    readonly meanDb: readonly number[];
    readonly deviationDb: readonly number[];
  };
  /** First-order indices of soft-plain, by part. */
  readonly softPlain: Readonly<Record<string, { readonly level: number; readonly tone: number }>>;
}

const settingsOf = (build: Build, more: Partial<SpreadSettings> = {}): SpreadSettings => ({
  build,
  around: {},
  temperatureK: { low: kelvinOf(27), high: kelvinOf(27) },
  seed: 1,
  tolerances: {},
  ...more,
});

/** 10k into 10n; the potentiometer hangs on the supply, since a circuit needs one. */
const LOW_PASS = {
  format: 'cliplead-circuit',
  version: 1,
  id: 'low-pass',
  revision: 1,
  title: 'Low-pass',
  stages: [
    {
      id: 'filter',
      title: 'Filter',
      ports: { in: [0, 8], out: [30, 8], ground: 'flags' },
      parts: {
        V1: { kind: 'supply', value: '9V', at: [2, 14], turn: 90, role: 'Battery.' },
        R1: { kind: 'resistor', value: '10k', at: [8, 8], role: 'Series resistor.' },
        C1: { kind: 'capacitor', value: '10n', polarised: false, at: [14, 12], turn: 90, role: 'Shunt.' },
        VR1: { kind: 'pot', value: '100k', law: 'linear', at: [26, 14], role: 'Level.' },
      },
      wires: [
        ['in', 'R1.1'],
        ['R1.2', 'C1.1', 'out'],
        { name: 'dc', pins: ['V1.plus', 'VR1.cw'] },
        ['V1.minus', 'C1.2', 'VR1.ccw', 'VR1.wiper', 'ground'],
      ],
    },
  ],
  packages: {},
  knobs: [{ ref: 'VR1', name: 'level', start: 1 }],
  switches: [],
  rails: [],
  bypass: { kinds: ['true'], bufferedNet: 'dc', inputStages: ['filter'] },
  clippingNet: 'dc',
  clippingDiodes: [],
  roles: { level: 'level', supply: 'V1' },
  figures: [],
};

const plain = presetBuild('soft-plain');
const withParts = (build: Build, parts: Build['parts']): Build => ({
  ...build,
  parts: { ...build.parts, ...parts },
});

describe('a random number by its count', () => {
  it('has the normal deviate of SciPy at its share, within 1e-8', () => {
    for (const { share, deviate } of REFERENCE.normal)
      expect(Math.abs(normalAt(share) / deviate - 1)).toBeLessThan(1e-8);
  });

  it('is uniform, and tells nothing of its neighbours, of other keys and of other seeds', () => {
    const COUNT = 20_000;
    const draw = (key: string, seed: number, shift = 0) =>
      Array.from({ length: COUNT }, (_, index) => countedUniform(keyOf(key), seed, index + 1 + shift) - 0.5);
    const product = (one: readonly number[], other: readonly number[]) =>
      (12 * one.reduce((sum, value, index) => sum + value * other[index]!, 0)) / COUNT;
    const first = draw('own value R1', 1);
    // Means and products of independent uniform numbers stay within four standard deviations.
    expect(Math.abs(first.reduce((sum, each) => sum + each, 0) / COUNT)).toBeLessThan(
      4 / Math.sqrt(12 * COUNT),
    );
    expect(Math.abs(product(first, first) - 1)).toBeLessThan(4 * Math.sqrt(0.8 / COUNT));
    const others = [
      draw('own value R2', 1),
      draw('own value R1', 2),
      draw('own value R1', 1, 1),
      draw('', 0),
    ];
    for (const other of others) expect(Math.abs(product(first, other))).toBeLessThan(4 / Math.sqrt(COUNT));
  });
});

describe('what differs from set to set', () => {
  const COUNT = 20_000;
  const drawn = (deviation: Deviation) =>
    Float64Array.from({ length: COUNT }, (_, index) =>
      amountAt(deviation, deviateOf(deviation, { seed: 3, number: index + 1 })),
    );
  const find = (build: Build, label: string) => deviationsOf(build).find((each) => each.label === label)!;

  it.each([
    ['resistor', 'soft-plain', 'R4'],
    ['capacitor', 'soft-plain', 'C3'],
    ['germanium leak', 'germanium-fuzz-plain', 'Q1 leakage'],
    ['taper', 'soft-plain', 'VR2 taper'],
  ])('has mean and standard deviation of SciPy: %s', (kind, preset, label) => {
    const { mean, deviation } = REFERENCE.amounts[kind]!;
    const band = bandOf(drawn(find(presetBuild(preset), label)), 0);
    // Four standard errors; that of the deviation for a normal distribution, doubled for the skewed one.
    expect(Math.abs(band.mean - mean)).toBeLessThan((4 * deviation) / Math.sqrt(COUNT));
    expect(Math.abs(band.deviation / deviation - 1)).toBeLessThan(8 / Math.sqrt(2 * COUNT));
  });

  it('is the base-emitter voltage of a transistor whose sheet bounds it: mean, standard deviation and ends', () => {
    const build = withParts(presetBuild('silicon-fuzz-plain'), { Q1: { type: 'BC108' } });
    const { mean, deviation } = REFERENCE.amounts['base-emitter voltage']!;
    const values = drawn(find(build, 'Q1 V_BE'));
    const band = bandOf(values, 0);
    expect(Math.abs(band.mean - mean)).toBeLessThan((4 * deviation) / Math.sqrt(COUNT));
    expect(Math.abs(band.deviation / deviation - 1)).toBeLessThan(4 / Math.sqrt(COUNT));
    // Philips BC108: 0.55, 0.62, 0.70 V at 2 mA.
    expect(values[0]).toBeCloseTo(-0.07, 12);
    expect(values.at(-1)).toBeCloseTo(0.08, 12);
  });

  it('moves that voltage at any current by as much: V_BE = V_T·ln(I_C/I_S)', () => {
    const { data } = findBjt('BC108');
    const spread = baseEmitterSpread('BC108')!;
    for (const temperatureK of [280, 320]) {
      const moved = bipolarAtSpread(data, spread, 0.05, temperatureK);
      const thermalV = (1.380649e-23 / 1.602176634e-19) * temperatureK;
      const change = thermalV * Math.log(data.saturationCurrentA / moved.saturationCurrentA);
      expect(change).toBeCloseTo(0.05, 9);
      expect({ ...moved, saturationCurrentA: 0 }).toEqual({ ...data, saturationCurrentA: 0 });
    }
  });

  it('is named where no sheet bounds it: V_BE of most transistors, the offset of op-amps', () => {
    const build = withParts(plain, { Q1: { type: 'BC108' } });
    expect(withoutSpread(build)).toEqual({ baseEmitter: ['Q2'], offset: ['U1'] });
    expect(deviationsOf(plain).map(({ label }) => label)).not.toContain('Q1 V_BE');
    expect(notVariedText(settingsOf(build))).toMatch(
      /^Not varied: base-emitter voltage of Q2 \(no sheet at hand bounds it\); input offset voltage of U1 \(not in/,
    );
    expect(notVariedText(settingsOf(withParts(build, { Q2: { fit: 'open' }, U1: { fit: 'open' } })))).toBe(
      '',
    );
  });

  it('is never beyond the tolerance', () => {
    const values = drawn(find(plain, 'R4')).sort();
    expect(values[0]).toBeCloseTo(0.99, 12);
    expect(values.at(-1)).toBeCloseTo(1.01, 12);
  });

  it('is half common to parts of one batch, and nothing to others', () => {
    const build = withParts(plain, { R4: { value: '4k7' }, R6: { value: '4k7' }, R7: { value: '5k6' } });
    const deviates = (label: string) => {
      const deviation = find(build, label);
      return Array.from({ length: COUNT }, (_, index) =>
        deviateOf(deviation, { seed: 3, number: index + 1 }),
      );
    };
    const [one, same, other] = [deviates('R4'), deviates('R6'), deviates('R7')];
    const mean = (them: readonly number[]) =>
      them.reduce((sum, z, index) => sum + z * one![index]!, 0) / COUNT;
    expect(Math.abs(mean(same!) - 0.5)).toBeLessThan(0.035);
    expect(Math.abs(mean(other!))).toBeLessThan(0.03);
  });

  it('is less of diodes in series, each of which has its own half', () => {
    const build = withParts(plain, { D1: { type: '1N4148', count: 4 } });
    // Var = 1/2 + 1/2/4
    expect(find(build, 'D1').sigma).toBeCloseTo(Math.sqrt(0.625), 12);
    const values = drawn(find(build, 'D1'));
    const { deviation } = bandOf(values, 0);
    expect(deviation / (0.02 / 2.58)).toBeCloseTo(Math.sqrt(0.625), 1);
  });

  it('is not the supply, a part that is not fitted, or a piece at an end of its spread', () => {
    const build = withParts(plain, {
      R4: { ...plain.parts['R4'], fit: 'open' },
      D1: { type: '1N4148 low' },
    });
    const refs = deviationsOf(build).map(({ ref }) => ref);
    expect(refs).toContain('D2');
    for (const ref of ['V1', 'R4', 'D1']) expect(refs).not.toContain(ref);
  });

  it('follows the class that is asked for, and the material of a capacitor', () => {
    const high = (build: Build, label: string, tolerances = {}) =>
      deviationsOf(build, tolerances).find((each) => each.label === label)!.spread.high;
    expect(high(plain, 'R4', { resistor: 0.05 })).toBeCloseTo(1.05, 12);
    expect(high(plain, 'C3', { capacitor: 0.2 })).toBeCloseTo(1.2, 12);
    expect(high(plain, 'C9', { capacitor: 0.05 })).toBeCloseTo(high(plain, 'C9'), 12);
    const made = (dielectric: 'C0G' | 'X5R-small') =>
      high(withParts(plain, { C3: { ...plain.parts['C3'], dielectric } }), 'C3');
    expect([made('C0G'), made('X5R-small')]).toEqual([1.05, 1.2]);
  });
});

describe('a build of a run', () => {
  function canRest(build: Build): boolean {
    try {
      operatingPoint(pruneNetwork(networkWithin(build, kelvinOf(27), {})));
      return true;
    } catch {
      return false;
    }
  }

  /** As the bench plays it: the network with the same set of parts. */
  function expectPlayed(settings: SpreadSettings, number: number, name: string): void {
    const run = new SpreadRun(settings);
    const { rows, numbers } = run.solve(number, 1);
    expect(numbers[0], name).toBe(number);
    const { build, around } = withSet(settings, number);
    const network = networkWithin(build, temperatureIn(settings, number), around);
    const response = new FrequencyResponse(network);
    [...SPREAD_HZ.slice(0, 60), LEVEL_HZ].forEach((hz, index) => {
      const played = response.at(hz, network.output).decibels;
      // Below -120 dB the rounding of both shows.
      if (played > -120) expect(Math.abs(rows[index]! - played), `${name} at ${hz} Hz`).toBeLessThan(1e-3);
    });
    const { volts } = operatingPoint(pruneNetwork(network));
    for (const [index, net] of run.columns.nets.entries())
      expect(Math.abs(rows[61 + index]! - volts.get(net)!), `${name} ${net}`).toBeLessThan(1e-5);
  }

  it.each(presetNames())('is what the bench plays with the same set: %s', (name) => {
    for (const number of [1, 4711]) expectPlayed(settingsOf(presetBuild(name)), number, name);
  });

  it('is also in a chain, behind a pickup, at another temperature, with ceramic capacitors and two parts in one place', () => {
    const first = withParts(presetBuild('germanium-fuzz-plain'), {
      C1: { value: '2u2', dielectric: 'X5R-small', piggyback: '1u' },
    });
    const second = withParts(plain, { D1: { type: 'OA91', piggyback: 'LED-red', count: 2 } });
    const after = [{ build: second, isOn: true, cableMetres: 1 }];
    expectPlayed(
      settingsOf(first, {
        around: { chain: { before: [], after, isOn: true, cableMetres: 1 } },
        temperatureK: { low: kelvinOf(5), high: kelvinOf(40) },
        tolerances: { resistor: 0.05 },
      }),
      17,
      'chain',
    );
  });

  it('has in each pedal of a chain a seed that no neighbouring run has, and that a build file can hold', () => {
    const seeds = [1, 2, 3, 4, 999_999, 1_000_000].flatMap((seed) =>
      [0, 1, 2, 3].map((position) => setIn(settingsOf(plain, { seed }), 17, position)),
    );
    expect(new Set(seeds.map(({ seed }) => seed)).size).toBe(seeds.length);
    for (const partsSet of seeds)
      expect(parseBuildFile(serialiseBuild({ ...plain, partsSet })).partsSet).toEqual(partsSet);
  });

  it('does not depend on where its chunk begins', () => {
    const run = new SpreadRun(settingsOf(presetBuild('jfet-plain')));
    const width = run.nominal.length;
    const [all, two] = [run.solve(1, 4), run.solve(3, 2)];
    expect([...two.rows]).toEqual([...all.rows.slice(2 * width)]);
  });

  it('that has no operating point is counted and left out', () => {
    // A supply that is just enough for the op-amp as printed, behind a resistor of 20 %.
    const supplied = (millivolts: number) =>
      withParts(plain, { V1: { value: `${millivolts / 1000}V` }, R17: { value: '100R' } });
    let millivolts = 1000;
    while (!canRest(supplied(millivolts))) millivolts += 20;
    const run = new SpreadRun(settingsOf(supplied(millivolts), { tolerances: { resistor: 0.2 } }));
    const { failed, numbers } = run.solve(1, 200);
    expect(failed.starved).toBeGreaterThan(0);
    expect(numbers.length + failed.starved + failed.unsettled + failed.singular).toBe(200);
  });
});

describe('the figures of a run', () => {
  const COUNT = 4000;
  const summaryOf = (settings: SpreadSettings, count: number) => {
    const run = new SpreadRun(settings);
    const chunks = [run.solve(1, count / 2), run.solve(1 + count / 2, count / 2)];
    return { run, summary: summarise(run.columns, run.causes, run.nominal, chunks) };
  };
  const lowPassBuild = () => startingBuild(parseCircuit(LOW_PASS).circuit!);

  it('have mean and standard deviation of SciPy for a low-pass', () => {
    const { hz, meanDb, deviationDb } = REFERENCE.lowPass;
    const { response, hz: own } = summaryOf(settingsOf(lowPassBuild()), COUNT).summary;
    for (const [index, wanted] of hz.entries()) {
      const { mean, deviation } = response[own.findIndex((each) => Math.abs(each / wanted - 1) < 1e-9)]!;
      // Four standard errors.
      const error = 4 * deviationDb[index]!;
      expect(Math.abs(mean - meanDb[index]!)).toBeLessThan(error / Math.sqrt(COUNT));
      expect(Math.abs(deviation - deviationDb[index]!)).toBeLessThan(error / Math.sqrt(2 * COUNT));
    }
  });

  it('have the causes of a low-pass in the ratio of the squared tolerances: Var(ln f) = Var(ln R) + Var(ln C)', () => {
    const { toneCauses } = summaryOf(
      settingsOf(lowPassBuild(), { tolerances: { resistor: 0.05 } }),
      COUNT,
    ).summary;
    const share = (label: string) => toneCauses.shares.find((each) => each.label === label)!.share;
    // 10 % and 5 %: 0.8 and 0.2. An estimated correlation is within four times (1 - r²)/√N.
    expect(Math.abs(share('C1') - 0.8)).toBeLessThan(0.03);
    expect(Math.abs(share('R1') - 0.2)).toBeLessThan(0.05);
    expect(toneCauses.measure.labels).toEqual(['C1', 'R1'].slice(0, toneCauses.measure.labels.length));
  });

  it('do not name by chance a part that is beside the signal path', () => {
    for (let seed = 1; seed <= 10; seed++) {
      const { toneCauses } = summaryOf(settingsOf(lowPassBuild(), { seed }), 200).summary;
      const labels = toneCauses.shares.map(({ label }) => label);
      expect(labels, `seed ${seed}`).toContain('C1');
      // The potentiometer hangs on the supply alone.
      for (const label of labels) expect(label, `seed ${seed}`).not.toMatch(/^VR1/);
      expect(measureText('tone', toneCauses)).toBe(
        'Too few builds to say which parts change the tone: 200 work, 1,000 are needed.',
      );
    }
  });

  it('say that too few builds work, not that all are alike, where one alone does', () => {
    const run = new SpreadRun(settingsOf(lowPassBuild()));
    const summary = summarise(run.columns, run.causes, run.nominal, [run.solve(1, 1)]);
    expect(measureText('tone', summary.toneCauses)).toMatch(/^Too few builds .*: 1 work/);
    expect(extremesText({ summary } as SpreadReport)).toMatch(/^Too few of the builds work/);
  });

  it('count the builds without a clipping level by their kind', () => {
    const own = { kind: 'from', inputPeakV: 0.01 } as const;
    const levels = [{ kind: 'soft' }, undefined, { kind: 'none' }, undefined, { kind: 'soft' }] as const;
    const textOf = (found: readonly (typeof own | (typeof levels)[number])[]) =>
      clippingKindsText({ clipping: clippingSpread(own, found), printedClipping: { own } } as SpreadReport);
    expect(textOf(levels)).toBe(
      'Clips from: as printed 10 mV; of 5 builds tried, 2 soft from the start, 1 not up to 10 V, 2 have no operating point.',
    );
    expect(textOf([own, ...levels])).toContain('of 6 builds tried, 1 from a level in the table, 2 soft');
    expect(textOf([own, own])).toBe('');
  });

  it.each([
    [0.24 / 2.18, '0.11 of'],
    [1.7, '1.7 times'],
    [14.2, '14 times'],
    [0.96, 'about'],
    [0.004, 'less than 0.01 of'],
    [12345, '12,000 times'],
  ])('compare a swap with another set of parts: %d', (ratio, text) => {
    expect(timesText(ratio)).toBe(text);
  });

  it('have the causes that numpy finds by a variance decomposition, in its order', () => {
    const { toneCauses, level } = summaryOf(settingsOf(plain), COUNT).summary;
    for (const what of ['tone', 'level'] as const) {
      const { shares } = what === 'tone' ? toneCauses : level.causes;
      const own = (cause: string) =>
        shares.find(({ label }) => label === cause.replace(' value', ''))?.share ?? 0;
      const wanted = Object.entries(REFERENCE.softPlain).map(([cause, each]) => ({
        cause,
        share: each[what],
      }));
      // Pick and freeze with 4,000 pairs is within 0.05 in three of its standard errors; Q1, Q2 and D1 to D3 stay in numpy.
      for (const { cause, share } of wanted) expect(Math.abs(own(cause) - share), cause).toBeLessThan(0.06);
      const large = wanted.filter(({ share }) => share > 0.15).sort((one, other) => other.share - one.share);
      expect(large.length).toBeGreaterThan(1);
      expect(shares.slice(0, large.length).map(({ label }) => label)).toEqual(
        large.map(({ cause }) => cause.replace(' value', '')),
      );
    }
  });

  it('leave a quarter of the builds on each side of the middle half', () => {
    const band = bandOf(
      Float64Array.from({ length: 1001 }, (_, index) => 1000 - index),
      400,
    );
    expect(band).toMatchObject({
      printed: 400,
      mean: 500,
      low: 25,
      lower: 250,
      median: 500,
      upper: 750,
      high: 975,
    });
  });

  it('have the two builds that are farthest apart in the middle 95 %, as a search of all pairs finds them', () => {
    const { run, summary } = summaryOf(settingsOf(presetBuild('germanium-fuzz-plain')), 200);
    const { rows, numbers } = run.solve(1, 200);
    const width = run.nominal.length;
    const tones = [...numbers].map((_, row) => {
      const gains = [...rows.slice(row * width, row * width + 60)];
      const mean = gains.reduce((sum, each) => sum + each, 0) / 60;
      return gains.map((each) => each - mean);
    });
    const apart = (one: readonly number[], other: readonly number[]) =>
      Math.sqrt(one.reduce((sum, each, index) => sum + (each - other[index]!) ** 2, 0) / 60);
    const median = tones[0]!.map((_, index) => {
      const column = tones.map((tone) => tone[index]!).sort((one, other) => one - other);
      return (column[99]! + column[100]!) / 2;
    });
    const middle = [...tones].sort((one, other) => apart(one, median) - apart(other, median)).slice(0, 190);
    const farthest = Math.max(...middle.map((one) => Math.max(...middle.map((other) => apart(one, other)))));
    const { numbers: pair, toneDb } = summary.extremes!;
    expect(toneDb).toBeCloseTo(farthest, 4);
    expect(apart(tones[pair[0] - 1]!, tones[pair[1] - 1]!)).toBeCloseTo(farthest, 4);
  });

  it('know how far two sets are apart: of a normal level 0.954 standard deviations, half of the pairs more', () => {
    const { level, twoSets } = summaryOf(settingsOf(lowPassBuild()), COUNT).summary;
    // √2·0.6745. The median of 2,000 pairs has a standard error of 0.025.
    expect(Math.abs(twoSets!.levelDb / level.deviation - 0.954)).toBeLessThan(0.1);
  });

  it('have a temperature among the causes where a range is asked for', () => {
    const temperatureK = { low: kelvinOf(0), high: kelvinOf(45) };
    const { summary } = summaryOf(settingsOf(presetBuild('germanium-fuzz-plain'), { temperatureK }), 500);
    const net = summary.nets.find(({ name }) => name === 'base')!;
    expect(net.causes.shares[0]!.label).toBe('temperature');
  });

  it('are the same whichever worker is quicker, and tell how far it is', async () => {
    const plan = { settings: settingsOf(presetBuild('jfet-plain')), count: 1500, clippingCount: 2 };
    const solved: number[] = [];
    const reportBy = (delays: readonly number[]) => {
      let asked = 0;
      const ask: AskSpread = async (task) => {
        for (let turn = delays[asked++ % delays.length]!; turn > 0; turn--) await Promise.resolve();
        return doSpreadTask(task) as never;
      };
      const onChange = (report: SpreadReport) => void solved.push(report.solved);
      return spreadBuilds(plan, { ask, nowMs: () => 0, onChange });
    };
    const [one, other] = [await reportBy([0]), await reportBy([9, 0, 5, 2])];
    expect(other.summary).toEqual(one.summary);
    expect(one.summary!.found).toBe(1500);
    expect(one.clipping).toMatchObject({ tried: 2, found: 2 });
    expect(new Set(solved)).toEqual(new Set([0, 250, 500, 750, 1000, 1250, 1500]));
  });

  it('say nothing of causes where nothing differs', () => {
    const { summary } = summaryOf(settingsOf(lowPassBuild()), 100);
    const supply = summary.nets.find(({ name }) => name === 'dc')!;
    expect(supply).toMatchObject({ low: 9, high: 9, causes: { shares: [], measure: { labels: [] } } });
  });
});

describe('a set of parts', () => {
  const fitted: Build = { ...plain, partsSet: { seed: 1, number: 4711, tolerances: { resistor: 0.05 } } };

  it('is written in the build file and read again', () => {
    expect(parseBuildFile(serialiseBuild(fitted))).toEqual(fitted);
  });

  it.each([
    [{ seed: 1 }, /number/],
    [{ seed: 1, number: 0 }, /"partsSet.number" is 0; it should be a whole number from 1/],
    [{ seed: 1, number: 2, tolerances: { resistor: 3 } }, /shares from 0.001 to 0.2/],
    [{ seed: 1, number: 2, other: 3 }, /alone/],
    ['4711', /should be an object/],
  ])('that cannot be is refused with its value: %j', (partsSet, message) => {
    const file = { ...JSON.parse(serialiseBuild(plain)), partsSet };
    expect(() => parseBuildFile(JSON.stringify(file))).toThrow(message);
  });

  it('is in the title and among the differences of A and B, and can be taken over and given back', () => {
    expect(buildTitle(fitted)).toBe('Plain build, parts set 4711');
    const [swap] = swapsBetween(plain, fitted);
    expect(swap).toMatchObject({ name: 'parts set', before: 'as printed', after: '4711' });
    expect(withSwap(plain, fitted, swap!)).toEqual(fitted);
    expect(withSwap(fitted, plain, swap!)).toEqual(plain);
  });
});
