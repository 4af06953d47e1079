import { diodeDataAt } from '../devices/diode.ts';
import { CATALOGUE } from './catalogue.ts';
import type { DiodeEntry } from './catalogue-entry.ts';
import { reverseCurrent, typeForwardVoltage } from './diode-curve.ts';
import type { DiodePiece } from './piece.ts';
import { roomK } from './piece-fit.ts';

/** What a diode is made of, as far as its curve tells. */
export const JUNCTION_KINDS = ['germanium', 'Schottky', 'silicon', 'LED'] as const;
export type JunctionKind = (typeof JUNCTION_KINDS)[number];

/** What readings say of the kind of a diode. */
export interface KindVerdict {
  /** Undefined where the readings do not tell. */
  readonly kind: JunctionKind | undefined;
  /** Share of each kind, from 0 to 1, where each was equally likely before; all 0 where none is near. */
  readonly shares: Readonly<Record<JunctionKind, number>>;
  /** In a sentence or two. */
  readonly text: string;
}

/** Below this, the readings do not tell. */
const LEAST_SHARE = 0.9;
/** The catalogue is a sample: more than this is not claimed. */
const MOST_SHARE = 0.99;
/** Farther from every type than this many deviations a point, a diode is none of these kinds. */
const MOST_DEVIATIONS = 4;

/** How far pieces of one type lie apart, as standard deviations. */
interface PieceSpread {
  /** Voltage of the first point, V: half of the spread of the catalogue's families, ±40 mV and ±100 mV of LEDs. */
  readonly firstV: number;
  /** Slope of the first decade, V. */
  readonly slopeV: number;
  /** Of what a slope is above the least possible, a share: series resistance and emission coefficient. */
  readonly excess: number;
}

/**
 * Slopes of the first decade: Schottky types of the catalogue have 60 to 71 mV (n = 1.00 to 1.19), two published cards of the
 * 1N34A 60 and 78 mV. That a quarter of what is above it, the series resistance, differs from piece to piece is an estimate.
 */
const SPREADS: Readonly<Record<JunctionKind, PieceSpread>> = {
  germanium: { firstV: 0.02, slopeV: 0.007, excess: 0.25 },
  Schottky: { firstV: 0.02, slopeV: 0.005, excess: 0.25 },
  silicon: { firstV: 0.03, slopeV: 0.006, excess: 0.25 },
  LED: { firstV: 0.05, slopeV: 0.01, excess: 0.25 },
};
/** A leak is from a third to three times that of the type: two standard deviations, in e-folds. */
const LEAK_EFOLDS = Math.log(3) / 2 + 0.15;
/** Slope a decade of an ideal junction at 27 °C, V. */
const IDEAL_SLOPE_V = 0.0595;
/** A meter that shows whole millivolts: standard deviation of one reading, V. */
const READING_V = 0.5e-3;
/** Below this a leak is too small to be read: types that leak less are alike, A. */
const LEAST_LEAK_A = 1e-9;

/**
 * Germanium, Schottky, silicon or LED? The readings are compared with what every type of the catalogue has at the same
 * currents: the first voltage, the slopes from point to point, and the reverse current if it was read. Each type
 * stands for pieces that are normally distributed about it; a kind is as likely as the mean of its types. Series resistance
 * shows in the last slope, the emission coefficient in the first.
 *
 * @param left Types that are left out, for a test of the method with data that it has not seen.
 */
export function junctionKind(piece: Measured, left: ReadonlySet<string> = new Set()): KindVerdict {
  const types = KIND_TYPES.filter(({ type }) => !left.has(type));
  const logs = types.map((entry) => ({
    kind: entry.family as JunctionKind,
    log: logLikelihood(piece, entry),
  }));
  const best = Math.max(...logs.map(({ log }) => log));
  const meanOf = (kind: JunctionKind) => {
    const own = logs.filter((each) => each.kind === kind);
    return own.reduce((sum, { log }) => sum + Math.exp(log - best), 0) / Math.max(1, own.length);
  };
  const weights = JUNCTION_KINDS.map(meanOf);
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  const nearest = Math.min(...types.map((entry) => farthestDeviation(piece, entry)));
  const isNear = nearest <= MOST_DEVIATIONS;
  const shares = JUNCTION_KINDS.map((kind, index) => [kind, isNear ? weights[index]! / all : 0] as const);
  return verdictOf(piece, Object.fromEntries(shares) as KindVerdict['shares']);
}

