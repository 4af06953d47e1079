import type { PartFigure } from './part-figure.ts';
import { type Direction, type GridPoint, type PartSpec, type PinOf, pinsOf } from './part-spec.ts';

type PartsOf = Readonly<Record<string, PartSpec>>;

/** A pin of a part of the stage ("R4.1"), or one of the stage's ports ("in"). */
export type PinName<Ports extends string, Parts extends PartsOf> =
  | Ports
  | { [Ref in keyof Parts & string]: `${Ref}.${PinOf<Parts[Ref]>}` }[keyof Parts & string];

/** Pins joined by a wire; a named one gives its net that name. The drawing routes it by itself. */
export type Wire<Pin extends string> =
  | readonly Pin[]
  | { readonly name: string; readonly pins: readonly Pin[] };

/** Place of a flag at the end of a port's wires, grid steps, and the way it points. */
export type FlagPlace = readonly [x: number, y: number, away: Direction];

export interface Stage<Ports extends string = string, Parts extends PartsOf = PartsOf> {
  readonly id: string;
  readonly title: string;
  /**
   * Where the stage meets others: `in` and `out` follow the signal, a port of any other name is one net in all
   * stages that have it. On the drawing a port either has a place that its wires run to, with a flag that points
   * a way where it is neither in nor out, or every pin on it bears a flag of its own, as supplies and ground do.
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
  /** Turns with another knob while a switch stands at a position: the two are one dual-gang potentiometer. */
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

export interface BypassSpec {
  /** Kinds that the circuit can be built with, the usual one first. */
  readonly kinds: readonly BypassKind[];
  /** Net that the input buffer drives. */
  readonly bufferedNet: string;
  /** Stages that stay in the path; with an output buffer, its input net. */
  readonly inputStages: readonly string[];
  readonly outputBuffer?: { readonly stage: string; readonly inputNet: string };
}

export interface Circuit {
  readonly id: string;
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
   * Net where the signal is clipped: the one that the diodes hold, and that the op-amp ahead of them drives to its own
   * limit where they are left out.
   */
  readonly clippingNet: string;
  /** The diodes that hold it. */
  readonly clippingDiodes: readonly string[];
  /** Corners, gains and levels that parts decide, in the order of the signal. */
  readonly figures: readonly PartFigure[];
}

/** Pins of a circuit by net, before fits and switches join or part them. */
export interface CircuitNets {
  /** Net of a pin such as "R4.1". */
  readonly netOf: ReadonlyMap<string, string>;
}

const GROUND_PORT = 'ground';
export const INPUT_NET = 'in';
export const OUTPUT_NET = 'out';
export const GROUND_NET = '0';

/** Nets of each circuit that was asked for; circuits do not change. */
const knownNets = new WeakMap<Circuit, CircuitNets>();

/**
 * Connectivity of a circuit from the wires of its stages, found once for each. A net is named, in this order, by ground, the
 * circuit's input or output, a rail, the name on a wire, or its first pin.
 *
 * @throws RangeError for a wire to a pin that does not exist, for two names on one net, and for a pin that
 * no wire reaches: mistakes of a circuit's author.
 */
export function circuitNets(circuit: Circuit): CircuitNets {
  const known = knownNets.get(circuit);
  if (known) return known;
  const nets = findNets(circuit);
  knownNets.set(circuit, nets);
  return nets;
}

function findNets(circuit: Circuit): CircuitNets {
  const joined = new PinSets();
  const names = new Map<string, string>();
  for (const described of circuit.stages) {
    const scoped = (pin: string) => scopedPin(circuit, described, pin);
    for (const wire of described.wires) {
      const pins = 'pins' in wire ? wire.pins : wire;
      const first = scoped(pins[0]!);
      for (const pin of pins) joined.join(first, scoped(pin));
      if ('pins' in wire) nameNet(names, first, wire.name);
    }
  }
  const netOf = new Map<string, string>();
  for (const members of joined.sets()) {
    const name = netName(members, names);
    for (const pin of members) netOf.set(pin, name);
  }
  for (const { parts } of circuit.stages) {
    for (const [ref, part] of Object.entries(parts)) {
      for (const pin of pinsOf(part)) {
        if (!netOf.has(`${ref}.${pin}`)) throw new RangeError(`no wire reaches ${ref}.${pin}`);
      }
    }
  }
  return { netOf };
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

function scopedPin(circuit: Circuit, described: Stage, pin: string): string {
  const dot = pin.indexOf('.');
  if (dot < 0) {
    if (!(pin in described.ports)) throw new RangeError(`stage ${described.id} has no port "${pin}"`);
    const path = circuit.stages.filter(({ ports }) => 'in' in ports);
    const index = path.indexOf(described);
    if (pin === 'in') return index === 0 ? `:${INPUT_NET}` : `:signal ${index}`;
    if (pin === 'out') return index === path.length - 1 ? `:${OUTPUT_NET}` : `:signal ${index + 1}`;
    return `:${pin}`;
  }
  const part = described.parts[pin.slice(0, dot)];
  if (!part || !pinsOf(part).includes(pin.slice(dot + 1))) {
    throw new RangeError(`stage ${described.id} has no pin "${pin}"`);
  }
  return pin;
}

function nameNet(names: Map<string, string>, pin: string, name: string): void {
  const before = names.get(pin);
  if (before !== undefined && before !== name)
    throw new RangeError(`${pin} is on nets "${before}" and "${name}"`);
  names.set(pin, name);
}

function netName(members: readonly string[], names: ReadonlyMap<string, string>): string {
  if (members.includes(`:${GROUND_PORT}`)) return GROUND_NET;
  const given = [...new Set(members.flatMap((pin) => names.get(pin) ?? []))];
  if (given.length > 1) throw new RangeError(`one net is named ${given.join(' and ')}`);
  if (given[0] !== undefined) return given[0];
  const port = members.find((pin) => pin.startsWith(':') && !pin.includes(' '));
  return port?.slice(1) ?? members.find((pin) => !pin.startsWith(':')) ?? members[0]!;
}

/** Disjoint sets of pin names in the order of their first mention. */
class PinSets {
  readonly #setOf = new Map<string, string[]>();

  join(a: string, b: string): void {
    const setA = this.#own(a);
    const setB = this.#own(b);
    if (setA === setB) return;
    for (const pin of setB) {
      setA.push(pin);
      this.#setOf.set(pin, setA);
    }
  }

  sets(): readonly string[][] {
    return [...new Set(this.#setOf.values())];
  }

  #own(pin: string): string[] {
    const existing = this.#setOf.get(pin);
    if (existing) return existing;
    const created = [pin];
    this.#setOf.set(pin, created);
    return created;
  }
}
