import { type BundledCircuits, inNewestWords, revisionOf } from '../circuits/bundled-circuits.ts';
import { type BypassKind, type Circuit, isSameCircuit } from '../circuits/circuit.ts';
import { circuitDocument, parseCircuit } from '../circuits/circuit-file.ts';
import { CIRCUIT_FORMAT, groupsShape } from '../circuits/circuit-shape.ts';
import { BUNDLED } from '../circuits/circuits.ts';
import type { ShapeProblem } from '../circuits/document-shape.ts';
import { groupProblems } from '../circuits/group-check.ts';
import type { PartGroup } from '../circuits/part-group.ts';
import { drawingProblem } from '../drawing/stage-drawing.ts';
import { isRecord, jsonDepth, readJson } from '../input/json.ts';
import {
  MOST_BUILD_CHARACTERS,
  MOST_JSON_DEPTH,
  MOST_NOTES_CHARACTERS,
  MOST_TITLE_CHARACTERS,
} from '../input/limits.ts';
import { inLine, quoted, shownValue } from '../input/shown-text.ts';
import { type Piece, pieceOfText } from '../parts/piece.ts';
import { aliasProblem, withAliases } from './alias.ts';
import {
  type Build,
  type BuildPart,
  buildParts,
  type PartSetting,
  type StartingPoint,
  startingBuild,
} from './build.ts';
import { BuildError, type BuildProblem } from './build-error.ts';
import { canonicalSetting } from './canonical-setting.ts';
import { knobProblem, switchProblem } from './control-positions.ts';
import { readPartsSet } from './parts-set.ts';
import { fileNames, readPieces, withPieceTexts } from './piece-entries.ts';
import { piecesOf } from './pieces.ts';

/** Name and version that a build file carries. */
export const BUILD_FORMAT = 'cliplead-build';
export const BUILD_VERSION = 2;

const KEYS = [
  '$schema',
  'format',
  'version',
  'circuit',
  'revision',
  'title',
  'notes',
  'parts',
  'knobs',
  'switches',
  'bypass',
  'aliases',
  'groups',
  'pieces',
  'partsSet',
  'start',
];
const START_KEYS = ['title', 'parts', 'switches', 'bypass'];
const FIRST_REVISION = 1;
const SETTING_KEYS = [
  'value',
  'type',
  'count',
  'law',
  'dielectric',
  'capacitance',
  'piece',
  'fit',
  'piggyback',
];
/** Characters of a key that a sentence names. */
const SHOWN_KEY_CHARACTERS = 40;

/**
 * Reads a build file, whole or not at all. A part that it does not mention has the circuit's starting value, in the
 * revision that the file names. Where a newer revision changes words alone, the build is of that one. A circuit's own document
 * is read as the build that it starts with.
 *
 * @param bundled The circuits that it may name. @throws BuildError with the path of every problem.
 */
export function parseBuildFile(text: string, bundled: BundledCircuits = BUNDLED): Build {
  // A text that a browser has stored may be anything.
  if (typeof text !== 'string') throw refusal('not-a-build', '', 'This is not a build file: it is not text.');
  if (text.length > MOST_BUILD_CHARACTERS) {
    throw refusal(
      'too-long',
      '',
      `This file is ${text.length} characters long; a build file has at most ${MOST_BUILD_CHARACTERS}.`,
    );
  }
  const file = parseJson(text);
  if (!isRecord(file)) throw refusal('not-a-build', '', 'This is not a build file: it has no JSON object.');
  if (file['format'] === CIRCUIT_FORMAT) return startingBuild(readCircuit(file, undefined, bundled));
  if (file['format'] !== BUILD_FORMAT) {
    throw refusal(
      'not-a-build',
      'format',
      `This is not a build file: its format is ${shownValue(file['format'])}, not "${BUILD_FORMAT}".`,
    );
  }
  if (typeof file['version'] === 'number' && file['version'] > BUILD_VERSION) {
    throw refusal(
      'unknown-version',
      'version',
      `This build file is of version ${file['version']}; this bench reads up to ${BUILD_VERSION}. Update it.`,
    );
  }
  if (file['version'] !== 1 && file['version'] !== BUILD_VERSION) {
    throw refusal(
      'unknown-version',
      'version',
      `A build file of version ${shownValue(file['version'])} does not exist.`,
    );
  }
  return readBuild(readCircuit(file['circuit'], file['revision'], bundled), file);
}

