import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { netlistOf } from '../../engine/network/netlist.ts';
import type { Network } from '../../engine/network/network.ts';
import { findBjt, findFet } from '../../engine/parts/catalogue.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { bipolar, capacitor, fieldEffect, network, resistor, run, source } from '../unit/small-networks.ts';

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
const NETLISTS = fileOf('./p-type-netlists.json');
const { rateHz, stages }: { rateHz: number; stages: Readonly<Record<string, Stage>> } = fileOf(
  './vectors/p-type-stages.json',
);

/** Amplifiers on a supply of 9 V with the emitter or source at the upper end. */
const STAGES: Readonly<Record<string, Network>> = {
  pnp: network([
    source('vcc', 9),
    capacitor('C1', 'in', 'base', 1e-6),
    resistor('R1', 'vcc', 'base', 27e3),
    resistor('R2', 'base', GROUND, 120e3),
    resistor('R3', 'vcc', 'emitter', 1e3),
    capacitor('C2', 'vcc', 'emitter', 10e-6),
    resistor('R4', 'out', GROUND, 4.7e3),
    bipolar('pnp', 'Q1', ['out', 'base', 'emitter'], findBjt('2N3906').data),
  ]),
  pJfet: network([
    source('vcc', 9),
    capacitor('C1', 'in', 'gate', 10e-9),
    resistor('R1', 'vcc', 'gate', 1e6),
    resistor('R2', 'vcc', 'source', 1.5e3),
    capacitor('C2', 'vcc', 'source', 10e-6),
    resistor('R3', 'out', GROUND, 4.7e3),
    fieldEffect('pJfet', 'Q1', ['out', 'gate', 'source'], findFet('2N5460').data),
  ]),
};

const FACTOR = 16;

/** See p_type_stages.py. */
const inputV = (peakV: number, seconds: number) => peakV * Math.sin(2 * Math.PI * 1000 * seconds) ** 3;

describe.each(Object.keys(STAGES))('the reference for a stage with a %s', (name) => {
  const circuit = STAGES[name]!;
  const { restV, response, outputs } = stages[name]!;

  it('was solved from the netlist that the network prints', () => {
    // The origin of a part is not part of the equations.
    const text = JSON.stringify(netlistOf(circuit), (key, value) => (key === 'origin' ? undefined : value));
    expect(JSON.parse(text)).toEqual(NETLISTS[name]);
  });

  it('has the same operating point as the network', () => {
    const { volts } = operatingPoint(circuit);
    // Both are solved to 1e-12 of the largest voltage.
    for (const [net, expected] of Object.entries(restV)) expect(volts.get(net)).toBeCloseTo(expected, 9);
    // A transistor with exchanged ends would be cut off, with its output at ground.
    expect(volts.get('out')).toBeGreaterThan(1);
  });

  it('has the same response as the network', () => {
    const own = new FrequencyResponse(circuit);
    for (const { hz, decibels, phaseDegrees } of response) {
      const point = own.at(hz, 'out');
      expect(point.decibels, `${hz} Hz`).toBeCloseTo(decibels, 7);
      expect(point.phaseDegrees, `${hz} Hz`).toBeCloseTo(phaseDegrees, 6);
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
        // The tolerance covers the formula's third order at 768 kHz, and edges of clipping between two samples.
        expect(Math.abs(output[FACTOR * n]! - expected), `${n}`).toBeLessThan(1e-4 * swing);
      });
    },
  );
});
