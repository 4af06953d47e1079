import { describe, expect, it } from 'vitest';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { type Netlist, type NetlistPart, netlistOf } from '../../engine/network/netlist.ts';

import { pruneNetwork } from '../../engine/network/prune.ts';
import { presetBuild } from '../preset-build.ts';

/**
 * What another program can do with a netlist: Kirchhoff's current law from the netlist's numbers alone, written
 * again from the device equations that network.ts states.
 */
class Outsider {
  readonly #netlist: Netlist;
  readonly #volts: ReadonlyMap<string, number>;
  readonly #vt: number;
  /** Current from each net into its parts, A. */
  readonly currents = new Map<string, number>();
  /** For each op-amp: the remainder of its output's equation, V at its input. */
  readonly opampErrors = new Map<string, number>();

  constructor(netlist: Netlist, volts: ReadonlyMap<string, number>) {
    this.#netlist = netlist;
    this.#volts = volts;
    this.#vt = (1.380649e-23 * netlist.temperatureK) / 1.602176634e-19;
    const parts = netlist.parts;
    for (const part of parts) if (part.kind !== 'opamp') this.#load(part);
    // An op-amp's input current may come from another op-amp's output, so these come last.
    for (const part of parts.filter(({ kind }) => kind === 'opamp')) this.#biases(part);
    for (const part of parts.filter(({ kind }) => kind === 'opamp')) this.#opamp(part);
  }

