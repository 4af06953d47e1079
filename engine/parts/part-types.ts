/** What the type of a part names: a type of the catalogue, a piece at an end of its spread, or a piece that was measured. */
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import { findBjt, findConverter, findDiode, findFet, findOpamp, findTransistor } from './catalogue.ts';
import type {
  BjtEntry,
  ConverterEntry,
  DatasheetPoint,
  DiodeEntry,
  FetEntry,
  OpampEntry,
  TransistorEntry,
} from './catalogue-entry.ts';
import { bipolarAtSpread, diodeAtSpread, fieldEffectAtSpread, opampAtSpread } from './data-at-spread.ts';
import { isPieceText, PIECE_SOURCE, type Piece, PieceError, pieceOfText } from './piece.ts';
import { bipolarPieceData, likeEntry } from './piece-fit.ts';
import { type SpreadKind, type TypeSpread, typeSpread } from './type-spread.ts';

/** "OA91 low": a piece at the low end of the spread of its type, in what differs most: voltage, gain, threshold, speed. */
const END = /^(.+?) (low|high)(?: end)?$/i;
export type SpreadEnd = 'low' | 'high';

/** @throws PartTypeError, PieceError for a text that names none. */
export function diodeEntry(text: string): DiodeEntry {
  if (isPieceText(text)) return measuredEntry(text, isDiode, 'a diode');
  return typeOrEnd(text, findDiode, (entry) => diodeAtEnd(entry, spreadAt('diode', entry.type, text)));
}

/** @throws PartTypeError, PieceError for a text that names none. */
export function bjtEntry(text: string): BjtEntry {
  if (isPieceText(text)) return measuredEntry(text, isBjt, 'a bipolar transistor');
  return typeOrEnd(text, findBjt, (entry) => {
    const { spread, amount } = spreadAt(entry.kind, entry.type, text);
    const at = (data: BjtEntry['data']) => bipolarAtSpread(data, spread, amount, NOMINAL_TEMPERATURE_K);
    return { ...entry, data: at(entry.data), ...(entry.driver && { driver: at(entry.driver) }) };
  });
}

/** @throws PartTypeError, PieceError for a text that names none. */
export function fetEntry(text: string): FetEntry {
  if (isPieceText(text)) return measuredEntry(text, isFet, 'a field-effect transistor');
  return typeOrEnd(text, findFet, (entry) => {
    const { spread, amount } = spreadAt(entry.kind, entry.type, text);
    return { ...entry, data: fieldEffectAtSpread(entry.data, spread, amount) };
  });
}

/** @throws PartTypeError, PieceError for a text that names none. */
export function transistorEntry(text: string): TransistorEntry {
  const entry = isPieceText(text)
    ? pieceEntry(pieceOfText(text), text)
    : typeOrEnd(text, findTransistor, (of) => of);
  if (entry.kind === 'diode') throw new PieceError(`${pieceOfText(text).name} is a diode, not a transistor.`);
  return isBjt(entry) ? bjtEntry(text) : fetEntry(text);
}

/** @throws PartTypeError, PieceError for a text that names none. */
export function opampEntry(text: string): OpampEntry {
  refusePiece(text, 'an op-amp');
  return typeOrEnd(text, findOpamp, (entry) => {
    const { spread, amount } = spreadAt('opamp', entry.type, text);
    return { ...entry, data: opampAtSpread(entry.data, spread, amount) };
  });
}

/** @throws PartTypeError, PieceError for a text that names none. */
export function converterEntry(text: string): ConverterEntry {
  refusePiece(text, 'a converter');
  return typeOrEnd(text, findConverter, (entry) => {
    const { amount } = spreadAt('converter', entry.type, text);
    return { ...entry, outputOhms: amount * entry.outputOhms };
  });
}

/** The type of the catalogue that a part is, or that its piece is of or like. */
export function catalogueTypeOf(text: string): string {
  return isPieceText(text) ? pieceOfText(text).like : (endOf(text)?.type ?? text);
}

/** Whether a part is one piece, measured or at an end: it has no spread. */
export function isSinglePiece(text: string): boolean {
  return isPieceText(text) || END.test(text);
}

/** The text of a piece at an end of a type's spread. */
export function endText(type: string, end: SpreadEnd): string {
  return `${type} ${end}`;
}

/** Which end of its type's spread a part is; undefined for a typical part and for a measured one. */
export function endOf(text: string): { readonly type: string; readonly end: SpreadEnd } | undefined {
  const [, type, end] = isPieceText(text) ? [] : (END.exec(text) ?? []);
  return type === undefined ? undefined : { type, end: end!.toLowerCase() as SpreadEnd };
}

