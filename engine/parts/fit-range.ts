import type { BjtEntry } from './catalogue-entry.ts';
import { EMISSION_MOST, leastEmissionOf } from './diode-fit.ts';
import type { DiodePiece, Piece } from './piece.ts';
import { fitPiece, likeEntry } from './piece-fit.ts';
import { openBaseLeakA } from './type-figure.ts';

/** A number of a fit, and how far it moves with what a meter rounds. */
export interface FitRange {
  readonly of: 'saturationCurrentA' | 'emissionCoefficient' | 'seriesOhms';
  readonly value: number;
  /** One standard range to both sides, in the unit of the number; undefined at a limit, where the readings do not say it. */
  readonly plusMinus: number | undefined;
  /** The fit stopped here: no junction has less, or more. */
  readonly isAtLimit: boolean;
}

/** Below this share of the collector current, nobody measures the leakage of a type: that of silicon. */
const MOST_SILENT_LEAK = 1e-3;
/** A multimeter in its 2 V range, with 2000 counts. */
export const USUAL_DIGIT_V = 1e-3;

/**
 * How well the points of a diode say its model: each reading is moved by one digit up and down, the fit made again, and the
 * changes added as squares, since the readings are rounded independently. Empty where there are fewer points than numbers.
 * What stands at a limit does not move, which says nothing of how sure it is; the saturation current hangs on the emission
 * coefficient.
 */
export function fitRanges(piece: DiodePiece, digitV = USUAL_DIGIT_V): readonly FitRange[] {
  if (piece.forward.length < 3) return [];
  const fits = piece.forward.map((_, index) => [moved(piece, index, digitV), moved(piece, index, -digitV)]);
  const limits = limitsReached(piece);
  const rangeOf = (of: FitRange['of']): FitRange => {
    const changes = fits.map(([up, down]) => (up!.fit[of] - down!.fit[of]) / 2);
    const isOpen = limits.has(of) || (of === 'saturationCurrentA' && limits.has('emissionCoefficient'));
    const plusMinus = isOpen ? undefined : Math.hypot(...changes);
    return { of, value: piece.fit[of], plusMinus, isAtLimit: limits.has(of) };
  };
  return (['saturationCurrentA', 'emissionCoefficient', 'seriesOhms'] as const).map(rangeOf);
}

/** A fit is kept to some digits. */
const SAME = 1e-4;

function limitsReached({ forward, fit }: DiodePiece): ReadonlySet<FitRange['of']> {
  const { emissionCoefficient: n, seriesOhms } = fit;
  const isLeast = n <= leastEmissionOf(forward) * (1 + SAME);
  const isMost = n >= EMISSION_MOST * (1 - SAME);
  return new Set<FitRange['of']>([
    ...(isLeast || isMost ? (['emissionCoefficient'] as const) : []),
    ...(seriesOhms < SAME ? (['seriesOhms'] as const) : []),
  ]);
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
