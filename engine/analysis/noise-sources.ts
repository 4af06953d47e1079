import {
  type Bjt,
  BOLTZMANN_J_PER_K,
  type DiodeString,
  ELEMENTARY_CHARGE_C,
  type Fet,
  type NodeName,
  type Opamp,
  type Primitive,
  thermalVoltage,
} from '../network/network.ts';
import { bipolar, opampRate } from '../solver/device-equations.ts';
import { type NodalSystem, seriesDiode } from '../solver/nodal-system.ts';
import { DIODE, parametersOf } from '../solver/parameters.ts';

/** The physical kind of a source, in the words of the screen. */
export type NoiseKind =
  | 'thermal noise'
  | 'voltage noise'
  | 'current noise'
  | 'shot noise'
  | 'base resistance noise'
  | 'collector shot noise'
  | 'base shot noise'
  | 'channel noise'
  | 'gate shot noise';

/** One source of noise, unrelated to all others, as it enters the nodal equations. */
export interface NoiseSource {
  /** The primitive that it is in. */
  readonly ref: string;
  readonly kind: NoiseKind;
  /** Whether `density` is in V²/Hz (a voltage in series with the part) or in A²/Hz. */
  readonly unit: 'V' | 'A';
  /** What one unit of it adds to each row of F(v). */
  readonly rows: readonly { readonly row: number; readonly weight: number }[];
  /** Squared density far above the corner, one-sided; at f it is (1 + cornerHz/f) times that. */
  readonly density: number;
  readonly cornerHz: number;
}

interface RestState {
  readonly system: NodalSystem;
  readonly temperatureK: number;
  readonly voltsAt: (node: NodeName) => number;
}

const UNIT_HZ = 1000;

/**
 * Every source of noise in a network at its rest state:
 *
 *   resistor        4kTR in series with it (each half of a potentiometer's track on its own)
 *   converter       the same of its output resistance
 *   op-amp          the sheet's voltage in series with an input, its current into each input
 *   diode           2q·I·coth(v/2V_T) of the junction, 4kTR_S of its series resistance
 *   BJT             2q of each junction's two opposed currents; 4kTR of the base resistance
 *   FET             4kT·(2/3)·g_d0·(1 + a + a²)/(1 + a), a = 1 − v_DS/v_DSsat; 2q of the gate junctions' currents
 *
 * The diode's law gives shot noise 2qI well above V_T and, whatever its emission coefficient, the thermal noise
 * 4kT·g at rest without bias, as Nyquist's theorem demands. Left out: flicker noise of anything but op-amps, excess
 * noise of resistors, the converter's ripple.
 *
 * @param system Evaluated at the rest state.
 * @see A. van der Ziel, Noise in Solid State Devices and Circuits (1986); for the coth M. S. Gupta, Proc. IEEE 70
 * (1982), 788; both from memory
 */
export function noiseSourcesOf(primitives: readonly Primitive[], rest: RestState): NoiseSource[] {
  return primitives.flatMap((primitive) => sourcesIn(primitive, rest)).filter(({ density }) => density > 0);
}

function sourcesIn(primitive: Primitive, rest: RestState): NoiseSource[] {
  switch (primitive.kind) {
    case 'resistor':
      return [thermal(primitive, primitive.ohms, rest)];
    case 'converter': {
      const [supply, out] = primitive.nodes;
      const siemens = 1 / primitive.outputOhms;
      const rows = rowsOf(rest, [supply, -primitive.ratio * siemens], [out, siemens]);
      return [{ ...thermal(primitive, primitive.outputOhms, rest), rows }];
    }
    case 'diode':
      return diodeSources(primitive, rest);
    case 'npn':
    case 'pnp':
      return bjtSources(primitive, rest);
    case 'nJfet':
    case 'nMosfet':
      return fetSources(primitive, rest);
    case 'opamp':
      return opampSources(primitive, rest);
    default:
      return [];
  }
}

/** Rows in which currents into nodes show, with their weights. */
function rowsOf({ system }: RestState, ...entries: readonly [NodeName, number][]): NoiseSource['rows'] {
  return entries
    .map(([node, weight]) => ({ row: system.currentRowOf(system.indexOf(node)), weight }))
    .filter(({ row }) => row >= 0);
}

function thermal({ ref, nodes }: Primitive, ohms: number, rest: RestState): NoiseSource {
  const [a = '', b = ''] = nodes;
  return {
    ref,
    kind: 'thermal noise',
    unit: 'V',
    rows: rowsOf(rest, [a, 1 / ohms], [b, -1 / ohms]),
    density: 4 * BOLTZMANN_J_PER_K * rest.temperatureK * ohms,
    cornerHz: 0,
  };
}

/** A current from node to node. */
function current(ref: string, kind: NoiseKind, rows: NoiseSource['rows'], density: number): NoiseSource {
  return { ref, kind, unit: 'A', rows, density, cornerHz: 0 };
}

function diodeSources(diode: DiodeString, rest: RestState): NoiseSource[] {
  const { ref, nodes, count } = diode;
  const [anode, cathode] = nodes;
  const parameters = Float64Array.from(parametersOf(diode, rest.temperatureK));
  const seriesOhms = parameters[DIODE.seriesOhms]!;
  const device = new Float64Array(2);
  const volts = rest.voltsAt(anode) - rest.voltsAt(cathode);
  seriesDiode(parameters, 0, volts, device);
  const amps = device[0]!;
  const siemens = device[1]!;
  // How much of a current in the junction leaves the string: the series resistance carries the rest back.
  const share = 1 - siemens * seriesOhms;
  const junctionV = (volts - seriesOhms * amps) / count;
  const scale = 2 * thermalVoltage(rest.temperatureK);
  const quotient =
    Math.abs(junctionV) < 1e-9 * scale
      ? (siemens / share) * count * scale
      : amps / Math.tanh(junctionV / scale);
  const rows = rowsOf(rest, [anode, 1], [cathode, -1]);
  const shot = (2 * ELEMENTARY_CHARGE_C * quotient * share * share) / count;
  const series = rowsOf(rest, [anode, siemens], [cathode, -siemens]);
  return [current(ref, 'shot noise', rows, shot), { ...thermal(diode, seriesOhms, rest), rows: series }];
}

