import { type BjtData, bjtDataAt } from '../devices/bipolar.ts';
import { diodeDataAt } from '../devices/diode.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import { kelvinOf } from '../network/temperature.ts';
import { quantityText } from '../units/quantity-text.ts';
import { CATALOGUE, catalogueType } from './catalogue.ts';
import type { BjtEntry, CatalogueEntry, DiodeEntry, FetEntry } from './catalogue-entry.ts';
import { reverseCurrent } from './diode-curve.ts';
import { fitDiode, voltageMisses } from './diode-fit.ts';
import {
  type BipolarPiece,
  type JfetPiece,
  type MeasuredPiece,
  type Piece,
  PieceError,
  type PieceKind,
  readPiece,
} from './piece.ts';
import { blockedCollectorA, modelFigure, openBaseLeakA } from './type-figure.ts';

/** How far a fit is off one figure that was measured. */
export interface FitMiss {
  /** "10 µA", "reverse at 1.5 V", "current gain". */
  readonly of: string;
  readonly measured: number;
  readonly fitted: number;
  readonly unit: 'V' | 'A' | '';
}

/** Farther off than this, a fit is said to be poor: the points are not those of one junction. */
const MOST_MISS_V = 0.01;
/** The same for a reverse current and a gain, as a factor. */
const MOST_RATIO = 1.5;
/** Drain voltage of a component tester, V; from memory. Its effect is a few percent. */
const TESTER_DRAIN_V = 5;

/** The type of the catalogue that a piece is like. @throws PieceError where there is none of its kind. */
export function likeEntry({ name, kind, like }: MeasuredPiece | Piece): DiodeEntry | BjtEntry | FetEntry {
  const type = catalogueType(like);
  const entry: CatalogueEntry | undefined = CATALOGUE.find((each) => each.type === type);
  if (!entry || entry.kind !== kind)
    throw new PieceError(`${name} cannot be like ${like}: the catalogue has no such ${KIND_WORDS[kind]}.`);
  if (isSeveral(entry))
    throw new PieceError(
      `${name} cannot be like ${like}: that is several parts, which cannot be told apart.`,
    );
  return entry as DiodeEntry | BjtEntry | FetEntry;
}

/** The types of a kind that a piece can be like: those that are one device. */
export function likeTypes(kind: PieceKind): readonly string[] {
  const types =
    likeTypesOf.get(kind) ??
    CATALOGUE.filter((entry) => entry.kind === kind && !isSeveral(entry)).map(({ type }) => type);
  likeTypesOf.set(kind, types);
  return types;
}
const likeTypesOf = new Map<PieceKind, readonly string[]>();

function isSeveral(entry: CatalogueEntry): boolean {
  return ('chain' in entry && entry.chain !== undefined) || ('driver' in entry && entry.driver !== undefined);
}

const KIND_WORDS: Readonly<Record<Piece['kind'], string>> = {
  diode: 'diode',
  npn: 'NPN transistor',
  pnp: 'PNP transistor',
  nJfet: 'N-channel JFET',
  pJfet: 'P-channel JFET',
};

/** Whether a reverse current can be measured of a diode like that: what a two-way type does backwards is the type's. */
export function hasReversePoint(like: string): boolean {
  const type = catalogueType(like);
  return !CATALOGUE.some((entry) => entry.type === type && 'reverse' in entry && entry.reverse !== undefined);
}

/** The piece with a model that is as near as it can be to what was measured, at 27 °C. @throws PieceError. */
export function fitPiece(measured: MeasuredPiece): Piece {
  const entry = likeEntry(measured);
  const piece = fitted({ ...measured, like: entry.type }, entry);
  try {
    return readPiece(piece, undefined);
  } catch (error) {
    if (!(error instanceof PieceError)) throw error;
    throw new PieceError(`${piece.name}: no part of this kind has these figures: check their units.`);
  }
}

