import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import { STARTING_SETTINGS } from '../../worklets/bench-messages.ts';
import { VoicePop } from '../../worklets/voice-pop.ts';
import { presetBuild } from '../preset-build.ts';

const SAMPLE_RATE_HZ = 48_000;
const FRAMES = 128;

describe('the pop of a voice', () => {
  it('is added after its delay, once, without the speaker if that is off', () => {
    const pop = new VoicePop(SAMPLE_RATE_HZ, FRAMES);
    pop.setStandIn(false);
    pop.start(Float64Array.of(0.5, -0.25), 100);
    const heard: number[] = [];
    for (let block = 0; block < 4; block++) {
      const output = new Float64Array(FRAMES).fill(1);
      pop.addTo(output, FRAMES);
      heard.push(...output);
    }
    expect(heard.slice(98, 104)).toEqual([1, 1, 1.5, 0.75, 1, 1]);
    expect(heard.filter((v) => v !== 1)).toHaveLength(2);
  });

  it('goes through the speaker if that is on', () => {
    const pop = new VoicePop(SAMPLE_RATE_HZ, FRAMES);
    pop.start(new Float64Array(2000).fill(1), 0);
    let last = 0;
    for (let block = 0; block < 15; block++) {
      const output = new Float64Array(FRAMES);
      pop.addTo(output, FRAMES);
      last = output[FRAMES - 1]!;
    }
    // The speaker passes no DC: 40 ms are some periods of its corner of 75 Hz.
    expect(Math.abs(last)).toBeLessThan(0.05);
  });

  it('is heard of the build that is heard, and no longer than it lasts', () => {
    const { engine, peakAfter } = silentBench();
    peakAfter(0.2);
    engine.receive({ type: 'pop', slot: 'b', samples: new Float64Array(480).fill(0.2) });
    expect(peakAfter(0.1)).toBeLessThan(1e-4);
    engine.receive({ type: 'pop', slot: 'a', samples: new Float64Array(480).fill(0.2) });
    expect(peakAfter(0.1)).toBeGreaterThan(0.19);
    expect(peakAfter(0.1)).toBeLessThan(1e-4);
  });

  it('of a press while a net is probed is not heard later, when the probe is back on the output', () => {
    const { engine, peakAfter } = silentBench();
    engine.receive({ type: 'probe', nets: { a: 'clipped', b: 'clipped' } });
    peakAfter(0.5);
    engine.receive({ type: 'pop', slot: 'a', samples: new Float64Array(480).fill(0.2) });
    expect(peakAfter(0.1)).toBeLessThan(1e-3);
    engine.receive({ type: 'probe', nets: { a: undefined, b: undefined } });
    expect(peakAfter(0.5)).toBeLessThan(1e-3);
    engine.receive({ type: 'pop', slot: 'a', samples: new Float64Array(480).fill(0.2) });
    expect(peakAfter(0.1)).toBeGreaterThan(0.19);
  });
});

/** Two builds without a signal, after their start. */
function silentBench() {
  const engine = new BenchEngine({ sampleRateHz: SAMPLE_RATE_HZ, factor: 4, quality: 'low-latency' });
  const network = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
  for (const slot of ['a', 'b'] as const) {
    const circuit = compileCircuit(network, { sampleRateHz: 4 * SAMPLE_RATE_HZ, paired: true });
    engine.receive({ type: 'circuit', slot, circuit });
  }
  engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0 } });
  engine.receive({ type: 'mute', muted: false });
  const peakAfter = (seconds: number) => {
    let peak = 0;
    const output = new Float32Array(FRAMES);
    for (let done = 0; done < seconds * SAMPLE_RATE_HZ; done += FRAMES) {
      engine.process(undefined, output);
      peak = Math.max(peak, ...output.map(Math.abs));
    }
    return peak;
  };
  return { engine, peakAfter };
}
