import type { BoardPart } from '../builds/board-parts.ts';
import type { HardwareItem } from '../builds/hardware.ts';
import { needName, needOf, type PartNeed } from '../builds/part-need.ts';
import { hasType } from '../circuits/part-values.ts';
import { CAPACITOR_KINDS, type CapacitorKind } from '../parts/capacitor-kinds.ts';
import { type Footprint, footprintText } from '../parts/footprint.ts';
import { footprintOf } from '../parts/footprint-change.ts';
import { catalogueTypeOf } from '../parts/part-types.ts';
import { isPieceText } from '../parts/piece.ts';
import { substitutesFor } from '../parts/substitutes.ts';
import { capacitorMarking } from '../units/capacitor-marking.ts';
import { type BandColour, colourBands } from '../units/colour-bands.ts';
import { POWER_MARGIN, ratedVolts, ratedWatts, SMALLEST_W } from '../units/rating-series.ts';
import { parseValue } from '../units/value-code.ts';
import type { PartStress } from './part-stress.ts';

/** Parts that are ordered together, in the order of the list. */
export const ORDER_GROUPS = [
  'Resistors',
  'Capacitors',
  'Electrolytic capacitors',
  'Inductors',
  'Diodes and LEDs',
  'Transistors',
  'Chips',
  'Potentiometers',
  'Off the board',
] as const;
export type OrderGroup = (typeof ORDER_GROUPS)[number];

/** One line of what to order. */
export interface OrderRow {
  readonly group: OrderGroup;
  readonly kind: string;
  /** Value or type, as on the bag. */
  readonly value: string;
  /** The lowest one that suffices: "16 V", "0.25 W". */
  readonly rating: string;
  readonly quantity: number;
  readonly refs: readonly string[];
  /** Case and legs, lead spacing or size. */
  readonly package: string;
  /** What is printed on the part. */
  readonly marking: string;
  /** Colour bands, of 1 % and of 5 %, where the value has them. */
  readonly bands: readonly (readonly BandColour[])[];
  /** What else does, each with the reason. */
  readonly substitutes: readonly string[];
  readonly need?: PartNeed;
}

/** Ratings in which kinds are sold at least, V; common practice, no source. */
const SOLD_V: Readonly<Record<CapacitorKind, number>> = {
  film: 63,
  C0G: 50,
  'X7R-50V': 50,
  'X7R-small': 25,
  'X5R-small': 25,
  electrolytic: 6.3,
};
/** Without a kind: ceramic below, film from here up to the next limit, F. Common practice, no source. */
const FILM_FROM_F = 0.99e-9;
const FILM_UP_TO_F = 2.21e-6;
/** Tolerance that is taken as usual, %. */
const USUAL_PERCENT = { film: 10, ceramic: 5, electrolytic: 20 } as const;

const MEASURED_MARKING = 'your measured piece';

/** The line of one part. @param stress What it sees; without it there is no rating. */
export function rowOf(part: BoardPart, stress: PartStress | undefined): OrderRow {
  const row = unmeasuredRow(part, stress);
  // What is printed on it is not the value that was measured.
  const isMeasured = part.setting.piece !== undefined && !part.isPiggyback;
  return isMeasured ? { ...row, marking: MEASURED_MARKING, bands: [], substitutes: [] } : row;
}

function unmeasuredRow(part: BoardPart, stress: PartStress | undefined): OrderRow {
  const base = { quantity: 1, refs: [part.place], marking: '', bands: [], substitutes: [], rating: '' };
  switch (part.kind) {
    case 'resistor':
      return { ...base, ...resistorRow(part, stress) };
    case 'capacitor':
      return { ...base, ...capacitorRow(part, stress) };
    case 'pot':
      return { ...base, ...potRow(part) };
    case 'inductor':
    case 'supply': {
      return {
        ...base,
        group: 'Inductors',
        kind: part.name,
        value: part.value,
        package: '',
        need: needOf(part)!,
      };
    }
    default:
      return { ...base, ...typeRow(part, part.kind) };
  }
}

type Own = Pick<OrderRow, 'group' | 'kind' | 'value' | 'package'> & Partial<OrderRow>;

function resistorRow(part: BoardPart, stress: PartStress | undefined): Own {
  const { code, value, name } = part;
  const ohms = parseValue(code, 'ohms');
  const watts = stress && ratedWatts(stress.watts);
  const bands = [colourBands(ohms, 5, 1), colourBands(ohms, 4, 5)].filter((each) => each !== undefined);
  return {
    group: 'Resistors',
    kind: name,
    value,
    rating: ratingText(stress?.watts, watts, 'W'),
    package: watts === undefined ? 'axial' : resistorCase(watts),
    marking: bands.map((each) => each.join(' ')).join(', or '),
    bands,
    need: {
      ...needOf(part)!,
      value: ohms,
      ...(stress && { ratedW: leastWatts(stress.watts, watts) }),
    },
  };
}

/** What is ordered is 0.25 W at least; what is owned may be smaller. */
function leastWatts(seen: number, ordered = Number.POSITIVE_INFINITY): number {
  return POWER_MARGIN * seen <= SMALLEST_W ? SMALLEST_W : ordered;
}

/** Leaded parts, and the distance of their holes when they lie flat; common practice, no source. */
function resistorCase(watts: number): string {
  if (watts <= 0.25) return 'axial, metal film 1 %, holes 10 mm apart';
  if (watts <= 0.5) return 'axial, metal film 1 %, holes 12.5 mm apart';
  return watts <= 1 ? 'axial, metal oxide, holes 15 mm apart' : 'axial, metal oxide, holes 20 to 25 mm apart';
}

