import { withAlias } from '../../engine/builds/alias.ts';
import type { Build } from '../../engine/builds/build.ts';
import type { ChainPedal, ChainPlace } from '../../engine/builds/chain.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import type { PartGroup } from '../../engine/circuits/part-group.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Action } from './bench-state.ts';
import type { Sides } from './chains.ts';

type NameAction = Extract<Action, { readonly type: 'alias' | 'groups' }>;

/**
 * The builder's own names and groups are those of their circuit: every pedal of it has them, on both sides and wherever it stands.
 *
 * @throws BuildError for a name that a part cannot have.
 */
export function withOwnNames({ builds, places }: Sides, heard: Slot, action: NameAction): Sides {
  const { circuit, groups } = builds[heard];
  const named =
    action.type === 'alias'
      ? (build: Build) => withAlias(build, action.ref, action.alias)
      : (build: Build) => withGroups(build, groups ?? [], action.groups);
  const edited = (build: Build) => (isSameCircuit(build.circuit, circuit) ? named(build) : build);
  const around = (place: ChainPlace) => withBuilds(place, edited);
  return {
    builds: { a: edited(builds.a), b: edited(builds.b) },
    places: { a: around(places.a), b: around(places.b) },
  };
}

/** The same object where no build changes. */
function withBuilds(place: ChainPlace, edited: (build: Build) => Build): ChainPlace {
  const all = (pedals: readonly ChainPedal[]) =>
    pedals.map((pedal) => ({ ...pedal, build: edited(pedal.build) }));
  const after = { ...place, before: all(place.before), after: all(place.after) };
  const builds = ({ before, after }: ChainPlace) => [...before, ...after].map(({ build }) => build);
  const [old, now] = [builds(place), builds(after)];
  return now.every((build, index) => build === old[index]) ? place : after;
}

/** The build with the groups that are now on the list, and without those that were taken off it. */
function withGroups(build: Build, before: readonly PartGroup[], groups: readonly PartGroup[]): Build {
  const touched = new Set([...before, ...groups].map(({ name }) => name));
  const { groups: own = [], ...plain } = build;
  const merged = [...own.filter(({ name }) => !touched.has(name)), ...groups];
  return merged.length > 0 ? { ...plain, groups: merged } : plain;
}
