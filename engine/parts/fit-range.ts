import type { BjtEntry } from './catalogue-entry.ts';
import type { DiodePiece, Piece } from './piece.ts';
import { fitPiece, likeEntry } from './piece-fit.ts';
import { openBaseLeakA } from './type-figure.ts';

/** A number of a fit, and how far it moves with what a meter rounds. */
export interface FitRange {
  readonly of: 'saturationCurrentA' | 'emissionCoefficient' | 'seriesOhms';
  readonly value: number;
  /** One standard range to both sides, in the unit of the number. */
  readonly plusMinus: number;
}

/** Below this share of the collector current, nobody measures the leakage of a type: that of silicon. */
const MOST_SILENT_LEAK = 1e-3;
/** A multimeter in its 2 V range, with 2000 counts. */
export const USUAL_DIGIT_V = 1e-3;

/**
 * How well the points of a diode say its model: each reading is moved by one digit up and down, the fit made again, and the
 * changes added as squares, since the readings are rounded independently. Empty where there are fewer points than numbers.
 */
export function fitRanges(piece: DiodePiece, digitV = USUAL_DIGIT_V): readonly FitRange[] {
  if (piece.forward.length < 3) return [];
  const fits = piece.forward.map((_, index) => [moved(piece, index, digitV), moved(piece, index, -digitV)]);
  const rangeOf = (of: FitRange['of']): FitRange => {
    const changes = fits.map(([up, down]) => (up!.fit[of] - down!.fit[of]) / 2);
    return { of, value: piece.fit[of], plusMinus: Math.hypot(...changes) };
  };
  return (['saturationCurrentA', 'emissionCoefficient', 'seriesOhms'] as const).map(rangeOf);
}

function moved(piece: DiodePiece, at: number, byV: number): DiodePiece {
  const forward = piece.forward.map((point, index) =>
    index === at ? { ...point, voltageV: Math.max(1e-3, point.voltageV + byV) } : point,
  );
  return fitPiece({ ...piece, forward }) as DiodePiece;
}

/** What the readings of a piece do not say, in sentences. */
export function leftOpen(piece: Piece): readonly string[] {
  const { type } = likeEntry(piece);
  if (piece.kind === 'diode') {
    const points = piece.forward.length;
    return [
      ...(points === 1
        ? [`One point: slope and series resistance are those of a typical ${type}.`]
        : points === 2
          ? [`Two points: the series resistance is that of a typical ${type}.`]
          : []),
      ...(piece.reverse ? [] : [`No leakage was read: it is that of a typical ${type}.`]),
    ];
  }
  if ('collectorA' in piece) {
    const leakA = openBaseLeakA((likeEntry(piece) as BjtEntry).data);
    const isLeaky = piece.openBaseA === undefined && leakA > MOST_SILENT_LEAK * piece.collectorA;
    return isLeaky ? [`No leakage was read: it is that of a typical ${type}.`] : [];
  }
  return piece.cutoffA === undefined
    ? ['The cutoff voltage is taken as that at which no current flows.']
    : [];
}
