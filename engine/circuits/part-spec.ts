import type { PotLaw } from '../units/taper.ts';
import type { PartJob } from './part-job.ts';

/** Grid coordinates on the drawing, in grid steps; x to the right, y down. */
export type GridPoint = readonly [x: number, y: number];

/** One of the four ways a lead or wire can leave a point. */
export type Direction = 'left' | 'right' | 'up' | 'down';

/**
 * A part's place on the drawing, and its purpose in one sentence. `at` is the middle of the symbol; unturned,
 * a two-terminal part lies with its first pin left and its second right, a transistor has its base left,
 * collector up and emitter down (PNP and P-channel the other way round, as current flows), an op-amp its inputs left (plus above) and its output right, a potentiometer
 * its track upright (clockwise end up) and its wiper right.
 */
export interface Placement {
  readonly at: GridPoint;
  /** Clockwise turn of the symbol, degrees. */
  readonly turn?: 0 | 90 | 180 | 270;
  /** Mirrored top to bottom before it is turned, for example an op-amp with its minus input above. */
  readonly flip?: boolean;
  /** Side of an upright part for its designator and value; right by default. */
  readonly labels?: 'left' | 'right';
  /** What the part does, in one sentence for the part's card. */
  readonly role: string;
  /** By it the part is compared with that of another circuit; absent where no job of the list fits. */
  readonly job?: PartJob;
  /** Absent where the part is fitted at the start. */
  readonly fit?: Fit;
}

/** A part that is not fitted, or replaced by a wire (a jumper). */
export type Fit = 'open' | 'bridged';

/** Kinds of parts that can be not fitted or jumpered. A jumpered potentiometer has all three pins joined. */
export const KINDS_WITH_FIT = ['resistor', 'capacitor', 'inductor', 'diode', 'pot'] as const;

/** Pin names of each kind of part. A switch names its own. */
export interface PinsOfKind {
  resistor: '1' | '2';
  /** A polarised capacitor has its positive end at 1. */
  capacitor: '1' | '2';
  inductor: '1' | '2';
  diode: 'anode' | 'cathode';
  npn: 'collector' | 'base' | 'emitter';
  pnp: 'collector' | 'base' | 'emitter';
  nJfet: 'drain' | 'gate' | 'source';
  pJfet: 'drain' | 'gate' | 'source';
  nMosfet: 'drain' | 'gate' | 'source';
  opamp: 'plus' | 'minus' | 'out' | 'positive' | 'negative';
  pot: 'ccw' | 'wiper' | 'cw';
  supply: 'plus' | 'minus';
  /**
   * `inverted` is the negative output. Without `pump`, `doubled` drives the two diodes of a doubler. With it, the pins are
   * those on the chip: `boost`, and `cap-plus` and `cap-minus` for the pump capacitors.
   */
  converter: 'supply' | 'doubled' | 'inverted' | 'boost' | 'cap-plus' | 'cap-minus';
}

interface ValuePart<K extends 'resistor' | 'inductor' | 'supply'> extends Placement {
  readonly kind: K;
  /** Starting value, IEC 60062 code. */
  readonly value: string;
}
export type ResistorSpec = ValuePart<'resistor'>;
export type InductorSpec = ValuePart<'inductor'>;
export type SupplySpec = ValuePart<'supply'>;

export interface CapacitorSpec extends Placement {
  readonly kind: 'capacitor';
  readonly value: string;
  readonly polarised: boolean;
}
export interface DiodeSpec extends Placement {
  readonly kind: 'diode';
  readonly type: string;
  readonly count: number;
}
export type TransistorKind = 'npn' | 'pnp' | 'nJfet' | 'pJfet' | 'nMosfet';

export interface TransistorSpec<K extends TransistorKind = TransistorKind> extends Placement {
  readonly kind: K;
  readonly type: string;
}
/** One amplifier of a package. The package has the type, so that both halves are swapped together. */
export interface OpampSpec extends Placement {
  readonly kind: 'opamp';
  readonly package: string;
}
export interface PotSpec extends Placement {
  readonly kind: 'pot';
  readonly value: string;
  readonly law: PotLaw;
}
/** Charge-pump converter used as doubler and inverter at once. */
export interface ConverterSpec extends Placement {
  readonly kind: 'converter';
  readonly type: string;
  /** Open-circuit voltage of each output divided by that of the supply pin. */
  readonly ratios: { readonly doubled: number; readonly inverted: number };
  /** Its pump capacitors, where they are parts of the circuit. */
  readonly pump?: PumpParts;
}
/** Parts around a converter that pump: of the doubler its capacitor and first diode, of the inverter its capacitor. */
export interface PumpParts {
  readonly doubler: { readonly capacitor: string; readonly diode: string };
  readonly inverter: { readonly capacitor: string };
}
/** Each position connects some pairs of pins. */
export interface SwitchSpec<Pin extends string = string> extends Placement {
  readonly kind: 'switch';
  readonly pins: readonly Pin[];
  readonly positions: Readonly<Record<string, readonly (readonly [Pin, Pin])[]>>;
}

