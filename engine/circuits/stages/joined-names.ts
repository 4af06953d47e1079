import type { Stage, Wire } from '../circuit.ts';
import type { PartFigure } from '../part-figure.ts';
import type { PartSpec } from '../part-spec.ts';
import type { StageDocument } from './stage-document.ts';

/** New names for what a stage's document names. What a map does not hold keeps its name. */
export interface StageNames {
  /** Designators of parts and packages. */
  readonly refs: ReadonlyMap<string, string>;
  /** Names of nets; "in" and "out" become pins. */
  readonly nets: ReadonlyMap<string, string>;
  /** Names of knobs and switches. */
  readonly controls: ReadonlyMap<string, string>;
}

/** The first of "name", "name 2", "name 3" that is free; it is then taken. */
export function freeName(taken: Set<string>, name: string, gap = ' '): string {
  let free = name;
  for (let number = 2; taken.has(free); number++) free = `${name}${gap}${number}`;
  taken.add(free);
  return free;
}

const REF = /\b[A-Z]{1,3}[0-9]{1,3}[A-Z]?\b/gu;

const renamed = (names: ReadonlyMap<string, string>, name: string): string => names.get(name) ?? name;

/** A sentence, with the designators in it. */
function inSentence({ refs }: StageNames, sentence: string): string {
  return sentence.replace(REF, (ref) => renamed(refs, ref));
}

/** A pin such as "R4.1"; a port as it is. */
function pinOf({ refs }: StageNames, pin: string): string {
  const dot = pin.indexOf('.');
  return dot < 0 ? pin : `${renamed(refs, pin.slice(0, dot))}${pin.slice(dot)}`;
}

/** Parts, wires and ports of a stage under their new names. */
export function renamedStage(
  { ports, parts, wires }: Pick<Stage, 'ports' | 'parts' | 'wires'>,
  names: StageNames,
): Pick<Stage, 'ports' | 'parts' | 'wires'> {
  return {
    ports,
    parts: Object.fromEntries(
      Object.entries(parts).map(([ref, part]) => [renamed(names.refs, ref), renamedPart(ref, part, names)]),
    ),
    wires: wires.map((wire) => renamedWire(wire, names)),
  };
}

function renamedPart(ref: string, part: PartSpec, names: StageNames): PartSpec {
  const own = { ...part, role: inSentence(names, part.role) };
  // The letter of the amplifier follows the designator of its package.
  if (own.kind === 'opamp') return { ...own, package: renamed(names.refs, ref).slice(0, -1) };
  if (own.kind !== 'converter' || !own.pump) return own;
  const { doubler, inverter } = own.pump;
  const named = (old: string) => renamed(names.refs, old);
  return {
    ...own,
    pump: {
      doubler: { capacitor: named(doubler.capacitor), diode: named(doubler.diode) },
      inverter: { capacitor: named(inverter.capacitor) },
    },
  };
}

function renamedWire(wire: Wire<string>, names: StageNames): Wire<string> {
  const pins = ('pins' in wire ? wire.pins : wire).map((pin) => pinOf(names, pin));
  return 'pins' in wire ? { name: renamed(names.nets, wire.name), pins } : pins;
}

const NET_KEYS = ['from', 'to', 'seenAt'];
const NOT_REFS = ['name', 'formula', 'joined', 'passband', 'source', 'hz'];

/** A figure with its parts, nets, knobs and switch under their new names. */
export function renamedFigure(figure: PartFigure, names: StageNames): PartFigure {
  return renamedEntries(figure, names) as unknown as PartFigure;
}

function renamedEntries(entries: object, names: StageNames): Readonly<Record<string, unknown>> {
  return Object.fromEntries(
    Object.entries(entries).map(([key, value]) => [key, renamedEntry(key, value, names)]),
  );
}

function renamedEntry(key: string, value: unknown, names: StageNames): unknown {
  if (NOT_REFS.includes(key)) return value;
  // A port without a name became a pin, with that pin's old designator.
  if (NET_KEYS.includes(key)) return pinOf(names, renamed(names.nets, String(value)));
  if (key === 'knobs' || key === 'switch') return renamedControls(value, names);
  if (Array.isArray(value)) return value.map((ref) => renamed(names.refs, String(ref)));
  if (typeof value === 'object' && value !== null) return renamedEntries(value, names);
  return renamed(names.refs, String(value));
}

function renamedControls(value: unknown, { controls }: StageNames): unknown {
  if (typeof value === 'string') return renamed(controls, value);
  return Object.fromEntries(
    Object.entries(value as Readonly<Record<string, unknown>>).map(([name, at]) => [
      renamed(controls, name),
      at,
    ]),
  );
}

/**
 * Names of a stage's nets in a circuit.
 *
 * @param taken Names that are already given to nets; the new ones are added.
 * @param output Name that the net of the stage's output has from what follows; undefined where it keeps its own.
 */
export function netNames(
  { ports, wires }: StageDocument,
  taken: Set<string>,
  output: string | undefined,
): ReadonlyMap<string, string> {
  const names = new Map<string, string>();
  for (const wire of wires) {
    const pins = 'pins' in wire ? wire.pins : wire;
    const pin = pins.find((each) => each.includes('.'));
    const isOutput = output !== undefined && pins.includes('out');
    if ('pins' in wire) names.set(wire.name, isOutput ? output : freeName(taken, wire.name));
    for (const port of ['in', 'out'])
      if (pins.includes(port) && port in ports && pin !== undefined)
        names.set(port, 'pins' in wire ? names.get(wire.name)! : pin);
  }
  return names;
}
