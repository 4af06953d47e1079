import { isRecord, readJson } from '../input/json.ts';
import { Refusal } from '../input/refusal.ts';
import { inLine, quoted, shownValue } from '../input/shown-text.ts';
import { quantityText } from '../units/quantity-text.ts';
import type { DiodeFit } from './diode-fit.ts';
import type { CurvePoint } from './junction-fit.ts';

/** What a builder has measured of one part. A piece stands at any place at which its type can stand. */
export type Piece = DiodePiece | BipolarPiece | JfetPiece;
export type PieceKind = Piece['kind'];

interface PieceBase {
  /** The builder's own: "my OA91". */
  readonly name: string;
  /** The type of the catalogue that gives what was not measured: capacitance, temperature, noise. */
  readonly like: string;
}

export interface DiodePiece extends PieceBase {
  readonly kind: 'diode';
  /** One to six points of its forward curve, rising. */
  readonly forward: readonly CurvePoint[];
  /** Its current backwards at a voltage, if it was measured. */
  readonly reverse?: CurvePoint;
  /** Temperature of the room in which it was measured, °C; 27 where it is not said. */
  readonly roomC?: number;
  /** Nothing is printed on it: `like` was found from its readings, and says nothing of its case. */
  readonly isLikeGuessed?: boolean;
  readonly fit: DiodeFit;
}

export interface BipolarPiece extends PieceBase {
  readonly kind: 'npn' | 'pnp';
  /** Collector current at which the gain was measured, A. */
  readonly collectorA: number;
  readonly currentGain: number;
  /** From collector to emitter with the base open, A, if it was measured; matters for germanium. */
  readonly openBaseA?: number;
  /** As of a diode. */
  readonly roomC?: number;
  /** The leak I_L of the collector junction is missing in files from before, where β_R alone makes it. */
  readonly fit: {
    readonly forwardBeta: number;
    readonly reverseBeta: number;
    readonly collectorLeakageA?: number;
  };
}

export interface JfetPiece extends PieceBase {
  readonly kind: 'nJfet' | 'pJfet';
  /** Drain current with the gate at the source, A, as a magnitude. */
  readonly zeroBiasDrainA: number;
  /** Gate voltage at which it stops to conduct, or at which {@link cutoffA} flows, V, as a magnitude. */
  readonly cutoffV: number;
  /** Drain current at `cutoffV`, A; 0 where it is not said. */
  readonly cutoffA?: number;
  /** Drain voltage at which `zeroBiasDrainA` was measured, V; that of a component tester where it is not said. */
  readonly drainV?: number;
  readonly fit: { readonly betaAPerV2: number; readonly thresholdV: number };
}

/** What is measured, before the fit. */
export type MeasuredPiece = Unfitted<DiodePiece> | Unfitted<BipolarPiece> | Unfitted<JfetPiece>;
type Unfitted<P extends { readonly fit: object }> = Omit<P, 'fit'>;

/** A piece that cannot be. The message is one sentence, and names the piece and the value. */
export class PieceError extends Refusal {
  constructor(message: string) {
    super('piece', message);
    this.name = 'PieceError';
  }
}

export const PIECE_SOURCE = 'measured by the builder';
export const MOST_NAME_CHARACTERS = 24;
export const FORWARD_POINTS = { least: 1, most: 6 } as const;
/** Limits of what is measured, far beyond what meters show and parts do. */
export const PIECE_LIMITS = {
  currentA: { least: 1e-8, most: 1 },
  voltageV: { least: 0.001, most: 10 },
  reverseA: { least: 0, most: 0.01 },
  reverseV: { least: 0.1, most: 100 },
  currentGain: { least: 1, most: 10_000 },
  cutoffV: { least: 0.05, most: 20 },
  drainV: { least: 1, most: 40 },
  roomC: { least: -10, most: 60 },
} as const;
/** Limits of the numbers of a fit. */
const FIT_LIMITS = {
  saturationCurrentA: { least: 1e-45, most: 1e-2 },
  emissionCoefficient: { least: 0.9, most: 5 },
  seriesOhms: { least: 0, most: 1e4 },
  leakageS: { least: 0, most: 0.1 },
  forwardBeta: { least: 0.5, most: 100_000 },
  reverseBeta: { least: 1e-9, most: 1e6 },
  collectorLeakageA: { least: 0, most: 0.01 },
  betaAPerV2: { least: 1e-9, most: 100 },
  thresholdV: { least: -20, most: -0.05 },
} as const;
type Limits = { readonly least: number; readonly most: number };

