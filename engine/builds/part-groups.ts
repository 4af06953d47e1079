import { groupsShape } from '../circuits/circuit-shape.ts';
import type { ShapeProblem } from '../circuits/document-shape.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { PartGroup } from '../circuits/part-group.ts';
import { inLine, quoted } from '../input/shown-text.ts';
import { type Build, type BuildPart, buildParts, type PartSetting, startingBuild } from './build.ts';
import { BuildError } from './build-error.ts';
import { settingText, withType } from './part-setting.ts';

/** Settings of parts that are changed together, by reference designator. */
export type PartSettings = Readonly<Record<string, PartSetting>>;

/** Groups of a build: the builder's own first, then the circuit's. */
export function groupsOf(build: Pick<Build, 'groups' | 'circuit' | 'bypass'>): readonly PartGroup[] {
  return [...(build.groups ?? []), ...(fittedCircuit(build).groups ?? [])];
}

/**
 * Groups that have a part, each with those of its places that are fitted as that part is: a diode that is swapped with others
 * must not come in at a place that is jumpered.
 */
export function groupsWith(
  build: Pick<Build, 'groups' | 'circuit' | 'bypass' | 'parts'>,
  ref: string,
): readonly PartGroup[] {
  const fitOf = (place: string) => build.parts[place]?.fit;
  return groupsOf(build)
    .filter(({ parts }) => parts.includes(ref))
    .map((group) => ({ ...group, parts: group.parts.filter((place) => fitOf(place) === fitOf(ref)) }))
    .filter(({ parts }) => parts.length > 1);
}

/**
 * The group that is swapped with a part if nothing else is asked for. A place that the circuit leaves without its part is
 * filled alone, unless the builder has made a group with it.
 */
export function usualGroup(
  build: Pick<Build, 'groups' | 'circuit' | 'bypass' | 'parts'>,
  ref: string,
): PartGroup | undefined {
  const own = new Set(build.groups?.map(({ name }) => name));
  const isAlone = isLeftOut(build, ref);
  return groupsWith(build, ref).find(({ name, isUsual }) => isUsual && (!isAlone || own.has(name)));
}

/** Whether a place is without its part, and the circuit starts so. */
function isLeftOut({ circuit, parts }: Pick<Build, 'circuit' | 'parts'>, ref: string): boolean {
  return parts[ref]?.fit !== undefined && startingBuild(circuit).parts[ref]?.fit !== undefined;
}

/**
 * Reads parts that are swapped together: "D1", "D1, D2", or the name of a group.
 *
 * @throws BuildError for what is no part and no group of the build, and for parts of several kinds.
 */
export function readParts(build: Build, text: string): readonly BuildPart[] {
  const group = groupsOf(build).find(({ name }) => name === text.trim());
  const refs = group ? fittedFirst(build, group) : [...new Set(text.split(',').map((word) => word.trim()))];
  const known = buildParts(fittedCircuit(build));
  const parts = refs.map((ref) => {
    const part = known.find((each) => each.ref === ref);
    if (part) return part;
    const isOther = buildParts(build.circuit).some((each) => each.ref === ref);
    const where = isOther ? ` with ${build.bypass} bypass` : '';
    throw refusal(text, `${build.circuit.title}${where} has no part ${inLine(ref, 20)}.`);
  });
  const other = parts.find(({ kind }) => kind !== parts[0]!.kind);
  if (other)
    throw refusal(
      text,
      `${parts[0]!.ref} and ${other.ref} cannot be swapped together: they are different kinds of part.`,
    );
  return parts;
}

/** The places of a group that are fitted; all of them where none is. */
function fittedFirst({ parts: settings }: Build, { parts }: PartGroup): readonly string[] {
  const fitted = parts.filter((ref) => settings[ref]?.fit === undefined);
  return fitted.length > 0 ? fitted : parts;
}

function refusal(text: string, message: string): BuildError {
  return new BuildError([{ code: 'bad-part', path: `parts.${inLine(text, 20)}`, message }]);
}

/** Designators in order, three or more in a row as a range: "D1 to D3 and D5". */
export function refsText(refs: readonly string[]): string {
  const runs: string[][] = [];
  for (const ref of [...refs].sort(byNumber)) {
    const last = runs.at(-1);
    if (last && isNext(last.at(-1)!, ref)) last.push(ref);
    else runs.push([ref]);
  }
  const words = runs.flatMap((run) => (run.length > 2 ? [`${run[0]} to ${run.at(-1)}`] : run));
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

/** What is soldered at several places: one text where all are alike, otherwise that of each. */
export function settingsText(parts: PartSettings, refs: readonly string[]): string {
  const texts = refs.map((ref) => settingText(parts[ref] ?? {}));
  if (new Set(texts).size === 1) return texts[0]!;
  return refs.map((ref, index) => `${ref} ${texts[index]}`).join(', ');
}

/** The build with other parts at several places. */
export function withSettings(build: Build, settings: PartSettings): Build {
  return { ...build, parts: { ...build.parts, ...settings } };
}

/** What changed at one place, changed at another place too; the rest of that place's setting stays. */
export function sameChange(before: PartSetting, after: PartSetting, other: PartSetting): PartSetting {
  const keys = Object.keys({ ...before, ...after }) as (keyof PartSetting)[];
  const changed = keys.filter((key) => before[key] !== after[key]);
  const kept = Object.entries(other).filter(([key]) => !changed.includes(key as keyof PartSetting));
  const taken = changed.filter((key) => after[key] !== undefined).map((key) => [key, after[key]] as const);
  const same: PartSetting = Object.fromEntries([...kept, ...taken]);
  // Another type may have no range of capacitance, and then this place loses its end of it.
  return same.type !== undefined && changed.includes('type') ? withType(same, same.type) : same;
}

/** Why a builder's group cannot be made, in a sentence; undefined if it can. */
export function ownGroupProblem(build: Build, { name, parts }: PartGroup): string | undefined {
  if (parts.length < 2) return `Choose at least one part to change together with ${parts[0]}.`;
  if (groupsOf(build).some((group) => group.name === name))
    return `There is a group ${quoted(name)} already.`;
  const own = build.groups ?? [];
  if (readGroups([...own, { name: 'one more', parts: parts.slice(0, 2) }]).length > 0)
    return `A build has at most ${own.length} groups of its own.`;
  const problems = readGroups([{ name, parts }]);
  if (problems.some(({ place }) => place.endsWith('parts')))
    return `${parts.length} parts are too many for one group.`;
  return problems.length === 0
    ? undefined
    : `A group cannot be called ${quoted(name)}: use small letters, digits, single spaces and hyphens, and begin with a letter.`;
}

function readGroups(groups: readonly PartGroup[]): readonly ShapeProblem[] {
  const problems: ShapeProblem[] = [];
  groupsShape.read(groups, '', problems);
  return problems;
}

function byNumber(one: string, other: string): number {
  return one.localeCompare(other, 'en', { numeric: true });
}

/** Whether one designator comes directly after another, as D3 after D2. */
function isNext(before: string, place: string): boolean {
  const [from, to] = [before, place].map((ref) => /^([A-Z]+)(\d+)$/.exec(ref));
  return from?.[1] !== undefined && from[1] === to?.[1] && Number(to[2]) === Number(from[2]) + 1;
}
