import { type BundledCircuits, newerRevision } from '../circuits/bundled-circuits.ts';
import type { Circuit } from '../circuits/circuit.ts';
import { circuitNets } from '../circuits/circuit-nets.ts';
import { BUNDLED } from '../circuits/circuits.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { groupProblems } from '../circuits/group-check.ts';
import { type Build, buildParts, type PartSetting, type StartingPoint, startingBuild } from './build.ts';
import { switchPositions } from './control-positions.ts';
import { netsOf } from './network-of-build.ts';
import { isSameSetting, settingText } from './part-setting.ts';

/** A switch that joins none of its pins. */
const NO_POSITION = '';

/** The offer of a newer revision of a build's circuit. */
export interface NewerCircuit {
  /** The build's revision and the newest one, in one sentence. */
  readonly summary: string;
  /** The changes to this build, each in a few words; empty if only texts and drawing change. */
  readonly changes: readonly string[];
  /** The build in the newer circuit, with its own swaps. */
  readonly build: Build;
}

/** The offer for a build of an older revision of a bundled circuit; undefined for any other. */
export function newerCircuit(build: Build, bundled: BundledCircuits = BUNDLED): NewerCircuit | undefined {
  const circuit = newerRevision(bundled, build.circuit);
  if (!circuit) return undefined;
  const { title, revision } = build.circuit;
  const renewed = renewedBuild(build, circuit);
  const changes = [
    ...partChanges(build, renewed),
    ...controlChanges(build.circuit, circuit),
    ...wiringChanges(unswapped(build), unswapped(renewed)),
  ];
  const summary = `This build uses revision ${revision} of ${title}. Revision ${circuit.revision} is available.`;
  return { summary, changes, build: renewed };
}

/** An offer on one line. */
export function newerCircuitText({ summary, changes }: NewerCircuit): string {
  return `${summary} Changes: ${changes.length === 0 ? 'texts and drawing only' : changes.join('; ')}.`;
}

/** Keeps what the build has changed in its own circuit; everything else is from the newer circuit. */
function renewedBuild(build: Build, circuit: Circuit): Build {
  const [before, usual] = [startingBuild(build.circuit), startingBuild(circuit)];
  const renewed = (own: StartingPoint): StartingPoint => ({
    title: own.title,
    parts: renewedParts(own.parts, build.circuit, before.parts, circuit, usual.parts),
    switches: keptOf(own.switches, usual.switches, (name, position) =>
      switchPositions(circuit, name).includes(position),
    ),
    bypass: circuit.bypass.kinds.includes(own.bypass) ? own.bypass : usual.bypass,
  });
  const { aliases, groups, notes, knobs, pieces } = build;
  const kept = groups?.filter((group) => groupProblems(circuit, [group]).length === 0) ?? [];
  return {
    circuit,
    notes,
    knobs: keptOf(knobs, usual.knobs, () => true),
    ...renewed(build),
    start: renewed(build.start),
    ...(aliases && { aliases: ofThese(aliases, usual.parts) }),
    ...(kept.length > 0 && { groups: kept }),
    ...(pieces && { pieces }),
  };
}

function renewedParts(
  own: Build['parts'],
  circuit: Circuit,
  before: Build['parts'],
  newer: Circuit,
  usual: Build['parts'],
): Build['parts'] {
  const kinds = kindsOf(circuit);
  const newerKinds = kindsOf(newer);
  return keptOf(own, usual, (ref, setting) => {
    const isSwapped = !isSameSetting(setting, before[ref] ?? {});
    return isSwapped && kinds.get(ref) === newerKinds.get(ref);
  });
}

/** The standard entries, with the build's own entries of the same name where they must be kept. */
function keptOf<T>(
  own: Readonly<Record<string, T>>,
  usual: Readonly<Record<string, T>>,
  isKept: (name: string, entry: T) => boolean,
): Readonly<Record<string, T>> {
  const entries = Object.entries(usual).map(([name, entry]) => {
    const mine = own[name];
    return [name, mine !== undefined && isKept(name, mine) ? mine : entry] as const;
  });
  return Object.fromEntries(entries);
}

