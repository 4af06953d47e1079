import type { DeviceRest, NoiseCurrents, NoiseKind } from '../devices/device-model.ts';
import { type Device, deviceModel, isDevice } from '../devices/devices.ts';
import type { NodeName } from '../devices/node.ts';
import { thermalNoise } from '../devices/noise.ts';
import type { Origin } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import type { NodalSystem } from '../solver/nodal-system.ts';
import { pinTape } from '../solver/opamp-pins.ts';
import { parametersOf } from '../solver/parameters.ts';
import { PortDevice } from '../solver/port-device.ts';

/** One noise source, not correlated with others, as it enters the nodal equations. */
export interface NoiseSource {
  /** What it is in. */
  readonly origin: Origin;
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

/**
 * Every noise source in a network at its operating point: 4kTR in series with each resistor (each half of a potentiometer's
 * track on its own), and what the devices have, each by the law in its file. Left out: flicker noise of anything but
 * op-amps, excess noise of resistors, the converter's ripple.
 *
 * @param system Evaluated at the operating point.
 */
export function noiseSourcesOf(primitives: readonly Primitive[], rest: RestState): NoiseSource[] {
  return primitives.flatMap((primitive) => sourcesIn(primitive, rest)).filter(({ density }) => density > 0);
}

function sourcesIn(primitive: Primitive, rest: RestState): NoiseSource[] {
  if (primitive.kind === 'resistor') {
    const { origin, nodes, ohms } = primitive;
    const noise = thermalNoise(ohms, rest.temperatureK, [
      [0, 1 / ohms],
      [1, -1 / ohms],
    ]);
    return [{ ...noise, origin, rows: rowsInto(nodes, noise.into, rest) }];
  }
  if (!isDevice(primitive)) return [];
  const { origin, kind, nodes } = primitive;
  const sources = deviceModel(kind).noiseSources(primitive, restOf(primitive, rest));
  return sources.map(({ into, ...noise }) => ({
    ...noise,
    origin,
    rows: into === 'input' ? rowOfInput(primitive, rest) : rowsInto(nodes, into, rest),
  }));
}

/** A device's ports at the operating point; an op-amp's output is not a current. */
function restOf(device: Device, { temperatureK, voltsAt }: RestState): DeviceRest {
  const volts = device.nodes.map(voltsAt);
  const { ports, equations } = deviceModel(device.kind);
  if (!equations || device.kind === 'opamp') return { temperatureK, volts, currents: [], slopes: [] };
  const evaluated = PortDevice.of(device.kind);
  ports.forEach(([plus, minus], port) => {
    evaluated.volts[port] = volts[plus]! - volts[minus]!;
  });
  evaluated.evaluate(Float64Array.from(parametersOf(device, temperatureK)), 0);
  const { currents, slopes } = evaluated;
  const row = (_: unknown, port: number) => [...slopes.slice(ports.length * port, ports.length * (port + 1))];
  return { temperatureK, volts, currents: [...currents], slopes: ports.map(row) };
}

/** Rows of the equations for currents from terminals, with their weights. */
function rowsInto(
  nodes: readonly NodeName[],
  into: NoiseCurrents,
  { system }: RestState,
): NoiseSource['rows'] {
  return into
    .map(([terminal, weight]) => ({ row: system.currentRowOf(system.indexOf(nodes[terminal]!)), weight }))
    .filter(({ row }) => row >= 0);
}

/** The op-amp's own equation, and what a voltage in series with the inverting input adds to it. */
function rowOfInput(device: Device, { system, temperatureK, voltsAt }: RestState): NoiseSource['rows'] {
  if (device.kind !== 'opamp') throw new TypeError(`${device.ref} has no input`);
  const own = pinTape(device.data.commonMode !== undefined, false);
  own.inputs.set(device.nodes.map(voltsAt));
  own.run(Float64Array.from(parametersOf(device, temperatureK)), 0);
  const [, byMinus] = own.outputs.subarray(1);
  return [{ row: system.indexOf(device.nodes[2]), weight: byMinus! }];
}
