import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import type { Build } from '../../engine/builds/build.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { USUAL_INSTRUMENT, withInstrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { withOutputLoad } from '../../engine/builds/output-load.ts';
import { groupsOf, readParts } from '../../engine/builds/part-groups.ts';
import { swapsBetween } from '../../engine/builds/swaps.ts';
import type { BypassKind } from '../../engine/circuits/circuit.ts';
import { circuitDocument, parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { fetEntry } from '../../engine/parts/part-types.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { bypassBuild, cleanWithBypass, softWithBypass } from '../bypass-parts.ts';

const on = (build: Build) => networkOf(build, NOMINAL_TEMPERATURE_K);
const off = (build: Build) => bypassedNetworkOf(build, NOMINAL_TEMPERATURE_K);
const gainDb = (network: Network, hz = 1000, net = network.output) =>
  new FrequencyResponse(network).at(hz, net).decibels;
const volts = (network: Network, net: string) =>
  voltageChart(network).nets.find((each) => each.net === net)!.volts;
const refs = ({ primitives }: Network) => new Set(primitives.map(({ origin }) => origin.ref));

describe('the parts of a bypass', () => {
  it('are in the network, on the parts list and on the schematic with their own kind alone', () => {
    const own: Readonly<Record<BypassKind, readonly string[]>> = {
      true: [],
      buffered: ['C101', 'R101'],
      'transistor-switched': ['Q101', 'Q102', 'D101', 'C104', 'R106'],
    };
    for (const kind of softWithBypass.bypass.kinds) {
      const build = bypassBuild(kind);
      const listed = new Set(orderRows(build).flatMap((row) => row.refs));
      for (const [of, parts] of Object.entries(own)) {
        for (const ref of parts) {
          expect(refs(on(build)).has(ref), `${ref} with ${kind}`).toBe(of === kind);
          expect(listed.has(ref), `${ref} with ${kind}`).toBe(of === kind);
        }
      }
      expect(orderRows(build).filter(({ kind: own }) => own === 'footswitch')).toHaveLength(1);
    }
  });

  it('leave the network with true bypass as it is without them', () => {
    for (const circuit of [softWithBypass, cleanWithBypass]) {
      const plain = {
        ...circuit,
        stages: fittedCircuit({ circuit, bypass: 'true' }).stages.filter(({ bypass }) => !bypass),
        bypass: { kinds: ['true' as const], footswitch: [] },
      };
      const build = bypassBuild('true', {}, circuit);
      expect(on(build)).toEqual(on({ ...build, circuit: plain }));
    }
  });

  it('are one circuit: a document of it is read back, and its swaps do not count with another kind', () => {
    for (const circuit of [softWithBypass, cleanWithBypass])
      expect(parseCircuit(JSON.parse(JSON.stringify(circuitDocument(circuit)))).problems).toBeUndefined();
    const swapped = { R101: { value: '22k' } };
    expect(swapsBetween(bypassBuild('true'), bypassBuild('true', swapped))).toEqual([]);
    expect(swapsBetween(bypassBuild('buffered'), bypassBuild('buffered', swapped))).toMatchObject([
      { ref: 'R101', before: '100k', after: '22k' },
    ]);
  });

  it('are ranked and grouped only where they are soldered', () => {
    expect(() => readParts(bypassBuild('true'), 'Q101')).toThrow(/with true bypass has no part Q101/);
    expect(readParts(bypassBuild('transistor-switched'), 'bypass transistors')).toHaveLength(2);
    expect(groupsOf(bypassBuild('buffered')).map(({ name }) => name)).not.toContain('bypass transistors');
  });
});

describe('a buffered bypass of parts', () => {
  it('loses as much as one emitter follower with its loads', () => {
    const build = bypassBuild('buffered');
    // By hand: r_e = V_T/I_E against R3 ∥ R5 ∥ R101, since the circuit goes on loading the follower.
    const emitterOhms = thermalVoltage(NOMINAL_TEMPERATURE_K) / (volts(off(build), 'buffered') / 10e3);
    const loadOhms = 1 / (1 / 10e3 + 1 / 10e3 + 1 / 100e3);
    expect(gainDb(off(build))).toBeCloseTo(20 * Math.log10(loadOhms / (loadOhms + emitterOhms)), 1);
  });

  it('keeps the pickup from the cable after it', () => {
    const at = (metres: number) => {
      const loaded = withOutputLoad(off(bypassBuild('buffered')), {
        input: 'amplifier',
        cableMetres: metres,
      });
      return gainDb(withInstrument(loaded, USUAL_INSTRUMENT), 4000);
    };
    expect(Math.abs(at(12) - at(0))).toBeLessThan(0.1);
  });

  it('has the corner of its own coupling capacitor', () => {
    const build = bypassBuild('buffered', { C101: { value: '15n' } });
    // 1/(2π·100 kΩ·15 nF) = 106 Hz, where it has lost 3 dB.
    expect(gainDb(off(build), 106.1) - gainDb(off(bypassBuild('buffered')), 106.1)).toBeCloseTo(-3, 1);
  });
});

describe('a transistor-switched bypass of parts', () => {
  // A bias that is held still, so that the transistors alone decide.
  const held: Build['parts'] = { C10: { value: '10m' } };
  const build = (parts: Build['parts'] = {}) => bypassBuild('transistor-switched', { ...held, ...parts });

  it('passes what the on-resistance of its type lets pass', () => {
    for (const type of ['J113', '2N5457']) {
      const network = off(build({ Q102: { type }, R104: { value: '1k' } }));
      const { betaAPerV2, thresholdV } = fetEntry(type).data;
      // Shichman and Hodges at small voltages: R = 1/(2·β·(V_GS − V_to)); R104 is the load, the rest 0.5 MΩ beside it.
      const gateV = volts(network, 'bypass gate') - volts(network, 'switched');
      const onOhms = 1 / (2 * betaAPerV2 * (gateV - thresholdV));
      const lossDb = gainDb(network, 1000, 'switched') - gainDb(network, 1000, 'bypass channel');
      expect(gateV).toBeGreaterThan(0);
      expect(lossDb).toBeCloseTo(20 * Math.log10(998 / (998 + onOhms)), 2);
    }
  });

  it('is really off where it is off: with the output knob at zero nothing is left', () => {
    const silent = { ...build(), knobs: { ...build().knobs, output: 0 } };
    // The track's remaining 2 Ω of 100 kΩ let -94 dB pass.
    expect(gainDb(on(silent), 1000, 'switched') - gainDb(on(silent), 1000, 'R11.2')).toBeLessThan(-93);
    const gateV = volts(on(silent), 'bypass gate') - volts(on(silent), 'switched');
    expect(gateV).toBeLessThan(-3.5);
  });

  it('has the transistor of the effect in the signal path while the effect is on', () => {
    expect(refs(on(build()))).toContain('Q101');
    const lossDb = (type: string) => {
      const network = on(build({ Q101: { type }, R104: { value: '1k' } }));
      return gainDb(network, 1000, 'switched') - gainDb(network, 1000, 'effect channel');
    };
    expect(lossDb('2N5457')).toBeLessThan(lossDb('J113') - 1);
  });

  it('plays, on and bypassed, without losing its solution', () => {
    for (const network of [on(build()), off(build())]) {
      const sampleRateHz = 8 * 48_000;
      const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz }));
      const input = Float64Array.from({ length: sampleRateHz / 20 }, (_, n) => Math.sin(n / 300));
      const output = new Float64Array(input.length);
      simulator.process(input, output, input.length);
      expect(simulator.failures + simulator.resets).toBe(0);
      expect(Math.max(...output)).toBeGreaterThan(0.2);
    }
  });
});
