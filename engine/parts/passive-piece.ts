import { isRecord } from '../input/json.ts';
import { quoted, shownValue } from '../input/shown-text.ts';
import { POT_LAWS, type PotLaw, potTitle, trackFraction } from '../units/taper.ts';
import { formatValue, parseValue, ValueError } from '../units/value-code.ts';
import { PieceError, pieceNameProblem } from './piece.ts';

/** A resistor, capacitor or potentiometer that was measured: its value needs no model. */
export type PassivePiece = ValuePiece | PotPiece;

interface PassiveBase {
  /** "10k no. 3". */
  readonly name: string;
  /** What is printed on it: "10k". */
  readonly like: string;
}

export interface ValuePiece extends PassiveBase {
  readonly kind: 'resistor' | 'capacitor';
  /** Ω or F. */
  readonly value: number;
}

export interface PotPiece extends PassiveBase {
  readonly kind: 'pot';
  /** From end to end, Ω. */
  readonly endOhms: number;
  /** From the counter-clockwise end to the wiper with the knob in the middle, Ω. */
  readonly middleOhms: number;
  /** The same with the knob at a quarter of its turn, if it was measured. */
  readonly quarterOhms?: number;
}

export const PASSIVE_KINDS = ['resistor', 'capacitor', 'pot'] as const;
type PassiveKind = PassivePiece['kind'];

const VALUE_LIMITS = {
  resistor: { least: 0.01, most: 1e9 },
  capacitor: { least: 1e-13, most: 1 },
  pot: { least: 10, most: 1e8 },
} as const;

/** A taper that was fitted to a track. */
export interface TaperFit {
  readonly law: PotLaw;
  /** Share of the track at each turn that was measured, and that of the taper. */
  readonly misses: readonly { readonly turn: number; readonly measured: number; readonly fitted: number }[];
  /** What is not sure about it, in sentences. */
  readonly doubts: readonly string[];
}

/** An electrolytic of −20 % to +80 %, the widest that is common, is within it; common practice, no source. */
const MOST_FACTOR = 2;
/** Farther than this share of the track from every taper, the fit is said to be poor. */
const MOST_MISS = 0.06;
/** Nearer to each other than this two tapers cannot be told apart, since the knob is set by eye. */
const LEAST_DIFFERENCE = 0.02;

/**
 * The taper of {@link POT_LAWS} that is nearest to the track, by least squares of its share at the turns that were measured.
 * Half of the track in the middle is linear or S-shaped: only a second reading, at a quarter of the turn, tells them apart.
 */
export function fitTaper({ endOhms, middleOhms, quarterOhms }: PotPiece): TaperFit {
  const measured = [
    { turn: 0.5, share: middleOhms / endOhms },
    ...(quarterOhms === undefined ? [] : [{ turn: 0.25, share: quarterOhms / endOhms }]),
  ];
  const missOf = (law: PotLaw) =>
    Math.hypot(...measured.map(({ turn, share }) => trackFraction(law, turn) - share));
  const ranked = [...POT_LAWS].sort((one, other) => missOf(one) - missOf(other));
  const [law, second] = ranked as [PotLaw, PotLaw];
  const fits = measured.map(({ turn, share }) => ({
    turn,
    measured: share,
    fitted: trackFraction(law, turn),
  }));
  const isOpen = missOf(second) - missOf(law) < LEAST_DIFFERENCE;
  const worst = Math.max(...fits.map((each) => Math.abs(each.fitted - each.measured)));
  return {
    law,
    misses: fits,
    doubts: [
      ...(worst > MOST_MISS
        ? [
            `No taper of the list is near: ${potTitle(law)} is ${Math.round(100 * worst)} % of the track off. Was the knob in the middle, and the wiper read from the counter-clockwise end?`,
          ]
        : []),
      ...(isOpen && worst <= MOST_MISS
        ? [
            `${potTitle(law)} and ${potTitle(second)} are equally near. ${quarterOhms === undefined ? 'A reading at a quarter of the turn may tell.' : ''}`.trim(),
          ]
        : []),
    ],
  };
}

/** What stands at a place of a build for a measured piece. */
export function passiveSetting(piece: PassivePiece): { readonly value: string; readonly law?: PotLaw } {
  if (piece.kind === 'pot') return { value: formatValue(piece.endOhms, 'ohms', 4), law: fitTaper(piece).law };
  return { value: formatValue(piece.value, piece.kind === 'resistor' ? 'ohms' : 'farads', 4) };
}

