import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import { forwardVoltage } from './diode-curve.ts';
import { bjtEntry, diodeEntry, fetEntry } from './part-types.ts';
import { isPassive, type PassivePiece } from './passive-piece.ts';
import { type Piece, pieceText } from './piece.ts';
import { openBaseLeakA } from './type-figure.ts';

/** Two pieces of one kind, and how far they are apart. */
export interface PiecePair<P extends Piece | PassivePiece = Piece | PassivePiece> {
  readonly one: P;
  readonly other: P;
  readonly distance: number;
}

/** Points a decade of current. */
const PER_DECADE = 8;
/** Currents of a clipping diode, A: from the foot of the curve to hard clipping. */
const DIODE_A = { least: 1e-6, most: 1e-3 } as const;
/** Base currents of a transistor that clips softly, A. */
const BASE_A = { least: 1e-6, most: 1e-5 } as const;
const GATE_STEPS = 24;

/** What {@link pieceDistance} measures, as it stands in a sentence. */
export function distanceTitle(kind: Piece['kind'] | PassivePiece['kind']): string {
  switch (kind) {
    case 'diode':
      return 'RMS between the forward curves, 1 µA to 1 mA';
    case 'npn':
    case 'pnp':
      return 'RMS between the collector currents, leakage included, 1 to 10 µA into the base';
    case 'nJfet':
    case 'pJfet':
      return 'RMS between the drain currents over the gate voltage, as a share of the full current';
    case 'pot':
      return 'difference of track and middle';
    default:
      return 'difference of the values';
  }
}

/** "3.2 mV", "4.1 %". */
export function distanceText(kind: Piece['kind'] | PassivePiece['kind'], distance: number): string {
  return kind === 'diode' ? `${(1000 * distance).toFixed(1)} mV` : `${(100 * distance).toFixed(1)} %`;
}

/**
 * The curve of a piece, so that the RMS difference of two curves is their distance in what is heard: volts of a diode over the logarithm
 * of its current; ln of the collector current of a transistor; drain currents of a JFET; ln of a value.
 */
function curveOf(piece: Piece | PassivePiece): readonly number[] {
  if (isPassive(piece))
    return piece.kind === 'pot'
      ? [Math.log(piece.endOhms), piece.middleOhms / piece.endOhms]
      : [Math.log(piece.value)];
  const text = pieceText(piece);
  if (piece.kind === 'diode') {
    const { data } = diodeEntry(text);
    return logSteps(DIODE_A).map((amps) => forwardVoltage(data, amps, NOMINAL_TEMPERATURE_K));
  }
  if (piece.kind === 'npn' || piece.kind === 'pnp') {
    const { data } = bjtEntry(text);
    const leakA = openBaseLeakA(data);
    return logSteps(BASE_A).map((amps) => Math.log(data.forwardBeta * amps + leakA));
  }
  const { betaAPerV2, thresholdV } = fetEntry(text).data;
  return [betaAPerV2, thresholdV];
}

function logSteps({ least, most }: { readonly least: number; readonly most: number }): readonly number[] {
  const steps = Math.round(PER_DECADE * Math.log10(most / least));
  return Array.from({ length: steps + 1 }, (_, index) => least * (most / least) ** (index / steps));
}

/** How far two pieces of one kind are apart: V of diodes, a share of all others. */
export function pieceDistance(one: Piece | PassivePiece, other: Piece | PassivePiece): number {
  return between(one.kind, curveOf(one), curveOf(other));
}

function between(
  kind: Piece['kind'] | PassivePiece['kind'],
  one: readonly number[],
  other: readonly number[],
): number {
  if (kind === 'nJfet' || kind === 'pJfet') return jfetDistance(one, other);
  const differences = one.map((value, index) => value - other[index]!);
  if (kind === 'pot') return Math.hypot(...differences);
  return Math.hypot(...differences) / Math.sqrt(differences.length);
}

/** RMS of I_D from V_GS = 0 to the deeper cutoff, over the mean I_DSS. */
function jfetDistance([beta, thresholdV]: readonly number[], [otherBeta, otherV]: readonly number[]): number {
  const deepest = Math.min(thresholdV!, otherV!);
  const drain = (gain: number, atV: number, gateV: number) => gain * Math.max(0, gateV - atV) ** 2;
  const gates = Array.from({ length: GATE_STEPS + 1 }, (_, index) => (deepest * index) / GATE_STEPS);
  const differences = gates.map(
    (gateV) => drain(beta!, thresholdV!, gateV) - drain(otherBeta!, otherV!, gateV),
  );
  const full = (drain(beta!, thresholdV!, 0) + drain(otherBeta!, otherV!, 0)) / 2;
  return Math.hypot(...differences) / Math.sqrt(gates.length) / full;
}

/** Every pair of pieces of one kind, the nearest first. @param pieces All of one kind. */
export function piecePairs<P extends Piece | PassivePiece>(pieces: readonly P[]): readonly PiecePair<P>[] {
  const curves = pieces.map(curveOf);
  const pairs = pieces.flatMap((one, index) =>
    pieces.slice(index + 1).map((other, further): PiecePair<P> => {
      const distance = between(one.kind, curves[index]!, curves[index + 1 + further]!);
      return { one, other, distance };
    }),
  );
  return pairs.sort((one, other) => one.distance - other.distance);
}
