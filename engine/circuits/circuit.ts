import type { PartFigure } from './part-figure.ts';
import type { PartGroup } from './part-group.ts';
import type { Direction, GridPoint, PartSpec, PinOf } from './part-spec.ts';

type PartsOf = Readonly<Record<string, PartSpec>>;

/** A pin of a part of the stage ("R4.1"), or one of the stage's ports ("in"). */
export type PinName<Ports extends string, Parts extends PartsOf> =
  | Ports
  | { [Ref in keyof Parts & string]: `${Ref}.${PinOf<Parts[Ref]>}` }[keyof Parts & string];

/** Pins joined by a wire; a name on the wire names its net. The drawing routes the wire. */
export type Wire<Pin extends string> =
  | readonly Pin[]
  | { readonly name: string; readonly pins: readonly Pin[] };

/** Place of a flag at the end of a port's wires, grid steps, and its direction. */
export type FlagPlace = readonly [x: number, y: number, away: Direction];

export interface Stage<Ports extends string = string, Parts extends PartsOf = PartsOf> {
  readonly id: string;
  readonly title: string;
  /** Kinds of bypass with which the stage is built; all if absent. */
  readonly bypass?: readonly BypassKind[];
  /**
   * Connections to other stages: `in` and `out` follow the signal, a port of any other name is one net in all
   * stages that have it. On the drawing a port has a place to which its wires run, with a flag if it is neither
   * `in` nor `out`; or every pin on it has its own flag, as for supplies and ground.
   */
  readonly ports: Readonly<Record<Ports, GridPoint | FlagPlace | 'flags'>>;
  readonly parts: Parts;
  readonly wires: readonly Wire<NoInfer<PinName<Ports, Parts>>>[];
}

/** A stage, with its pin names checked by the type system. */
export function stage<const Ports extends string, const Parts extends PartsOf>(
  description: Stage<Ports, Parts>,
): Stage<Ports, Parts> {
  return description;
}

export interface KnobSpec {
  readonly ref: string;
  readonly name: string;
  /** Starting rotation, 0 (fully counter-clockwise) to 1. */
  readonly start: number;
  /** Turns with another knob while a switch is at a position: the two are one dual-gang potentiometer. */
  readonly gang?: { readonly knob: string; readonly switch: string; readonly position: string };
}
export interface SwitchControlSpec {
  readonly ref: string;
  readonly name: string;
  readonly start: string;
  /** A choice made in the wiring rather than a switch on the finished pedal. */
  readonly isWiring?: boolean;
}
/** A package that holds several amplifiers of one type. */
export interface PackageSpec {
  readonly type: string;
  readonly role: string;
}

/**
 * How the pedal is switched off. true: a mechanical switch (3PDT) joins input and output. buffered: the input
 * buffer goes on driving the output. transistor-switched: a JFET joins the input buffer to the output buffer, and
 * both stay in the path.
 */
export type BypassKind = 'true' | 'buffered' | 'transistor-switched';

/** Positions of a footswitch: the effect is heard, or the bypass. */
export type FootswitchPosition = 'on' | 'bypassed';

/** A circuit has its footswitch as parts, or, in older documents, says where a bypass of fixed values begins and ends. */
export interface BypassSpec {
  /** Kinds that the circuit can be built with, the usual one first. */
  readonly kinds: readonly BypassKind[];
  /** Switches that the foot moves, of all kinds. */
  readonly footswitch?: readonly string[];
  /** Net that the input buffer drives. */
  readonly bufferedNet?: string;
  /** Stages that stay in the path; with an output buffer, its input net. */
  readonly inputStages?: readonly string[];
  readonly outputBuffer?: { readonly stage: string; readonly inputNet: string };
}

/** Parts and controls with a special role outside the network. */
export interface CircuitRoles {
  /** Knob at the end of the signal path that sets how loud the pedal is, by its name. */
  readonly level: string;
  /** The part that supplies the whole circuit. */
  readonly supply: string;
}

/**
 * A pedal's schematic with the values that it starts with. It holds data alone, so that it can be written to a file and
 * sent to a worker; see `parseCircuit` for its rules.
 */
export interface Circuit {
  readonly id: string;
  /** Counts the published versions of the circuit; a build file names one. */
  readonly revision: number;
  readonly title: string;
  /** In signal order: each one's `in` is joined to the `out` of the one before. */
  readonly stages: readonly Stage[];
  readonly packages: Readonly<Record<string, PackageSpec>>;
  readonly knobs: readonly KnobSpec[];
  readonly switches: readonly SwitchControlSpec[];
  /** Shared ports that carry supplies and bias. */
  readonly rails: readonly string[];
  readonly bypass: BypassSpec;
  /**
   * Net where the signal is clipped: the diodes limit it; without them the op-amp before it does, at its own
   * limit.
   */
  readonly clippingNet: string;
  /** The diodes that limit it. */
  readonly clippingDiodes: readonly string[];
  readonly roles: CircuitRoles;
  /** Cutoff frequencies, gains and levels that parts decide, in the order of the signal. */
  readonly figures: readonly PartFigure[];
  /** Parts that are swapped together. A part may be in several: the first usual one is its own. */
  readonly groups?: readonly PartGroup[];
}

const circuitTexts = new WeakMap<Circuit, string>();

/** Whether two circuits are the same; one may be a copy from a file or another thread. */
export function isSameCircuit(one: Circuit, other: Circuit): boolean {
  return one === other || (one.id === other.id && circuitText(one) === circuitText(other));
}

function circuitText(circuit: Circuit): string {
  const known = circuitTexts.get(circuit);
  if (known !== undefined) return known;
  const text = JSON.stringify(circuit);
  circuitTexts.set(circuit, text);
  return text;
}

/** Every part of a circuit by reference designator, with its stage. */
export function partsOf(
  circuit: Circuit,
): ReadonlyMap<string, { readonly part: PartSpec; readonly stage: Stage }> {
  const parts = new Map<string, { part: PartSpec; stage: Stage }>();
  for (const described of circuit.stages) {
    for (const [ref, part] of Object.entries(described.parts)) parts.set(ref, { part, stage: described });
  }
  return parts;
}
