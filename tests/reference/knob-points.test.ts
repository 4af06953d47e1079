import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';

interface Point {
  readonly preset: string;
  readonly knobs: Readonly<Record<string, number>>;
  readonly restV: Readonly<Record<string, number>>;
  readonly response: readonly {
    readonly hz: number;
    readonly decibels: number;
    readonly phaseDegrees: number;
  }[];
}

const { points }: { readonly points: readonly Point[] } = JSON.parse(
  readFileSync(new URL('./vectors/knob-points.json', import.meta.url), 'utf8'),
);
/** SciPy finds the rest to some nanovolts; a stage of high gain multiplies them. */
const REST_V = 1e-6;

describe('a circuit with its knobs elsewhere, against the equations that knob_points.py solves with NumPy', () => {
  it.each(points.map((point) => [point.preset, JSON.stringify(point.knobs), point] as const))(
    'has the same DC voltages and response: %s %s',
    (preset, _, { knobs, restV, response }) => {
      const build = presetBuild(preset);
      const network = networkOf({ ...build, knobs: { ...build.knobs, ...knobs } }, NOMINAL_TEMPERATURE_K);
      const { volts } = operatingPoint(network);
      for (const [net, expected] of Object.entries(restV))
        expect(Math.abs(volts.get(net)! - expected), net).toBeLessThan(REST_V);
      const own = new FrequencyResponse(network);
      for (const { hz, decibels, phaseDegrees } of response) {
        const point = own.at(hz, network.output);
        const turn = point.phaseDegrees - phaseDegrees;
        expect(Math.abs(point.decibels - decibels), `${hz} Hz`).toBeLessThan(1e-3);
        expect(Math.abs(turn - 360 * Math.round(turn / 360)), `${hz} Hz`).toBeLessThan(1e-2);
      }
    },
  );
});
