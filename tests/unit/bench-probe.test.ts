import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import {
  LEVELS_START,
  MOST_LEVELS,
  STARTING_SETTINGS,
  TELEMETRY,
  TELEMETRY_LENGTH,
} from '../../worklets/bench-messages.ts';
import { SCOPE_CHANNELS, SCOPE_FRAMES, SCOPE_LENGTH } from '../../worklets/scope-recorder.ts';
import { presetBuild } from '../preset-build.ts';
import { OPTIONS, peakOf, RATE_HZ, run, sine, stepOf } from './engine-run.ts';
import { capacitor, network, resistor, source } from './small-networks.ts';

const CIRCUIT_OPTIONS = { sampleRateHz: RATE_HZ * OPTIONS.factor };

/** Output a quarter of the input, `tap` a half of it, `biased` all of it on the supply. */
const divider = (supplyV: number) =>
  compileCircuit(
    network([
      resistor('R1', 'in', 'tap', 2000),
      resistor('R2', 'tap', 'out', 1000),
      resistor('R3', 'out', GROUND, 1000),
      source('vcc', supplyV),
      capacitor('C1', 'in', 'biased', 100e-6),
      resistor('R4', 'biased', 'vcc', 10_000),
    ]),
    CIRCUIT_OPTIONS,
  );
const DIVIDER = divider(5);
/** Another structure with the same net on the same supply. */
const SPLIT_DIVIDER = compileCircuit(
  network([
    resistor('R1', 'in', 'out', 3000),
    resistor('R3', 'out', GROUND, 1000),
    source('vcc', 5),
    capacitor('C1', 'in', 'biased', 100e-6),
    resistor('R4', 'biased', 'vcc', 10_000),
  ]),
  CIRCUIT_OPTIONS,
);
const plain = compileCircuit(networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K), CIRCUIT_OPTIONS);
const asymmetric = compileCircuit(
  networkOf(presetBuild('soft-asymmetric'), NOMINAL_TEMPERATURE_K),
  CIRCUIT_OPTIONS,
);

function bench(circuit = plain, standIn = false): BenchEngine {
  const engine = new BenchEngine(OPTIONS);
  engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn, outputDb: 0 } });
  engine.receive({ type: 'circuit', slot: 'a', circuit });
  engine.receive({ type: 'circuit', slot: 'b', circuit });
  engine.receive({ type: 'mute', muted: false });
  return engine;
}

type Net = string | null | undefined;
const probe = (engine: BenchEngine, a: Net, b: Net = a) => engine.receive({ type: 'probe', nets: { a, b } });

function gains(engine: BenchEngine): { a: number; b: number } {
  const telemetry = new Float32Array(TELEMETRY_LENGTH);
  engine.readTelemetry(telemetry, RATE_HZ);
  return { a: telemetry[TELEMETRY.probeGainDbA]!, b: telemetry[TELEMETRY.probeGainDbB]! };
}

