import type { BjtData } from '../../engine/devices/bipolar.ts';
import type { DiodeData } from '../../engine/devices/diode.ts';
import type { Fet, FetData } from '../../engine/devices/field-effect.ts';
import { GROUND } from '../../engine/devices/node.ts';
import type { OpampData } from '../../engine/devices/opamp-data.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';

/** A small silicon diode, as 1N4148 in the catalogue. */
export const SILICON: DiodeData = {
  saturationCurrentA: 2.52e-9,
  emissionCoefficient: 1.752,
  seriesOhms: 0.568,
  zeroBiasCapacitanceF: 4e-12,
};
/** An op-amp of the usual speed, without input current. */
export const AMPLIFIER: OpampData = {
  gainBandwidthHz: 3e6,
  slewVPerS: 1.7e6,
  openLoopGain: 1e5,
  headroomHighV: 1,
  headroomLowV: 1,
  inputBiasA: 0,
  quiescentA: 1e-3,
};

/** Networks of a few primitives, from `in` to `out` if nothing else is given. */
export function network(
  primitives: readonly Primitive[],
  { output = 'out', rails = [] }: { output?: string; rails?: readonly string[] } = {},
): Network {
  return { input: 'in', output, rails, temperatureK: NOMINAL_TEMPERATURE_K, primitives };
}

export const resistor = (ref: string, a: string, b: string, ohms: number): Primitive => ({
  kind: 'resistor',
  ...ofPart(ref),
  nodes: [a, b],
  ohms,
});
export const capacitor = (ref: string, a: string, b: string, farads: number): Primitive => ({
  kind: 'capacitor',
  ...ofPart(ref),
  nodes: [a, b],
  farads,
});
export const inductor = (ref: string, a: string, b: string, henries: number): Primitive => ({
  kind: 'inductor',
  ...ofPart(ref),
  nodes: [a, b],
  henries,
});
export const source = (node: string, volts: number): Primitive => ({
  kind: 'voltageSource',
  ...ofPart(`V ${node}`),
  nodes: [node, GROUND],
  volts,
});
export const diode = (
  ref: string,
  nodes: readonly [anode: string, cathode: string],
  data: DiodeData,
  count = 1,
): Primitive => ({ kind: 'diode', ...ofPart(ref), nodes, count, data });
export const bipolar = (
  kind: 'npn' | 'pnp',
  ref: string,
  nodes: readonly [collector: string, base: string, emitter: string],
  data: BjtData,
): Primitive => ({ kind, ...ofPart(ref), nodes, data });
export const fieldEffect = (
  kind: Fet['kind'],
  ref: string,
  nodes: readonly [drain: string, gate: string, source: string],
  data: FetData,
): Primitive => ({ kind, ...ofPart(ref), nodes, data });
export const opamp = (
  ref: string,
  nodes: readonly [plus: string, minus: string, out: string, positive: string, negative: string],
  data: OpampData,
): Primitive => ({ kind: 'opamp', ...ofPart(ref), nodes, data });

export interface Run {
  readonly simulator: CircuitSimulator;
  readonly output: Float64Array;
}

/** Output for an input given at each time, at rest before. */
export function run(
  circuit: Network,
  sampleRateHz: number,
  input: Float64Array,
  options: { readonly interpreted?: boolean; readonly observed?: readonly string[] } = {},
): Run {
  const simulator = new CircuitSimulator(compileCircuit(circuit, { sampleRateHz, ...options }));
  const output = new Float64Array(input.length);
  simulator.process(input, output, input.length);
  return { simulator, output };
}

export function sine(length: number, sampleRateHz: number, hz: number, peakV: number): Float64Array {
  return Float64Array.from({ length }, (_, n) => peakV * Math.sin((2 * Math.PI * hz * n) / sampleRateHz));
}

/** Peak magnitude. */
export function peakOf(signal: Float64Array): number {
  return signal.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
}

/** Largest difference between two signals of the same length. */
export function differenceOf(a: Float64Array, b: Float64Array): number {
  return peakOf(a.map((volts, n) => volts - b[n]!));
}

/** Numbers from 0 to 1, the same for the same seed (Lehmer's generator). */
export function uniform(seed: number): () => number {
  let state = 1 + seed * 7919;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}