type Moved = { readonly spread: TypeSpread; readonly amount: number };

function spreadAt(kind: SpreadKind, type: string, text: string): Moved {
  const spread = typeSpread(kind, type);
  return { spread, amount: spread[endOf(text)!.end] };
}

/** The entry of a type, or with its end's data where the text asks for one. A text that is neither is refused whole. */
function typeOrEnd<Entry extends { readonly type: string }>(
  text: string,
  find: (type: string) => Entry,
  atEnd: (entry: Entry) => Entry,
): Entry {
  const end = endOf(text);
  if (!end) return find(text);
  const { type } = find(end.type);
  return { ...atEnd(find(type)), type: endText(type, end.end), like: type };
}

/** All parts of a chain are at the same end. */
function diodeAtEnd(entry: DiodeEntry, { spread, amount }: Moved): DiodeEntry {
  const at = (data: DiodeEntry['data']) => diodeAtSpread(data, spread, amount, NOMINAL_TEMPERATURE_K);
  const { data, reverse, chain } = entry;
  return {
    ...entry,
    data: at(data),
    ...(reverse && { reverse: { ...reverse, data: at(reverse.data) } }),
    ...(chain && {
      chain: chain.map((link) => ({ ...link, entry: diodeAtEnd(link.entry, { spread, amount }) })),
    }),
  };
}

type PieceEntry = DiodeEntry | BjtEntry | FetEntry;
const isDiode = (entry: PieceEntry): entry is DiodeEntry => entry.kind === 'diode';
const isBjt = (entry: PieceEntry): entry is BjtEntry => entry.kind === 'npn' || entry.kind === 'pnp';
const isFet = (entry: PieceEntry): entry is FetEntry => !isDiode(entry) && !isBjt(entry);

function measuredEntry<Entry extends PieceEntry>(
  text: string,
  isWanted: (entry: PieceEntry) => entry is Entry,
  wanted: string,
): Entry {
  const entry = pieceEntry(pieceOfText(text), text);
  if (isWanted(entry)) return entry;
  throw new PieceError(`${pieceOfText(text).name} is not ${wanted}.`);
}

function refusePiece(text: string, wanted: string): void {
  if (isPieceText(text)) throw new PieceError(`${pieceOfText(text).name} is not ${wanted}.`);
}

/** Pieces that were read: a part's entry is asked for many times. */
const known = new WeakMap<Piece, PieceEntry>();

/** The type that it is like, with the data and the points of the piece. @throws PieceError if there is no such type. */
function pieceEntry(piece: Piece, text: string): PieceEntry {
  const entry = known.get(piece) ?? makeEntry(piece, text);
  known.set(piece, entry);
  return entry;
}

function makeEntry(piece: Piece, text: string): PieceEntry {
  const like = likeEntry(piece);
  const measured = measuredPoints(piece);
  const kept = like.limits.filter(({ quantity }) => !measured.some((point) => point.quantity === quantity));
  return {
    ...like,
    type: text,
    like: like.type,
    title: `${piece.name}: one piece like ${like.type}`,
    data: pieceData(like, piece),
    dataSource: PIECE_SOURCE,
    limits: [...measured, ...kept.filter(({ quantity }) => quantity !== 'forwardVoltageV')],
    knownMisses: [],
  } as PieceEntry;
}

function pieceData(like: PieceEntry, piece: Piece): PieceEntry['data'] {
  return 'collectorA' in piece && isBjt(like)
    ? bipolarPieceData(like.data, piece.fit)
    : ({ ...like.data, ...piece.fit } as PieceEntry['data']);
}

function measuredPoints(piece: Piece): readonly DatasheetPoint[] {
  const source = PIECE_SOURCE;
  if (piece.kind === 'diode') {
    const { forward, reverse } = piece;
    const ahead = forward.map(({ currentA, voltageV }): DatasheetPoint => {
      return { quantity: 'forwardVoltageV', typical: voltageV, at: { forwardA: currentA }, source };
    });
    if (!reverse) return ahead;
    const { currentA, voltageV } = reverse;
    return [...ahead, { quantity: 'reverseCurrentA', typical: currentA, at: { reverseV: voltageV }, source }];
  }
  if ('collectorA' in piece) {
    const { collectorA, currentGain } = piece;
    return [{ quantity: 'currentGain', typical: currentGain, at: { collectorA }, source }];
  }
  const sign = piece.kind === 'pJfet' ? 1 : -1;
  return [
    { quantity: 'zeroBiasDrainA', typical: piece.zeroBiasDrainA, at: {}, source },
    { quantity: 'gateCutoffV', typical: sign * piece.cutoffV, at: {}, source },
  ];
}
