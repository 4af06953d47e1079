import { quoted } from '../input/shown-text.ts';
import { catalogueType } from '../parts/catalogue.ts';
import { isPieceText, type Piece, PieceError, pieceOfText, pieceText } from '../parts/piece.ts';
import type { Build, PartSetting } from './build.ts';

/** Most pieces of one build. */
export const MOST_PIECES = 100;

/** The pieces of a build: those it keeps, and those that stand in it or stood there at its start. */
export function piecesOf({
  pieces = [],
  parts,
  start,
}: Pick<Build, 'pieces' | 'parts' | 'start'>): readonly Piece[] {
  const fitted = [parts, start.parts].flatMap((places) => Object.values(places).flatMap(piecesIn));
  const all = new Map([...pieces, ...fitted].map((piece) => [pieceText(piece), piece]));
  return [...all.values()];
}

/** The pieces of one setting. */
export function piecesIn({ type, piggyback }: PartSetting): readonly Piece[] {
  return [type, piggyback].flatMap((text) =>
    text !== undefined && isPieceText(text) ? [pieceOfText(text)] : [],
  );
}

/** The build with pieces that it keeps, also where they do not stand in it; at most MOST_PIECES, those in it first. */
export function withPieces(build: Build, more: readonly Piece[]): Build {
  const all = [...(build.pieces ?? []), ...more];
  const kept = new Map(all.map((piece) => [pieceText(piece), piece]));
  if (kept.size === (build.pieces?.length ?? 0)) return build;
  const { parts, start } = build;
  const first = new Map(piecesOf({ parts, start }).map((piece) => [pieceText(piece), piece]));
  const pieces = kept.size <= MOST_PIECES ? kept : new Map([...first, ...kept]);
  return { ...build, pieces: [...pieces.values()].slice(0, MOST_PIECES) };
}

/** Why a new piece cannot have a name, in a sentence; undefined if it can. */
export function newNameProblem(pieces: readonly Piece[], name: string): string | undefined {
  if (catalogueType(name) !== undefined) return `A piece cannot be called ${quoted(name)}: that is a type.`;
  if (pieces.some((piece) => isSameName(piece.name, name)))
    return `There is a piece ${quoted(name)} already.`;
  return pieces.length >= MOST_PIECES ? `A build has at most ${MOST_PIECES} pieces.` : undefined;
}

/** A piece beside others. @throws PieceError where its name is taken. */
export function newPiece(pieces: readonly Piece[], piece: Piece): Piece {
  const problem = newNameProblem(pieces, piece.name);
  if (problem !== undefined) throw new PieceError(problem);
  return piece;
}

/** What a typed word names at a part: the text of a piece where one is called so, else the word itself. */
export function typeText(word: string, pieces: readonly Piece[]): string {
  const named = pieces.find(({ name }) => isSameName(name, word));
  return named ? pieceText(named) : word;
}

function isSameName(one: string, other: string): boolean {
  return one.trim().toLowerCase() === other.trim().toLowerCase();
}
