import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { netlistOf } from '../../engine/network/netlist.ts';
import type { Network } from '../../engine/network/network.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { run } from '../unit/small-networks.ts';

interface Stage {
  readonly restV: Readonly<Record<string, number>>;
  readonly response: readonly {
    readonly hz: number;
    readonly decibels: number;
    readonly phaseDegrees: number;
  }[];
  readonly outputs: readonly { readonly peakV: number; readonly samplesV: readonly number[] }[];
}

const fileOf = (name: string) => JSON.parse(readFileSync(new URL(name, import.meta.url), 'utf8'));

/** Where transistors clip, the taps that join two steps spread an edge over a sample: at 256 times it is short enough. */
const FACTOR = 256;

/** See netlist_stages.py. */
const inputV = (peakV: number, seconds: number) => peakV * Math.sin(2 * Math.PI * 1000 * seconds) ** 3;

/**
 * Compares networks with what netlist_stages.py has made of the netlists of the same name.
 *
 * @param biasedNet Net that rests above ground: a part with exchanged ends would be cut off, with its output at ground.
 */
export function describeStages(
  file: string,
  networks: Readonly<Record<string, Network>>,
  biasedNet = 'out',
): void {
  const netlists = fileOf(`./${file}-netlists.json`);
  const { rateHz, stages }: { rateHz: number; stages: Readonly<Record<string, Stage>> } = fileOf(
    `./vectors/${file}-stages.json`,
  );
  describe.each(Object.keys(networks))('the reference for a stage with a %s', (name) => {
    const circuit = networks[name]!;
    const { restV, response, outputs } = stages[name]!;

    it('was solved from the netlist that the network prints', () => {
      // The origin of a part is not part of the equations.
      const text = JSON.stringify(netlistOf(circuit), (key, value) => (key === 'origin' ? undefined : value));
      expect(JSON.parse(text)).toEqual(netlists[name]);
    });

    it('has the same operating point as the network', () => {
      const { volts } = operatingPoint(circuit);
      // Both are solved to 1e-12 of the largest voltage.
      for (const [net, expected] of Object.entries(restV)) expect(volts.get(net)).toBeCloseTo(expected, 9);
      expect(Math.abs(volts.get(biasedNet)!)).toBeGreaterThan(0.1);
    });

    it('has the same response as the network', () => {
      const own = new FrequencyResponse(circuit);
      for (const { hz, decibels, phaseDegrees } of response) {
        const point = own.at(hz, circuit.output);
        // Behind its series resistance a charge counts to first order in the frequency only: 24 Ω, 50 pF and 10 kHz make 4e-6 dB.
        expect(point.decibels, `${hz} Hz`).toBeCloseTo(decibels, 5);
        expect(point.phaseDegrees, `${hz} Hz`).toBeCloseTo(phaseDegrees, 4);
      }
    });

    it.each(outputs.map(({ peakV, samplesV }) => [peakV, samplesV] as const))(
      'gives the same output as the network with %d V in',
      (peakV, samplesV) => {
        const input = Float64Array.from({ length: FACTOR * samplesV.length }, (_, n) =>
          inputV(peakV, n / (FACTOR * rateHz)),
        );
        const { output, simulator } = run(circuit, FACTOR * rateHz, input);
        expect(simulator.failures).toBe(0);
        const swing = Math.max(...samplesV) - Math.min(...samplesV);
        samplesV.forEach((expected, n) => {
          // The tolerance covers the formula's third order at 12 MHz, and edges of clipping between two samples.
          expect(Math.abs(output[FACTOR * n]! - expected), `${n}`).toBeLessThan(1e-4 * swing);
        });
      },
    );
  });
}
