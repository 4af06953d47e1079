import { describe, expect, it } from 'vitest';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { buildTitle } from '../../engine/builds/build-title.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { parseSettingText, settingText } from '../../engine/builds/part-setting.ts';
import { partSpread } from '../../engine/builds/part-spread.ts';
import { piecesOf } from '../../engine/builds/pieces.ts';
import { swapsBetween, withSwap } from '../../engine/builds/swaps.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { bipolarPrimitives } from '../../engine/parts/bipolar-primitives.ts';
import { settingGap } from '../../engine/parts/data-gaps.ts';
import { forwardVoltage } from '../../engine/parts/diode-curve.ts';
import { type DiodeFit, fitDiode } from '../../engine/parts/diode-fit.ts';
import { bjtEntry, diodeEntry, endOf, fetEntry, opampEntry } from '../../engine/parts/part-types.ts';
import { type MeasuredPiece, pieceOfText, pieceText, readMeasured } from '../../engine/parts/piece.ts';
import {
  fitMisses,
  fitPiece,
  fitWarnings,
  hasReversePoint,
  worstMissV,
} from '../../engine/parts/piece-fit.ts';
import { typeSpread } from '../../engine/parts/type-spread.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { measuredNumber } from '../../engine/units/measured-number.ts';
import { presetBuild } from '../preset-build.ts';
import cards from '../reference/vectors/diode-cards.json' with { type: 'json' };

const curve = (...points: readonly (readonly [number, number])[]) =>
  points.map(([currentA, voltageV]) => ({ currentA, voltageV }));

const MINE = {
  name: 'my OA91',
  kind: 'diode',
  like: 'OA91',
  forward: curve([1e-5, 0.155], [1e-4, 0.215], [1e-3, 0.291]),
  reverse: { currentA: 1.1e-6, voltageV: 1.5 },
} as const satisfies MeasuredPiece;

const FOUR_A = [1e-5, 1e-4, 1e-3, 1e-2] as const;

/** Farthest that a fit is off its points, V. */
const worst = (like: string, fit: DiodeFit, points: ReturnType<typeof curve>) =>
  Math.max(
    ...points.map(({ currentA, voltageV }) =>
      Math.abs(
        forwardVoltage({ ...diodeEntry(like).data, ...fit }, currentA, NOMINAL_TEMPERATURE_K) - voltageV,
      ),
    ),
  );