export type PartSpec =
  | ResistorSpec
  | CapacitorSpec
  | InductorSpec
  | SupplySpec
  | DiodeSpec
  | TransistorSpec
  | OpampSpec
  | PotSpec
  | ConverterSpec
  | SwitchSpec;

/** Pin names of a part, for the type system. */
export type PinOf<P extends PartSpec> =
  P extends SwitchSpec<infer Pin> ? Pin : P['kind'] extends keyof PinsOfKind ? PinsOfKind[P['kind']] : never;

const PINS: { readonly [K in keyof PinsOfKind]: readonly PinsOfKind[K][] } = {
  resistor: ['1', '2'],
  capacitor: ['1', '2'],
  inductor: ['1', '2'],
  diode: ['anode', 'cathode'],
  npn: ['collector', 'base', 'emitter'],
  pnp: ['collector', 'base', 'emitter'],
  nJfet: ['drain', 'gate', 'source'],
  pJfet: ['drain', 'gate', 'source'],
  nMosfet: ['drain', 'gate', 'source'],
  opamp: ['plus', 'minus', 'out', 'positive', 'negative'],
  pot: ['ccw', 'wiper', 'cw'],
  supply: ['plus', 'minus'],
  converter: ['supply', 'doubled', 'inverted'],
};
const PUMP_PINS: readonly PinsOfKind['converter'][] = [
  'supply',
  'boost',
  'cap-plus',
  'cap-minus',
  'inverted',
];

/** Pin names of a part, in the order of the network's nodes. */
export function pinsOf(part: PartSpec): readonly string[] {
  if (part.kind === 'switch') return part.pins;
  return part.kind === 'converter' && part.pump ? PUMP_PINS : PINS[part.kind];
}

export const resistor = (value: string, placement: Placement): ResistorSpec => ({
  kind: 'resistor',
  value,
  ...placement,
});
export const capacitor = (value: string, placement: Placement): CapacitorSpec => ({
  kind: 'capacitor',
  value,
  polarised: false,
  ...placement,
});
export const electrolytic = (value: string, placement: Placement): CapacitorSpec => ({
  kind: 'capacitor',
  value,
  polarised: true,
  ...placement,
});
export const supply = (value: string, placement: Placement): SupplySpec => ({
  kind: 'supply',
  value,
  ...placement,
});
export const diode = (type: string, placement: Placement): DiodeSpec => ({
  kind: 'diode',
  type,
  count: 1,
  ...placement,
});
export const npn = (type: string, placement: Placement): TransistorSpec<'npn'> => ({
  kind: 'npn',
  type,
  ...placement,
});
export const pnp = (type: string, placement: Placement): TransistorSpec<'pnp'> => ({
  kind: 'pnp',
  type,
  ...placement,
});
export const nJfet = (type: string, placement: Placement): TransistorSpec<'nJfet'> => ({
  kind: 'nJfet',
  type,
  ...placement,
});
export const opamp = (packageRef: string, placement: Placement): OpampSpec => ({
  kind: 'opamp',
  package: packageRef,
  ...placement,
});
export const pot = (value: string, law: PotLaw, placement: Placement): PotSpec => ({
  kind: 'pot',
  value,
  law,
  ...placement,
});
export const converter = (type: string, pump: PumpParts, placement: Placement): ConverterSpec => ({
  kind: 'converter',
  type,
  ratios: { doubled: 2, inverted: -1 },
  pump,
  ...placement,
});
export const switchPart = <const Pin extends string>(
  pins: readonly Pin[],
  positions: Readonly<Record<string, readonly (readonly [Pin, Pin])[]>>,
  placement: Placement,
): SwitchSpec<Pin> => ({ kind: 'switch', pins, positions, ...placement });
