import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { run } from '../unit/small-networks.ts';

interface Vectors {
  readonly rateHz: number;
  readonly restV: Readonly<Record<string, number>>;
  readonly response: readonly {
    readonly hz: number;
    readonly decibels: number;
    readonly phaseDegrees: number;
  }[];
  readonly outputs: readonly { readonly peakV: number; readonly samplesV: readonly number[] }[];
}

const vectors: Vectors = JSON.parse(
  readFileSync(new URL('./vectors/jfet-booster.json', import.meta.url), 'utf8'),
);
const FACTOR = 32;

describe('the JFET booster against the equations that jfet_booster.py has by hand', () => {
  const network = networkOf(presetBuild('jfet-plain'), NOMINAL_TEMPERATURE_K);

  it('has the same DC voltages within 1 µV', () => {
    const { volts } = operatingPoint(network);
    for (const [net, expected] of Object.entries(vectors.restV))
      expect(Math.abs(volts.get(net)! - expected), net).toBeLessThan(1e-6);
  });

  it('has the same response within 0.001 dB and 0.01 degrees', () => {
    const own = new FrequencyResponse(network);
    for (const { hz, decibels, phaseDegrees } of vectors.response) {
      const point = own.at(hz, network.output);
      const turn = point.phaseDegrees - phaseDegrees;
      expect(Math.abs(point.decibels - decibels), `${hz} Hz`).toBeLessThan(1e-3);
      expect(Math.abs(turn - 360 * Math.round(turn / 360)), `${hz} Hz`).toBeLessThan(1e-2);
    }
  });

  it.each(vectors.outputs.map(({ peakV, samplesV }) => [peakV, samplesV] as const))(
    'gives the same output with %d V in, sample by sample',
    (peakV, samplesV) => {
      const input = Float64Array.from(
        { length: FACTOR * samplesV.length },
        (_, n) => peakV * Math.sin((2 * Math.PI * 1000 * n) / (FACTOR * vectors.rateHz)) ** 3,
      );
      const { output, simulator } = run(network, FACTOR * vectors.rateHz, input);
      expect(simulator.failures).toBe(0);
      const swing = Math.max(...samplesV) - Math.min(...samplesV);
      // 1 V clips: an edge is shorter than a sample, and the taps that join two steps spread it. Behind a low-pass the error is
      // -126 dB, see solved-cases.ts.
      const most = 10 ** ((peakV < 0.5 ? -95 : -60) / 20) * swing;
      samplesV.forEach((expected, n) => {
        expect(Math.abs(output[FACTOR * n]! - expected), `${n}`).toBeLessThan(most);
      });
    },
  );
});
