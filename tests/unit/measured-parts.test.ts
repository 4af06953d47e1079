import { describe, expect, it } from 'vitest';
import { canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import {
  fitsPlace,
  type MeasuredPart,
  MOST_MEASURED_PARTS,
  measuredNameProblem,
  mergedParts,
  numberedName,
  parseMeasured,
  serialiseMeasured,
  settingWith,
} from '../../engine/builds/measured-parts.ts';
import { fitTaper, type PotPiece, readPassive, valueMiss } from '../../engine/parts/passive-piece.ts';
import type { MeasuredPiece } from '../../engine/parts/piece.ts';
import { pieceDistance, piecePairs } from '../../engine/parts/piece-distance.ts';
import { fitPiece } from '../../engine/parts/piece-fit.ts';
import { trackFraction } from '../../engine/units/taper.ts';

const CURRENTS_A = [1e-5, 1e-4, 1e-3];
const diode = (name: string, shiftV: number, like = 'OA91') =>
  fitPiece({
    ...{ name, kind: 'diode', like, reverse: { currentA: 1e-6, voltageV: 8 } },
    forward: CURRENTS_A.map((currentA, index) => ({
      currentA,
      voltageV: [0.155, 0.215, 0.291][index]! + shiftV,
    })),
  } as MeasuredPiece);
const transistor = (name: string, currentGain: number, openBaseA = 1e-9) =>
  fitPiece({ name, kind: 'npn', like: '2N3904', collectorA: 1e-3, currentGain, openBaseA });
const jfet = (name: string, zeroBiasDrainA: number, cutoffV: number) =>
  fitPiece({ name, kind: 'nJfet', like: 'J201', zeroBiasDrainA, cutoffV });
const pot = (middleOhms: number, quarterOhms?: number): PotPiece =>
  readPassive({
    ...{ name: 'P', kind: 'pot', like: '100k', endOhms: 94e3, middleOhms },
    ...(quarterOhms !== undefined && { quarterOhms }),
  }) as PotPiece;

describe('the distance of two measured pieces', () => {
  it('of diodes is the RMS of the volts between their curves: all of a shift', () => {
    // 10 mV everywhere but below some µA, where the leak of 0.13 µS takes current of both.
    expect(pieceDistance(diode('a', 0), diode('b', 0.01)) / 0.01).toBeCloseTo(1, 1);
    expect(pieceDistance(diode('a', 0), diode('a too', 0))).toBe(0);
  });

  it('of transistors is the ratio of their collector currents, which the leakage is part of', () => {
    expect(pieceDistance(transistor('a', 200), transistor('b', 220))).toBeCloseTo(Math.log(1.1), 2);
    // With one gain, 100 µA of leakage on 0.2 to 2 mA: 5 to 40 %.
    const leaky = pieceDistance(transistor('a', 200), transistor('c', 222, 1e-4));
    expect(leaky).toBeGreaterThan(0.05);
    expect(leaky).toBeLessThan(0.45);
  });

  it('of JFETs is the RMS of their drain currents: that of two square laws, by hand', () => {
    // Same cutoff: the difference is 10 % of β·(V − V_to)², RMS over V of u² is 1/√5 = 0.447.
    const apart = pieceDistance(jfet('a', 1e-3, 1), jfet('b', 1.1e-3, 1));
    expect(apart).toBeCloseTo((0.1 / 1.05) * Math.sqrt(1 / 5), 2);
  });

  it('finds the nearest pair and the most unlike among twelve', () => {
    const shifts = [0, 3, 7, 12, 18, 25, 33, 42, 42.5, 60, 75, 91];
    const pairs = piecePairs(shifts.map((shift, index) => diode(`no. ${index}`, shift / 1000)));
    expect(pairs).toHaveLength(66);
    expect([pairs[0]!.one.name, pairs[0]!.other.name]).toEqual(['no. 7', 'no. 8']);
    expect([pairs.at(-1)!.one.name, pairs.at(-1)!.other.name]).toEqual(['no. 0', 'no. 11']);
  });
});

describe('a measured potentiometer', () => {
  it.each([
    [47e3, 'linear'],
    [14e3, 'audio-15'],
    [9.5e3, 'audio-10'],
    [80e3, 'reverse-audio-15'],
  ])('with %s Ω of 94k in the middle is %s', (middle, law) => {
    expect(fitTaper(pot(middle)).law).toBe(law);
  });

  it('with half in the middle needs a quarter to be told from an S-shaped one', () => {
    expect(fitTaper(pot(47e3)).doubts[0]).toMatch(
      /^linear and S-shaped are equally near\. A reading at a quarter/,
    );
    expect(fitTaper(pot(47e3, 23.5e3))).toMatchObject({ law: 'linear', doubts: [] });
    expect(fitTaper(pot(47e3, 94e3 * trackFraction('s-shaped', 0.25)))).toMatchObject({
      law: 's-shaped',
      doubts: [],
    });
  });

  it('that no taper fits says by how much', () => {
    expect(fitTaper(pot(30e3)).doubts[0]).toMatch(
      /^No taper of the list is near: audio 20 % is 12 % of the track off/,
    );
  });

  it('is refused in one line where the wiper would be beyond an end', () => {
    expect(() => pot(140e3)).toThrow(
      'P: the wiper in the middle is 140k, and from end to end 94k: the wiper cannot be beyond an end.',
    );
    expect(() => pot(20e3, 40e3)).toThrow(
      /40k at a quarter of the turn and 20k in the middle: are they swapped\?/,
    );
  });
});

describe('the kept parts', () => {
  const parts: readonly MeasuredPart[] = [
    diode('OA91 no. 1', 0),
    transistor('Q 7', 210),
    jfet('J201 no. 2', 6e-4, 0.7),
    pot(14e3),
    readPassive({ name: '10k no. 3', kind: 'resistor', like: '10k', value: 9870 }),
    readPassive({ name: '47n no. 1', kind: 'capacitor', like: '47n', value: 43.1e-9 }),
  ];

  it('come back from a file as they were', () => {
    expect(parseMeasured(serialiseMeasured(parts))).toEqual({ parts, problems: [] });
  });

  it('are numbered by what is printed on them', () => {
    expect(numberedName(parts, 'OA91')).toBe('OA91 no. 2');
    expect(numberedName(parts, '10k')).toBe('10k no. 4');
    expect(numberedName(parts, '2N3904')).toBe('2N3904 no. 1');
    expect(numberedName([], '2N3904 base-emitter of a long name')).toHaveLength(24);
  });

  it('of a damaged file are read as far as they are sound', () => {
    const file = JSON.parse(serialiseMeasured(parts)) as { parts: Record<string, unknown>[] };
    file.parts[0]!['forward'] = [];
    file.parts[4]!['value'] = -1;
    file.parts.push(file.parts[1]!, { kind: 'toaster', name: 'T' }, null as never);
    const read = parseMeasured(JSON.stringify(file));
    expect(read.parts.map(({ name }) => name)).toEqual(['Q 7', 'J201 no. 2', 'P', '47n no. 1']);
    expect(read.problems).toEqual([
      'OA91 no. 1: give 1 to 6 points of its forward curve.',
      '10k no. 3: its value is -1; it should be from R01 to 1G.',
      'There is a part "Q 7" already.',
      expect.stringMatching(/^T: its kind is "toaster"/),
      expect.stringMatching(/^A piece is null/),
    ]);
  });

  it.each([
    ['', 'It is not a file of measured parts.'],
    ['{"format":"cliplead-build"}', 'It is not a file of measured parts.'],
    [
      '{"format":"cliplead-measured-parts","version":9,"parts":[]}',
      'It has version 9 of measured parts; this page reads 1.',
    ],
    ['{"format":"cliplead-measured-parts","version":1,"parts":7}', '"parts" is 7; it should be a list.'],
    [`${'['.repeat(5000)}`, 'It is too large for a file of measured parts.'],
  ])('are not those of another text: %#', (text, message) => {
    expect(() => parseMeasured(text)).toThrow(message);
  });

  it('are limited in number, also those of a file', () => {
    const many = Array.from({ length: MOST_MEASURED_PARTS + 3 }, (_, index) => ({
      ...parts[4]!,
      name: `R ${index}`,
    }));
    const read = parseMeasured(serialiseMeasured(many));
    expect(read.parts).toHaveLength(MOST_MEASURED_PARTS);
    expect(read.problems).toEqual(['3 parts were left out: 200 are the most.']);
    expect(measuredNameProblem(read.parts, 'one more')).toBe('200 measured parts are the most.');
  });

  it('stay when a file is added: the same part is not there twice, another of its name gets a number', () => {
    const other = diode('OA91 no. 1', 0.02);
    const { parts: all, problems } = mergedParts(parts, [parts[1]!, other]);
    expect(all.slice(0, parts.length)).toEqual(parts);
    expect(all.slice(parts.length)).toEqual([{ ...other, name: 'OA91 no. 2' }]);
    expect(problems).toEqual(['There is a part "OA91 no. 1" already: the new one is "OA91 no. 2".']);
    const many = Array.from({ length: MOST_MEASURED_PARTS }, (_, index) => ({
      ...parts[4]!,
      name: `R ${index}`,
    }));
    const full = mergedParts(parts, many);
    expect(full.parts).toHaveLength(MOST_MEASURED_PARTS);
    expect(full.problems).toEqual([`${parts.length} parts were left out: 200 are the most.`]);
  });

  it('stand at a place of their kind with what was measured', () => {
    const [one, , , track, resistor, capacitor] = parts as [MeasuredPart, ...MeasuredPart[]];
    expect(fitsPlace(one!, { kind: 'diode' })).toBe(true);
    expect(fitsPlace(one!, { kind: 'resistor' })).toBe(false);
    expect(settingWith(track!, {})).toEqual({
      value: '94k',
      law: 'audio-15',
      piece: track!.name,
    });
    expect(settingWith(resistor!, { value: '10k' })).toEqual({
      value: '9k87',
      piece: resistor!.name,
    });
    expect(settingWith(capacitor!, { value: '47n', dielectric: 'film' })).toEqual({
      value: '43n1',
      piece: capacitor!.name,
      dielectric: 'film',
    });
    expect(valueMiss(resistor as never)).toBeCloseTo(-0.013, 4);
    expect(canonicalSetting({ ref: 'D1', kind: 'diode' }, settingWith(one!, {})).type).toContain(
      'OA91 no. 1',
    );
  });
});
