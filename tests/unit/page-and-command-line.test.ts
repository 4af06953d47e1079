import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { type Analyses, analyse, RESPONSE_HZ } from '../../ui/plots/plot-analysis.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import { playedNetwork } from '../../ui/state/played-network.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const folder = mkdtempSync(join(tmpdir(), 'cliplead-page-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A bench whose op-amp is near its limit, after some changes. */
function benchAfter(...actions: readonly Action[]): BenchState {
  const start = freshState({ a: presetBuild('clean-plain'), b: presetBuild('soft-plain') });
  return actions.reduce(reduce, start);
}

/** The command line's output for build A, given as the file that the page saves. */
async function told(
  command: string,
  { builds, temperatureC }: BenchState,
  ...more: string[]
): Promise<unknown> {
  const name = join(folder, 'page.build.json');
  writeFileSync(name, serialiseBuild(builds.a));
  const { code, out, err } = await cliplead(
    command,
    '--build',
    name,
    '--temperature',
    `${temperatureC}`,
    '--json',
    ...more,
  );
  expect({ code, err }).toEqual({ code: 0, err: '' });
  return JSON.parse(out);
}

/** The page's analyser's result for build A. */
function shown<K extends 'response' | 'warnings' | 'noise'>(kind: K, state: BenchState): Analyses[K] {
  const { temperatureC, isBypassed, builds } = state;
  const { a: build } = builds;
  const subject = { build, isBypassed, temperatureC, around: {}, probe: undefined };
  const query = {
    response: { kind, subject },
    warnings: { kind, build, temperatureC },
    noise: { kind, ...subject },
  }[kind];
  return analyse(query as Parameters<typeof analyse>[0]) as Analyses[K];
}

const swap = { type: 'setPart', slot: 'a', ref: 'U2', setting: { type: 'TLC2262' } } as const;
const supply = (value: string) => ({ type: 'setPart', slot: 'a', ref: 'V1', setting: { value } }) as const;
const warmth = (temperatureC: number) => ({ type: 'temperature', celsius: temperatureC }) as const;
const knob = { type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 } as const;

describe.each([-10, 45])('page and command line at %s °C', (temperatureC) => {
  const state = benchAfter(swap, warmth(temperatureC), knob);

  it('give the same voltages while playing', async () => {
    const { nets } = (await told('voltages', state)) as { nets: { net: string; volts: number }[] };
    expect(nets).toEqual(voltageChart(playedNetwork(state, 'a')).nets);
  });

  it('give the same response', async () => {
    const { points } = (await told('response', state, '--frequencies', RESPONSE_HZ.join(','))) as {
      points: { decibels: number }[];
    };
    expect(points.map(({ decibels }) => decibels)).toEqual(shown('response', state));
  });

  it('give the same noise', async () => {
    const { outputAWeighted } = (await told('noise', state)) as { outputAWeighted: { microvolts: number } };
    expect(outputAWeighted.microvolts).toBeCloseTo(1e6 * shown('noise', state).weightedV, 9);
  });
});

describe('warnings', () => {
  it.each<[string, readonly Action[]]>([
    ['a swap', [swap]],
    ['cold', [swap, warmth(-10)]],
    ['heat', [swap, warmth(60)]],
    ['a supply of 18 V', [supply('18V')]],
    ['a supply of 18 V in heat', [supply('18V'), warmth(60)]],
    ['a turned knob', [swap, knob]],
    ['a part put back', [swap, { ...swap, setting: { type: 'RC4558' } }]],
  ])('are in the same words on page and command line after %s', async (_, actions) => {
    const state = benchAfter(...actions);
    const { warnings } = (await told('voltages', state)) as { warnings: unknown[] };
    expect(shown('warnings', state)).toEqual(warnings);
  });

  it('state other volts at another temperature', () => {
    const at = (celsius: number) => shown('warnings', benchAfter(swap, warmth(celsius)))[0]?.message;
    expect(at(-10)).not.toBe(at(60));
  });
});
