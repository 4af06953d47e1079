import { type Build, buildParts, type StartingPoint, startingPoint } from './build.ts';
import { settingText } from './part-setting.ts';

/** How much of its swaps a title has room for; more of them are only counted. */
const MOST_SWAPS = 3;
const LONGEST_SWAPS = 44;

/** A part, switch or bypass that is not as the build was when it started. */
interface Change {
  /** What was changed; empty for the bypass. */
  readonly place: string;
  readonly now: string;
}

/**
 * The title that a build is shown by: its own, where the builder gave it one, else that of the build it started from
 * with what was swapped since: "Plain build, D1 to D3 OA91". Knobs are turned all the time and name nothing.
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

/** The notes of a build; once it is no longer the one that they were written for, they say so. */
export function buildNotes(build: Build): string {
  const { notes, start } = build;
  if (notes === '' || changesSinceStart(build).length === 0) return notes;
  return `Started from ${start.title}: ${notes}`;
}

/** A build under a title of the builder's own; an empty one gives it back the title that follows its swaps. */
export function withTitle(build: Build, text: string): Build {
  const title = text.trim() === '' ? build.start.title : text.trim();
  return title === build.title ? build : { ...build, title };
}

/** A copy to go on from. One of a build with a title of its own starts there, so that swaps tell the two apart. */
export function copyOf(build: Build): Build {
  return isNamed(build) ? { ...build, notes: buildNotes(build), start: startingPoint(build) } : build;
}

function isNamed({ title, start }: Build): boolean {
  return title !== start.title;
}

function changesSinceStart(build: Build): readonly Change[] {
  const { start } = build;
  const circuit = build.circuit;
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
  const bypass = { place: '', before: `${start.bypass} bypass`, now: `${build.bypass} bypass` };
  return [...parts, ...switches, bypass].filter(({ before, now }) => before !== now);
}

function partText({ parts }: Pick<StartingPoint, 'parts'>, ref: string): string {
  const setting = parts[ref] ?? {};
  return settingText(setting);
}

/** Places that became alike stand together: "D1 to D3 OA91", "C3 100n". */
function changesWords(changes: readonly Change[]): readonly string[] {
  const placesOf = new Map<string, string[]>();
  for (const { place, now } of changes) placesOf.set(now, [...(placesOf.get(now) ?? []), place]);
  return [...placesOf].map(([now, places]) => `${placesText(places)} ${now}`.trim());
}

/** Designators in their order, three or more that follow each other as a range: "D1 to D3 and D5". */
function placesText(places: readonly string[]): string {
  const runs: string[][] = [];
  for (const place of [...places].sort(byNumber)) {
    const last = runs.at(-1);
    if (last && isNext(last.at(-1)!, place)) last.push(place);
    else runs.push([place]);
  }
  const words = runs.flatMap((run) => (run.length > 2 ? [`${run[0]} to ${run.at(-1)}`] : run));
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

function byNumber(one: string, other: string): number {
  return one.localeCompare(other, 'en', { numeric: true });
}

/** Whether one designator follows another, as D3 does D2. */
function isNext(before: string, place: string): boolean {
  const [from, to] = [before, place].map((ref) => /^([A-Z]+)(\d+)$/.exec(ref));
  return from?.[1] !== undefined && from[1] === to?.[1] && Number(to[2]) === Number(from[2]) + 1;
}