describe('a probed net on the bench', () => {
  it('is heard as loud as the output; the gain for this is stated', () => {
    const engine = bench(DIVIDER);
    const input = sine(2);
    probe(engine, 'tap', 'biased');
    expect(gains(engine).a).toBe(Number.NEGATIVE_INFINITY);
    const heard = run(engine, input);
    // Half and all of the input, compared with a quarter of it; the coupling's start-up transient has 1e-3 of the
    // energy.
    expect(gains(engine).a).toBeCloseTo(-20 * Math.log10(2), 1);
    expect(gains(engine).b).toBeCloseTo(-20 * Math.log10(4), 1);
    const settled = heard.subarray(1.5 * RATE_HZ);
    expect(peakOf(settled)).toBeCloseTo(0.05, 3);
    engine.receive({ type: 'hear', slot: 'b' });
    expect(peakOf(run(engine, input).subarray(RATE_HZ))).toBeCloseTo(0.05, 3);
  });

  it('is heard without its bias voltage, and a supply is silent', () => {
    const engine = bench(DIVIDER);
    probe(engine, 'biased', 'vcc');
    const silence = new Float32Array(RATE_HZ);
    expect(peakOf(run(engine, silence))).toBe(0);
    engine.receive({ type: 'hear', slot: 'b' });
    expect(peakOf(run(engine, sine(1)).subarray(RATE_HZ / 2))).toBeLessThan(1e-9);
  });

  it('does not click and does not get loud while the probe is set, moved and removed, while a build changes', () => {
    const input = sine(3);
    const still = bench();
    const change = (each: BenchEngine) => each.receive({ type: 'circuit', slot: 'a', circuit: asymmetric });
    const expected = run(still, input, 128, { [2 * RATE_HZ]: () => change(still) });
    const engine = bench();
    const heard = run(engine, input, 128, {
      [0.8 * RATE_HZ]: () => probe(engine, 'clipped'),
      [1.4 * RATE_HZ]: () => probe(engine, 'supply'),
      [1.5 * RATE_HZ]: () => probe(engine, 'base'),
      [2 * RATE_HZ]: () => change(engine),
      [2.3 * RATE_HZ]: () => probe(engine, 'tone feedback'),
      [2.8 * RATE_HZ]: () => probe(engine, undefined),
    });
    // The clipped edges of the tone are steeper at `clipped` than behind the tone control.
    expect(stepOf(heard)).toBeLessThan(3 * stepOf(expected));
    expect(peakOf(heard)).toBeLessThan(2 * peakOf(expected));
    expect(heard.subarray(2.9 * RATE_HZ)).toEqual(expected.subarray(2.9 * RATE_HZ));
    expect(peakOf(heard.subarray(1.1 * RATE_HZ, 1.4 * RATE_HZ))).toBeGreaterThan(0.3 * peakOf(expected));
  });

  it('is heard without a thump while circuits with different bias voltages follow each other quickly', () => {
    const engine = bench(DIVIDER);
    probe(engine, 'biased');
    // The bias goes from 5 to 9 V, and the next circuit, which waits for the crossfade, takes it to 7 V.
    const change = (supplyV: number) =>
      engine.receive({ type: 'circuit', slot: 'a', circuit: divider(supplyV) });
    const heard = run(engine, sine(2), 128, {
      [1.2 * RATE_HZ]: () => change(9),
      [1.21 * RATE_HZ]: () => change(7),
    });
    // A quarter of 0.2 V, as loud as the output, before, during and after the changes.
    expect(peakOf(heard.subarray(RATE_HZ, 1.2 * RATE_HZ))).toBeCloseTo(0.05, 3);
    expect(peakOf(heard.subarray(1.2 * RATE_HZ))).toBeCloseTo(0.05, 3);
  });

  it('is silent in a build that does not have it, while the other build is heard', () => {
    const engine = bench(DIVIDER);
    const input = sine(1);
    run(engine, input);
    probe(engine, 'tap', null);
    expect(peakOf(run(engine, input).subarray(RATE_HZ / 2))).toBeGreaterThan(0.04);
    engine.receive({ type: 'hear', slot: 'b' });
    expect(peakOf(run(engine, input).subarray(RATE_HZ / 2))).toBeLessThan(1e-9);
    expect(gains(engine).b).toBe(Number.NEGATIVE_INFINITY);
    probe(engine, undefined);
    expect(peakOf(run(engine, input).subarray(RATE_HZ / 2))).toBeCloseTo(0.05, 3);
  });

  it('is heard in the first circuit too, if it was chosen before there was a circuit', () => {
    const engine = new BenchEngine(OPTIONS);
    engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0 } });
    engine.receive({ type: 'mute', muted: false });
    probe(engine, 'tap');
    run(engine, sine(0.1));
    for (const slot of ['a', 'b'] as const) engine.receive({ type: 'circuit', slot, circuit: DIVIDER });
    run(engine, sine(1));
    // Half of the input; the output has a quarter.
    expect(gains(engine).a).toBeCloseTo(-20 * Math.log10(2), 1);
    expect(gains(engine).b).toBeCloseTo(-20 * Math.log10(2), 1);
  });

  it('waits until something plays before it sets its gain', () => {
    const engine = bench(DIVIDER);
    probe(engine, 'tap');
    run(engine, new Float32Array(RATE_HZ));
    expect(gains(engine).a).toBe(Number.NEGATIVE_INFINITY);
    run(engine, sine(1));
    expect(gains(engine).a).toBeCloseTo(-20 * Math.log10(2), 1);
  });

  it('does not change the measured loudness of the builds, which the level match uses', () => {
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    const loudness = [undefined, 'clipped'].map((net) => {
      const engine = bench(plain, true);
      probe(engine, net);
      run(engine, sine(1));
      engine.readTelemetry(telemetry, RATE_HZ);
      return telemetry[TELEMETRY.loudnessA];
    });
    expect(loudness[1]).toBe(loudness[0]);
  });

  it('gives the same samples whatever the length of its blocks', () => {
    const outputs = [1, 37, 128, 512].map((block) => {
      const engine = bench(plain, true);
      return run(engine, sine(0.6), block, {
        4800: () => probe(engine, 'clipped'),
        14400: () => probe(engine, 'base'),
      });
    });
    for (const output of outputs.slice(1)) expect(output).toEqual(outputs[0]);
  });
});

