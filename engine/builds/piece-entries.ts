import { shownValue } from '../input/shown-text.ts';
import { isPieceText, type Piece, PieceError, pieceText } from '../parts/piece.ts';
import { readFittedPiece } from '../parts/piece-fit.ts';
import type { PartSetting } from './build.ts';
import type { BuildProblem } from './build-error.ts';
import { MOST_PIECES, newPiece, typeText } from './pieces.ts';

/** A file without the fit of a piece gets one; a piece that cannot be is a problem of the file. */
export function readPieces(value: unknown, problems: BuildProblem[]): readonly Piece[] {
  if (value === undefined) return [];
  if (!Array.isArray(value) || value.length > MOST_PIECES) {
    const message = `"pieces" is ${shownValue(value)}; it should be a list of at most ${MOST_PIECES}.`;
    problems.push({ code: 'wrong-shape', path: 'pieces', message });
    return [];
  }
  const pieces: Piece[] = [];
  for (const [index, entry] of value.entries()) {
    try {
      pieces.push(newPiece(pieces, readFittedPiece(entry)));
    } catch (error) {
      if (!(error instanceof PieceError)) throw error;
      problems.push({ code: error.code, path: `pieces[${index}]`, message: error.message });
    }
  }
  return pieces;
}

/** Names of the file become the texts that a build has. A piece stands below "pieces", nowhere else. */
export function withPieceTexts(setting: PartSetting, pieces: readonly Piece[]): PartSetting {
  const text = (name: string) => typeText(isPieceText(name) ? name.slice(0, 1) : name, pieces);
  const { type, piggyback } = setting;
  return {
    ...setting,
    ...(type !== undefined && { type: text(type) }),
    ...(piggyback !== undefined && { piggyback: text(piggyback) }),
  };
}

/** A name of its own for each piece, by its text: two that came from two builds may have one name. */
export function fileNames(pieces: readonly Piece[]): ReadonlyMap<string, string> {
  const names = new Map<string, string>();
  for (const piece of pieces) {
    const isTaken = (name: string) =>
      [...names.values()].some((other) => other.toLowerCase() === name.toLowerCase());
    let name = piece.name;
    for (let number = 2; isTaken(name); number++) name = `${piece.name.slice(0, 20)} ${number}`;
    names.set(pieceText(piece), name);
  }
  return names;
}
