import {
  type Direction,
  type GridPoint,
  type PartSpec,
  pinsOf,
  type SwitchSpec,
} from '../circuits/part-spec.ts';
import type { Box } from './geometry.ts';

/** Place of a pin relative to the middle of an unturned symbol, and direction of its lead. */
export interface PinPlace {
  readonly at: GridPoint;
  readonly away: Direction;
}

/** Shape of an unturned symbol: its pins by name, and the box that no wire may cross. */
export interface SymbolShape {
  readonly pins: Readonly<Record<string, PinPlace>>;
  readonly body: Box;
}

const box = (halfWidth: number, halfHeight: number): Box => ({
  left: -halfWidth,
  top: -halfHeight,
  right: halfWidth,
  bottom: halfHeight,
});

/** As high as two capacitors, one above the other. */
const twoTerminal = (first: string, second: string, body = box(1.5, 0.78)): SymbolShape => ({
  pins: { [first]: { at: [-2, 0], away: 'left' }, [second]: { at: [2, 0], away: 'right' } },
  body,
});

/** With the arrows of a light-emitting diode above it, since any diode can be swapped for one. */
const DIODE_BODY: Box = { left: -1.5, top: -0.95, right: 1.5, bottom: 0.78 };

const transistor = (control: string, upper: string, lower: string): SymbolShape => ({
  pins: {
    [control]: { at: [-2, 0], away: 'left' },
    [upper]: { at: [1, -2], away: 'up' },
    [lower]: { at: [1, 2], away: 'down' },
  },
  body: { left: -1.4, top: -1.6, right: 1.8, bottom: 1.6 },
});

const OPAMP: SymbolShape = {
  pins: {
    plus: { at: [-3, -1], away: 'left' },
    minus: { at: [-3, 1], away: 'left' },
    out: { at: [3, 0], away: 'right' },
    positive: { at: [0, -2], away: 'up' },
    negative: { at: [0, 2], away: 'down' },
  },
  body: box(2.3, 1.8),
};

const POT: SymbolShape = {
  pins: {
    cw: { at: [0, -2], away: 'up' },
    wiper: { at: [2, 0], away: 'right' },
    ccw: { at: [0, 2], away: 'down' },
  },
  body: { left: -0.66, top: -1.5, right: 1.6, bottom: 1.5 },
};

const CONVERTER: SymbolShape = {
  pins: {
    supply: { at: [-3, 0], away: 'left' },
    doubled: { at: [3, -2], away: 'right' },
    inverted: { at: [3, 2], away: 'right' },
  },
  body: box(2.5, 3),
};

/** With the pins of the chip for its pump capacitors. */
const PUMP_CONVERTER: SymbolShape = {
  pins: {
    supply: { at: [-3, 0], away: 'left' },
    boost: { at: [-3, -2], away: 'left' },
    'cap-plus': { at: [3, -2], away: 'right' },
    'cap-minus': { at: [3, 0], away: 'right' },
    inverted: { at: [3, 2], away: 'right' },
  },
  body: box(2.5, 3),
};

/** Contacts of a switch's pole, in the order of its positions. */
export interface Pole {
  readonly common: string;
  readonly throws: readonly string[];
}

/** Poles of a switch: in every pair of connected pins the first is the pole's common contact. */
export function polesOf(part: SwitchSpec): readonly Pole[] {
  const poles = new Map<string, string[]>();
  for (const pairs of Object.values(part.positions)) {
    for (const [common, contact] of pairs) {
      const throws = poles.get(common) ?? [];
      if (!throws.includes(contact)) throws.push(contact);
      poles.set(common, throws);
    }
  }
  return [...poles].map(([common, throws]) => ({ common, throws }));
}

/** Poles one below the other: common contact on the left, other contacts on the right, two steps apart. */
function switchShape(part: SwitchSpec): SymbolShape {
  const pins: Record<string, PinPlace> = {};
  const rows = polesOf(part).reduce((sum, { throws }) => sum + throws.length, 0);
  let y = 1 - rows;
  for (const { common, throws } of polesOf(part)) {
    pins[common] = { at: [-3, y + throws.length - 1], away: 'left' };
    for (const contact of throws) {
      pins[contact] = { at: [3, y], away: 'right' };
      y += 2;
    }
  }
  return { pins, body: box(2.5, rows) };
}

/** Whether a part is drawn. A wiring choice that connects no pins has no symbol. */
export function isDrawn(part: PartSpec): boolean {
  return part.kind !== 'switch' || polesOf(part).length > 0;
}

export function symbolShape(part: PartSpec): SymbolShape {
  switch (part.kind) {
    case 'npn':
    case 'nJfet':
    case 'nMosfet': {
      const [upper, control, lower] = pinsOf(part);
      return transistor(control!, upper!, lower!);
    }
    case 'pnp':
      return transistor('base', 'emitter', 'collector');
    case 'pJfet':
      return transistor('gate', 'source', 'drain');
    case 'opamp':
      return OPAMP;
    case 'pot':
      return POT;
    case 'converter':
      return part.pump ? PUMP_CONVERTER : CONVERTER;
    case 'switch':
      return switchShape(part);
    case 'resistor':
    case 'capacitor':
    case 'inductor':
    case 'supply':
    case 'diode': {
      const [first, second] = pinsOf(part);
      return twoTerminal(first!, second!, part.kind === 'diode' ? DIODE_BODY : undefined);
    }
  }
}
