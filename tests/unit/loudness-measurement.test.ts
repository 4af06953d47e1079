import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import {
  GLIDE_SECONDS,
  MOST_MEASUREMENTS,
  STARTING_SETTINGS,
  TELEMETRY,
  TELEMETRY_LENGTH,
  type ToProcessor,
} from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const OPTIONS = { sampleRateHz: RATE_HZ, factor: 2, quality: 'low-latency' } as const;
const circuitOf = (name: string) =>
  compileCircuit(networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K), {
    sampleRateHz: RATE_HZ * OPTIONS.factor,
  });
const plain = circuitOf('soft-plain');
/** Its output knob is down, which makes the same circuit about 20 dB quieter: other values, the same structure. */
const build = presetBuild('soft-plain');
const quiet = compileCircuit(
  networkOf({ ...build, knobs: { ...build.knobs, output: 0.05 } }, NOMINAL_TEMPERATURE_K),
  {
    sampleRateHz: RATE_HZ * OPTIONS.factor,
  },
);
const germanium = circuitOf('soft-germanium');

function bench(a = plain): BenchEngine {
  const engine = new BenchEngine(OPTIONS);
  engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn: false } });
  engine.receive({ type: 'circuit', slot: 'a', circuit: a });
  engine.receive({ type: 'circuit', slot: 'b', circuit: plain });
  return engine;
}

/** Continues a 220 Hz tone of 50 mV. */
function player(engine: BenchEngine): (seconds: number) => void {
  const output = new Float32Array(128);
  let n = 0;
  return (seconds) => {
    for (const end = n + Math.round(seconds * RATE_HZ); n < end; ) {
      const input = Float32Array.from(output, () => 0.05 * Math.sin((2 * Math.PI * 220 * n++) / RATE_HZ));
      engine.process(input, output);
    }
  };
}

function told(engine: BenchEngine): Readonly<Record<'number' | 'seconds' | 'offsetDb', number>> {
  const values = new Float32Array(TELEMETRY_LENGTH);
  engine.readTelemetry(values, RATE_HZ);
  return {
    number: values[TELEMETRY.measurement]!,
    seconds: values[TELEMETRY.measuredSeconds]!,
    offsetDb: values[TELEMETRY.loudnessA]! - values[TELEMETRY.loudnessB]!,
  };
}

/** A relative to B on a bench that never had other builds, over four seconds. */
function offsetOf(a: typeof plain): number {
  const engine = bench(a);
  const play = player(engine);
  play(0.5);
  engine.receive({ type: 'measureLoudness', number: 1 });
  play(4.2);
  return told(engine).offsetDb;
}

/** The same, measured from the moment at which a message gives A these values. */
function offsetAfter(change: ToProcessor): number {
  const engine = bench();
  const play = player(engine);
  play(0.5);
  engine.receive(change);
  engine.receive({ type: 'measureLoudness', number: 1 });
  play(4.4);
  return told(engine).offsetDb;
}

describe('a measurement of loudness', () => {
  it('reports its number with the result, measured from the moment of the request', () => {
    const engine = bench();
    const play = player(engine);
    play(1);
    expect(told(engine).number).toBe(0);
    engine.receive({ type: 'measureLoudness', number: 7 });
    expect(told(engine)).toMatchObject({ number: 7, seconds: 0 });
    play(1);
    expect(told(engine).number).toBe(7);
    expect(told(engine).seconds).toBeGreaterThan(0.7);
  });

  it('has numbers that telemetry, in single precision, can distinguish', () => {
    const engine = bench();
    for (const number of [MOST_MEASUREMENTS - 1, MOST_MEASUREMENTS]) {
      engine.receive({ type: 'measureLoudness', number });
      expect(told(engine).number).toBe(number);
    }
  });

  // If one of 37 gated blocks of 400 ms had the old build in it, the mean would change by more than these 0.02 dB.
  it('begins when only the new circuit of a swap is heard', () => {
    const after = offsetAfter({ type: 'circuit', slot: 'a', circuit: germanium });
    expect(Math.abs(after - offsetOf(germanium))).toBeLessThan(0.02);
  });

  it('begins when a gliding value has reached its target, however long that takes', () => {
    const values = { type: 'values', slot: 'a', numbers: quiet } as const;
    const expected = offsetOf(quiet);
    expect(expected).toBeLessThan(-10);
    for (const glideSeconds of [GLIDE_SECONDS, 0.8]) {
      expect(Math.abs(offsetAfter({ ...values, glideSeconds }) - expected)).toBeLessThan(0.02);
    }
  });

  it('begins after the last of several swaps that came at once', () => {
    const engine = bench();
    const play = player(engine);
    play(0.5);
    for (const circuit of [plain, plain, germanium]) engine.receive({ type: 'circuit', slot: 'a', circuit });
    engine.receive({ type: 'measureLoudness', number: 1 });
    play(0.3);
    // two fades of 50 ms, because the swap between them was replaced by a newer one, then 0.2 s
    expect(told(engine).seconds).toBeLessThan(0.01);
    play(4.2);
    expect(Math.abs(told(engine).offsetDb - offsetOf(germanium))).toBeLessThan(0.02);
  });
});
