import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { type Build, buildParts, type StartingPoint, startingPoint } from './build.ts';
import { refsText } from './part-groups.ts';
import { settingText } from './part-setting.ts';
import { partsSetText } from './parts-set.ts';

/** Most swaps and characters that a title lists; more swaps are only counted. */
const MOST_SWAPS = 3;
const LONGEST_SWAPS = 44;

/** A part, switch, bypass or set of parts that has changed since the start of the build. */
interface Change {
  /** What was changed; empty for the bypass and the set. */
  readonly place: string;
  readonly now: string;
}

/**
 * The title that a build is shown by: its own, where the builder gave it one, else that of the build it started from
 * with what was swapped since: "Plain build, D1 to D3 OA91". Knobs change all the time, so they are not in the title.
 */
export function buildTitle(build: Build): string {
  if (isNamed(build)) return build.title;
  const changes = changesSinceStart(build);
  if (changes.length === 0) return build.title;
  const words = changesWords(changes);
  const text = words.join(', ');
  const hasRoom = words.length <= MOST_SWAPS && text.length <= LONGEST_SWAPS;
  return `${build.title}, ${hasRoom ? text : `${changes.length} swaps`}`;
}

/** The notes of a build; after a swap they say which build they were written for. */
export function buildNotes(build: Build): string {
  const { notes, start } = build;
  if (notes === '' || changesSinceStart(build).length === 0) return notes;
  return `Started from ${start.title}: ${notes}`;
}

/** A build with a title by the builder; an empty one brings back the automatic title. */
export function withTitle(build: Build, text: string): Build {
  const title = text.trim() === '' ? build.start.title : text.trim();
  return title === build.title ? build : { ...build, title };
}

/** A copy to work on. The copy of a build with its own title has that build as its start, so that its title lists later swaps. */
export function copyOf(build: Build): Build {
  return isNamed(build) ? { ...build, notes: buildNotes(build), start: startingPoint(build) } : build;
}

function isNamed({ title, start }: Build): boolean {
  return title !== start.title;
}

/** Many places of the page show the title of the same build. */
const known = new WeakMap<Build, readonly Change[]>();

function changesSinceStart(build: Build): readonly Change[] {
  const changes = known.get(build) ?? findChanges(build);
  known.set(build, changes);
  return changes;
}

function findChanges(build: Build): readonly Change[] {
  const { start } = build;
  const circuit = fittedCircuit(build);
  const parts = buildParts(circuit).map(({ ref }) => ({
    place: ref,
    before: partText(start, ref),
    now: partText(build, ref),
  }));
  const switches = circuit.switches.map(({ name }) => ({
    place: name,
    before: start.switches[name] ?? '',
    now: build.switches[name] ?? '',
  }));
  const set = { place: '', before: '', now: build.partsSet ? partsSetText(build.partsSet) : '' };
  const bypass = { place: '', before: `${start.bypass} bypass`, now: `${build.bypass} bypass` };
  return [...parts, ...switches, bypass, set].filter(({ before, now }) => before !== now);
}

function partText({ parts }: Pick<StartingPoint, 'parts'>, ref: string): string {
  const setting = parts[ref] ?? {};
  return settingText(setting);
}

/** Places with the same new setting are listed together: "D1 to D3 OA91", "C3 100n". */
function changesWords(changes: readonly Change[]): readonly string[] {
  const placesOf = new Map<string, string[]>();
  for (const { place, now } of changes) placesOf.set(now, [...(placesOf.get(now) ?? []), place]);
  return [...placesOf].map(([now, places]) => `${refsText(places)} ${now}`.trim());
}
