import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { CORRECTION_HZ, inputCorrection } from '../../engine/analysis/input-correction.ts';
import { type Instrument, USUAL_INSTRUMENT, withInstrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { presetBuild } from '../preset-build.ts';

/** A load with a plain resistance at its input. */
const load = (ohms: number): Network => ({
  input: 'in',
  output: 'in',
  rails: [],
  temperatureK: NOMINAL_TEMPERATURE_K,
  primitives: [{ kind: 'resistor', ...ofPart('load'), nodes: ['in', GROUND], ohms }],
});

function peakHz(network: Network, net: string): number {
  const response = new FrequencyResponse(network);
  let best = { hz: 0, decibels: Number.NEGATIVE_INFINITY };
  for (let hz = 1500; hz < 8000; hz += 5) {
    const point = response.at(hz, net);
    if (point.decibels > best.decibels) best = point;
  }
  return best.hz;
}

describe('a guitar before the pedal', () => {
  // v/e = 1/(1 + Z·Y) with Z = R + jωL·R_l/(R_l + jωL) and Y = G + jωC has a phase of -90 degrees where
  //   ω² = (1 + G·R)/(LC − G·L²/R_l − (1 + G·R)·(L/R_l)²)
  it.each([
    ['single-coil', 2.5, 7000, 125e3],
    ['humbucker', 4.5, 8000, 250e3],
  ] as const)(
    'with a %s and 600 pF of cable resonates where the closed form of its coil, loss and load says',
    (pickup, henries, copper, pots) => {
      const response = new FrequencyResponse(withInstrument(load(10e6), { ...USUAL_INSTRUMENT, pickup }));
      let found = 1000;
      while (response.at(found, 'in').phaseDegrees > -90) found += 1;
      const conductance = 1 / pots + 1 / 10e6;
      const damping = 1 + conductance * copper;
      const perLoss = henries / 300e3;
      const squared =
        damping / (henries * 700e-12 - conductance * henries * perLoss - damping * perLoss ** 2);
      // The tone capacitor (900 Ω there) and the tracks' end resistance are not counted.
      expect(found / (Math.sqrt(squared) / (2 * Math.PI))).toBeCloseTo(1, 2);
    },
  );

  it('resonates lower with a longer cable: four times the capacitance, about half the frequency', () => {
    const at = (cableMetres: number) =>
      peakHz(withInstrument(load(10e6), { ...USUAL_INSTRUMENT, cableMetres }), 'in');
    // 100 pF of winding and 400 or 1900 pF of cable; damping moves the peaks by several percent
    expect(at(4) / at(19)).toBeGreaterThan(1.7);
    expect(at(4) / at(19)).toBeLessThan(2.15);
  });

  it('is quieter with its volume turned down: 15 % of an audio taper at half is 16.5 dB', () => {
    const at = (volume: number) =>
      new FrequencyResponse(withInstrument(load(100e6), { ...USUAL_INSTRUMENT, volume })).at(100, 'in')
        .decibels;
    // the coil's 7k against 250k, and the tone control, change it by some hundredths
    expect(at(1) - at(0.5)).toBeCloseTo(-20 * Math.log10(0.15), 0);
  });

  it('loses highs with its tone turned down', () => {
    const at = (tone: number) =>
      new FrequencyResponse(withInstrument(load(1e6), { ...USUAL_INSTRUMENT, tone })).at(3500, 'in').decibels;
    expect(at(0) - at(1)).toBeLessThan(-20);
  });

  it('is loaded by the pedal: the resonance is lower in front of 340k than in front of 10M', () => {
    const top = (ohms: number) => {
      const network = withInstrument(load(ohms), USUAL_INSTRUMENT);
      return new FrequencyResponse(network).at(peakHz(network, 'in'), 'in').decibels;
    };
    expect(top(340e3)).toBeLessThan(top(10e6) - 1);
  });
});

describe('the correction for an interface', () => {
  const guitar: Instrument = { ...USUAL_INSTRUMENT };

  it('is zero for a pedal with the same input impedance as the interface', () => {
    const { decibels, worstDb } = inputCorrection(load(1e6), guitar, 48_000);
    expect(Math.max(...decibels.map(Math.abs))).toBeLessThan(1e-9);
    expect(worstDb).toBeLessThan(1e-6);
  });

  it('of a pure resistance is the ratio of two dividers at low frequencies', () => {
    const { decibels } = inputCorrection(load(100e3), guitar, 48_000);
    // at 20 Hz: 7 kΩ and 314 Ω of coil into 250k with 100k or 1M, without the tone capacitor's 169 kΩ
    const behind = (ohms: number) => 1 / (1 / 250e3 + 1 / ohms);
    const divider = (ohms: number) => behind(ohms) / (behind(ohms) + 7000);
    expect(decibels[0]).toBeCloseTo(20 * Math.log10(divider(100e3) / divider(1e6)), 1);
  });

  it('of every preset reduces the highs, and its filter sections follow it within a tenth of a decibel', () => {
    for (const name of ['soft-plain', 'clean-plain']) {
      const { decibels, worstDb } = inputCorrection(
        networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K),
        guitar,
        48_000,
      );
      const at = (wanted: number) => decibels[CORRECTION_HZ.findIndex((hz) => hz >= wanted)]!;
      expect(at(3500)).toBeLessThan(at(200) - 0.1);
      expect(worstDb).toBeLessThan(0.1);
    }
  });
});