describe('the fit of a measured diode', () => {
  // Points of tests/reference/diode_points.py, fitted there by SciPy's least squares.
  it.each([
    [
      '1N34A',
      curve([1e-5, 0.155], [1e-4, 0.215], [1e-3, 0.291], [5e-3, 0.394], [1e-2, 0.492]),
      { voltageV: 1.5, currentA: 1e-6 },
    ],
    [
      'OA47',
      curve([1e-5, 0.11], [1e-4, 0.17], [1e-3, 0.24], [1e-2, 0.35]),
      { voltageV: 1.5, currentA: 1.5e-6 },
    ],
    [
      '1N60',
      curve([1e-5, 0.12], [1e-4, 0.18], [1e-3, 0.3], [1e-2, 0.85]),
      { voltageV: 1.5, currentA: 1.5e-6 },
    ],
    ['1N5711', curve([1e-5, 0.235], [1e-4, 0.3], [1e-3, 0.389], [1e-2, 0.678]), undefined],
  ])('of %s has the voltages that SciPy finds', (type, points, reverse) => {
    const { data } = diodeEntry(type);
    const fit = fitDiode(points, reverse, { ...data, leakageS: 0 }, NOMINAL_TEMPERATURE_K);
    const reference = cards.cards[type as keyof typeof cards.cards];
    for (const [index, amps] of FOUR_A.entries()) {
      const volts = forwardVoltage({ ...data, ...fit }, amps, NOMINAL_TEMPERATURE_K);
      // The cards there are rounded to three or four digits: up to a millivolt.
      expect(Math.abs(volts - reference.forwardV[index]!)).toBeLessThan(1e-3);
    }
  });

  it('goes through three points, and states the miss at each', () => {
    const piece = fitPiece(MINE);
    const misses = fitMisses(piece);
    expect(misses.map(({ of }) => of)).toEqual(['at 10 µA', 'at 100 µA', 'at 1 mA', 'reverse at 1.5 V']);
    expect(worstMissV(misses)).toBeLessThan(1.5e-3);
    expect(misses[3]!.fitted).toBeCloseTo(1.1e-6, 9);
    expect(fitWarnings(piece)).toEqual([]);
  });

  it.each(['OA91', 'OA81', '1N60', '1N4148'])('goes through two points of a piece like %s', (like) => {
    const points = curve([1e-5, 0.155], [1e-3, 0.291]);
    const fit = fitDiode(points, undefined, diodeEntry(like).data, NOMINAL_TEMPERATURE_K);
    expect(worst(like, fit, points)).toBeLessThan(0.5e-3);
    // Closed form of V = n·V_T·ln(I/I_S + 1) + I·R_S, n = 1: the difference of both, less 25.865 mV·ln 100, over 0.99 mA.
    if (like !== '1N4148') expect(Math.abs(fit.seriesOhms - 17.06)).toBeLessThan(1);
  });

  it('finds the junction that made the points', () => {
    // Closed form: V = n·V_T·ln(I/I_S + 1) + I·R_S at 300.15 K, I_S = 4 nA, n = 1.9, R_S = 1.2 Ω.
    const thermalV = (1.380649e-23 * 300.15) / 1.602176634e-19;
    const at = (amps: number) => 1.9 * thermalV * Math.log1p(amps / 4e-9) + 1.2 * amps;
    const points = curve(...[1e-5, 1e-4, 1e-3, 1e-2].map((amps) => [amps, at(amps)] as const));
    const fit = fitDiode(points, undefined, diodeEntry('1N4148').data, NOMINAL_TEMPERATURE_K);
    expect(fit.saturationCurrentA / 4e-9).toBeCloseTo(1, 3);
    expect(fit.emissionCoefficient).toBeCloseTo(1.9, 4);
    expect(fit.seriesOhms).toBeCloseTo(1.2, 3);
  });

  it('warns where the points are not those of one junction', () => {
    const odd = fitPiece({ ...MINE, forward: curve([1e-5, 0.05], [1e-4, 0.6], [1e-3, 0.61], [1e-2, 0.9]) });
    expect(fitWarnings(odd)[0]).toMatch(/^my OA91: the fit is up to \d+ mV off/);
  });

  it.each([
    [
      { ...MINE, forward: curve([1e-4, 0.215], [1e-5, 0.155]) },
      /point 2 does not rise: 0.00001 A at 0.155 V/,
    ],
    [{ ...MINE, forward: curve([1e-5, 0.155], [1e-4, 0.155]) }, /point 2 does not rise/],
    [
      { ...MINE, forward: curve([1e-5, -0.155], [1e-4, 0.2]) },
      /point 1: the voltage is -0.155; it should be/,
    ],
    [{ ...MINE, forward: [] }, /give 1 to 6 points/],
    [{ ...MINE, forward: curve([1e-5, Number.NaN], [1e-4, 0.2]) }, /point 1: the voltage is NaN/],
    [{ ...MINE, reverse: { currentA: -1, voltageV: 1.5 } }, /the reverse current is -1/],
    [{ ...MINE, name: '2x 1N4148' }, /cannot be called "2x 1N4148"/],
    [{ ...MINE, name: 'OA91 low' }, /cannot be called "OA91 low"/],
    [{ ...MINE, kind: 'opamp' }, /kind is "opamp"/],
    [{ ...MINE, colour: 'red' }, /unknown key "colour"/],
  ])('refuses nonsense in one line that names the piece: %#', (value, message) => {
    expect(() => readMeasured(value)).toThrow(message);
  });

  it('stays within what a file may have, and says by how much it is off', () => {
    const steep = fitPiece({ ...MINE, forward: curve([1e-8, 0.1], [2e-8, 0.2], [3e-8, 0.5]) });
    expect(pieceOfText(pieceText(steep))).toEqual(steep);
    expect(fitWarnings(steep)[0]).toMatch(/^my OA91: the fit is up to \d+ mV off/);
  });

  it('takes no reverse point of a type that conducts backwards by itself', () => {
    const zener = { ...MINE, like: 'BZX79C5V1', reverse: { currentA: 5e-3, voltageV: 5.1 } };
    expect(() => fitPiece(zener)).toThrow(
      'my OA91: what a BZX79C5V1 does backwards is taken from the type. Leave the reverse point out.',
    );
    const { reverse: _, ...ahead } = zener;
    expect(() => fitPiece(ahead)).not.toThrow();
    expect([hasReversePoint('OA91'), hasReversePoint('BZX79C5V1')]).toEqual([true, false]);
  });

  it('refuses a text that is no piece', () => {
    expect(() => pieceOfText('{')).toThrow('"{" is no type and no piece.');
  });

  it('refuses a type that it cannot be like', () => {
    expect(() => fitPiece({ ...MINE, like: 'TL072' })).toThrow(/my OA91 cannot be like TL072/);
    expect(() => fitPiece({ ...MINE, like: '2N7000 back to back' })).toThrow(/several parts/);
  });
});

