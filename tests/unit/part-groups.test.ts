import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { harmonicsOf } from '../../engine/analysis/harmonics.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { encodeWav } from '../../engine/audio/wav.ts';
import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import {
  groupsWith,
  ownGroupProblem,
  readParts,
  refsText,
  sameChange,
  settingsText,
  usualGroup,
  withSettings,
} from '../../engine/builds/part-groups.ts';
import { networkAtSpread } from '../../engine/builds/part-spread.ts';
import { readChain } from '../../engine/cli/chain-options.ts';
import type { Options } from '../../engine/cli/option-values.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { partChange } from '../../ui/state/chosen-parts.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const builtBy = (options: Options): Build => readChain(options).pedals[0]!.build;
const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-groups-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const PLAIN = presetBuild('soft-plain');
const CLEAN = presetBuild('clean-plain');
const OWN: Build = { ...PLAIN, groups: [{ name: 'my pair', parts: ['C2', 'C7'], isUsual: true }] };

describe('groups of parts', () => {
  it('have the clipping pair as the usual one of each circuit', () => {
    expect(usualGroup(PLAIN, 'D1')?.parts).toEqual(['D1', 'D2']);
    expect(usualGroup(CLEAN, 'D2')?.parts).toEqual(['D1', 'D2']);
    expect(groupsWith(PLAIN, 'D2').map(({ name }) => name)).toEqual([
      'clipping pair',
      'all clipping diodes',
      'asymmetric string',
    ]);
    expect(usualGroup(PLAIN, 'R4')).toBeUndefined();
  });

  it("put the builder's own before those of the circuit, and go into the build file", () => {
    expect(usualGroup(OWN, 'C7')?.name).toBe('my pair');
    expect(parseBuildFile(serialiseBuild(OWN)).groups).toEqual(OWN.groups);
    expect(serialiseBuild(PLAIN)).not.toContain('groups');
  });

  it.each([
    [{ name: 'my pair', parts: ['C2', 'R4'] }, /R4 is a resistor, but C2 is a capacitor/],
    [{ name: 'my pair', parts: ['C2', 'C99'] }, /C99 is no part of the circuit/],
    [{ name: 'my pair', parts: ['C2'] }, /groups\[0\]\.parts/],
    [{ name: 'My pair', parts: ['C2', 'C7'] }, /small letters/],
    ['D1, D2', /groups\[0\]/],
  ])('are refused in a build file with the part and the reason: %j', (group, message) => {
    const file = JSON.stringify({ ...JSON.parse(serialiseBuild(PLAIN)), groups: [group] });
    expect(() => parseBuildFile(file)).toThrow(message);
  });

  it('of a builder are refused in one sentence', () => {
    const problem = (name: string, parts: readonly string[]) => ownGroupProblem(PLAIN, { name, parts });
    expect(problem('my pair', ['C2', 'C7'])).toBeUndefined();
    expect(problem('my pair', ['C2'])).toMatch(/at least one part to change together with C2/);
    expect(problem('clipping pair', ['C2', 'C7'])).toMatch(/already/);
    expect(problem('Pair!', ['C2', 'C7'])).toMatch(/"Pair!"/);
    expect(problem('2 diodes', ['C2', 'C7'])).toMatch(/begin with a letter/);
    expect(problem('many', Array(17).fill('C2'))).toMatch(/17 parts are too many/);
    const names = Array.from({ length: 24 }, (_, number) => `group ${number}`);
    const full = { ...PLAIN, groups: names.map((name) => ({ name, parts: ['C2', 'C7'], isUsual: true })) };
    expect(parseBuildFile(serialiseBuild(full)).groups).toHaveLength(24);
    expect(ownGroupProblem(full, { name: 'my pair', parts: ['C2', 'C7'] })).toMatch(/at most 24 groups/);
  });

  it('are named in a line', () => {
    expect(refsText(['D1'])).toBe('D1');
    expect(refsText(['D1', 'D2', 'D3'])).toBe('D1 to D3');
    const mixed = withSettings(PLAIN, { D2: { type: 'OA91' } });
    expect(settingsText(PLAIN.parts, ['D1', 'D2'])).toBe('1N4148');
    expect(settingsText(mixed.parts, ['D1', 'D2'])).toBe('D1 1N4148, D2 OA91');
  });

  it('leave out places that are fitted otherwise than the part', () => {
    const partsWith = (ref: string) =>
      groupsWith(PLAIN, ref).find(({ name }) => name === 'all clipping diodes')?.parts;
    expect(partsWith('D1')).toEqual(['D1', 'D2', 'D3']);
    expect(partsWith('D4')).toEqual(['D4', 'D5']);
    expect(readParts(PLAIN, 'all clipping diodes').map(({ ref }) => ref)).toEqual(['D1', 'D2', 'D3']);
  });

  it('have no usual group for a place that the circuit leaves without its part, but keep a pair that was taken out', () => {
    expect(usualGroup(PLAIN, 'D4')).toBeUndefined();
    const open = { type: '1N4148', fit: 'open' } as const;
    expect(usualGroup(withSettings(PLAIN, { D1: open, D2: open }), 'D1')?.parts).toEqual(['D1', 'D2']);
    const own: Build = { ...PLAIN, groups: [{ name: 'my places', parts: ['D4', 'D5'], isUsual: true }] };
    expect(usualGroup(own, 'D4')?.parts).toEqual(['D4', 'D5']);
  });

  it('take the change of one part and keep what is their own', () => {
    const two = { type: '1N4148', count: 2 };
    expect(sameChange({ type: '1N4148' }, { type: 'OA91' }, two)).toEqual({ type: 'OA91', count: 2 });
    expect(sameChange({ type: 'OA91', fit: 'open' }, { type: 'OA91' }, { ...two, fit: 'open' })).toEqual(two);
    expect(sameChange({ type: 'OA91' }, { type: 'OA91', count: 3 }, two)).toEqual({ ...two, count: 3 });
    const low = { type: 'LED-red', capacitance: 'low' } as const;
    expect(sameChange({ type: 'LED-red' }, { type: '1N4148' }, low)).toEqual({ type: '1N4148' });
    expect(sameChange({ type: 'LED-red' }, { type: 'LED-green' }, low)).toEqual({
      ...low,
      type: 'LED-green',
    });
  });
});

