import { describe, expect, it } from 'vitest';
import { buildParts, startingBuild } from '../../engine/builds/build.ts';
import { BuildError, type BuildProblem } from '../../engine/builds/build-error.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { parseSettingText, settingText } from '../../engine/builds/part-setting.ts';
import { clockText, swapsBetween } from '../../engine/builds/swaps.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('soft-plain');

function problemsOf(text: string): readonly BuildProblem[] {
  try {
    parseBuildFile(text);
  } catch (error) {
    if (error instanceof BuildError) return error.problems;
    throw error;
  }
  return [];
}
/** A good file with some changes. */
const changed = (change: Record<string, unknown>) =>
  JSON.stringify({ ...JSON.parse(serialiseBuild(plain)), ...change });

describe('a build file', () => {
  it.each(presetNames())('is read back as it was written: %s', (name) => {
    expect(parseBuildFile(serialiseBuild(presetBuild(name)))).toEqual(presetBuild(name));
  });

  it('names every part of its circuit, one on each line', () => {
    for (const name of presetNames()) {
      const build = presetBuild(name);
      const refs = buildParts(build.circuit).map(({ ref }) => ref);
      expect(Object.keys(build.parts).sort()).toEqual([...refs].sort());
    }
    expect(serialiseBuild(plain)).toContain('\n    "R4": "4k7",\n');
  });

  it('gives a part that it does not mention the value of the starting circuit', () => {
    const text = JSON.stringify({
      format: 'cliplead-build',
      version: 2,
      circuit: 'clean-blend',
      revision: 2,
    });
    expect(parseBuildFile(text)).toEqual(startingBuild(CIRCUITS.get('clean-blend')!));
  });

  it.each([
    ['text that is no JSON', '{"format": ', '', /not JSON/],
    ['another kind of file', '[1, 2]', '', /no JSON object/],
    ['another format', changed({ format: 'tune' }), 'format', /its format is "tune"/],
    ['a newer version', changed({ version: 7 }), 'version', /version 7; this bench reads up to 2/],
    ['no version', changed({ version: undefined }), 'version', /version missing/],
    ['an unknown circuit', changed({ circuit: 'toaster' }), 'circuit', /no circuit "toaster"/],
    ['a key that is not known', changed({ enclosure: 'tin' }), 'enclosure', /"enclosure" is not known/],
    ['a part of another circuit', changed({ parts: { U3: 'TC1044S' } }), 'parts.U3', /no part U3/],
    ['a negative value', changed({ parts: { R4: '-4k7' } }), 'parts.R4', /R4.*-4k7.*negative/],
    ['a value that is none', changed({ parts: { C3: 'forty' } }), 'parts.C3', /C3.*forty/],
    ['an absurd value', changed({ parts: { R4: '900G' } }), 'parts.R4', /R4.*900G/],
    ['a type that is none', changed({ parts: { D1: '1N4149' } }), 'parts.D1', /D1.*1N4149.*near/],
    [
      'a transistor of the other kind',
      changed({ parts: { Q1: 'AC128' } }),
      'parts.Q1',
      /Q1.*AC128 is a PNP transistor/,
    ],
    ['a part as a number', changed({ parts: { R4: 4700 } }), 'parts.R4', /R4 is 4700/],
    ['a knob too far', changed({ knobs: { gain: 1.01 } }), 'knobs.gain', /"gain" is at 1.01/],
    ['a knob as text', changed({ knobs: { gain: '0.5' } }), 'knobs.gain', /"gain" is at "0.5"/],
    [
      'a position that is none',
      changed({ switches: { clipping: 'up' } }),
      'switches.clipping',
      /"clipping" is at "up"/,
    ],
    ['parts as a list', changed({ parts: [] }), 'parts', /should be an object/],
  ])('is refused with its path: %s', (_, text, path, message) => {
    const problems = problemsOf(text);
    expect(problems.map((problem) => problem.path)).toContain(path);
    expect(problems.map((problem) => problem.message).join(' ')).toMatch(message);
  });

  it('is refused with every problem at once', () => {
    const text = changed({ parts: { R4: 'x', C3: 'y' }, knobs: { gain: 2 }, colour: 1 });
    expect(
      problemsOf(text)
        .map(({ path }) => path)
        .sort(),
    ).toEqual(['colour', 'knobs.gain', 'parts.C3', 'parts.R4']);
  });

  it('accepts no key that could change the program’s own objects', () => {
    for (const key of ['__proto__', 'constructor', 'toString']) {
      const text = serialiseBuild(plain).replace('"R4": "4k7"', `"${key}": "4k7"`);
      expect(problemsOf(text).map(({ path }) => path)).toEqual([`parts.${key}`]);
      expect(problemsOf(serialiseBuild(plain).replace('"knobs": {', `"knobs": { "${key}": 1,`))).toHaveLength(
        1,
      );
    }
    expect(({} as Record<string, unknown>)['value']).toBeUndefined();
  });

  it('is refused without being read if it is 50 MB long', () => {
    expect(problemsOf(`{"notes": "${'x'.repeat(50_000_000)}"}`)[0]!.message).toMatch(/characters long/);
  });
});