describe('the fit of a measured transistor', () => {
  it('has the gain at its current and the leakage, solved in a circuit', () => {
    const like = '2N5088';
    const piece = fitPiece({
      name: 'Q',
      kind: 'npn',
      like,
      collectorA: 1e-3,
      currentGain: 321,
      openBaseA: 2e-6,
    });
    const entry = bjtEntry(pieceText(piece));
    // 9 V through 1 Ω to the collector. At v_BC = −9 V the Early effect multiplies the collector current, not the base's.
    const early = 1 + 9 / entry.data.earlyV;
    const network = (baseOhms: number): Network => ({
      input: 'in',
      output: 'c',
      rails: [],
      temperatureK: NOMINAL_TEMPERATURE_K,
      primitives: [
        { kind: 'voltageSource', ...ofPart('V1'), nodes: ['in', '0'], volts: 0 },
        { kind: 'voltageSource', ...ofPart('V2'), nodes: ['supply', '0'], volts: 9 },
        { kind: 'resistor', ...ofPart('R1'), nodes: ['supply', 'c'], ohms: 1 },
        { kind: 'resistor', ...ofPart('R2'), nodes: ['supply', 'b'], ohms: baseOhms },
        ...bipolarPrimitives(entry, 'Q1', ['c', 'b', '0'], () => false),
      ],
    });
    const collectorA = (baseOhms: number) => {
      const { volts } = operatingPoint(network(baseOhms));
      return { collector: 9 - volts.get('c')!, base: (9 - volts.get('b')!) / baseOhms };
    };
    const used = collectorA((9 - 0.6) * 321 * early * 1000);
    expect(used.collector / used.base / early / 321).toBeCloseTo(1, 1);
    // A gigaohm lets 9 nA into the base; with the base open what leaks over it is multiplied likewise.
    const open = collectorA(1e12);
    expect(open.collector / early / 2e-6).toBeCloseTo(1, 1);
  });

  it('of germanium has gain and leakage of the two measurements, solved in their circuit', () => {
    // 9 V, 2k2 from the collector: 0.44 V across it with the base open, 1.54 V with 2M2 from the base to the same pole.
    const [leakA, totalA, baseA] = [0.2e-3, 0.7e-3, 4e-6];
    const piece = fitPiece({
      ...{ name: 'Q', kind: 'pnp', like: 'AC128', collectorA: totalA, openBaseA: leakA },
      currentGain: totalA / baseA,
    } as const);
    // The classical formula: gain = (total - leak)/base current.
    expect(piece.fit).toMatchObject({ forwardBeta: 125 });
    expect(fitMisses(piece).map(({ measured, fitted }) => fitted / measured)).toEqual([
      expect.closeTo(1, 5),
      expect.closeTo(1, 5),
    ]);
    const entry = bjtEntry(pieceText(piece));
    const flat = { ...entry, data: { ...entry.data, earlyV: 1e9 } };
    const collectorA = (baseOhms: number) => {
      const { volts } = operatingPoint({
        ...{ input: 'in', output: 'c', rails: [], temperatureK: NOMINAL_TEMPERATURE_K },
        primitives: [
          { kind: 'voltageSource', ...ofPart('V1'), nodes: ['in', '0'], volts: 0 },
          { kind: 'voltageSource', ...ofPart('V2'), nodes: ['minus', '0'], volts: -9 },
          { kind: 'resistor', ...ofPart('R1'), nodes: ['minus', 'c'], ohms: 2200 },
          { kind: 'resistor', ...ofPart('R2'), nodes: ['minus', 'b'], ohms: baseOhms },
          ...bipolarPrimitives(flat, 'Q1', ['c', 'b', '0'], () => false),
        ],
      });
      return { base: (9 + volts.get('b')!) / baseOhms, collector: (9 + volts.get('c')!) / 2200 };
    };
    const open = collectorA(1e12);
    const fed = collectorA(2.2e6);
    expect(open.collector / leakA).toBeCloseTo(1, 3);
    expect((fed.collector - open.collector) / fed.base).toBeCloseTo(125, 1);
  });

  it('has in a file from before, whose fit has no leak of its own, the gains of that fit alone', () => {
    const made = fitPiece({
      ...{ name: 'Q', kind: 'pnp', like: 'AC128', collectorA: 1e-3, currentGain: 80 },
      openBaseA: 1e-4,
    } as const);
    const { data } = bjtEntry(
      pieceText({ ...made, fit: { forwardBeta: 60, reverseBeta: 9 } } as typeof made),
    );
    expect(data).toMatchObject({ forwardBeta: 60, reverseBeta: 9 });
    expect(data.collectorLeak).toBeUndefined();
  });

  it('of germanium needs the leakage where that of the type is too much for its gain', () => {
    const piece = { name: 'Q', kind: 'pnp', like: 'AC128', currentGain: 100 } as const;
    // What flows through a blocked AC128 whatever its gain, I_S + I_S/beta_R + I_L = 15 + 1.0 + 7.5 uA, is no gain.
    expect(() => fitPiece({ ...piece, collectorA: 20e-6 })).toThrow(
      /^Q: a typical AC128 leaks [\d.]+ µA with its base open, too much for a gain at \d+ µA: measure the leakage too\.$/,
    );
    expect(fitWarnings(fitPiece({ ...piece, collectorA: 0.5e-3 }))).toEqual([
      expect.stringMatching(/^Q: a typical AC128 leaks .* measure the leakage too\.$/),
    ]);
    expect(fitWarnings(fitPiece({ ...piece, collectorA: 4e-3 }))).toEqual([]);
    expect(fitWarnings(fitPiece({ ...piece, collectorA: 1e-4, openBaseA: 2e-5 }))).toEqual([]);
  });

  it.each([
    { name: 'J', kind: 'nJfet', like: 'J201', zeroBiasDrainA: 1, cutoffV: 0.05 },
    { name: 'Q', kind: 'pnp', like: 'AC128', collectorA: 1e-3, currentGain: 80, openBaseA: 1e-15 },
  ] as const satisfies readonly MeasuredPiece[])(
    'is refused where no part has its figures: %#',
    (measured) => {
      expect(() => fitPiece(measured)).toThrow(
        `${measured.name}: no part of this kind has these figures: check their units.`,
      );
    },
  );

  it('has the drain current and the cutoff voltage of a JFET', () => {
    const piece = fitPiece({ name: 'J', kind: 'nJfet', like: 'J201', zeroBiasDrainA: 6e-4, cutoffV: 0.7 });
    const { thresholdV, betaAPerV2, lambdaPerV } = fetEntry(pieceText(piece)).data;
    expect(thresholdV).toBe(-0.7);
    // I_DSS = β·V_P²·(1 + λ·V_DS), at the 5 V of a tester.
    expect(betaAPerV2 * 0.49 * (1 + 5 * lambdaPerV)).toBeCloseTo(6e-4, 8);
  });
});