  #at(node: string): number {
    return node === this.#netlist.ground ? 0 : this.#volts.get(node)!;
  }

  #flow(from: string, to: string, amps: number): void {
    this.currents.set(from, (this.currents.get(from) ?? 0) + amps);
    this.currents.set(to, (this.currents.get(to) ?? 0) - amps);
  }

  #load(part: NetlistPart): void {
    const [a, b, c] = part.nodes as [string, string, string];
    const n = part as unknown as Record<string, number>;
    const v = this.#at(a) - this.#at(b);
    if (part.kind === 'resistor') this.#flow(a, b, v / n['ohms']!);
    else if (part.kind === 'diode') this.#flow(a, b, this.#diodeA(n, v));
    else if (part.kind === 'converter') {
      const amps = (n['ratio']! * this.#at(a) - this.#at(b)) / n['outputOhms']!;
      this.#flow(a, this.#netlist.ground, n['ratio']! * amps);
      this.#flow(this.#netlist.ground, b, amps);
    } else if (part.kind === 'npn' || part.kind === 'pnp') {
      const sign = part.kind === 'npn' ? 1 : -1;
      const [vBE, vBC] = [sign * (this.#at(b) - this.#at(c)), sign * (this.#at(b) - this.#at(a))];
      const iF = n['saturationCurrentA']! * Math.expm1(vBE / this.#vt);
      const iR = n['saturationCurrentA']! * Math.expm1(vBC / this.#vt);
      const leakV = (n['collectorLeakageEmission'] ?? 1) * this.#vt;
      const iL = (n['collectorLeakageA'] ?? 0) * Math.expm1(vBC / leakV);
      const early = 1 - vBC / n['earlyV']!;
      this.#flow(a, c, sign * ((iF - iR) * early - iR / n['reverseBeta']! - iL));
      this.#flow(b, c, sign * (iF / n['forwardBeta']! + iR / n['reverseBeta']! + iL));
    } else if (part.kind === 'nJfet') {
      // All at rest here conduct from drain to source.
      const [vGS, vDS] = [this.#at(b) - this.#at(c), this.#at(a) - this.#at(c)];
      const u = Math.max(0, vGS - n['thresholdV']!);
      expect(vDS).toBeGreaterThan(0);
      const square = vDS >= u ? u * u : vDS * (2 * u - vDS);
      this.#flow(a, c, n['betaAPerV2']! * (1 + n['lambdaPerV']! * vDS) * square);
      const gate = n['gateSaturationCurrentA']!;
      this.#flow(b, c, gate * Math.expm1(vGS / this.#vt));
      this.#flow(b, a, gate * Math.expm1((vGS - vDS) / this.#vt));
    } else if (part.kind === 'voltageSource') expect(v).toBeCloseTo(n['volts']!, 12);
    else expect(part.kind).toBe('capacitor');
  }

  /** By bisection of v = vj + R·i(vj); the string's numbers are those of a single diode times the count. */
  #diodeA(n: Record<string, number>, v: number): number {
    const count = n['inSeries']!;
    const nVt = count * n['emissionCoefficient']! * this.#vt;
    const amps = (vj: number) =>
      n['saturationCurrentA']! * Math.expm1(vj / nVt) + n['parallelConductanceS']! * vj;
    let [low, high] = [Math.min(v, 0), Math.max(v, 0)];
    for (let k = 0; k < 100; k++) {
      const middle = (low + high) / 2;
      if (middle + count * n['seriesOhms']! * amps(middle) > v) high = middle;
      else low = middle;
    }
    return amps(low);
  }

  #biases({ nodes, ...n }: NetlistPart): void {
    for (const node of nodes.slice(0, 2)) this.#flow(node, this.#netlist.ground, n['inputBiasA'] as number);
  }

  #opamp(part: NetlistPart): void {
    const [plus, minus, out] = part.nodes as [string, string, string];
    const [positive, negative] = part['supplyNodes'] as [string, string];
    const n = part as unknown as Record<string, number>;
    const sourced = this.currents.get(out) ?? 0;
    this.#flow(sourced > 0 ? positive : negative, out, sourced);
    const share = Math.min(1, (this.#at(positive) - this.#at(negative)) / n['startingSupplyV']!);
    this.#flow(positive, negative, share * n['quiescentA']!);
    const high = this.#at(positive) - n['headroomHighV']!;
    const low = this.#at(negative) + n['headroomLowV']!;
    const w = 2 * Math.PI * n['gainBandwidthHz']!;
    const vd = this.#at(plus) - this.#at(minus);
    const u = (w * vd) / n['slewVPerS']!;
    const x = this.#at(out);
    expect(x).toBeLessThan(high);
    expect(x).toBeGreaterThan(low);
    const drive = (n['slewVPerS']! * u) / Math.sqrt(1 + u * u);
    this.opampErrors.set(part.ref, (drive - (w / n['openLoopGain']!) * (x - (high + low) / 2)) / w);
  }
}

describe('the netlist of a build', () => {
  it.each(presetNames())('has everything that a check of its operating point needs: %s', (name) =>
    expectRest(name, NOMINAL_TEMPERATURE_K),
  );

  it.each(['soft-germanium', 'clean-plain'])('has it at 50 °C too: %s', (name) => expectRest(name, 323.15));

  function expectRest(name: string, temperatureK: number): void {
    const network = networkOf(presetBuild(name), temperatureK);
    const { nets, supplies } = voltageChart(network);
    const volts = new Map(nets.map(({ net, volts: value }) => [net, value]));
    const netlist = JSON.parse(JSON.stringify(netlistOf(pruneNetwork(network)))) as Netlist;
    const { currents, opampErrors } = new Outsider(netlist, volts);
    const sources = netlist.parts.filter(({ kind }) => kind === 'voltageSource');
    const driven = new Set([netlist.ground, netlist.input, ...sources.map(({ nodes }) => nodes[0]!)]);
    expect([...volts.keys()].sort()).toEqual(
      [...currents.keys()].filter((net) => net !== netlist.ground).sort(),
    );
    for (const [net, amps] of currents) {
      // Rest voltages are solved to 1e-11 V; with 10 Ω and junctions at milliamperes this is 1e-12 A.
      if (!driven.has(net)) expect(Math.abs(amps), net).toBeLessThan(1e-11);
    }
    for (const [ref, error] of opampErrors) expect(Math.abs(error), ref).toBeLessThan(1e-10);
    for (const { ref, amps } of supplies) {
      const net = sources.find((part) => part.ref === ref)!.nodes[0]!;
      // With its plus at ground, what a supply gives comes out of that end.
      const sign = volts.get(net)! < 0 ? -1 : 1;
      expect(sign * currents.get(net)!).toBeCloseTo(amps, 10);
    }
  }
});