describe('parts that are swapped together', () => {
  it('are read from a list or from the name of a group', () => {
    const refs = (text: string) => readParts(PLAIN, text).map(({ ref }) => ref);
    expect(refs('D1')).toEqual(['D1']);
    expect(refs('D1, D3')).toEqual(['D1', 'D3']);
    expect(refs('all clipping diodes')).toEqual(['D1', 'D2', 'D3']);
    expect(() => refs('D1,D9')).toThrow(/no part D9/);
    expect(() => refs('D1,R4')).toThrow(/D1 and R4 cannot be swapped together/);
  });

  it('are all set by one --set', () => {
    const build = builtBy({ build: 'soft-plain', set: ['D1,D2=OA91', 'transistors=2N3904'] });
    expect([build.parts['D1'], build.parts['D2'], build.parts['D3']]).toEqual([
      { type: 'OA91' },
      { type: 'OA91' },
      { type: '1N4148' },
    ]);
    expect([build.parts['Q1'], build.parts['Q2']]).toEqual([{ type: '2N3904' }, { type: '2N3904' }]);
    expect(() => builtBy({ build: 'soft-plain', set: ['D1,D9=OA91'] })).toThrow(/--set.*no part D9/);
  });

  it('have candidates for all places, each place with its own count', () => {
    const string = withSettings(PLAIN, { D2: { type: '1N4148', count: 2 } });
    const [candidate] = candidatesFor(string, ['D1', 'D2'], 'OA91');
    expect(candidate!.settings).toEqual({ D1: { type: 'OA91' }, D2: { type: 'OA91' } });
    const all = candidatesFor(string, ['D1', 'D2']);
    expect(all.find(({ text }) => text === 'D1 OA91, D2 2x OA91')!.settings['D2']).toEqual({
      type: 'OA91',
      count: 2,
    });
  });

  it('are from one batch: both at the same end of the spread', () => {
    const network = networkOf(CLEAN, NOMINAL_TEMPERATURE_K);
    const saturation = (refs: readonly string[]) => {
      const { primitives } = networkAtSpread(CLEAN, network, refs, 'high');
      return ['D1', 'D2'].map((ref) => {
        const found = primitives.find((primitive) => primitive.ref === ref);
        return found?.kind === 'diode' ? found.data.saturationCurrentA : Number.NaN;
      });
    };
    const [usual] = saturation([]);
    const pair = saturation(['D1', 'D2']);
    expect(pair[0]).toBeLessThan(usual!);
    expect(pair[1]).toBe(pair[0]);
    expect(saturation(['D1'])[1]).toBe(usual);
  });
});

describe('a change on the bench', () => {
  const state = freshState({ a: PLAIN, b: OWN });

  it('keeps what is on its way to the screen', () => {
    const wanted = reduce(state, partChange(state, 'a', 'D1', { type: 'OA91' }));
    const action = partChange(wanted, 'a', 'D1', { type: '1N4148', count: 2 }, { drawn: state });
    const { parts } = reduce(wanted, action).builds.a;
    expect([parts['D1'], parts['D2']]).toEqual([
      { type: 'OA91', count: 2 },
      { type: 'OA91', count: 2 },
    ]);
  });

  it('of the groups of one build leaves the groups of the other', () => {
    const made = { name: 'my string', parts: ['D2', 'D3'], isUsual: true };
    const both = reduce(state, { type: 'groups', groups: [made] }).builds;
    expect(both.a.groups).toEqual([made]);
    expect(both.b.groups).toEqual([...OWN.groups!, made]);
    const removed = reduce({ ...state, builds: both }, { type: 'groups', groups: [] }).builds;
    expect(removed).toEqual({ a: PLAIN, b: OWN });
  });
});

describe('the swap of a pair', () => {
  it('keeps the symmetry of the clipping, which the swap of one diode breaks', () => {
    const second = (refs: readonly string[]) => {
      const [candidate] = candidatesFor(CLEAN, refs, 'LED-red');
      const network = networkOf(withSettings(CLEAN, candidate!.settings), NOMINAL_TEMPERATURE_K);
      return harmonicsOf(network, { hz: 220, peakV: 0.2 }).relativeDb[0]!;
    };
    // An odd function of the input has no even harmonics.
    expect(second(['D1', 'D2'])).toBeLessThan(-70);
    expect(second(['D1'])).toBeGreaterThan(-40);
  });

  it('is what the command line ranks, unless one part alone is asked for', async () => {
    const samples = Float64Array.from(
      { length: 2205 },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 220 * n) / 44_100),
    );
    const file = path.join(folder, 'short.wav');
    writeFileSync(file, encodeWav({ sampleRateHz: 44_100, channels: [samples] }));
    const refs = async (...part: string[]) => {
      const args = ['rank', '--build', 'clean-plain', '--in', file, '--oversample', '2', '--json'];
      const { out } = await cliplead(...args, '--candidates', 'LED-red', ...part);
      return (JSON.parse(out) as { refs: string[] }).refs;
    };
    expect(await refs('--part', 'D1')).toEqual(['D1', 'D2']);
    expect(await refs('--part', 'D1', '--alone')).toEqual(['D1']);
  }, 120_000);
});