/** @throws BuildError where the circuit cannot be shown. */
function drawable(circuit: Circuit): Circuit {
  const problem = drawingProblem(circuit);
  if (problem !== undefined) throw refusal('walled-in', 'circuit.stages', `The circuit: ${problem}`);
  return circuit;
}

/** A bundled circuit by id and revision, or the document in the file; of the bench's own, with its newest words. */
function readCircuit(described: unknown, revision: unknown, bundled: BundledCircuits): Circuit {
  if (isRecord(described)) {
    const { circuit, problems } = parseCircuit(described);
    if (circuit) return drawable(inNewestWords(bundled, circuit));
    throw new BuildError(
      problems.map((problem) => ({
        code: problem.code,
        path: problem.place === '' ? 'circuit' : `circuit.${problem.place}`,
        message: `The circuit: ${problem.problem} ${problem.remedy}`,
      })),
    );
  }
  const newest = typeof described === 'string' ? bundled.newest.get(described) : undefined;
  if (!newest) {
    throw refusal(
      'unknown-circuit',
      'circuit',
      `There is no circuit ${shownValue(described)}. Choose one of ${[...bundled.newest.keys()].join(', ')}.`,
    );
  }
  // Files of version 1 name no revision: there was one.
  const wanted = revision ?? FIRST_REVISION;
  const circuit = revisionOf(bundled, newest.id, wanted);
  if (!circuit) {
    throw refusal(
      'unknown-revision',
      'revision',
      `Revision ${shownValue(wanted)} of ${newest.title} is not known here; the newest is ${newest.revision}. Update the bench.`,
    );
  }
  return inNewestWords(bundled, circuit);
}

function readBuild(circuit: Circuit, file: Record<string, unknown>): Build {
  const problems: BuildProblem[] = unknownKeys(file, KEYS, '');
  const usual = startingBuild(circuit);
  const pieces = readPieces(file['pieces'], problems);
  const place = { circuit, pieces };
  const own = readStartingPoint(place, file, usual, '', problems);
  const partsSet = file['partsSet'] === undefined ? undefined : readPartsSet(file['partsSet'], problems);
  const build: Build = {
    circuit,
    notes: readText(file['notes'] ?? '', 'notes', MOST_NOTES_CHARACTERS, problems),
    knobs: { ...usual.knobs, ...readKnobs(circuit, file['knobs'], problems) },
    ...own,
    start: readStart(place, file['start'], own, problems),
    ...(pieces.length > 0 && { pieces }),
    ...(partsSet && { partsSet }),
  };
  const named = readAliases(build, file['aliases'], problems);
  const groups = readGroups(circuit, file['groups'], problems);
  if (problems.length > 0) throw new BuildError(problems);
  return groups.length > 0 ? { ...named, groups } : named;
}

/** Title, parts, switches and bypass as they are written; what is not mentioned is as in `otherwise`. */
function readStartingPoint(
  place: Place,
  file: Record<string, unknown>,
  otherwise: StartingPoint,
  at: string,
  problems: BuildProblem[],
): StartingPoint {
  const { circuit } = place;
  return {
    title: readText(file['title'] ?? otherwise.title, `${at}title`, MOST_TITLE_CHARACTERS, problems),
    parts: { ...otherwise.parts, ...readParts(place, file['parts'], `${at}parts`, problems) },
    switches: {
      ...otherwise.switches,
      ...readSwitches(circuit, file['switches'], `${at}switches`, problems),
    },
    bypass: readBypass(circuit, file['bypass'] ?? otherwise.bypass, `${at}bypass`, problems),
  };
}

/** A file without a start is its own start. */
function readStart(
  place: Place,
  value: unknown,
  own: StartingPoint,
  problems: BuildProblem[],
): StartingPoint {
  if (value === undefined) return own;
  if (!isRecord(value)) {
    problems.push({
      code: 'wrong-shape',
      path: 'start',
      message: `"start" is ${shownValue(value)}; it should be an object.`,
    });
    return own;
  }
  problems.push(...unknownKeys(value, START_KEYS, 'start.'));
  return readStartingPoint(place, value, own, 'start.', problems);
}

function readAliases(build: Build, value: unknown, problems: BuildProblem[]): Build {
  let named = build;
  readEntries(value, 'aliases', problems, (ref, entry, path) => {
    const problem = aliasProblem(named, ref, entry);
    if (problem === undefined) named = withAliases(named, { ...named.aliases, [ref]: entry as string });
    else problems.push({ code: 'bad-name', path, message: problem });
    return undefined;
  });
  return named;
}

