/** A lug of what is off the board, or a pad of the board. */
export interface Lug {
  /** As on the drawing: "1", "tip", "+". */
  readonly lug: string;
  /** What it is called beside its number: "wiper"; empty if the lug says it. */
  readonly name: string;
  /** Pin of the circuit, such as "S1A.jack"; absent where the circuit has none, as at the switched contact of a socket. */
  readonly pin?: string;
  /** Net that it carries; absent on a free lug. */
  readonly net?: string;
  /** Wired only if the part at the other end is fitted. */
  readonly isOptional?: boolean;
}

export type ItemKind =
  | 'pot'
  | 'toggle'
  | 'named-switch'
  | 'footswitch'
  | 'named-footswitch'
  | 'input jack'
  | 'output jack'
  | 'DC socket'
  | 'battery'
  | 'LED'
  | 'LED resistor'
  | 'board';

/** A part off the board, or the board itself. */
export interface WiringItem {
  /** Designator, or a name: "VR1", "S1", "input jack". */
  readonly ref: string;
  readonly kind: ItemKind;
  readonly title: string;
  /** What stands below the title. */
  readonly lines: readonly string[];
  readonly lugs: readonly Lug[];
  /** Of a toggle switch; its lugs are those of one pole after the other. */
  readonly poles?: number;
  /** Not fitted in the build: drawn dashed. */
  readonly isOptional?: boolean;
}

/** A lug by its item: "VR1.2". */
export type LugName = string;

export const lugName = (item: { readonly ref: string }, { lug }: { readonly lug: string }): LugName =>
  `${item.ref}.${lug}`;

/** One piece of wire. */
export interface WiringWire {
  readonly from: LugName;
  readonly to: LugName;
  readonly net: string;
  readonly isOptional: boolean;
}

/** What has to be wired, without places. */
export interface Wiring {
  readonly items: readonly WiringItem[];
  readonly wires: readonly WiringWire[];
  /** What to know before soldering, a sentence or two each. */
  readonly notes: readonly string[];
}