function fitted(piece: MeasuredPiece, entry: ReturnType<typeof likeEntry>): Piece {
  if (piece.kind === 'diode') {
    if (piece.reverse && !hasReversePoint(entry.type))
      throw new PieceError(
        `${piece.name}: what a ${entry.type} does backwards is taken from the type. Leave the reverse point out.`,
      );
    const { data } = entry as DiodeEntry;
    return { ...piece, fit: rounded(fitDiode(piece.forward, piece.reverse, data, roomK(piece))) };
  }
  if ('collectorA' in piece) return { ...piece, fit: bipolarFit(piece, entry as BjtEntry) };
  return { ...piece, fit: jfetFit(piece, entry as FetEntry) };
}

/** Temperature at which a piece was measured, K. */
export function roomK(piece: MeasuredPiece | Piece): number {
  const roomC = 'roomC' in piece ? piece.roomC : undefined;
  return roomC === undefined ? NOMINAL_TEMPERATURE_K : kelvinOf(roomC);
}

/**
 * The square law through both figures of a JFET, I_D = β·(v_GS − V_to)²·(1 + λ·v_DS), with what flows at the cutoff voltage:
 *
 *   |V_to| = V_cutoff/(1 − √(I_cutoff/I_DSS))          β = I_DSS/(V_to²·(1 + λ·V_DS))
 *
 * @see H. Shichman & D. A. Hodges, IEEE J. Solid-State Circuits 3 (1968), 285: the law in saturation
 */
function jfetFit(
  { zeroBiasDrainA, cutoffV, cutoffA = 0, drainV = TESTER_DRAIN_V }: MeasuredJfet,
  { data: { lambdaPerV } }: FetEntry,
): JfetPiece['fit'] {
  const thresholdV = -cutoffV / (1 - Math.sqrt(cutoffA / zeroBiasDrainA));
  const betaAPerV2 = zeroBiasDrainA / (thresholdV ** 2 * (1 + lambdaPerV * drainV));
  return rounded({ betaAPerV2, thresholdV });
}

type MeasuredJfet = Extract<MeasuredPiece, { kind: JfetPiece['kind'] }>;

/** A piece of a file, with the fit of the file, or with one made where the file has none. @throws PieceError. */
export function readFittedPiece(value: unknown): Piece {
  const piece = readPiece(value, fitPiece);
  return { ...piece, like: likeEntry(piece).type };
}

/**
 * The gain without the leak, and the leak of the collector junction, of the two measurements that germanium needs:
 *
 *   base open: I_CEO = (β_F + 1)·(I_S/β_R + I_L) + I_S          base current I_B: I_C = β_F·I_B + I_CEO
 *
 * so β_F = (I_C − I_CEO)/I_B. β_R is that of the type; where the type alone leaks more than was measured, I_L is 0 and β_R larger.
 * All at the temperature of the room; the fit is then moved to 27 °C as {@link bjtDataAt} moves the model.
 */
function bipolarFit(piece: MeasuredBipolar, type: BjtEntry): BipolarPiece['fit'] {
  const temperatureK = roomK(piece);
  const entry = { ...type, data: bjtDataAt(type.data, temperatureK) };
  const fit = bipolarFitAt(piece, entry);
  const unit = { forwardBeta: 1, reverseBeta: 1, collectorLeakageA: 1 };
  const moved = bjtDataAt(bipolarPieceData(type.data, unit), temperatureK);
  return rounded({
    forwardBeta: fit.forwardBeta / moved.forwardBeta,
    reverseBeta: fit.reverseBeta / moved.reverseBeta,
    collectorLeakageA: fit.collectorLeakageA / moved.collectorLeak!.saturationA,
  });
}

