import { describe, expect, it } from 'vitest';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { boardParts } from '../../engine/builds/board-parts.ts';
import { type Build, buildParts, type PartSetting, startingBuild } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import { deviationsOf } from '../../engine/builds/deviations.ts';
import {
  fitsPlace,
  type MeasuredPart,
  parseMeasured,
  settingWith,
} from '../../engine/builds/measured-parts.ts';
import { withSettings } from '../../engine/builds/part-groups.ts';
import { parseSettingText, settingText } from '../../engine/builds/part-setting.ts';
import { swapsBetween, swapText } from '../../engine/builds/swaps.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { valueRange } from '../../ui/components/value-range.ts';
import { dialled } from '../../ui/hands/dials.ts';
import type { Action } from '../../ui/state/bench-state.ts';
import { stepSetting } from '../../ui/state/part-steps.ts';
import { presetBuild } from '../preset-build.ts';
import { startedState } from '../started-bench.ts';

/** One of each kind, as files without their fits. */
const FILE = {
  format: 'cliplead-measured-parts',
  version: 1,
  parts: [
    { name: '10k no. 3', kind: 'resistor', like: '10k', value: 9870 },
    { name: '47n no. 2', kind: 'capacitor', like: '47n', value: 43.1e-9 },
    { name: '100k no. 1', kind: 'pot', like: '100k', endOhms: 94e3, middleOhms: 14e3 },
    {
      name: '1N34A no. 7',
      kind: 'diode',
      like: '1N34A',
      forward: [
        { currentA: 1e-5, voltageV: 0.155 },
        { currentA: 1e-4, voltageV: 0.215 },
        { currentA: 1e-3, voltageV: 0.291 },
      ],
    },
    { name: '2N5088 no. 1', kind: 'npn', like: '2N5088', collectorA: 1e-3, currentGain: 412 },
    { name: '2N3906 no. 1', kind: 'pnp', like: '2N3906', collectorA: 1e-3, currentGain: 180 },
    { name: 'J201 no. 4', kind: 'nJfet', like: 'J201', zeroBiasDrainA: 6e-4, cutoffV: 0.7 },
    { name: '2N5460 no. 1', kind: 'pJfet', like: '2N5460', zeroBiasDrainA: 3e-3, cutoffV: 2.5 },
  ],
};
const { parts: MEASURED, problems: PROBLEMS } = parseMeasured(JSON.stringify(FILE));
const STARTS = [...CIRCUITS.values()].map(startingBuild);

/** Every build in which a part can stand, with the place. */
function placesOf(part: MeasuredPart) {
  return STARTS.flatMap((build) =>
    buildParts(fittedCircuit(build))
      .filter((place) => fitsPlace(part, place))
      .map((place) => ({ build, place })),
  );
}

function put(build: Build, ref: string, part: MeasuredPart): Build {
  return withSettings(build, { [ref]: settingWith(part, build.parts[ref]!) });
}

/** What an action puts at a place. */
function settingOf(action: Action | undefined): PartSetting {
  if (action?.type !== 'setPart') throw new Error('nothing is put there');
  return action.setting;
}

