import { readFileSync } from 'node:fs';
import { beforeEach, describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { withSettings } from '../../engine/builds/part-groups.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { saveSetAside } from '../../ui/state/set-aside.ts';
import { freshState, startingBench } from '../../ui/state/starting-state.ts';
import { entangledBuild } from '../entangled-build.ts';
import { presetBuild } from '../preset-build.ts';
import { startedState, startedStore } from '../started-bench.ts';
import { type FakeStorage, stubStorage } from './kept-storage.ts';

const plain = presetBuild('soft-plain');
const led = presetBuild('soft-led');

/** Random builds that can be solved at 27 °C, each with a temperature at which it cannot be solved. */
const FRAGILE = [
  { name: 'starved-at-minus-10', celsius: -10, why: 'U2A is starved' },
  { name: 'short-of-volts-at-minus-10', celsius: -10, why: 'U2A is starved' },
] as const;

function fragileBuild(name: string): Build {
  const file = new URL(`../fixtures/unsolvable-builds/${name}.json`, import.meta.url);
  return parseBuildFile(readFileSync(file, 'utf8'));
}

/** What the audio thread would receive; throws if the build cannot be compiled. */
function compiled(build: Build, celsius: number) {
  return compileCircuit(networkOf(build, kelvinOf(celsius)), { sampleRateHz: 48_000, interpreted: true });
}

/** A bench with one build as A. */
function storeWith(a: Build, change: Partial<BenchState> = {}): BenchStore {
  return new BenchStore({ ...freshState({ a, b: led }), ...change });
}

const firstVisit = {
  a: plain,
  b: withSettings(plain, { D1: { type: 'LED-red' }, D2: { type: 'LED-red' } }),
};

describe('a build that can be solved at one temperature and not at another', () => {
  it.each(FRAGILE)('is refused by the compiler at that temperature only: $name', ({ name, celsius, why }) => {
    expect(() => compiled(fragileBuild(name), 27)).not.toThrow();
    expect(() => compiled(fragileBuild(name), celsius)).toThrow(why);
  });

  it.each(FRAGILE)('prevents that temperature of the bench: $name', ({ name, celsius, why }) => {
    const store = storeWith(fragileBuild(name));
    store.act({ type: 'temperature', celsius });
    expect(store.state.temperatureC).toBe(27);
    expect(store.state.refusal).toMatchObject({ ref: '', slot: 'a' });
    expect(store.state.refusal?.message).toContain(`At ${celsius} °C build A cannot be played. `);
    expect(store.state.refusal?.message).toContain(why);
    store.act({ type: 'temperature', celsius: 30 });
    expect(store.state.refusal).toBeUndefined();
  });

  it('is not loaded at that temperature, and not copied into the other build by undo or redo', () => {
    const fragile = fragileBuild('starved-at-minus-10');
    const cold = storeWith(plain, { temperatureC: -10 });
    cold.act({ type: 'load', slot: 'b', build: fragile });
    expect(cold.state.builds.b).toBe(led);
    expect(cold.state.refusal?.message).toContain('Build B cannot be played like that. U2A is starved');

    const store = storeWith(fragile);
    store.act({ type: 'load', slot: 'a', build: plain });
    store.act({ type: 'temperature', celsius: -10 });
    expect(store.state.temperatureC).toBe(-10);
    store.act({ type: 'undo' });
    expect(store.state.builds.a).toBe(plain);
    expect(store.state.refusal?.message).toContain('build A cannot be played at -10 °C. U2A');
    expect(store.canUndo).toBe(true);
    store.act({ type: 'temperature', celsius: 27 });
    store.act({ type: 'undo' });
    expect(store.state.builds.a).toBe(fragile);
    store.act({ type: 'temperature', celsius: -10 });
    expect(store.state.temperatureC).toBe(27);
  });

  it('is not brought back by redo, which names the settings of the bench that it cannot be played with', () => {
    const store = storeWith(plain, { guitar: { ...freshState({ a: plain, b: led }).guitar, isOn: true } });
    store.act({ type: 'load', slot: 'a', build: fragileBuild('starved-at-minus-10') });
    store.act({ type: 'undo' });
    store.act({ type: 'temperature', celsius: -10 });
    store.act({ type: 'redo' });
    expect(store.state.builds.a).toBe(plain);
    expect(store.state.refusal?.message).toContain(
      'build A cannot be played at -10 °C, with pickup and cable before it. U2A',
    );
  });

  it('is refused while the pedal is bypassed too, even if only the pedal with the effect on has no solution', () => {
    const store = storeWith({ ...plain, bypass: 'true' }, { isBypassed: true });
    // Without R5 nothing biases the op-amp's input; a true bypass is a wire in every build.
    store.act({ type: 'setPart', slot: 'a', ref: 'R5', setting: { value: '10k', fit: 'open' } });
    expect(store.state.builds.a.parts).toBe(plain.parts);
    expect(store.state.refusal?.message).toContain('gain input');
  });
});

describe('builds of the last visit that cannot be solved', () => {
  let storage: FakeStorage;
  beforeEach(() => {
    storage = stubStorage();
  });

  /** Stores two builds as an earlier bench did, without a check whether they can be played. */
  function keep(a: Build, b: Build, temperatureC: number): void {
    const text = JSON.stringify({ a: serialiseBuild(a), b: serialiseBuild(b), temperatureC });
    storage.texts.set('cliplead-bench', text);
  }

  it.each(FRAGILE)('are restored at 27 °C, with the reason: $name', ({ name, celsius, why }) => {
    const fragile = fragileBuild(name);
    keep(plain, fragile, celsius);
    const state = startedState();
    expect(state.builds.b).toEqual(fragile);
    expect(state.temperatureC).toBe(27);
    expect(state.refusal?.message).toContain(
      'Build B of the last visit cannot be played with the settings of that visit.',
    );
    expect(state.refusal?.message).toContain(why);
    expect(state.setAside).toBeUndefined();
  });

  const weak: Build = { ...plain, title: 'Flat battery', parts: { ...plain.parts, V1: { value: '1V' } } };
  const gone: Build = {
    ...plain,
    title: 'Nothing fitted',
    parts: Object.fromEntries(
      Object.entries(plain.parts).map(([ref, own]) => [ref, { ...own, fit: 'open' }]),
    ),
  };

  it('are replaced by two starting builds, and are offered as files until the user closes the message', () => {
    keep(led, weak, 27);
    const state = startedState();
    expect(state.builds).toEqual(firstVisit);
    expect(state.setAside?.message).toContain('Build B of the last visit cannot be played:');
    expect(state.setAside?.files.map(({ title }) => title)).toEqual([led.title, 'Flat battery']);
    expect(parseBuildFile(state.setAside!.files[1]!.text)).toEqual(weak);
    // The next visit: the page has stored the two starting builds, and the others are still offered.
    saveSetAside(state.setAside);
    keep(plain, led, 27);
    expect(startedState().setAside).toEqual(state.setAside);
  });

  it('are set aside as files, with the reason, if only playing them live is impossible', () => {
    // A block of more than fifty ports: see tests/unit/emitted-code.test.ts.
    const entangled = entangledBuild();
    keep(entangled, led, 27);
    const { state } = startedStore();
    expect(state.builds).toEqual(firstVisit);
    expect(state.setAside?.message).toMatch(
      /^Build A of the last visit cannot be played: .*takes too long to be played live.* Two presets are loaded instead/,
    );
    expect(parseBuildFile(state.setAside!.files[0]!.text)).toEqual(entangled);
    expect(state.refusal).toBeUndefined();
  });

  it('are restored at once, and replaced only when they were found to be impossible, with what was set aside stored', () => {
    keep(led, weak, 27);
    const { state, remedies } = startingBench('guitar-fifths');
    expect(state.builds.b).toEqual(weak);
    expect(state.setAside).toBeUndefined();
    const store = new BenchStore(state, undefined, remedies);
    let changes = 0;
    store.onChange(() => void changes++);
    store.follow();
    expect(changes).toBe(1);
    expect(store.state.setAside?.files).toHaveLength(2);
    // Nothing to go back to: the builds that cannot be played are files.
    expect(store.canUndo).toBe(false);
    // After the start a refused swap is refused as ever.
    store.act({ type: 'load', slot: 'a', build: weak });
    expect(store.state.builds.a).toEqual(plain);
    expect(store.state.refusal?.message).toContain('Build A cannot be played like that.');
  });

  it('do not prevent the start, even if no part of them is fitted', () => {
    keep(gone, weak, 60);
    const state = startedState();
    expect(() => compiled(state.builds.a, state.temperatureC)).not.toThrow();
  });
});
