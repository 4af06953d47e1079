import { CATALOGUE } from './catalogue.ts';
import type { ConverterEntry, DatasheetPoint, PartKind, PartStatus } from './catalogue-entry.ts';
import { CURVE_CURRENTS_A, ESTIMATE, isSourced, LEAK_TEST_V } from './curve-points.ts';
import { missingData } from './data-gaps.ts';
import type { Footprint } from './footprint.ts';
import { footprintOf } from './footprint-change.ts';
import { type DatedEntry, modelFigure } from './type-figure.ts';

/** How far the data may be from a typical figure alone: single parts differ by more in most quantities. */
export const TYPICAL_TOLERANCE = 0.15;
/** The same where parts of one type differ by a factor of two: capacitance, gain, leak, threshold, channel. */
const WIDE_TOLERANCE = 1;
const WIDE: readonly DatasheetPoint['quantity'][] = [
  'capacitanceF',
  'currentGain',
  'reverseCurrentA',
  'zeroBiasDrainA',
  'transconductanceS',
  'gateCutoffV',
];

/** One point of a type: what the data gives, beside what is known. */
export interface TypePoint extends DatasheetPoint {
  /** Undefined for what the model has no number for. */
  readonly model?: number;
  /** Whether the source is a document or a measured piece. */
  readonly isSourced: boolean;
  /** Largest share by which the data may be off a typical figure; bounds hold as they are. */
  readonly tolerance?: number;
  /** Share by which the data is off the typical figure, or off the nearest bound; 0 within bounds. */
  readonly off?: number;
  readonly isMet: boolean;
}

/** A type with all that it was compared with. */
export interface TypeRow {
  readonly type: string;
  readonly kind: PartKind;
  readonly family: string;
  readonly title: string;
  readonly status: PartStatus;
  readonly dataSource: string;
  /** Of the network's equations, in SI units. */
  readonly data?: object;
  readonly points: readonly TypePoint[];
  /** Case and legs, with their source. */
  readonly footprint?: Footprint;
  /** What the data lacks to be ranked; absent if it lacks nothing. */
  readonly notRanked?: string;
}

/** The point of all types at which the data is most off a typical figure, or off a bound. */
export interface WorstPoint {
  readonly type: string;
  readonly point: TypePoint;
}

/** Every type of the catalogue beside what its sheets, cards and measured pieces say. */
export function typeTable(): readonly TypeRow[] {
  return CATALOGUE.map((entry) => {
    const row = entry.kind === 'converter' ? converterRow(entry) : typeRow(entry);
    const footprint = footprintOf(entry.type);
    return footprint ? { ...row, footprint } : row;
  });
}

/** By family, the worst disagreement with a figure that has a source. */
export function worstByFamily(rows: readonly TypeRow[]): ReadonlyMap<string, WorstPoint> {
  const worst = new Map<string, WorstPoint>();
  for (const { type, family, points } of rows) {
    for (const point of points) {
      const before = worst.get(family);
      const size = Math.abs(point.off ?? 0);
      if (point.isSourced && size > Math.abs(before?.point.off ?? 0)) worst.set(family, { type, point });
    }
  }
  return worst;
}

function typeRow(entry: DatedEntry): TypeRow {
  const { type, kind, family, title, status, data, dataSource, limits } = entry;
  const gap = missingData(entry);
  const points = [...limits, ...unknownPoints(entry)].map((point) => typePoint(entry, point));
  const about = { type, kind, family, title, status, dataSource, data, points };
  return gap === undefined ? about : { ...about, notRanked: gap };
}

function converterRow({ type, kind, family, title, status, source }: ConverterEntry): TypeRow {
  return { type, kind, family, title, status, dataSource: source, points: [] };
}

/** The usual currents and the usual reverse voltage, where nothing is known of a diode: only the model's figure. */
function unknownPoints(entry: DatedEntry): readonly DatasheetPoint[] {
  if (entry.kind !== 'diode') return [];
  const usual: DatasheetPoint[] = [
    ...CURVE_CURRENTS_A.map(
      (forwardA): DatasheetPoint => ({ quantity: 'forwardVoltageV', at: { forwardA }, source: ESTIMATE }),
    ),
    { quantity: 'reverseCurrentA', at: { reverseV: LEAK_TEST_V }, source: ESTIMATE },
  ];
  return usual.filter(
    ({ quantity, at }) =>
      !entry.limits.some(
        (point) =>
          point.quantity === quantity &&
          point.at.forwardA === at.forwardA &&
          point.at.reverseV === at.reverseV,
      ),
  );
}

function typePoint(entry: DatedEntry, point: DatasheetPoint): TypePoint {
  const isKnown = isSourced(point.source);
  const model = modelFigure(entry, point);
  if (model === undefined) return { ...point, isSourced: isKnown, isMet: true };
  const { quantity, typical, minimum, maximum } = point;
  const isBounded = minimum !== undefined || maximum !== undefined;
  const tolerance = WIDE.includes(quantity) ? WIDE_TOLERANCE : TYPICAL_TOLERANCE;
  const beyond = beyondBounds(model, point);
  const offTypical = typical === undefined ? undefined : model / typical - 1;
  const isNear =
    offTypical === undefined || isBounded || Math.abs(Math.log1p(offTypical)) <= Math.log1p(tolerance);
  return {
    ...point,
    model,
    isSourced: isKnown,
    ...(typical !== undefined && !isBounded && { tolerance }),
    off: beyond !== 0 ? beyond : (offTypical ?? 0),
    isMet: beyond === 0 && isNear,
  };
}

/** Share by which a figure lies below the least or above the most; 0 between them. */
function beyondBounds(model: number, { minimum, maximum }: DatasheetPoint): number {
  if (minimum !== undefined && model < minimum) return model / minimum - 1;
  if (maximum !== undefined && model > maximum) return model / maximum - 1;
  return 0;
}