function bipolarFitAt(piece: MeasuredBipolar, entry: BjtEntry): Required<BipolarPiece['fit']> {
  const { name, collectorA, currentGain } = piece;
  const { saturationCurrentA: ownA, reverseBeta } = entry.data;
  const openA = openBaseCurrent(piece, entry);
  const forwardBeta = (currentGain * (collectorA - openA)) / collectorA;
  if (!(forwardBeta > 0))
    throw new PieceError(
      `${name}: a typical ${entry.type} leaks ${quantityText(openA, 'A')} with its base open, too much for a gain at ${quantityText(collectorA, 'A')}: measure the leakage too.`,
    );
  // Below I_S, which is what is left without any leak into the base, nothing can be told apart.
  const intoBaseA = Math.max(openA - ownA, 1e-3 * openA) / (forwardBeta + 1);
  const leakA = intoBaseA - ownA / reverseBeta;
  return leakA > 0
    ? { forwardBeta, reverseBeta, collectorLeakageA: leakA }
    : { forwardBeta, reverseBeta: ownA / intoBaseA, collectorLeakageA: 0 };
}

type MeasuredBipolar = Extract<MeasuredPiece, { kind: 'npn' | 'pnp' }>;

/**
 * The leak with the base open, A: as it was measured, or that of the type with the measured gain, which follows from the two
 * equations above with the type's leak into the base.
 */
function openBaseCurrent(
  { collectorA, currentGain, openBaseA }: MeasuredBipolar,
  { data }: BjtEntry,
): number {
  if (openBaseA) return openBaseA;
  const [intoBaseA, baseA] = [blockedCollectorA(data), collectorA / currentGain];
  const forwardBeta = (collectorA - data.saturationCurrentA - intoBaseA) / (baseA + intoBaseA);
  return openBaseLeakA({ ...data, forwardBeta });
}

/** n_L of a silicon piece whose leak was measured: carriers generated in the depletion layer (Sah, Noyce & Shockley 1957). */
const GENERATION_EMISSION = 2;

/** Data of a type with those of a piece of it. Files from before have the leak in β_R alone. */
export function bipolarPieceData(data: BjtData, fit: BipolarPiece['fit']): BjtData {
  const { forwardBeta, reverseBeta, collectorLeakageA = 0 } = fit;
  const { collectorLeak, ...others } = data;
  const moved = { ...others, forwardBeta, reverseBeta };
  if (collectorLeakageA === 0) return moved;
  const emissionCoefficient = collectorLeak?.emissionCoefficient ?? GENERATION_EMISSION;
  return { ...moved, collectorLeak: { saturationA: collectorLeakageA, emissionCoefficient } };
}

/** What a piece's model gives at the temperature of the room, beside each figure that was measured. */
export function fitMisses(piece: Piece): readonly FitMiss[] {
  const entry = likeEntry(piece);
  if (piece.kind === 'diode') return diodeMisses(piece, entry as DiodeEntry);
  if ('collectorA' in piece) {
    const { collectorA, currentGain, openBaseA } = piece;
    const data = bjtDataAt(bipolarPieceData((entry as BjtEntry).data, piece.fit), roomK(piece));
    const fitted = modelFigure({ ...(entry as BjtEntry), data }, gainAt(collectorA))!;
    const gain = { of: 'current gain', measured: currentGain, fitted, unit: '' } as const;
    if (!openBaseA) return [gain];
    return [gain, { of: 'leakage, base open', measured: openBaseA, fitted: openBaseLeakA(data), unit: 'A' }];
  }
  const { zeroBiasDrainA, cutoffV, cutoffA, drainV = TESTER_DRAIN_V, fit } = piece;
  const lengthening = 1 + (entry as FetEntry).data.lambdaPerV * drainV;
  const drainAt = (gateV: number) => fit.betaAPerV2 * (gateV - fit.thresholdV) ** 2 * lengthening;
  const full = { of: 'drain current', measured: zeroBiasDrainA, fitted: drainAt(0), unit: 'A' } as const;
  if (!cutoffA) return [full];
  return [
    full,
    {
      of: `drain current at −${cutoffV} V`,
      measured: cutoffA,
      fitted: drainAt(-cutoffV),
      unit: 'A',
    },
  ];
}

