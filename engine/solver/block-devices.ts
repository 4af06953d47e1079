import type { PortEquations } from '../devices/device-model.ts';
import { type DeviceKind, deviceModel } from '../devices/devices.ts';
import { OPAMP_PARAMETERS, OPAMP_PINS, OPAMP_SUPPLY, pinnedOpamp } from '../devices/opamp.ts';

/**
 * Kinds of devices that a block solves: those of the network, an op-amp with pins that are solved in the same block (the
 * kind lists them), and the supply current of such an op-amp.
 */
export type BlockDeviceKind = DeviceKind | `opamp with ${string}` | 'opamp supply';

/** Kind of an op-amp. @param words Its pins that are solved in the same block, and `range` if it has an input range. */
export function pinnedKind(words: readonly string[]): BlockDeviceKind {
  return words.length > 0 ? `opamp with ${words.join(' ')}` : 'opamp';
}

/** Port equations of a kind, its number of ports, and the names of its parameters. */
export interface BlockDeviceModel {
  readonly portCount: number;
  readonly parameters: readonly string[];
  readonly equations: PortEquations | undefined;
}

const models = new Map<BlockDeviceKind, BlockDeviceModel>();

export function blockDeviceModel(kind: BlockDeviceKind): BlockDeviceModel {
  const known = models.get(kind) ?? makeModel(kind);
  models.set(kind, known);
  return known;
}

function makeModel(kind: BlockDeviceKind): BlockDeviceModel {
  if (kind === 'opamp supply') {
    return { portCount: 2, parameters: OPAMP_PARAMETERS, equations: OPAMP_SUPPLY };
  }
  if (isPinned(kind)) {
    const words = kind.split(' ').slice(2);
    const pins = OPAMP_PINS.filter((pin) => words.includes(pin));
    const equations = pinnedOpamp(pins, words.includes('range'));
    return { portCount: 1 + pins.length, parameters: OPAMP_PARAMETERS, equations };
  }
  const { ports, parameters, equations } = deviceModel(kind);
  return { portCount: ports.length, parameters, equations };
}

export function isPinned(kind: BlockDeviceKind): kind is `opamp with ${string}` {
  return kind.startsWith('opamp with ');
}
