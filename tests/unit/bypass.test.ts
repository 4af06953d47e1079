import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

// The first revision has a bypass of fixed values.
const soft = parseBuildFile(
  JSON.stringify({ format: 'cliplead-build', version: 2, circuit: 'soft-clip', revision: 1 }),
);
const gainDb = (bypass: typeof soft.bypass, hz: number) => {
  const network = bypassedNetworkOf({ ...soft, bypass }, NOMINAL_TEMPERATURE_K);
  return new FrequencyResponse(network).at(hz, network.output).decibels;
};

describe('a bypassed pedal of an older revision', () => {
  it('with true bypass is a wire', () => {
    for (const hz of [20, 1000, 20_000]) expect(gainDb('true', hz)).toBeCloseTo(0, 9);
    const network = bypassedNetworkOf({ ...soft, bypass: 'true' }, NOMINAL_TEMPERATURE_K);
    const inputV = Float64Array.from({ length: 480 }, (_, index) => 0.3 * Math.sin(index / 7));
    const { outputV } = renderOffline(network, inputV, {
      factor: 1,
      quality: 'linear-phase',
      sampleRateHz: 48_000,
    });
    expect(outputV).toEqual(inputV);
  });

  it('with a buffered bypass loses as much as one emitter follower', () => {
    // r_e = V_T/I_E against R3 ∥ R5 ∥ the pull-down, by hand: I_E = V(e1)/R3 = 0.35 mA, r_e = 74 ohms,
    // 10k ∥ 100k = 9.1k, so −0.07 dB.
    expect(gainDb('buffered', 1000)).toBeCloseTo(20 * Math.log10(9091 / (9091 + 74)), 1);
  });

  it('with a transistor-switched bypass passes through both buffers, and falls below its coupling corners', () => {
    expect(gainDb('transistor-switched', 1000)).toBeLessThan(gainDb('buffered', 1000));
    expect(gainDb('transistor-switched', 1000)).toBeGreaterThan(-0.5);
    expect(gainDb('transistor-switched', 5)).toBeLessThan(gainDb('transistor-switched', 1000) - 10);
  });

  it('is silent with the output of its buffer bridged to ground', () => {
    const build = { ...soft, parts: { ...soft.parts, R3: { value: '10k', fit: 'bridged' as const } } };
    const network = bypassedNetworkOf({ ...build, bypass: 'buffered' }, NOMINAL_TEMPERATURE_K);
    expect(new FrequencyResponse(network).at(1000, network.output).decibels).toBeLessThan(-200);
  });

  it('plays without the pull-down of its output', () => {
    const open = { ...soft, parts: { ...soft.parts, R14: { value: '100k', fit: 'open' as const } } };
    const network = bypassedNetworkOf({ ...open, bypass: 'transistor-switched' }, NOMINAL_TEMPERATURE_K);
    const response = new FrequencyResponse(network);
    expect(response.at(1000, network.output).decibels).toBeCloseTo(gainDb('transistor-switched', 1000), 1);
  });
});