/** What was measured of a diode, and what it was sold as. */
type Measured = Pick<DiodePiece, 'name' | 'kind' | 'forward' | 'reverse' | 'roomC' | 'like'>;

/** One of several types with the same data stands for all. */
const KIND_TYPES: readonly DiodeEntry[] = CATALOGUE.filter(
  (entry): entry is DiodeEntry =>
    entry.kind === 'diode' && !entry.chain && JUNCTION_KINDS.some((kind) => kind === entry.family),
).filter(
  ({ data }, index, all) =>
    all.findIndex((other) => JSON.stringify(other.data) === JSON.stringify(data)) === index,
);

/** By how many standard deviations a piece is off a type in each figure, with ln of that deviation's size. */
function deviations(
  piece: Measured,
  entry: DiodeEntry,
): readonly { readonly off: number; readonly sigma: number }[] {
  const temperatureK = roomK(piece as DiodePiece);
  const { firstV, slopeV, excess } = SPREADS[entry.family as JunctionKind];
  const volts = piece.forward.map(({ currentA }) => typeForwardVoltage(entry, currentA, temperatureK));
  const ahead = piece.forward.map(({ currentA, voltageV }, index) => {
    if (index === 0) return { off: voltageV - volts[0]!, sigma: Math.hypot(firstV, READING_V) };
    const before = piece.forward[index - 1]!;
    const decades = Math.log10(currentA / before.currentA);
    const typical = volts[index]! - volts[index - 1]!;
    const above = Math.max(0, typical - IDEAL_SLOPE_V * decades);
    const sigma = Math.hypot(slopeV * decades, excess * above, Math.SQRT2 * READING_V);
    return { off: voltageV - before.voltageV - typical, sigma };
  });
  if (!piece.reverse || entry.reverse) return ahead;
  const { currentA, voltageV } = piece.reverse;
  const typicalA = reverseCurrent(diodeDataAt(entry.data, temperatureK), voltageV, temperatureK);
  const off = Math.log((currentA + LEAST_LEAK_A) / (typicalA + LEAST_LEAK_A));
  return [...ahead, { off, sigma: LEAK_EFOLDS }];
}

function logLikelihood(piece: Measured, entry: DiodeEntry): number {
  return deviations(piece, entry).reduce(
    (sum, { off, sigma }) => sum - (off / sigma) ** 2 / 2 - Math.log(sigma),
    0,
  );
}

function farthestDeviation(piece: Measured, entry: DiodeEntry): number {
  return Math.max(...deviations(piece, entry).map(({ off, sigma }) => Math.abs(off) / sigma));
}

function verdictOf(piece: Measured, shares: KindVerdict['shares']): KindVerdict {
  const [first, second] = [...JUNCTION_KINDS].sort((one, other) => shares[other] - shares[one]) as [
    JunctionKind,
    JunctionKind,
  ];
  if (shares[first] === 0)
    return {
      kind: undefined,
      shares,
      text: 'Cannot tell what kind of diode: no type of the catalogue is near.',
    };
  if (shares[first] < LEAST_SHARE) {
    const missing = piece.reverse ? '' : ' Measure the leakage: it tells most.';
    const text = `Cannot tell: ${percent(shares[first])} ${first}, ${percent(shares[second])} ${second}.${missing}`;
    return { kind: undefined, shares, text };
  }
  const soldAs = KIND_TYPES.find(({ type }) => type === piece.like)?.family;
  const odd =
    soldAs !== undefined && soldAs !== first ? ` Sold as ${piece.like}, it should be ${soldAs}.` : '';
  return { kind: first, shares, text: `Looks like ${first}: ${percent(shares[first])}.${odd}` };
}

function percent(share: number): string {
  return `${Math.round(100 * Math.min(MOST_SHARE, share))} %`;
}
