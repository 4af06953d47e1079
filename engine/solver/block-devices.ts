import type { PortCharges, PortEquations } from '../devices/device-model.ts';
import { type DeviceKind, deviceModel } from '../devices/devices.ts';
import { add, input, parameter, subtract } from '../devices/formula.ts';
import { OPAMP_PARAMETERS, OPAMP_READINGS, OPAMP_SUPPLY, pinnedOpamp } from '../devices/opamp-equations.ts';

/**
 * Kinds of devices that a block solves: those of the network, one whose ports hold a charge (the kind ends with its
 * structure), an op-amp with pins, or a load of its output, that are solved in the same block (the kind lists them),
 * and the supply current of an op-amp whose supply pins are.
 */
export type BlockDeviceKind =
  | DeviceKind
  | `charged ${DeviceKind} ${string}`
  | `opamp with ${string}`
  | 'opamp supply';

/** Name of the leading coefficient of the implicit step, 1/s, an additional parameter of every device. */
export const STEP_RATE_NAME = 'stepRate';
/** Names of the past of each port's charge, in formulas: r/T·q̂ of backward-difference.ts, A. */
export const PAST_CHARGES = ['past0', 'past1', 'past2', 'past3'] as const;

/** Kind of a device with a structure, see `structureOf`. */
export function chargedKind(kind: DeviceKind, structure: string): BlockDeviceKind {
  return deviceModel(kind).chargesOf?.(structure) ? `charged ${kind} ${structure}` : kind;
}

/** Kind of an op-amp. @param words What of it is solved in the same block, see `OPAMP_READINGS`, and `range` if it has an input range. */
export function pinnedKind(words: readonly string[]): BlockDeviceKind {
  return words.length > 0 ? `opamp with ${words.join(' ')}` : 'opamp';
}

/** Port equations of a kind, its number of ports, and the names of its parameters. */
export interface BlockDeviceModel {
  readonly portCount: number;
  readonly parameters: readonly string[];
  readonly equations: PortEquations | undefined;
  /** Present where the ports hold charges; their currents in `equations` are then those of an implicit step. */
  readonly charges: PortCharges | undefined;
}

const models = new Map<BlockDeviceKind, BlockDeviceModel>();

export function blockDeviceModel(kind: BlockDeviceKind): BlockDeviceModel {
  const known = models.get(kind) ?? makeModel(kind);
  models.set(kind, known);
  return known;
}

function makeModel(kind: BlockDeviceKind): BlockDeviceModel {
  if (kind === 'opamp supply') {
    return { portCount: 2, parameters: OPAMP_PARAMETERS, equations: OPAMP_SUPPLY, charges: undefined };
  }
  if (isPinned(kind)) {
    const words = kind.split(' ').slice(2);
    const readings = OPAMP_READINGS.filter((reading) => words.includes(reading));
    const equations = pinnedOpamp(readings, words.includes('range'));
    return { portCount: 1 + readings.length, parameters: OPAMP_PARAMETERS, equations, charges: undefined };
  }
  if (isCharged(kind)) {
    const [, own, structure] = kind.split(' ') as [string, DeviceKind, string];
    const { ports, parameters, equations, chargesOf } = deviceModel(own);
    const charges = chargesOf!(structure)!;
    return { portCount: ports.length, parameters, equations: chargedEquations(equations!, charges), charges };
  }
  const { ports, parameters, equations } = deviceModel(kind);
  return { portCount: ports.length, parameters, equations, charges: undefined };
}

/** Currents of ports that hold charges after an implicit step: i(v) + r/T·(q(v) − q̂). */
function chargedEquations(equations: PortEquations, charges: PortCharges): PortEquations {
  return {
    ...equations,
    currents: (v) => {
      const held = charges(v, parameter(STEP_RATE_NAME));
      return equations
        .currents(v)
        .map((amps, port) => add(amps, subtract(held[port]!, input(PAST_CHARGES[port]!))));
    },
  };
}

export function isCharged(kind: BlockDeviceKind): kind is `charged ${DeviceKind} ${string}` {
  return kind.startsWith('charged ');
}

export function isPinned(kind: BlockDeviceKind): kind is `opamp with ${string}` {
  return kind.startsWith('opamp with ');
}