function readGroups(circuit: Circuit, value: unknown, problems: BuildProblem[]): readonly PartGroup[] {
  if (value === undefined) return [];
  const shape: ShapeProblem[] = [];
  const groups = groupsShape.read(value, 'groups', shape);
  const found = groups ? groupProblems(circuit, groups) : shape;
  for (const { code, place, problem, remedy } of found)
    problems.push({ code, path: place, message: `${problem} ${remedy}` });
  return groups ?? [];
}

/** What the entries of parts name: the circuit's parts, and the file's pieces. */
interface Place {
  readonly circuit: Circuit;
  readonly pieces: readonly Piece[];
}

function readParts(
  { circuit, pieces }: Place,
  value: unknown,
  at: string,
  problems: BuildProblem[],
): Record<string, PartSetting> {
  const parts = buildParts(circuit);
  return readEntries(value, at, problems, (ref, entry, path) => {
    const part = parts.find((candidate) => candidate.ref === ref);
    if (!part) {
      problems.push({ code: 'unknown-part', path, message: `${circuit.title} has no part ${named(ref)}.` });
      return undefined;
    }
    return readSetting(part, entry, path, { pieces, problems });
  });
}

function readSetting(
  part: BuildPart,
  entry: unknown,
  path: string,
  { pieces, problems }: { readonly pieces: readonly Piece[]; readonly problems: BuildProblem[] },
): PartSetting | undefined {
  const hasValue = ['resistor', 'capacitor', 'inductor', 'pot', 'supply'].includes(part.kind);
  const setting = typeof entry === 'string' ? { [hasValue ? 'value' : 'type']: entry } : entry;
  if (!isRecord(setting)) {
    problems.push({
      code: 'wrong-shape',
      path,
      message: `${part.ref} is ${shownValue(entry)}; it should be a value or type in quotes.`,
    });
    return undefined;
  }
  const before = problems.length;
  problems.push(...unknownKeys(setting, SETTING_KEYS, `${path}.`));
  for (const [key, item] of Object.entries(setting)) {
    const wanted = key === 'count' ? 'number' : 'string';
    if (SETTING_KEYS.includes(key) && typeof item !== wanted) {
      problems.push({
        code: 'wrong-shape',
        path: `${path}.${key}`,
        message: `${part.ref}: ${key} is ${shownValue(item)}; it should be a ${wanted}.`,
      });
    }
  }
  if (problems.length > before) return undefined;
  try {
    return canonicalSetting(part, withPieceTexts(setting as PartSetting, pieces));
  } catch (error) {
    if (!(error instanceof BuildError)) throw error;
    problems.push(...error.problems);
    return undefined;
  }
}

function readKnobs(circuit: Circuit, value: unknown, problems: BuildProblem[]): Record<string, number> {
  return readEntries(value, 'knobs', problems, (name, entry, path) => {
    const problem = knobProblem(circuit, name, entry);
    if (problem === undefined) return entry as number;
    problems.push({ code: 'bad-knob', path, message: problem });
    return undefined;
  });
}

function readSwitches(
  circuit: Circuit,
  value: unknown,
  at: string,
  problems: BuildProblem[],
): Record<string, string> {
  return readEntries(value, at, problems, (name, entry, path) => {
    const problem = switchProblem(circuit, name, entry);
    if (problem === undefined) return entry as string;
    problems.push({ code: 'bad-switch', path, message: problem });
    return undefined;
  });
}

function readBypass(circuit: Circuit, value: unknown, path: string, problems: BuildProblem[]): BypassKind {
  const { kinds } = circuit.bypass;
  const kind = kinds.find((candidate) => candidate === value);
  if (kind !== undefined) return kind;
  problems.push({
    code: 'bad-bypass',
    path,
    message: `Bypass is ${shownValue(value)}; ${circuit.title} can be built with ${kinds.join(', ')}.`,
  });
  return kinds[0]!;
}

/** The text of a build file: one part a line. @param bundled The circuits that it may name. */
export function serialiseBuild(build: Build, bundled: BundledCircuits = BUNDLED): string {
  const names = fileNames(piecesOf(build));
  const pieces = [...names].map(([text, name]) => ({ ...pieceOfText(text), name }));
  const parts = Object.fromEntries(
    Object.entries(build.parts).map(([ref, setting]) => [ref, shortSetting(setting, names)] as const),
  );
  const { circuit, title, notes, knobs, switches, bypass, aliases, groups, partsSet } = build;
  const file = {
    format: BUILD_FORMAT,
    version: BUILD_VERSION,
    ...circuitEntry(circuit, bundled),
    title,
    notes,
    parts,
    knobs,
    switches,
    bypass,
    ...(aliases && { aliases }),
    ...(groups && { groups }),
    ...(pieces.length > 0 && { pieces }),
    ...(partsSet && { partsSet }),
    ...writtenStart(build, names),
  };
  return `${JSON.stringify(file, undefined, 2)}\n`;
}