describe('levels while it plays', () => {
  const input = sine(0.05, 0.2, 440);
  const at = (values: Float32Array, slot: 0 | 1, net: number) => {
    const start = LEVELS_START + 2 * (slot * MOST_LEVELS + net);
    return [values[start]!, values[start + 1]!] as const;
  };

  /** Reports as the page reads them, one after each twentieth of a second. */
  function reports(engine: BenchEngine, count: number): Float32Array {
    const values = new Float32Array(TELEMETRY_LENGTH);
    for (let n = 0; n < count; n++) {
      run(engine, input);
      engine.readTelemetry(values, input.length);
    }
    return values;
  }

  it('are measured one net after another, from the operating point', () => {
    const engine = bench(DIVIDER);
    engine.receive({ type: 'levels', nets: { a: ['tap', 'biased', 'nowhere'], b: ['out'] } });
    const values = reports(engine, 7);
    // Half of 0.2 V, all of it on 5 V, and a quarter; the start-up transient of C1 with R4 has 1e-4 of its size.
    for (const [slot, net, peakV] of [
      [0, 0, 0.1],
      [0, 1, 0.2],
      [1, 0, 0.05],
    ] as const) {
      const [up, down] = at(values, slot, net);
      expect(up).toBeCloseTo(peakV, 3);
      expect(down).toBeCloseTo(peakV, 3);
    }
    expect(at(values, 0, 2)).toEqual([Number.NaN, Number.NaN]);
  });

  it('do not change what is heard', () => {
    const [plainly, watched] = [bench(), bench()];
    watched.receive({ type: 'levels', nets: { a: ['clipped', 'toned'], b: [] } });
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    for (let n = 0; n < 6; n++) {
      expect(run(watched, input)).toEqual(run(plainly, input));
      watched.readTelemetry(telemetry, input.length);
    }
  });

  it('are not known while the probe is on another net, and end when they are no longer wanted', () => {
    const engine = bench(DIVIDER);
    engine.receive({ type: 'levels', nets: { a: ['tap'], b: ['tap'] } });
    probe(engine, 'biased');
    expect(at(reports(engine, 2), 0, 0)[0]).toBeNaN();
    probe(engine, undefined);
    expect(at(reports(engine, 2), 0, 0)[0]).toBeCloseTo(0.1, 3);
    engine.receive({ type: 'levels', nets: { a: [], b: [] } });
    expect(at(reports(engine, 1), 0, 0)[0]).toBe(0);
  });

  it('continue in a circuit with another structure', () => {
    const engine = bench();
    engine.receive({ type: 'levels', nets: { a: ['clipped'], b: [] } });
    reports(engine, 2);
    engine.receive({ type: 'circuit', slot: 'a', circuit: asymmetric });
    const [up, down] = at(reports(engine, 6), 0, 0);
    // One diode against two in series: the half waves differ.
    expect(Math.max(up / down, down / up)).toBeGreaterThan(1.3);
  });
});