describe('a measured part at a place of a build', () => {
  it('is of every kind that is read here', () => {
    expect(PROBLEMS).toEqual([]);
    expect(MEASURED).toHaveLength(FILE.parts.length);
  });

  it.each(MEASURED.map((part) => [part.name, part] as const))(
    '%s can stand at each place of its kind, and keeps its number in the file and in the list of swaps',
    (name, part) => {
      for (const { build, place } of placesOf(part)) {
        const built = put(build, place.ref, part);
        const setting = built.parts[place.ref]!;
        expect(canonicalSetting(place, setting), place.ref).toEqual(setting);
        expect(settingText(setting)).toContain(name);
        const read = parseBuildFile(serialiseBuild(built));
        expect(read.parts[place.ref]).toEqual(setting);
        const swaps = swapsBetween(build, read);
        if (build.parts[place.ref]!.fit === undefined)
          expect(swaps.map((swap) => swapText(build, swap)).join()).toContain(name);
      }
    },
  );

  it('is called by its number on the parts list, beside its value', () => {
    const build = put(presetBuild('soft-plain'), 'R4', MEASURED[0]!);
    const line = boardParts(build).find(({ ref }) => ref === 'R4');
    expect(line?.value).toBe('9k87 (10k no. 3)');
    expect(line?.code).toBe('9k87');
  });

  it('is ordered as your own, without colours or codes of a value that is not printed on it', () => {
    const start = presetBuild('soft-plain');
    const film = withSettings(start, { C3: { ...start.parts['C3'], dielectric: 'film' } });
    const rows = orderRows(put(put(film, 'R4', MEASURED[0]!), 'C3', MEASURED[1]!));
    const rowAt = (ref: string) => rows.find(({ refs }) => refs.includes(ref));
    const own = { marking: 'your measured piece', bands: [], substitutes: [] };
    expect(rowAt('R4')).toMatchObject({ value: '9k87 (10k no. 3)', ...own });
    expect(rowAt('C3')).toMatchObject({ value: '43n1 (47n no. 2)', ...own });
    expect(rowAt('R5')?.bands).not.toEqual([]);
  });

  it('is what it is in every set of parts: it has no tolerance', () => {
    const build = presetBuild('soft-plain');
    const deviations = (each: Build, ref: string) =>
      deviationsOf(each).filter((one) => one.ref === ref).length;
    for (const [ref, part] of [
      ['R4', MEASURED[0]],
      ['VR1', MEASURED[2]],
    ] as const) {
      expect(deviations(build, ref)).toBeGreaterThan(0);
      expect(deviations(put(build, ref, part!), ref)).toBe(0);
    }
  });

  it('loses its name where another value or taper is put there', () => {
    const resistor = { ref: 'R4', kind: 'resistor' } as const;
    const of = settingWith(MEASURED[0]!, { value: '10k', piggyback: '47k' });
    expect(settingText(of)).toBe('9k87 (10k no. 3) // 47k');
    const part = buildParts(presetBuild('soft-plain').circuit).find(({ ref }) => ref === 'R4')!;
    expect(stepSetting(part, of, 'E12', 1)).toEqual({ value: '10k', piggyback: '47k' });
    expect(stepSetting(part, of, 'E12', 1, ['8k2', '12k'])).toEqual({ value: '12k', piggyback: '47k' });
    const range = valueRange(part, { value: '10k' }, 'E12')!;
    expect(range.settingAt(range.positionOf(of), of).piece).toBeUndefined();
    expect(parseSettingText(resistor, '5k6', of)).toEqual({ value: '5k6' });
    const pot = { ref: 'VR1', kind: 'pot' } as const;
    const track = settingWith(MEASURED[2]!, {});
    expect(parseSettingText(pot, 'linear', track)).toEqual({ value: '94k', law: 'linear' });
    expect(parseSettingText(pot, '100k', track)).toEqual({ value: '100k', law: track.law });
  });

  it('loses its name where a ranking or a MIDI knob puts another value or taper there', () => {
    const plain = presetBuild('soft-plain');
    const track = settingWith(MEASURED[2]!, {});
    const built = withSettings(plain, { R4: settingWith(MEASURED[0]!, { value: '4k7' }), VR1: track });
    const items = [{ kind: 'resistor', value: '8k2', count: 1, ratedW: 1 }] as const;
    for (const candidates of [
      candidatesFor(built, ['R4']),
      candidatesFor(built, ['R4'], 'E6 1k..100k'),
      candidatesFor(built, ['R4'], '8k2, 12k'),
    ])
      for (const { settings, text } of candidates) expect(settings['R4'], text).not.toHaveProperty('piece');
    const state = startedState();
    const all = { ...state, builds: { ...state.builds, a: built } };
    for (const each of [all, { ...all, drawer: { isOnly: true, items } }])
      expect(settingOf(dialled(each, 'part R4', 0))).not.toHaveProperty('piece');
    expect(settingOf(dialled(all, 'taper VR1', 0))).not.toHaveProperty('piece');
  });

  it('is read again from what is shown of it', () => {
    const pot = { ref: 'VR1', kind: 'pot' } as const;
    const track = settingWith(MEASURED[2]!, {});
    expect(parseSettingText(pot, settingText(track), { value: '1k', law: 'linear' })).toEqual(track);
    const capacitor = { ref: 'C3', kind: 'capacitor' } as const;
    const film = settingWith(MEASURED[1]!, { value: '47n', dielectric: 'film', piggyback: '1n' });
    expect(settingText(film)).toBe('43n1 film (47n no. 2) // 1n');
    expect(parseSettingText(capacitor, settingText(film), { value: '1u' })).toEqual(film);
    // Names have brackets too.
    const odd = { value: '9k87', piece: 'R (blue) no. 3' };
    expect(parseSettingText({ ref: 'R4', kind: 'resistor' }, settingText(odd), odd)).toEqual(odd);
  });

  it.each([
    ['resistor', '10k (metal film)', 'metal film'],
    ['resistor', '10k (5%)', '5%'],
    ['resistor', '10k (blue) // 47k', 'blue'],
    ['capacitor', '47n film (no. 2)', 'no. 2'],
    ['pot', '100k (A)', 'A'],
  ] as const)('is not made of other words in brackets: %s %s', (kind, text, words) => {
    const read = () => parseSettingText({ ref: 'X1', kind }, text, { value: '9k87', piece: '10k no. 3' });
    expect(read).toThrow(`X1: "${words}" is not the name of a measured part`);
  });

  it.each([
    ['resistor', { value: '10k', piece: '' }, /Give the piece a name/],
    ['resistor', { value: '10k', piece: '<b>' }, /cannot be called "<b>"/],
    ['diode', { type: '1N4148', piece: 'x' }, /a measured type names itself/],
    ['supply', { value: '9', piece: 'x' }, /cannot be called "x"/],
  ] as const)('with a name that cannot be is refused: %s', (kind, setting, message) => {
    expect(() => canonicalSetting({ ref: 'X1', kind }, setting)).toThrow(message);
  });
});