/** Letters, digits and a few signs, beginning with a letter or digit; no sign that separates parts in a text. */
const NAME = /^[\p{L}\p{N}][\p{L}\p{N} .+_#()-]*$/u;
/** Words and numbers that mean something else in the same place. */
const TAKEN =
  /^(\d+ *x .*|open|bridged|fitted|not fitted|jumpered|.* (low|high)( end)?|(.* )?(low|usual|high) capacitance)$/i;

/** Why a name cannot be that of a piece, in a sentence; undefined if it can. */
export function pieceNameProblem(name: string): string | undefined {
  if (name.trim() === '') return 'Give the piece a name.';
  if (name !== name.trim() || name.length > MOST_NAME_CHARACTERS || !NAME.test(name))
    return `A piece cannot be called ${quoted(name)}: use up to ${MOST_NAME_CHARACTERS} letters, digits and spaces.`;
  return TAKEN.test(name)
    ? `A piece cannot be called ${quoted(name)}: that means something else.`
    : undefined;
}

/** The pieces that were read, by their text: the same texts are read many times. */
const known = new Map<string, Piece>();
const MOST_KNOWN = 500;
/** Six points and a fit take 700 characters. */
const MOST_TEXT_CHARACTERS = 4000;

/**
 * A piece as the type of a part: its whole data in one text, so that it goes wherever a type goes, from one build to
 * another too. {@link typeName} is what is shown.
 */
export function pieceText(piece: Piece): string {
  return JSON.stringify(inOrder(piece));
}

/** Whether the type of a part is a piece. */
export function isPieceText(type: string): boolean {
  return type.startsWith('{');
}

/** @throws PieceError for a text that is no piece. */
export function pieceOfText(text: string): Piece {
  const before = known.get(text);
  if (before) return before;
  if (text.length > MOST_TEXT_CHARACTERS) throw new PieceError('A piece has too much data.');
  const value = readJson(text);
  if (value === undefined) throw new PieceError(`${quoted(text)} is no type and no piece.`);
  const piece = readPiece(value, undefined);
  if (known.size >= MOST_KNOWN) known.clear();
  known.set(text, piece);
  return piece;
}

/** The type of a part as it is shown: a type number, or the name of a piece. */
export function typeName(type: string): string {
  return isPieceText(type) ? pieceOfText(type).name : type;
}

/**
 * Reads a piece of a file, with its fit.
 *
 * @param fitted Makes the fit where the file has none. @throws PieceError naming the piece and the value.
 */
export function readPiece(value: unknown, fitted: ((piece: MeasuredPiece) => Piece) | undefined): Piece {
  const { fit, ...measured } = readRecord(value, 'A piece');
  const piece = readMeasured(measured);
  if (fit === undefined && fitted) return fitted(piece);
  const numbers = readRecord(fit, `${piece.name}: the fit`);
  const names = [
    ...FIT_NAMES[piece.kind],
    ...LATER_FIT_NAMES[piece.kind].filter((name) => numbers[name] !== undefined),
  ];
  checkKeys(numbers, names, `${piece.name}: the fit`);
  const read = Object.fromEntries(
    names.map((name) => [name, readNumber(numbers[name], FIT_LIMITS[name], `${piece.name}: ${name}`)]),
  );
  return { ...piece, fit: read } as unknown as Piece;
}

const FIT_NAMES: Readonly<Record<PieceKind, readonly (keyof typeof FIT_LIMITS)[]>> = {
  diode: ['saturationCurrentA', 'emissionCoefficient', 'seriesOhms', 'leakageS'],
  npn: ['forwardBeta', 'reverseBeta'],
  pnp: ['forwardBeta', 'reverseBeta'],
  nJfet: ['betaAPerV2', 'thresholdV'],
  pJfet: ['betaAPerV2', 'thresholdV'],
};

/** Numbers that the fit of a file from before does not have. */
const LATER_FIT_NAMES: typeof FIT_NAMES = {
  diode: [],
  npn: ['collectorLeakageA'],
  pnp: ['collectorLeakageA'],
  nJfet: [],
  pJfet: [],
};

/** Kinds of parts of which a piece can be measured. */
export function hasPieces(kind: string): kind is PieceKind {
  return Object.hasOwn(FIT_NAMES, kind);
}

/** What was measured, checked. @throws PieceError naming the piece and the value. */
export function readMeasured(value: unknown): MeasuredPiece {
  const record = readRecord(value, 'A piece');
  const { name, kind, like } = record;
  if (typeof name !== 'string')
    throw new PieceError(`The name of a piece is ${shownValue(name)}, not a text.`);
  const problem = pieceNameProblem(name);
  if (problem !== undefined) throw new PieceError(problem);
  if (typeof kind !== 'string' || !Object.hasOwn(FIT_NAMES, kind))
    throw new PieceError(
      `${name}: its kind is ${shownValue(kind)}, not one of ${Object.keys(FIT_NAMES).join(', ')}.`,
    );
  if (typeof like !== 'string' || isPieceText(like))
    throw new PieceError(`${name}: say with "like" which type of the catalogue it is like.`);
  if (kind === 'diode') return readDiode(record, { name, like });
  if (kind === 'npn' || kind === 'pnp') return { name, kind, like, ...readBipolar(record, name) };
  return { name, kind: kind as JfetPiece['kind'], like, ...readJfet(record, name) };
}

function readDiode(record: Readonly<Record<string, unknown>>, base: PieceBase): Unfitted<DiodePiece> {
  const { name } = base;
  checkKeys(record, ['name', 'kind', 'like', 'forward', 'reverse', 'roomC', 'isLikeGuessed'], name);
  const list = record['forward'];
  const { least, most } = FORWARD_POINTS;
  if (!Array.isArray(list) || list.length < least || list.length > most)
    throw new PieceError(`${name}: give ${least} to ${most} points of its forward curve.`);
  const forward = list.map((point, index) => readForward(point, `${name}: point ${index + 1}`));
  for (const [index, point] of forward.entries()) {
    const before = forward[index - 1];
    if (before && !(point.currentA > before.currentA && point.voltageV > before.voltageV))
      throw new PieceError(
        `${name}: point ${index + 1} does not rise: ${pointText(point)} after ${pointText(before)}.`,
      );
  }
  const reverse = record['reverse'];
  const more = { ...readRoom(record, name), ...readGuessed(record, name) };
  const measured = { ...base, kind: 'diode', forward, ...more } as const;
  return reverse === undefined ? measured : { ...measured, reverse: readReverse(reverse, name) };
}

function readForward(value: unknown, what: string): CurvePoint {
  const { currentA, voltageV } = readPoint(value, what);
  return {
    currentA: readNumber(currentA, PIECE_LIMITS.currentA, `${what}: the current`, 'A'),
    voltageV: readNumber(voltageV, PIECE_LIMITS.voltageV, `${what}: the voltage`, 'V'),
  };
}

function readReverse(value: unknown, name: string): CurvePoint {
  const { currentA, voltageV } = readPoint(value, `${name}: the reverse point`);
  return {
    currentA: readNumber(currentA, PIECE_LIMITS.reverseA, `${name}: the reverse current`, 'A'),
    voltageV: readNumber(voltageV, PIECE_LIMITS.reverseV, `${name}: the reverse voltage`, 'V'),
  };
}

function readPoint(value: unknown, what: string): Readonly<Record<string, unknown>> {
  const point = readRecord(value, what);
  checkKeys(point, ['currentA', 'voltageV'], what);
  return point;
}

function readBipolar(record: Readonly<Record<string, unknown>>, name: string) {
  checkKeys(record, ['name', 'kind', 'like', 'collectorA', 'currentGain', 'openBaseA', 'roomC'], name);
  const collectorA = readNumber(
    record['collectorA'],
    PIECE_LIMITS.currentA,
    `${name}: the collector current`,
    'A',
  );
  const gain = readNumber(record['currentGain'], PIECE_LIMITS.currentGain, `${name}: the current gain`);
  const measured = { collectorA, currentGain: gain, ...readRoom(record, name) };
  if (record['openBaseA'] === undefined) return measured;
  const openBaseA = readNumber(record['openBaseA'], PIECE_LIMITS.reverseA, `${name}: the leakage`, 'A');
  if (openBaseA < collectorA) return { ...measured, openBaseA };
  throw new PieceError(
    `${name}: the leakage of ${openBaseA} A is not below the collector current of ${collectorA} A, so its gain cannot be told.`,
  );
}

function readJfet(record: Readonly<Record<string, unknown>>, name: string) {
  checkKeys(record, ['name', 'kind', 'like', 'zeroBiasDrainA', 'cutoffV', 'cutoffA', 'drainV'], name);
  const { zeroBiasDrainA: full, cutoffV, cutoffA, drainV } = record;
  const zeroBiasDrainA = readNumber(full, PIECE_LIMITS.currentA, `${name}: the drain current`, 'A');
  const measured = {
    zeroBiasDrainA,
    cutoffV: readNumber(cutoffV, PIECE_LIMITS.cutoffV, `${name}: the cutoff voltage`, 'V'),
    ...(cutoffA !== undefined && {
      cutoffA: readNumber(cutoffA, PIECE_LIMITS.reverseA, `${name}: the current at cutoff`, 'A'),
    }),
    ...(drainV !== undefined && {
      drainV: readNumber(drainV, PIECE_LIMITS.drainV, `${name}: the drain voltage`, 'V'),
    }),
  };
  if ((measured.cutoffA ?? 0) < zeroBiasDrainA / 4) return measured;
  throw new PieceError(
    `${name}: ${measured.cutoffA} A at cutoff is not small beside the ${zeroBiasDrainA} A with the gate at the source: use a larger resistor.`,
  );
}

function readRoom({ roomC }: Readonly<Record<string, unknown>>, name: string): { readonly roomC?: number } {
  if (roomC === undefined) return {};
  return { roomC: readNumber(roomC, PIECE_LIMITS.roomC, `${name}: the temperature of the room`, '°C') };
}

function readGuessed(
  { isLikeGuessed }: Readonly<Record<string, unknown>>,
  name: string,
): { readonly isLikeGuessed?: boolean } {
  if (isLikeGuessed === undefined) return {};
  if (typeof isLikeGuessed === 'boolean') return { isLikeGuessed };
  throw new PieceError(`${name}: isLikeGuessed is ${shownValue(isLikeGuessed)}; it should be true or false.`);
}

function readRecord(value: unknown, what: string): Readonly<Record<string, unknown>> {
  if (isRecord(value)) return value;
  throw new PieceError(`${what} is ${shownValue(value)}; it should be an object.`);
}

function checkKeys(record: object, keys: readonly string[], what: string): void {
  const other = Object.keys(record).find((key) => !keys.includes(key));
  if (other !== undefined) throw new PieceError(`${what} has an unknown key ${quoted(other)}.`);
}

function readNumber(value: unknown, { least, most }: Limits, what: string, unit = ''): number {
  if (typeof value === 'number' && value >= least && value <= most) return value;
  const space = unit === '' ? '' : ` ${unit}`;
  const given = typeof value === 'number' ? inLine(String(value), 12) : shownValue(value);
  const from = unit === 'A' && least > 0 ? quantityText(least, unit) : `${least}`;
  throw new PieceError(`${what} is ${given}; it should be from ${from} to ${most}${space}.`);
}

function pointText({ currentA, voltageV }: CurvePoint): string {
  return `${currentA} A at ${voltageV} V`;
}

/** The same piece always has the same text. */
function inOrder(piece: Piece): object {
  const { name, kind, like, fit, ...measured } = piece;
  const sorted = (record: object) =>
    Object.fromEntries(Object.entries(record).sort(([one], [other]) => (one < other ? -1 : 1)));
  return { name, kind, like, ...sorted(measured), fit: sorted(fit) };
}
