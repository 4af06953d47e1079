import { describe, expect, it } from 'vitest';
import { levelPoints, levelsOf } from '../../engine/analysis/level-map.ts';
import { steadySine } from '../../engine/analysis/steady-sine.ts';
import type { Build } from '../../engine/builds/build.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { chainWith, LONE } from '../../engine/builds/chain.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { netsByStage, probedNode } from '../../engine/builds/probe-nets.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { bypassBuild, cleanWithBypass } from '../bypass-parts.ts';
import { presetBuild } from '../preset-build.ts';

const pointsOf = (build: Build) =>
  levelPoints(chainWith(build, LONE), networkOf(build, NOMINAL_TEMPERATURE_K), 440);

describe('the level map', () => {
  it('follows the signal from the input buffer to the output', () => {
    const nets = (name: string) => pointsOf(presetBuild(name)).map(({ net }) => net);
    expect(nets('soft-plain')).toEqual(['buffered', 'clipped', 'toned', 'level', 'output emitter', 'out']);
    expect(nets('clean-plain')).toEqual(['buffered', 'amplified', 'clipped', 'summed', 'shelved', 'out']);
  });

  it('shows three times the swing for op-amps on the doubled rails as for those on 9 V', () => {
    const points = pointsOf(presetBuild('clean-plain'));
    const span = (ref: string) => {
      const { highV, lowV } = points.find(({ limit }) => limit?.ref === ref)!.limit!;
      return highV - lowV;
    };
    // TL072 on ±15 V: ±13.5 V into 10 kΩ and ±12 V into 2 kΩ (sheet), so 323 Ω and 1.065 V of headroom without a load; of
    // 8.9 V this leaves 6.77 V, of which some 10 kΩ of load take 3 %. The doubled rails have about 8.9·3 V less the diodes' drops.
    expect(span('U1A')).toBeCloseTo(6.56, 1);
    expect(span('U2A')).toBeGreaterThan(20);
    expect(span('U2A')).toBeLessThan(3 * 8.9 - 3);
  });

  it('shows an overdriven op-amp at its limits, and no other stage above its own limits', () => {
    const build = presetBuild('clean-plain');
    const points = pointsOf(build);
    const sine = steadySine(
      networkOf(build, NOMINAL_TEMPERATURE_K),
      { hz: 440, peakV: 0.5 },
      points.map(({ net }) => net),
    );
    for (const { net, limit, upV, downV } of levelsOf(points, sine)) {
      if (!limit) continue;
      const [up, down] = [limit.highV - limit.restV, limit.restV - limit.lowV];
      // The limits are soft: a slewing op-amp overshoots them by up to 0.1 V (OpampData).
      expect(upV, net).toBeLessThan(up + 0.12);
      expect(downV, net).toBeLessThan(down + 0.12);
      // Its limits are those with the diodes at rest; conducting, they take an eighth.
      if (net === 'amplified') expect(Math.min(upV / up, downV / down)).toBeGreaterThan(0.85);
    }
  });

  it('measures from the operating point, up and down', () => {
    const inputV = Float64Array.from({ length: 100 }, (_, n) => Math.sin((2 * Math.PI * n) / 100));
    const point = { stageTitle: 'Any', net: 'out', limit: undefined };
    const volts = new Map([['out', inputV.map((v) => 4.5 + 2 * v)]]);
    const sine = { hz: 440, peakV: 1, inputV, volts, isSettled: true, failures: 0 };
    const [level] = levelsOf([point], { ...sine, restV: new Map([['out', 4.25]]) });
    expect(level!.upV).toBeCloseTo(2.25, 12);
    expect(level!.downV).toBeCloseTo(1.75, 12);
  });
});

describe('nets for the probe', () => {
  it('are the nets of the circuit, each once, by stage, with the rails last', () => {
    const groups = netsByStage(presetBuild('soft-plain').circuit);
    const all = groups.flatMap(({ nets }) => nets);
    expect(new Set(all).size).toBe(all.length);
    expect(all).not.toContain('0');
    expect(groups.find(({ title }) => title === 'Gain and clipping')?.nets).toContain('clipped');
    expect(groups.at(-1)).toEqual({ title: 'Rails', nets: ['supply', 'bias'] });
  });

  it('are found in a build by the name that they have after switches and bridges join nets', () => {
    const build = presetBuild('soft-plain');
    expect(probedNode(build, networkOf(build, NOMINAL_TEMPERATURE_K), 'clipped')).toBe('clipped');
    const bridged = { ...build, parts: { ...build.parts, R6: { value: '51k', fit: 'bridged' as const } } };
    expect(probedNode(build, networkOf(build, NOMINAL_TEMPERATURE_K), 'R6.2')).toBe('R6.2');
    expect(probedNode(bridged, networkOf(bridged, NOMINAL_TEMPERATURE_K), 'R6.2')).toBe('gain feedback');
  });

  it('are missing where no current can flow, in another circuit, and with the pedal off', () => {
    const build = presetBuild('soft-plain');
    const lifted = { ...build, switches: { ...build.switches, clipping: 'lifted' } };
    expect(probedNode(build, networkOf(build, NOMINAL_TEMPERATURE_K), 'D1.cathode')).toBe('clipped');
    expect(probedNode(lifted, networkOf(lifted, NOMINAL_TEMPERATURE_K), 'D1.cathode')).toBeUndefined();
    expect(probedNode(build, networkOf(build, NOMINAL_TEMPERATURE_K), 'shelved')).toBeUndefined();
    expect(
      probedNode(build, bypassedNetworkOf({ ...build, bypass: 'true' }, NOMINAL_TEMPERATURE_K), 'clipped'),
    ).toBeUndefined();
  });

  it('with the pedal off are those of the other position of the footswitch', () => {
    const probed = (build: Build, net: string) =>
      probedNode(build, bypassedNetworkOf(build, NOMINAL_TEMPERATURE_K), net, 'bypassed');
    const buffered = bypassBuild('buffered');
    expect(probed(buffered, 'bypass output')).toBe('out');
    expect(probed(buffered, 'out')).toBe('out');
    expect(probed(buffered, 'effect output')).not.toBe('out');
    expect(probed(buffered, 'effect output')).toBeDefined();
    // A wire.
    for (const net of ['in', 'out']) expect(probed(bypassBuild('true'), net)).toBe('in');
    expect(probed(bypassBuild('true'), 'clipped')).toBeUndefined();
  });

  it('are without those that no network has: between contacts of the footswitch, and at pump capacitors', () => {
    const netsOf = (build: Build) => netsByStage(fittedCircuit(build)).flatMap(({ nets }) => nets);
    const nets = netsOf(bypassBuild('true', {}, cleanWithBypass));
    for (const net of ['direct', 'U3.cap-plus', 'U3.cap-minus']) expect(nets).not.toContain(net);
    for (const net of ['in', 'out', 'buffer input', 'clipped']) expect(nets).toContain(net);
    expect(netsOf(bypassBuild('buffered'))).toContain('bypass output');
  });
});