function diodeMisses(piece: Extract<Piece, { kind: 'diode' }>, { data }: DiodeEntry): readonly FitMiss[] {
  const { forward, reverse, fit } = piece;
  const temperatureK = roomK(piece);
  const misses = voltageMisses(fit, forward, data, temperatureK);
  const ahead = forward.map(({ currentA, voltageV }, index): FitMiss => {
    return { of: currentText(currentA), measured: voltageV, fitted: voltageV + misses[index]!, unit: 'V' };
  });
  if (!reverse) return ahead;
  const atRoom = diodeDataAt({ ...data, ...fit }, temperatureK);
  const fitted = reverseCurrent(atRoom, reverse.voltageV, temperatureK);
  return [
    ...ahead,
    { of: `reverse at ${reverse.voltageV} V`, measured: reverse.currentA, fitted, unit: 'A' },
  ];
}

/** Largest voltage by which a fit is off, V; 0 where no voltage was measured. */
export function worstMissV(misses: readonly FitMiss[]): number {
  return Math.max(
    0,
    ...misses.map(({ unit, measured, fitted }) => (unit === 'V' ? Math.abs(fitted - measured) : 0)),
  );
}

/** Where a fit is poor, in sentences. */
export function fitWarnings(piece: Piece): readonly string[] {
  const misses = fitMisses(piece);
  const worstV = worstMissV(misses);
  const off = misses.filter(
    ({ unit, measured, fitted }) => unit !== 'V' && ratioOf(measured, fitted) > MOST_RATIO,
  );
  return [
    ...(worstV > MOST_MISS_V
      ? [
          `${piece.name}: the fit is up to ${(1000 * worstV).toFixed(0)} mV off its points: measure again, or choose another type that it is like.`,
        ]
      : []),
    ...off.map(({ of, measured, fitted }) => {
      const why =
        piece.kind === 'diode'
          ? 'the forward points and this figure do not agree'
          : `choose a type with less leakage than ${piece.like} to be like`;
      return `${piece.name}: the fit has ${fitted.toPrecision(2)} where ${measured.toPrecision(2)} was measured (${of}): ${why}.`;
    }),
    ...leakageWarnings(piece),
  ];
}

/** Where the leak of the type, which was not measured, is more than half of the current at which the gain was. */
function leakageWarnings(piece: Piece): readonly string[] {
  if (!('collectorA' in piece) || piece.openBaseA) return [];
  const { name, collectorA } = piece;
  const entry = likeEntry(piece) as BjtEntry;
  const data = bjtDataAt(entry.data, roomK(piece));
  const openA = openBaseCurrent(piece, { ...entry, data });
  if (openA <= collectorA / 2) return [];
  return [
    `${name}: a typical ${entry.type} leaks ${quantityText(openA, 'A')} with its base open, much of the ${quantityText(collectorA, 'A')} of the gain: measure the leakage too.`,
  ];
}

function ratioOf(measured: number, fitted: number): number {
  // Below a nanoampere nothing was measured.
  const [one, other] = [Math.max(measured, 1e-9), Math.max(fitted, 1e-9)];
  return Math.max(one / other, other / one);
}

function gainAt(collectorA: number) {
  return { quantity: 'currentGain', at: { collectorA } } as const;
}

/** To seven digits, so that a file is readable and a fit is the same on every machine. */
function rounded<T extends Readonly<Record<string, number>>>(numbers: T): T {
  const entries = Object.entries(numbers).map(([name, value]) => [name, Number(value.toPrecision(7))]);
  return Object.fromEntries(entries) as T;
}

function currentText(amps: number): string {
  const [size, unit] = amps < 1e-3 ? [1e6, 'µA'] : [1e3, 'mA'];
  return `at ${Number((size * amps).toPrecision(3))} ${unit}`;
}