function ratingText(seen: number | undefined, rated: number | undefined, unit: 'V' | 'W'): string {
  if (seen === undefined) return '';
  return rated === undefined
    ? `above all usual ratings: sees ${seen.toFixed(1)} ${unit}`
    : `${rated} ${unit}`;
}

function capacitorRow(part: BoardPart, stress: PartStress | undefined): Own {
  const { code, value, name, dielectric } = part;
  const farads = parseValue(code, 'farads');
  const kind = dielectric ?? usualKind(farads);
  const needed = stress && ratedVolts(stress.volts);
  const volts = needed && Math.max(needed, SOLD_V[kind]);
  const isElectrolytic = kind === 'electrolytic';
  const percent = isElectrolytic
    ? USUAL_PERCENT.electrolytic
    : kind === 'film'
      ? USUAL_PERCENT.film
      : USUAL_PERCENT.ceramic;
  return {
    group: isElectrolytic ? 'Electrolytic capacitors' : 'Capacitors',
    kind: isElectrolytic ? name : `${CAPACITOR_KINDS[kind].title.replace(/, .*$/, '')} capacitor`,
    value: value.replace(/ (film|C0G|X7R-50V|X7R-small|X5R-small)(?=$| \()/, ''),
    rating: ratingText(stress?.volts, volts, 'V'),
    package: capacitorCase(kind, farads, volts),
    marking: isElectrolytic ? bodyText(farads, volts) : capacitorMarking(farads, percent),
    substitutes: capacitorSubstitutes(kind, farads),
    need: { ...needOf(part)!, ...(stress && { ratedV: needed ?? Number.POSITIVE_INFINITY }) },
  };
}

/** What a capacitor of a value is usually made of, where the build leaves it open. */
export function usualKind(farads: number): CapacitorKind {
  if (farads < FILM_FROM_F) return 'C0G';
  return farads < FILM_UP_TO_F ? 'film' : 'electrolytic';
}

/** An electrolytic has its value written out: "100 µF 16 V". */
function bodyText(farads: number, volts: number | undefined): string {
  const written = `${Number((farads * 1e6).toPrecision(6))} µF`;
  return volts === undefined ? written : `${written} ${volts} V`;
}

/** Lead spacings; common practice, from memory: makers differ. */
function capacitorCase(kind: CapacitorKind, farads: number, volts: number | undefined): string {
  if (kind === 'electrolytic') return volts === undefined ? '' : canText(1e6 * farads * volts);
  if (kind === 'film') return farads > 1.01e-6 ? 'box, leads 5 to 7.5 mm apart' : 'box, leads 5 mm apart';
  return 'disc or drop, leads 2.5 or 5 mm apart';
}

/** Can of a radial electrolytic for general use by capacitance times voltage, µF·V; from memory: makers differ. */
function canText(microfaradVolts: number): string {
  const [, diameter, spacing] = CANS.find(([most]) => microfaradVolts <= most)!;
  return `radial, can about ${diameter} mm wide, leads ${spacing} mm apart`;
}
const CANS = [
  [1800, 5, 2],
  [3600, 6.3, 2.5],
  [8000, 8, 3.5],
  [20_000, 10, 5],
  [Number.POSITIVE_INFINITY, 12.5, 5],
] as const;

function capacitorSubstitutes(kind: CapacitorKind, farads: number): readonly string[] {
  if (kind === 'electrolytic') return farads < 10.1e-6 ? ['film of the same value: no polarity, larger'] : [];
  if (kind === 'film' && farads < 10.1e-9)
    return ['C0G ceramic of 50 V: the same at every voltage, as film is'];
  if (kind === 'C0G') return ['film of the same value: the same at every voltage, larger'];
  if (kind === 'X7R-small' || kind === 'X5R-small')
    return ['film of the same value: keeps its capacitance, and sounds like a larger one here'];
  return [];
}

function potRow(part: BoardPart): Own {
  const need = needOf(part)!;
  const size = `16 mm${need.isDual ? ', two gangs' : ''}, solder lugs, 6.35 mm round shaft`;
  return { group: 'Potentiometers', kind: part.name, value: part.value, package: size, need };
}

function typeRow(part: BoardPart, kind: BoardPart['kind']): Own {
  if (!hasType(kind)) throw new RangeError(`${kind} has no type`);
  const { code, value, name } = part;
  const footprint = footprintOf(code);
  if (footprint?.ends) return wiredRow(part, footprint);
  return {
    group: kind === 'diode' ? 'Diodes and LEDs' : isChip(kind) ? 'Chips' : 'Transistors',
    kind: name,
    value,
    package: footprint ? footprintText(footprint) : '',
    marking: markingOf(code, value),
    substitutes: substitutesFor(kind, code).map(({ type, reason }) => `${type}: ${reason}`),
    need: needOf(part)!,
  };
}

/** What is wired as a diode is bought as a transistor. */
function wiredRow(part: BoardPart, footprint: Footprint): Own {
  const need = needOf(part)!;
  const type = need.type!;
  return {
    group: 'Transistors',
    kind: needName(need),
    value: type,
    package: footprintText(footprint),
    marking: type,
    need,
  };
}

/** LEDs have nothing printed on them. */
function markingOf(code: string, value: string): string {
  if (isPieceText(code)) return MEASURED_MARKING;
  return value.startsWith('LED') ? '' : catalogueTypeOf(value);
}

function isChip(kind: BoardPart['kind']): boolean {
  return kind === 'opamp' || kind === 'converter';
}

/** The line of something off the board. */
export function hardwareRow({ kind, value, quantity, refs, note, need }: HardwareItem): OrderRow {
  return {
    group: 'Off the board',
    kind,
    value,
    rating: '',
    quantity,
    refs,
    package: note,
    marking: '',
    bands: [],
    substitutes: [],
    need,
  };
}