describe('a part in a line of text', () => {
  const r4 = { ref: 'R4', kind: 'resistor' } as const;
  const d2 = { ref: 'D2', kind: 'diode' } as const;
  const vr2 = { ref: 'VR2', kind: 'pot' } as const;

  it.each([
    [r4, '4.7k', '4k7'],
    [r4, '4,7k', '4k7'],
    [r4, '10k // 47k', '10k // 47k'],
    [r4, 'open', 'not fitted'],
    [r4, 'not fitted', 'not fitted'],
    [r4, 'bridged', 'jumpered'],
    [r4, 'jumpered', 'jumpered'],
    [d2, '2x 1n4148', '2x 1N4148'],
    [d2, '3 × LED-red', '3x LED-red'],
    [vr2, '25k linear', '25k linear'],
    [vr2, '25k', '25k S-shaped'],
    [vr2, 'linear', '20k linear'],
  ] as const)('is read: %o "%s"', (part, text, expected) => {
    expect(settingText(parseSettingText(part, text, plain.parts[part.ref]!))).toBe(expected);
  });

  it('fits a part again that was not fitted', () => {
    const open = parseSettingText(r4, 'open', { value: '4k7' });
    expect(parseSettingText(r4, 'fitted', open)).toEqual({ value: '4k7' });
  });

  it.each([
    [r4, '4kk', /R4.*4kk/],
    [d2, '9x 1N4148', /D2 cannot be 9/],
    [vr2, '25k wavy', /VR2.*wavy/],

    [r4, '1k // 2k // 3k', /R4.*more than one/],
  ])('is refused by part and value: %o "%s"', (part, text, message) => {
    expect(() => parseSettingText(part, text, { value: '20k', type: '1N4148' })).toThrow(message);
  });
});

describe('a part with three legs', () => {
  it('cannot be removed', () => {
    expect(() => parseSettingText({ ref: 'Q1', kind: 'npn' }, 'open', { type: '2N5088' })).toThrow(
      /Q1 cannot be "open"/,
    );
  });
});

describe('differences between builds', () => {
  it('are in words and in the order of the circuit', () => {
    const other = {
      ...plain,
      parts: { ...plain.parts, C3: { value: '100n' } },
      knobs: { ...plain.knobs, gain: 1 },
    };
    expect(swapsBetween(plain, other)).toMatchObject([
      { ref: 'C3', what: 'part', name: '', before: '47n', after: '100n' },
      { ref: 'VR1', what: 'knob', name: 'gain', before: '12:00', after: '5:00' },
    ]);
    expect(swapsBetween(plain, plain)).toEqual([]);
  });

  it('show knobs as hours of a clock face', () => {
    expect([0, 0.5, 0.6, 1].map(clockText)).toEqual(['7:00', '12:00', '1:00', '5:00']);
  });
});

describe('the network of a build', () => {
  const refsOf = (build: typeof plain) =>
    networkOf(build, NOMINAL_TEMPERATURE_K).primitives.map(({ ref }) => ref);

  it('joins nets over bridged parts and closed switches, and removes parts that are not fitted', () => {
    const bridged = networkOf(
      { ...plain, parts: { ...plain.parts, R17: { value: '10R', fit: 'bridged' } } },
      NOMINAL_TEMPERATURE_K,
    );
    expect(bridged.primitives.find(({ ref }) => ref === 'V1')!.nodes).toEqual(['supply', '0']);
    expect(refsOf({ ...plain, parts: { ...plain.parts, C4: { value: '51p', fit: 'open' } } })).not.toContain(
      'C4',
    );
    const nodesOf = (position: string, ref: string) =>
      networkOf({ ...plain, switches: { clipping: position } }, NOMINAL_TEMPERATURE_K).primitives.find(
        (p) => p.ref === ref,
      )!.nodes;
    expect(nodesOf('symmetric', 'D2')).toEqual(['clipped', 'gain feedback']);
    expect(nodesOf('asymmetric', 'D2')[1]).toBe(nodesOf('asymmetric', 'D3')[0]);
    expect(nodesOf('asymmetric', 'D3')[1]).toBe('gain feedback');
    expect(nodesOf('lifted', 'D1')[1]).not.toBe('clipped');
  });

  it('turns both gangs of a dual-gang potentiometer by one knob, and two potentiometers by their own knobs', () => {
    const clean = presetBuild('clean-plain');
    const blend = (build: typeof clean) => {
      const track = networkOf(build, NOMINAL_TEMPERATURE_K).primitives.find(({ ref }) => ref === 'VR1B ccw');
      return track?.kind === 'resistor' ? track.ohms : Number.NaN;
    };
    const knobs = { ...clean.knobs, gain: 0.9, blend: 0.1 };
    expect(blend({ ...clean, knobs })).toBeCloseTo(90_002, 3);
    const separate = { ...clean.switches, 'gain and blend': 'separate' };
    expect(blend({ ...clean, knobs, switches: separate })).toBeCloseTo(10_002, 3);
  });
});