function ofThese<T>(own: Readonly<Record<string, T>>, others: object): Readonly<Record<string, T>> {
  return Object.fromEntries(Object.entries(own).filter(([name]) => Object.hasOwn(others, name)));
}

function kindsOf(circuit: Circuit): ReadonlyMap<string, string> {
  return new Map(buildParts(circuit).map(({ ref, kind }) => [ref, kind]));
}

function partChanges(before: Build, after: Build): readonly string[] {
  const fitted = [before, after].flatMap((build) => [...kindsOf(fittedCircuit(build)).keys()]);
  const known = [...Object.keys(before.parts), ...Object.keys(after.parts)];
  const refs = [...new Set(known)].filter((ref) => fitted.includes(ref));
  const places = refs.filter((ref) => !before.parts[ref] && after.parts[ref]?.fit !== undefined);
  const changes = refs
    .filter((ref) => !places.includes(ref))
    .flatMap((ref) => partChange(ref, before.parts[ref], after.parts[ref]));
  if (places.length === 0) return changes;
  return [...changes, `new places, jumpered or not fitted: ${places.join(', ')}`];
}

function partChange(
  ref: string,
  before: PartSetting | undefined,
  after: PartSetting | undefined,
): readonly string[] {
  if (!before) return [`${ref} ${settingText(after ?? {})} added`];
  if (!after) return [`${ref} ${settingText(before)} removed`];
  const [from, to] = [settingText(before), settingText(after)];
  return from === to ? [] : [`${ref} ${from} becomes ${to}`];
}

function controlChanges(before: Circuit, after: Circuit): readonly string[] {
  return (['knobs', 'switches'] as const).flatMap((what) => {
    const word = what === 'knobs' ? 'knob' : 'switch';
    const names = (circuit: Circuit) => circuit[what].map(({ name }) => name);
    const [were, are] = [names(before), names(after)];
    return [
      ...are.filter((name) => !were.includes(name)).map((name) => `${word} ${name} added`),
      ...were.filter((name) => !are.includes(name)).map((name) => `${word} ${name} removed`),
    ];
  });
}

/**
 * Parts of both circuits with a pin that moved from its net to another one. A net of the newer circuit is the one before
 * with which it shares most pins. Where a jumpered part comes between two pins, neither has moved.
 */
function wiringChanges(before: Build, after: Build): readonly string[] {
  const [were, are] = [joinedPins(before), joinedPins(after)];
  const common = [...were.keys()].filter((pin) => are.has(pin));
  const followed = followingNets(common.map((pin) => [were.get(pin)!, are.get(pin)!] as const));
  const moved = common.filter((pin) => !pin.startsWith(':') && followed.get(were.get(pin)!) !== are.get(pin));
  const refs = [...new Set(moved.map((pin) => pin.slice(0, pin.indexOf('.'))))];
  return refs.length === 0 ? [] : [`${refs.join(', ')} rewired`];
}

/** The starting build of a build's circuit, with its kind of bypass. */
function unswapped({ circuit, bypass }: Build): Build {
  return { ...startingBuild(circuit), bypass };
}

/** Net of each pin and port, with jumpers as wires and switches open. */
function joinedPins(build: Build): ReadonlyMap<string, string> {
  const switches = Object.fromEntries(build.circuit.switches.map(({ name }) => [name, NO_POSITION]));
  const nets = netsOf({ ...build, switches });
  return new Map([...circuitNets(fittedCircuit(build)).netOf.keys()].map((pin) => [pin, nets(pin)]));
}

/** For each net before the net that follows it: pairs of nets in the order of the pins that they share. */
function followingNets(pairs: readonly (readonly [string, string])[]): ReadonlyMap<string, string> {
  const shared = new Map<string, { readonly from: string; readonly to: string; readonly pins: number }>();
  for (const [from, to] of pairs) {
    const key = JSON.stringify([from, to]);
    shared.set(key, { from, to, pins: (shared.get(key)?.pins ?? 0) + 1 });
  }
  const followed = new Map<string, string>();
  const taken = new Set<string>();
  for (const { from, to } of [...shared.values()].sort((a, b) => b.pins - a.pins)) {
    if (followed.has(from) || taken.has(to)) continue;
    followed.set(from, to);
    taken.add(to);
  }
  return followed;
}