describe('scope frames', () => {
  it('show input, A and B in volts and at the same time', () => {
    const engine = bench(DIVIDER);
    engine.receive({ type: 'scope', isWanted: true });
    engine.receive({ type: 'probe', nets: { a: 'biased', b: undefined } });
    run(engine, sine(0.2, 0.4, 100));
    const frame = new Float32Array(SCOPE_LENGTH);
    engine.readScope(frame);
    const channel = (name: keyof typeof SCOPE_CHANNELS) =>
      frame.subarray(SCOPE_CHANNELS[name] * SCOPE_FRAMES, (SCOPE_CHANNELS[name] + 1) * SCOPE_FRAMES);
    const [input, a, b] = [channel('input'), channel('a'), channel('b')];
    expect(peakOf(input)).toBeCloseTo(0.4, 4);
    // Delayed to the whole sample: half a sample of 100 Hz is 0.7 % of the peak. C1 with R4 shifts the phase by 0.2 %.
    for (let n = 0; n < SCOPE_FRAMES; n++) {
      expect(Math.abs(a[n]! - 5 - input[n]!), `A ${n}`).toBeLessThan(0.01 * 0.4);
      expect(Math.abs(b[n]! - input[n]! / 4), `B ${n}`).toBeLessThan(0.01 * 0.1);
    }
    // The newest sample is the last one.
    expect(Math.abs(input.at(-1)! - 0.4 * Math.sin((2 * Math.PI * 100 * (9600 - 1)) / RATE_HZ))).toBeLessThan(
      0.05,
    );
  });

  it('show a net beside the output, which sounds the same, until the probe or the levels need the probe of the circuit', () => {
    const input = sine(0.2, 0.4, 100);
    const engine = bench(DIVIDER);
    engine.receive({ type: 'scope', isWanted: true, nets: { a: 'tap', b: 'nowhere' } });
    expect(run(engine, input)).toEqual(run(bench(DIVIDER), input));
    const frame = new Float32Array(SCOPE_LENGTH);
    const channel = (name: keyof typeof SCOPE_CHANNELS) => {
      engine.readScope(frame);
      return frame.slice(SCOPE_CHANNELS[name] * SCOPE_FRAMES, (SCOPE_CHANNELS[name] + 1) * SCOPE_FRAMES);
    };
    const [volts, a, tap] = [channel('input'), channel('a'), channel('clippedA')];
    for (let n = 0; n < SCOPE_FRAMES; n++) {
      expect(Math.abs(tap[n]! - volts[n]! / 2), `tap ${n}`).toBeLessThan(0.01 * 0.2);
      expect(Math.abs(a[n]! - volts[n]! / 4), `A ${n}`).toBeLessThan(0.01 * 0.1);
    }
    expect(channel('clippedB').every(Number.isNaN)).toBe(true);
    engine.receive({ type: 'levels', nets: { a: ['biased'], b: [] } });
    run(engine, input);
    expect(channel('clippedA').every(Number.isNaN)).toBe(true);
    engine.receive({ type: 'levels', nets: { a: [], b: [] } });
    run(engine, input);
    expect(peakOf(channel('clippedA'))).toBeCloseTo(0.2, 3);
    engine.receive({ type: 'probe', nets: { a: 'biased', b: undefined } });
    run(engine, input);
    expect(channel('clippedA').every(Number.isNaN)).toBe(true);
  });

  it('show nothing of a watched net just after a swap to another structure, and then its voltage', () => {
    const engine = bench(divider(5));
    engine.receive({ type: 'scope', isWanted: true, nets: { a: 'biased' } });
    const silence = new Float32Array(RATE_HZ / 5);
    run(engine, silence);
    // The fade ends 50 ms after the swap: in the last 85 ms, which a frame holds, of these 100 ms.
    const swap = () => engine.receive({ type: 'circuit', slot: 'a', circuit: SPLIT_DIVIDER });
    run(engine, silence.subarray(0, RATE_HZ / 10), 128, { 0: swap });
    const frame = new Float32Array(SCOPE_LENGTH);
    engine.readScope(frame);
    const start = SCOPE_CHANNELS.clippedA * SCOPE_FRAMES;
    const biased = frame.subarray(start, start + SCOPE_FRAMES);
    expect(biased.some(Number.isNaN)).toBe(true);
    for (const volts of biased) if (!Number.isNaN(volts)) expect(volts).toBeCloseTo(5, 3);
    expect(biased.at(-1)).toBeCloseTo(5, 3);
  });

  it('do not change while nobody looks at them', () => {
    const engine = bench(DIVIDER);
    run(engine, sine(0.1));
    const frame = new Float32Array(SCOPE_LENGTH);
    engine.readScope(frame);
    expect(peakOf(frame)).toBe(0);
  });
});