describe('a piece at an end of the spread of its type', () => {
  it('drops what the spread says', () => {
    const at = (type: string) => forwardVoltage(diodeEntry(type).data, 1e-3, NOMINAL_TEMPERATURE_K);
    const { low, high } = typeSpread('diode', '1N4148');
    expect(at('1N4148 low') - at('1N4148')).toBeCloseTo(low, 4);
    expect(at('1n4148 HIGH end') - at('1N4148')).toBeCloseTo(high, 4);
    // onsemi 2N5088: hFE 300 to 900.
    expect(bjtEntry('2N5088 low').data.forwardBeta).toBeCloseTo(300, 9);
    // Vishay 70233 rev G: J201 V_GS(off) -0.3 to -1.5 V.
    expect(fetEntry('J201 high').data.thresholdV).toBeCloseTo(-1.5, 9);
    expect(
      opampEntry('TL072 low').data.gainBandwidthHz / opampEntry('TL072').data.gainBandwidthHz,
    ).toBeCloseTo(0.7, 9);
    expect(diodeEntry('oa91 low').type).toBe('OA91 low');
    expect(endOf('OA91 low')).toEqual({ type: 'OA91', end: 'low' });
    expect(() => diodeEntry('OA99999 low')).toThrow(/"OA99999" is not a diode/);
  });
});