function bjtSources(bjt: Bjt, rest: RestState): NoiseSource[] {
  const { ref, kind, nodes, data, noiseBaseOhms = 0 } = bjt;
  const [collector, base, emitter] = nodes;
  const polarity = kind === 'npn' ? 1 : -1;
  const vBE = rest.voltsAt(base) - rest.voltsAt(emitter);
  const vBC = rest.voltsAt(base) - rest.voltsAt(collector);
  const device = new Float64Array(6);
  bipolar(Float64Array.from(parametersOf(bjt, rest.temperatureK)), 0, polarity, vBE, vBC, device, 0);
  const { saturationCurrentA, earlyV } = data;
  const opposed = (volts: number) => opposedCurrents(saturationCurrentA, polarity * volts, rest);
  // What crosses the base from the emitter and from the collector.
  const transported = opposed(vBE) + opposed(vBC) - 2 * saturationCurrentA;
  const collectorA = transported * (1 - (polarity * vBC) / earlyV);
  const byBE = device[2]! + device[3]!;
  const byBC = device[4]! + device[5]!;
  const q2 = 2 * ELEMENTARY_CHARGE_C;
  const toEmitter = rowsOf(rest, [base, 1], [emitter, -1]);
  const toCollector = rowsOf(rest, [base, 1], [collector, -1]);
  return [
    {
      ...thermal(bjt, noiseBaseOhms, rest),
      kind: 'base resistance noise',
      rows: rowsOf(rest, [base, byBE + byBC], [emitter, -byBE], [collector, -byBC]),
    },
    current(ref, 'collector shot noise', rowsOf(rest, [collector, 1], [emitter, -1]), q2 * collectorA),
    current(ref, 'base shot noise', toEmitter, (q2 * opposed(vBE)) / data.forwardBeta),
    current(ref, 'base shot noise', toCollector, (q2 * opposed(vBC)) / data.reverseBeta),
  ];
}

/** I_S·exp(v/V_T) one way and I_S the other: the sum of what crosses a junction to and fro, A. */
function opposedCurrents(saturationA: number, volts: number, { temperatureK }: RestState): number {
  return saturationA * (Math.exp(volts / thermalVoltage(temperatureK)) + 1);
}

function fetSources({ ref, nodes, data }: Fet, rest: RestState): NoiseSource[] {
  const [drain, gate, source] = nodes;
  const vDS = rest.voltsAt(drain) - rest.voltsAt(source);
  const vGS = rest.voltsAt(gate) - rest.voltsAt(source);
  const span = Math.abs(vDS);
  const drive = Math.max((vDS < 0 ? vGS - vDS : vGS) - data.thresholdV, 0);
  const openness = drive > 0 ? Math.max(0, 1 - span / drive) : 0;
  const unsaturatedS = 2 * data.betaAPerV2 * (1 + data.lambdaPerV * span) * drive;
  const shape = (2 / 3) * ((1 + openness + openness * openness) / (1 + openness));
  const density = 4 * BOLTZMANN_J_PER_K * rest.temperatureK * unsaturatedS * shape;
  const gateDensity = (volts: number) =>
    2 * ELEMENTARY_CHARGE_C * opposedCurrents(data.gateSaturationCurrentA, volts, rest);
  return [
    current(ref, 'channel noise', rowsOf(rest, [drain, 1], [source, -1]), density),
    current(ref, 'gate shot noise', rowsOf(rest, [gate, 1], [source, -1]), gateDensity(vGS)),
    current(ref, 'gate shot noise', rowsOf(rest, [gate, 1], [drain, -1]), gateDensity(vGS - vDS)),
  ];
}

function opampSources(opamp: Opamp, rest: RestState): NoiseSource[] {
  const { ref, nodes, noise, data } = opamp;
  if (!noise) return [];
  const [plus, minus, out, positive, negative] = nodes;
  const high = rest.voltsAt(positive) - data.headroomHighV;
  const low = rest.voltsAt(negative) + data.headroomLowV;
  const device = new Float64Array(5);
  const vd = rest.voltsAt(plus) - rest.voltsAt(minus);
  const parameters = Float64Array.from(parametersOf(opamp, rest.temperatureK));
  opampRate(parameters, 0, vd, rest.voltsAt(out), high, low, device, 0);
  const own = { row: rest.system.indexOf(out), weight: -device[1]! / (2 * Math.PI * data.gainBandwidthHz) };
  const voltage = white(noise.voltageAt1kHzVPerRtHz, noise.voltageCornerHz);
  const drawn = { ...white(noise.currentAt1kHzAPerRtHz, noise.currentCornerHz), ref, unit: 'A' } as const;
  return [
    { ref, kind: 'voltage noise', unit: 'V', rows: [own], ...voltage },
    { ...drawn, kind: 'current noise', rows: rowsOf(rest, [plus, 1]) },
    { ...drawn, kind: 'current noise', rows: rowsOf(rest, [minus, 1]) },
  ];
}

/** Squared density far above the corner from the density at 1 kHz. */
function white(at1kHz: number, cornerHz: number): { density: number; cornerHz: number } {
  return { density: (at1kHz * at1kHz) / (1 + cornerHz / UNIT_HZ), cornerHz };
}
