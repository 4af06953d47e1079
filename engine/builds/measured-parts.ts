import { isRecord, jsonDepth, readJson } from '../input/json.ts';
import { MOST_BUILD_CHARACTERS, MOST_JSON_DEPTH } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted, shownValue } from '../input/shown-text.ts';
import {
  isPassive,
  PASSIVE_KINDS,
  type PassivePiece,
  passiveSetting,
  readPassive,
} from '../parts/passive-piece.ts';
import { MOST_NAME_CHARACTERS, type Piece, PieceError, pieceText } from '../parts/piece.ts';
import { readFittedPiece } from '../parts/piece-fit.ts';
import type { BuildPart, PartSetting } from './build.ts';
import { newNameProblem } from './pieces.ts';

/** One part that the builder has measured and keeps, on a board or in a drawer. */
export type MeasuredPart = Piece | PassivePiece;

export const MOST_MEASURED_PARTS = 200;
const FORMAT = 'cliplead-measured-parts';
const VERSION = 1;

/** The parts as a file, which another browser can read. */
export function serialiseMeasured(parts: readonly MeasuredPart[]): string {
  return `${JSON.stringify({ format: FORMAT, version: VERSION, parts }, undefined, 1)}\n`;
}

/** What a file of measured parts has: the parts that are sound, and what is wrong with the others. */
export interface MeasuredFile {
  readonly parts: readonly MeasuredPart[];
  /** One sentence for each part that was left out. */
  readonly problems: readonly string[];
}

/** Also of the file of one part, as the command line writes it. @throws PieceError for a text that is neither. */
export function parseMeasured(text: string): MeasuredFile {
  if (text.length > MOST_BUILD_CHARACTERS || jsonDepth(text) > MOST_JSON_DEPTH)
    throw new PieceError('It is too large for a file of measured parts.');
  const file = readJson(text);
  if (!isRecord(file) || !isOfMeasured(file)) throw new PieceError('It is not a file of measured parts.');
  if (file['format'] !== FORMAT) return { parts: [addedPart([], readPart(file))], problems: [] };
  const { version, parts } = file;
  if (version !== VERSION)
    throw new PieceError(
      `It has version ${shownValue(version)} of measured parts; this page reads ${VERSION}.`,
    );
  if (!Array.isArray(parts)) throw new PieceError(`"parts" is ${shownValue(parts)}; it should be a list.`);
  return readAll(parts);
}

/** Whether a JSON object means to be measured parts: a list of them, or one part as the command line writes it. */
export function isOfMeasured(file: Readonly<Record<string, unknown>>): boolean {
  return file['format'] === FORMAT || (file['format'] === undefined && typeof file['kind'] === 'string');
}

function readAll(entries: readonly unknown[]): MeasuredFile {
  const parts: MeasuredPart[] = [];
  const problems: string[] = [];
  for (const entry of entries.slice(0, MOST_MEASURED_PARTS)) {
    try {
      parts.push(addedPart(parts, readPart(entry)));
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      problems.push(error.message);
    }
  }
  const over = entries.length - MOST_MEASURED_PARTS;
  if (over > 0) problems.push(leftOutText(over));
  return { parts, problems };
}

function readPart(entry: unknown): MeasuredPart {
  const isOfValue = isRecord(entry) && PASSIVE_KINDS.some((kind) => kind === entry['kind']);
  return isOfValue ? readPassive(entry) : readFittedPiece(entry);
}

/** A part beside those that are kept. @throws PieceError where its name is taken or there are too many. */
export function addedPart<P extends MeasuredPart>(parts: readonly MeasuredPart[], part: P): P {
  const problem = measuredNameProblem(parts, part.name);
  if (problem !== undefined) throw new PieceError(problem);
  return part;
}

/** Why a new part cannot have a name, in a sentence; undefined if it can. */
export function measuredNameProblem(
  parts: readonly Pick<MeasuredPart, 'name'>[],
  name: string,
): string | undefined {
  if (parts.length >= MOST_MEASURED_PARTS) return `${MOST_MEASURED_PARTS} measured parts are the most.`;
  if (parts.some((part) => part.name.toLowerCase() === name.toLowerCase()))
    return `There is a part ${quoted(name)} already.`;
  return newNameProblem([], name);
}

/**
 * The kept parts with those of a file: what is there stays, and a part whose name is taken gets the next number. The problems say
 * which got another name, and how many had no room.
 */
export function mergedParts(kept: readonly MeasuredPart[], more: readonly MeasuredPart[]): MeasuredFile {
  const all = [...kept];
  const problems: string[] = [];
  const own = new Set(kept.map(partText));
  const others = more.filter((part) => !own.has(partText(part)));
  for (const part of others.slice(0, MOST_MEASURED_PARTS - kept.length)) {
    const isTaken = measuredNameProblem(all, part.name) !== undefined;
    const added = isTaken ? { ...part, name: numberedName(all, part.like) } : part;
    if (isTaken)
      problems.push(`There is a part ${quoted(part.name)} already: the new one is ${quoted(added.name)}.`);
    all.push(added);
  }
  const over = kept.length + others.length - MOST_MEASURED_PARTS;
  if (over > 0) problems.push(leftOutText(over));
  return { parts: all, problems };
}

function leftOutText(over: number): string {
  return `${over} parts were left out: ${MOST_MEASURED_PARTS} are the most.`;
}

/** "OA91 no. 7": the next number of what is printed on a part. */
export function numberedName(parts: readonly Pick<MeasuredPart, 'name' | 'like'>[], like: string): string {
  const numbers = parts.map(({ name }) => Number(/ no\. (\d+)$/.exec(name)?.[1] ?? 0));
  const own = numbers.filter((_, index) => parts[index]!.like === like);
  let number = Math.max(0, ...own) + 1;
  const named = () => {
    const ending = ` no. ${number}`;
    return `${like.slice(0, MOST_NAME_CHARACTERS - ending.length).trim()}${ending}`;
  };
  while (parts.some(({ name }) => name.toLowerCase() === named().toLowerCase())) number++;
  return named();
}

/** Whether a part can stand at a place. */
export function fitsPlace({ kind }: Pick<MeasuredPart, 'kind'>, place: Pick<BuildPart, 'kind'>): boolean {
  return kind === place.kind;
}

/** What stands at a place with the part in it, alone: what is piggybacked on it stays, a capacitor stays of its kind. */
export function settingWith(part: MeasuredPart, { dielectric, piggyback }: PartSetting): PartSetting {
  const beside = piggyback === undefined ? {} : { piggyback };
  if (!isPassive(part)) return { type: pieceText(part), ...beside };
  return {
    ...passiveSetting(part),
    piece: part.name,
    ...beside,
    ...(part.kind === 'capacitor' && dielectric !== undefined && { dielectric }),
  };
}

function partText(part: MeasuredPart): string {
  return isPassive(part) ? JSON.stringify(Object.entries(part).sort()) : pieceText(part);
}