/** How far the value is off what is printed, as a share; undefined where what is printed is no value. */
export function valueMiss(piece: PassivePiece): number | undefined {
  const [value, quantity] =
    piece.kind === 'pot'
      ? [piece.endOhms, 'ohms' as const]
      : [piece.value, piece.kind === 'resistor' ? ('ohms' as const) : ('farads' as const)];
  // A potentiometer has a letter for its taper before or behind its value: B100K, 100KB.
  const printed =
    piece.kind === 'pot' ? piece.like.replace(/^[a-z](?=\d)|(?<=\d[kM]?)[A-G]$/i, '') : piece.like;
  try {
    return value / parseValue(printed, quantity) - 1;
  } catch (error) {
    if (error instanceof ValueError) return undefined;
    throw error;
  }
}

/** What is not sure about a value, in a sentence: farther off than parts are, its unit may be wrong. */
export function valueDoubt(piece: PassivePiece): string | undefined {
  const miss = valueMiss(piece);
  if (miss === undefined || (miss >= 1 / MOST_FACTOR - 1 && miss <= MOST_FACTOR - 1)) return undefined;
  const { value } = passiveSetting(piece);
  return `${value} is far from the ${piece.like} that is printed on it. Is a k, M, p, n or µ missing? Else the part is damaged, or another one.`;
}

export function isPassive(piece: { readonly kind: string }): piece is PassivePiece {
  return PASSIVE_KINDS.some((kind) => kind === piece.kind);
}

/** @throws PieceError naming the piece and the value. */
export function readPassive(value: unknown): PassivePiece {
  if (!isRecord(value)) throw new PieceError(`A part is ${shownValue(value)}; it should be an object.`);
  const { name, kind, like } = value;
  if (typeof name !== 'string')
    throw new PieceError(`The name of a part is ${shownValue(name)}, not a text.`);
  const problem = pieceNameProblem(name);
  if (problem !== undefined) throw new PieceError(problem);
  if (!PASSIVE_KINDS.some((each) => each === kind))
    throw new PieceError(`${name}: its kind is ${shownValue(kind)}, not one of ${PASSIVE_KINDS.join(', ')}.`);
  if (typeof like !== 'string' || like.length > 24)
    throw new PieceError(`${name}: say what is printed on it, such as 10k.`);
  const base = { name, like };
  if (kind === 'pot') return { ...base, kind, ...readTrack(value, name) };
  checkKeys(value, ['name', 'kind', 'like', 'value'], name);
  const own = kind as 'resistor' | 'capacitor';
  return { ...base, kind: own, value: readWithin(value['value'], own, `${name}: its value`) };
}

function readTrack(record: Readonly<Record<string, unknown>>, name: string) {
  checkKeys(record, ['name', 'kind', 'like', 'endOhms', 'middleOhms', 'quarterOhms'], name);
  const endOhms = readWithin(record['endOhms'], 'pot', `${name}: end to end`);
  const share = (key: string, what: string) => {
    const ohms = record[key];
    if (typeof ohms === 'number' && ohms >= 0 && ohms <= endOhms) return ohms;
    const text = typeof ohms === 'number' && ohms >= 0 ? formatValue(ohms, 'ohms', 4) : shownValue(ohms);
    throw new PieceError(
      `${name}: ${what} is ${text}, and from end to end ${formatValue(endOhms, 'ohms', 4)}: the wiper cannot be beyond an end.`,
    );
  };
  const middleOhms = share('middleOhms', 'the wiper in the middle');
  if (record['quarterOhms'] === undefined) return { endOhms, middleOhms };
  const quarterOhms = share('quarterOhms', 'the wiper at a quarter');
  if (quarterOhms <= middleOhms) return { endOhms, middleOhms, quarterOhms };
  throw new PieceError(
    `${name}: the wiper has ${formatValue(quarterOhms, 'ohms', 4)} at a quarter of the turn and ${formatValue(middleOhms, 'ohms', 4)} in the middle: are they swapped?`,
  );
}

function readWithin(value: unknown, kind: PassiveKind, what: string): number {
  const { least, most } = VALUE_LIMITS[kind];
  if (typeof value === 'number' && value >= least && value <= most) return value;
  const quantity = kind === 'capacitor' ? 'farads' : 'ohms';
  throw new PieceError(
    `${what} is ${shownValue(value)}; it should be from ${formatValue(least, quantity)} to ${formatValue(most, quantity)}.`,
  );
}

function checkKeys(record: object, keys: readonly string[], what: string): void {
  const other = Object.keys(record).find((key) => !keys.includes(key));
  if (other !== undefined) throw new PieceError(`${what} has an unknown key ${quoted(other)}.`);
}