/** Settings that were different at the start; empty if nothing has changed. */
function writtenStart(
  { start, ...build }: Build,
  names: ReadonlyMap<string, string>,
): { readonly start?: object } {
  // What is not fitted differs too if it is another part.
  const isKept = (ref: string, setting: PartSetting) =>
    JSON.stringify(setting) === JSON.stringify(build.parts[ref]);
  const parts = Object.entries(start.parts)
    .filter(([ref, setting]) => !isKept(ref, setting))
    .map(([ref, setting]) => [ref, shortSetting(setting, names)] as const);
  const switches = Object.entries(start.switches).filter(([name, at]) => at !== build.switches[name]);
  const written = {
    ...(start.title !== build.title && { title: start.title }),
    ...(parts.length > 0 && { parts: Object.fromEntries(parts) }),
    ...(switches.length > 0 && { switches: Object.fromEntries(switches) }),
    ...(start.bypass !== build.bypass && { bypass: start.bypass }),
  };
  return Object.keys(written).length > 0 ? { start: written } : {};
}

/** A bundled circuit is named; any other, an older revision too, is written into the file. */
function circuitEntry(circuit: Circuit, bundled: BundledCircuits) {
  const newest = bundled.newest.get(circuit.id);
  if (newest && isSameCircuit(newest, circuit)) return { circuit: circuit.id, revision: circuit.revision };
  return { circuit: circuitDocument(circuit) };
}

/** A setting that is only a value or type is written as a plain text. */
function shortSetting(setting: PartSetting, names: ReadonlyMap<string, string>): PartSetting | string {
  const { type, piggyback } = setting;
  const written = {
    ...setting,
    ...(type !== undefined && { type: names.get(type) ?? type }),
    ...(piggyback !== undefined && { piggyback: names.get(piggyback) ?? piggyback }),
  };
  return Object.keys(setting).length === 1 ? (written.value ?? written.type ?? '') : written;
}

function readEntries<T>(
  value: unknown,
  path: string,
  problems: BuildProblem[],
  read: (key: string, entry: unknown, path: string) => T | undefined,
): Record<string, T> {
  if (value === undefined) return {};
  if (!isRecord(value)) {
    problems.push({
      code: 'wrong-shape',
      path,
      message: `"${path}" is ${shownValue(value)}; it should be an object.`,
    });
    return {};
  }
  const entries = Object.entries(value).flatMap(([key, entry]): [string, T][] => {
    const result = read(key, entry, `${path}.${key}`);
    return result === undefined ? [] : [[key, result]];
  });
  return Object.fromEntries(entries);
}

/** A text that is not longer than allowed; otherwise '' and a problem. */
export function readText(value: unknown, path: string, most: number, problems: BuildProblem[]): string {
  if (typeof value === 'string' && value.length <= most) return value;
  problems.push({
    code: 'bad-text',
    path,
    message: `"${path}" is ${shownValue(value)}; it should be a text of at most ${most} characters.`,
  });
  return '';
}

/** Problems of keys that a file does not have. */
export function unknownKeys(
  record: Record<string, unknown>,
  known: readonly string[],
  prefix: string,
): BuildProblem[] {
  return Object.keys(record)
    .filter((key) => !known.includes(key))
    .map((key) => ({
      code: 'unknown-key' as const,
      path: `${prefix}${key}`,
      message: `${quoted(prefix + key)} is not known to this version.`,
    }));
}

function parseJson(text: string): unknown {
  if (jsonDepth(text) > MOST_JSON_DEPTH) {
    throw refusal(
      'not-a-build',
      '',
      `This is not a build file: more than ${MOST_JSON_DEPTH} brackets are nested.`,
    );
  }
  const json = readJson(text);
  if (json === undefined)
    throw refusal('not-a-build', '', 'This is not a build file: it is not JSON, or not complete.');
  return json;
}

function refusal(code: BuildProblem['code'], path: string, message: string): BuildError {
  return new BuildError([{ code, path, message }]);
}

/** A key, shortened for a sentence. */
function named(key: string): string {
  return inLine(key, SHOWN_KEY_CHARACTERS);
}
