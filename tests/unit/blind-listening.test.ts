import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import { type Slot, STARTING_SETTINGS, TELEMETRY, TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const OPTIONS = { sampleRateHz: RATE_HZ, factor: 2, quality: 'low-latency' } as const;
const circuitOf = (name: string) =>
  compileCircuit(networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K), {
    sampleRateHz: RATE_HZ * OPTIONS.factor,
  });
const circuits = { plain: circuitOf('soft-plain'), led: circuitOf('soft-led') };

function bench(b: keyof typeof circuits): BenchEngine {
  const engine = new BenchEngine(OPTIONS);
  engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0 } });
  engine.receive({ type: 'circuit', slot: 'a', circuit: circuits.plain });
  engine.receive({ type: 'circuit', slot: 'b', circuit: circuits[b] });
  engine.receive({ type: 'mute', muted: false });
  return engine;
}

/** Continues a 1 kHz tone; its samples do not depend on which build is heard. */
function player(engine: BenchEngine): (seconds: number, block?: number) => Float32Array {
  let n = 0;
  return (seconds, block = 128) => {
    const output = new Float32Array(Math.round(seconds * RATE_HZ));
    for (let start = 0; start < output.length; start += block) {
      const piece = output.subarray(start, start + block);
      const input = Float32Array.from(piece, () => 0.05 * Math.sin((2 * Math.PI * 1000 * n++) / RATE_HZ));
      engine.process(input, piece);
    }
    return output;
  };
}

/** First and last sample of the silence in a signal. */
function silence(signal: Float32Array): readonly [number, number] {
  // Zero for more than a period and a half, so that zero crossings do not count as silence.
  const isSilent = (at: number) => signal.subarray(at, at + 72).every((value) => Math.abs(value) < 1e-12);
  const first = signal.findIndex((_, at) => isSilent(at));
  let last = first;
  while (last < signal.length && Math.abs(signal[last]!) < 1e-12) last++;
  return [first, last];
}

function switched(to: Slot, from: Slot, b: keyof typeof circuits = 'led'): Float32Array {
  const engine = bench(b);
  const play = player(engine);
  engine.receive({ type: 'blind', isBlind: true });
  engine.receive({ type: 'hear', slot: from });
  play(1);
  engine.receive({ type: 'hear', slot: to });
  return play(0.2);
}

describe('switching in a blind test', () => {
  it('has the same pause at the same time, whether the build changes or not', () => {
    const changed = silence(switched('b', 'a'));
    const same = silence(switched('a', 'a'));
    const back = silence(switched('a', 'b'));
    expect(changed).toEqual(same);
    expect(back).toEqual(same);
    expect(same[1] - same[0]).toBeGreaterThan(0.01 * RATE_HZ);
  });

  it('from a build to itself and to an equal build gives the same sound, sample by sample', () => {
    const toTwin = switched('b', 'a', 'plain');
    const toItself = switched('a', 'a', 'plain');
    const worst = toTwin.reduce((most, value, n) => Math.max(most, Math.abs(value - toItself[n]!)), 0);
    // two circuits with the same numbers, started together
    expect(worst).toBeLessThan(1e-9);
  });

  it('ends with the build that was asked for', () => {
    const rmsOf = (signal: Float32Array) => Math.hypot(...signal.slice(-4800));
    const ab = switched('b', 'a');
    const bb = switched('b', 'b');
    expect(rmsOf(ab) / rmsOf(bb)).toBeCloseTo(1, 3);
    expect(Math.abs(rmsOf(ab) / rmsOf(switched('a', 'a')) - 1)).toBeGreaterThan(0.05);
  });

  it('shows nothing in the telemetry that depends on which build is heard', () => {
    const told = (slot: Slot) => {
      const engine = bench('led');
      const play = player(engine);
      engine.receive({ type: 'blind', isBlind: true });
      engine.receive({ type: 'hear', slot });
      play(1);
      const values = new Float32Array(TELEMETRY_LENGTH);
      engine.readTelemetry(values, RATE_HZ);
      return [...values];
    };
    expect(told('a')).toEqual(told('b'));
    expect(told('a')[TELEMETRY.outputPeak]).toBe(0);
  });
});

describe('the difference heard alone', () => {
  it('of two equal builds is silence, and of two other builds it is A minus B with its gain', () => {
    const heard = (b: keyof typeof circuits, isHeard: boolean, gainDb: number, slot: Slot = 'a') => {
      const engine = bench(b);
      const play = player(engine);
      engine.receive({ type: 'hear', slot });
      engine.receive({ type: 'difference', isHeard, gainDb });
      return play(1).slice(-4800);
    };
    expect(Math.max(...heard('plain', true, 0).map(Math.abs))).toBeLessThan(1e-7);
    const a = heard('led', false, 0, 'a');
    const b = heard('led', false, 0, 'b');
    const difference = heard('led', true, -6);
    const gain = 10 ** (-6 / 20);
    // float32 samples
    difference.forEach((value, n) => {
      expect(Math.abs(value - gain * (a[n]! - b[n]!))).toBeLessThan(1e-6);
    });
  });

  it('is stated relative to A as it plays', () => {
    const engine = bench('plain');
    const play = player(engine);
    engine.receive({
      type: 'settings',
      settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0, matchDb: { a: 0, b: -6.0206 } },
    });
    play(6);
    const values = new Float32Array(TELEMETRY_LENGTH);
    engine.readTelemetry(values, RATE_HZ);
    // a − a/2 is half of a
    expect(values[TELEMETRY.differenceDb]).toBeCloseTo(-6.02, 1);
  });
});
