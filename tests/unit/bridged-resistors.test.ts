import { describe, expect, it } from 'vitest';
import { buildParts } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { parseSettingText } from '../../engine/builds/part-setting.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { NetworkError } from '../../engine/solver/network-error.ts';
import { OperatingPointError } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { run, uniform } from './small-networks.ts';

const RATE_HZ = 384_000;
const NOISE_FRAMES = 19_200;

/**
 * A bridged resistor often connects a capacitor directly to a given voltage, so that the capacitor's current is no
 * longer a state but a derivative. A formula that does not damp what is faster than the sample rate then alternates
 * there for ever. With R4 of soft-plain bridged, C3 alone is at an inverting input, which resonates near 700 kHz while
 * the diodes conduct.
 */
describe('a build with one resistor bridged', () => {
  const bridgedNetworks = (preset: string): [string, Network][] => {
    const build = presetBuild(preset);
    return buildParts(build.circuit)
      .filter(({ ref }) => /^R\d/.test(ref))
      .map((part) => {
        const setting = parseSettingText(part, 'bridged', build.parts[part.ref]!);
        return [
          part.ref,
          networkOf({ ...build, parts: { ...build.parts, [part.ref]: setting } }, NOMINAL_TEMPERATURE_K),
        ];
      });
  };

  /** Noise of half a volt, then silence for four times as long. */
  const noiseThenSilence = () => {
    const draw = uniform(1);
    return Float64Array.from({ length: 5 * NOISE_FRAMES }, (_, n) => (n < NOISE_FRAMES ? draw() - 0.5 : 0));
  };

  it.each(['soft-plain', 'clean-plain'])('is quiet again after noise, without a reset: %s', (preset) => {
    let count = 0;
    for (const [ref, network] of bridgedNetworks(preset)) {
      try {
        const { simulator, output } = run(network, RATE_HZ, noiseThenSilence());
        expect([simulator.resets, simulator.failures], ref).toEqual([0, 0]);
        const end = output.subarray(-1000);
        const bend = end.map((volts, n) => (n < 2 ? 0 : volts - 2 * end[n - 1]! + end[n - 2]!));
        // Slow settling is a straight line over three samples; an alternation is not.
        expect(Math.max(...bend.map(Math.abs)), ref).toBeLessThan(1e-6);
        count++;
      } catch (error) {
        // Some bridges short the supply or the output.
        if (!(error instanceof OperatingPointError || error instanceof NetworkError)) throw error;
      }
    }
    expect(count).toBeGreaterThan(10);
  });
});