describe('a piece in a build', () => {
  const plain = presetBuild('soft-plain');
  const piece = fitPiece(MINE);
  const kept: Build = { ...plain, pieces: [piece] };
  const put = (build: Build, ref: string, text: string): Build => {
    const setting = parseSettingText({ ref, kind: 'diode' }, text, build.parts[ref]!, piecesOf(build));
    return { ...build, parts: { ...build.parts, [ref]: setting } };
  };
  const fitted = put(put(kept, 'D1', 'my oa91'), 'D2', '2x my OA91 // 1N4148');

  it('stands where a type stands, in the network, the title, the parts list and the swaps', () => {
    const diode = networkOf(fitted, NOMINAL_TEMPERATURE_K).primitives.find(({ ref }) => ref === 'D1');
    expect(diode).toMatchObject({ kind: 'diode', data: piece.fit });
    expect(settingText(fitted.parts['D2']!)).toBe('2x my OA91 // 1N4148');
    expect(buildTitle(fitted)).toContain('D1 my OA91');
    expect(orderRows(fitted).find(({ value }) => value === 'my OA91')).toMatchObject({ quantity: 3 });
    expect(swapsBetween(plain, fitted)[0]).toMatchObject({ ref: 'D1', before: '1N4148', after: 'my OA91' });
  });

  it('is carried by its build file, with points and fit, and plays the same from there', () => {
    const text = serialiseBuild(fitted);
    const file = JSON.parse(text) as { pieces: object[]; parts: Record<string, unknown> };
    expect(file.pieces).toEqual([piece]);
    expect(file.parts['D1']).toBe('my OA91');
    const read = parseBuildFile(text);
    expect(read).toEqual(fitted);
    // The fit of the file plays, not one made anew.
    const other = text.replace(String((piece.fit as DiodeFit).saturationCurrentA), '3e-8');
    const [network] = [networkOf(parseBuildFile(other), NOMINAL_TEMPERATURE_K)];
    expect(network.primitives.find(({ ref }) => ref === 'D1')).toMatchObject({
      data: { saturationCurrentA: 3e-8 },
    });
    // Without a fit one is made.
    const { fit: _, ...bare } = piece;
    const refit = parseBuildFile(JSON.stringify({ ...JSON.parse(text), pieces: [bare] }));
    expect(refit).toEqual(fitted);
  });

  it('stays in the file when it stands nowhere, and comes along with a swap', () => {
    expect(parseBuildFile(serialiseBuild(kept)).pieces).toEqual([piece]);
    const [swap] = swapsBetween(plain, fitted);
    const taken = withSwap(plain, fitted, swap!);
    expect(taken.parts['D1']).toEqual(fitted.parts['D1']);
    expect(taken.pieces).toEqual([piece]);
  });

  it('keeps apart two pieces of one name', () => {
    const twin = fitPiece({ ...MINE, forward: curve([1e-5, 0.1], [1e-4, 0.16], [1e-3, 0.23]) });
    const both: Build = { ...fitted, parts: { ...fitted.parts, D3: { type: pieceText(twin) } } };
    const swapped: Build = { ...fitted, parts: { ...fitted.parts, D1: { type: pieceText(twin) } } };
    expect(swapsBetween(fitted, swapped)).toHaveLength(1);
    const candidates = candidatesFor({ ...kept, pieces: [piece, twin] }, ['D1']).filter(
      ({ text }) => text === 'my OA91',
    );
    expect(candidates.map(({ settings }) => settings['D1']!.type)).toEqual([
      pieceText(piece),
      pieceText(twin),
    ]);
    const read = parseBuildFile(serialiseBuild(both));
    expect(read.parts['D1']).toEqual(fitted.parts['D1']);
    expect(settingText(read.parts['D3']!)).toBe('my OA91 2');
    expect(diodeEntry(read.parts['D3']!.type!).data).toMatchObject(twin.fit);
  });

  it('is ranked as a type without a spread, and is a candidate by its name', () => {
    expect(partSpread(fitted, 'D1')).toMatchObject({ low: 0, high: 0 });
    expect(settingGap('diode', fitted.parts['D1']!)).toBeUndefined();
    const texts = candidatesFor(kept, ['D1', 'D2']).map(({ text }) => text);
    expect(texts).toContain('my OA91');
    expect(candidatesFor(kept, ['D1'], 'my OA91, OA91 low').map(({ text }) => text)).toEqual([
      'my OA91',
      'OA91 low',
    ]);
  });

  it('is refused in a file in one line, which leaves nothing changed', () => {
    const file = JSON.parse(serialiseBuild(fitted)) as { pieces: { forward: object[] }[] };
    file.pieces[0]!.forward.reverse();
    expect(() => parseBuildFile(JSON.stringify(file))).toThrow(/^my OA91: point 2 does not rise/);
    const twice = { ...file, pieces: [piece, piece] };
    expect(() => parseBuildFile(JSON.stringify(twice))).toThrow(/There is a piece "my OA91" already/);
    const named = { ...file, pieces: [{ ...piece, name: 'OA 91' }] };
    expect(() => parseBuildFile(JSON.stringify(named))).toThrow(/"OA 91": that is a type/);
    const inPlace = { ...file, pieces: [piece], parts: { D1: pieceText(piece) } };
    expect(() => parseBuildFile(JSON.stringify(inPlace))).toThrow(/D1/);
    const transistor = { ref: 'Q1', kind: 'npn' } as const;
    expect(() => parseSettingText(transistor, 'my OA91', plain.parts['Q1']!, [piece])).toThrow(
      'Q1: my OA91 is a diode, not a transistor.',
    );
  });
});

describe('a number read off a meter', () => {
  it.each([
    ['10u', 1e-5],
    ['10 µA', 1e-5],
    ['155 mA', 0.155],
    ['0,155', 0.155],
    ['1e-5', 1e-5],
    ['1 M', undefined],
    ['-1', undefined],
    ['3 V', undefined],
    ['ten', undefined],
  ])('%s', (text, amps) => {
    expect(measuredNumber(text, 'A')).toBe(amps);
  });
});
