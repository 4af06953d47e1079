import { quantityOf } from '../circuits/part-values.ts';
import type { CapacitorKind } from '../parts/capacitor-kinds.ts';
import { isPieceText } from '../parts/piece.ts';
import { SMALLEST_W } from '../units/rating-series.ts';
import { type PotLaw, taperFamily } from '../units/taper.ts';
import { parseValue } from '../units/value-code.ts';
import { boardParts } from './board-parts.ts';
import type { Build, BuildPart } from './build.ts';
import { hardwareFitness } from './hardware-types.ts';
import { type BagKind, isOnBoard, needKey, needOf, type PartNeed } from './part-need.ts';

/** Parts of one bag that a builder owns. */
export interface DrawerItem {
  readonly kind: BagKind;
  /** IEC 60062 code, of what has a value. */
  readonly value?: string;
  /** Type of the catalogue, or of hardware, of what has a type. */
  readonly type?: string;
  readonly count: number;
  readonly law?: PotLaw;
  readonly isDual?: boolean;
  /** As on the bag: "metal film", "polyester". */
  readonly material?: string;
  readonly tolerancePercent?: number;
  readonly ratedV?: number;
  readonly ratedW?: number;
}

/** What a builder owns. */
export interface Drawer {
  readonly items: readonly DrawerItem[];
  /** Only that is offered on the bench. */
  readonly isOnly: boolean;
}

export const EMPTY_DRAWER: Drawer = { items: [], isOnly: false };
/** Bags of a large workshop. */
export const MOST_DRAWER_ITEMS = 3000;
export const MOST_ITEM_COUNT = 100_000;
/** Values within this share are one value. */
const SAME_VALUE = 1e-6;
/** Film and ceramic with legs stand this much, V; common practice, no source. */
const USUAL_V = 50;
/** From here up a capacitor without polarity is rarely film, F; common practice, no source. */
const FILM_UP_TO_F = 2.21e-6;

/** The drawer with more: bags of one kind are counted together. */
export function withItems(items: readonly DrawerItem[], added: readonly DrawerItem[]): readonly DrawerItem[] {
  const all = new Map<string, DrawerItem>();
  for (const item of [...items, ...added]) {
    const key = itemKey(item);
    const count = Math.min(MOST_ITEM_COUNT, (all.get(key)?.count ?? 0) + item.count);
    all.set(key, { ...item, count });
  }
  return [...all.values()];
}

/** What tells bags apart, without their count. */
export function itemKey({ count: _, ...item }: DrawerItem): string {
  return JSON.stringify(Object.entries(item).sort(([one], [other]) => (one < other ? -1 : 1)));
}

/** Value of an item in SI units; undefined for a type. */
export function itemValue({ kind, value }: DrawerItem): number | undefined {
  const quantity = isOnBoard(kind) ? quantityOf(kind) : undefined;
  return value === undefined || quantity === undefined ? undefined : parseValue(value, quantity);
}

/**
 * Whether an item can be used: 'unrated' where the bag does not say its rating or size, or the needed one is not known; 'similar'
 * for a potentiometer with another curve of the same taper, as one letter stands for all of them.
 */
export type Fitness = 'yes' | 'similar' | 'unrated' | 'no';

export function fitness(item: DrawerItem, need: PartNeed): Fitness {
  if (item.kind !== need.kind) return 'no';
  if (need.kind === 'hardware') return hardwareFitness(item.type ?? '', need.type ?? '');
  if (need.type !== undefined) return item.type === need.type ? 'yes' : 'no';
  const value = itemValue(item);
  if (value === undefined || Math.abs(value / need.value! - 1) > SAME_VALUE) return 'no';
  return ofValue(item, need, value);
}

/** Of an item that has the value. */
function ofValue(item: DrawerItem, need: PartNeed, value: number): Fitness {
  if (need.kind === 'pot') return potFitness(item, need);
  if (need.kind === 'capacitor' && !isMadeOf(item, need.dielectric, value)) return 'no';
  if (need.kind === 'capacitor') return rated(item.ratedV ?? usualVolts(item, need, value), need.ratedV);
  return need.kind === 'resistor' ? rated(item.ratedW ?? usualWatts(need), need.ratedW) : 'yes';
}

function potFitness({ law = 'linear', isDual = false }: DrawerItem, need: PartNeed): Fitness {
  if (isDual !== (need.isDual ?? false) || need.law === undefined) return 'no';
  if (law === need.law) return 'yes';
  return taperFamily(law) === taperFamily(need.law) ? 'similar' : 'no';
}

/** Film and ceramic with legs stand at least 50 V, also where the bag does not say it; common practice, no source. */
function usualVolts(item: DrawerItem, { ratedV = 0 }: PartNeed, farads: number): number | undefined {
  const own = dielectricOf(item, farads);
  return own !== 'electrolytic' && own !== undefined && ratedV <= USUAL_V ? USUAL_V : undefined;
}

function usualWatts({ ratedW = 0 }: PartNeed): number | undefined {
  return ratedW <= SMALLEST_W ? SMALLEST_W : undefined;
}

/** What is needed above all ratings that are sold is owned by nobody. */
function rated(given: number | undefined, wanted: number | undefined): Fitness {
  if (wanted === Number.POSITIVE_INFINITY) return 'no';
  if (wanted === undefined || given === undefined) return 'unrated';
  return given >= wanted ? 'yes' : 'no';
}

/** Whether the rating that is needed is not known, of what has one. */
export function isNeedUnknown({ kind, ratedV, ratedW }: PartNeed): boolean {
  return (kind === 'capacitor' && ratedV === undefined) || (kind === 'resistor' && ratedW === undefined);
}

/** Film stands wherever another one does; what is left open is no electrolytic, unless it is large. */
function isMadeOf(item: DrawerItem, wanted: CapacitorKind | undefined, farads: number): boolean {
  const own = dielectricOf(item, farads);
  if (own === 'film' && (wanted === undefined || wanted === 'film' || wanted === 'electrolytic')) return true;
  if (wanted !== undefined) return own === wanted;
  if (own === 'electrolytic') return farads > FILM_UP_TO_F;
  return own === 'C0G' || own === 'X7R-50V' || own === undefined;
}

/** What a capacitor is made of; undefined where the bag does not say it and the value does not tell. */
export function dielectricOf(
  { material = '', ratedV }: DrawerItem,
  farads: number,
): CapacitorKind | undefined {
  const word = material.toLowerCase();
  if (/polyester|polypropylene|polystyrene|film/.test(word)) return 'film';
  if (/electrolytic|tantalum/.test(word)) return 'electrolytic';
  if (word === 'c0g') return 'C0G';
  if (word === 'x7r') return (ratedV ?? 50) >= 50 ? 'X7R-50V' : 'X7R-small';
  if (word === 'x5r') return 'X5R-small';
  if (word === '' && farads >= FILM_UP_TO_F) return 'electrolytic';
  return word === 'ceramic' && farads < 1e-9 ? 'C0G' : undefined;
}

/** A part that is needed so many times. */
export interface Wanted {
  readonly need: PartNeed;
  readonly quantity: number;
}

/** How many of what is wanted a drawer has. */
export interface Stocked {
  readonly owned: number;
  /** Of those, how many have a rating to check. */
  readonly unrated: number;
  /** Of those, what has another curve than the build names. */
  readonly otherCurves: readonly { readonly law: PotLaw; readonly count: number }[];
}

export const NOTHING_STOCKED: Stocked = { owned: 0, unrated: 0, otherCurves: [] };

/** Grades in the order in which the list takes what has them: all rows those of the first line, then all rows the others, best first. */
const PASSES = [['exact'], ['yes', 'similar', 'unrated']] as const;
type Grade = (typeof PASSES)[number][number];

/** A row of a list while it takes its parts. */
interface Row {
  readonly need: PartNeed;
  missing: number;
  readonly taken: { readonly item: DrawerItem; readonly grade: Grade; readonly count: number }[];
}

/** Exact is what has others in its place: hardware of the very type, a potentiometer of the very curve. */
function gradeOf(item: DrawerItem, need: PartNeed): Grade | 'no' {
  const fits = fitness(item, need);
  const hasOthers = need.kind === 'pot' || (need.kind === 'hardware' && item.type === need.type);
  return fits === 'yes' && hasOthers ? 'exact' : fits;
}

/**
 * What a drawer covers of a list, in the order of the list, and what is left of it then. Every row has the exact hardware and
 * potentiometers before any row has what does in their place. A measured part is owned once.
 */
export function stockOf(
  items: readonly DrawerItem[],
  list: readonly Wanted[],
): { readonly stocked: readonly Stocked[]; readonly left: readonly DrawerItem[] } {
  const counts = items.map(({ count }) => count);
  const measured = ownedPieces(list);
  const rows = list.map(({ need, quantity }, index): Row => {
    return { need, missing: measured[index] === undefined ? quantity : 0, taken: [] };
  });
  const take = (row: Row, grade: Grade): void => {
    for (const [index, item] of items.entries()) {
      if (row.missing === 0) return;
      if (counts[index]! === 0 || gradeOf(item, row.need) !== grade) continue;
      const count = Math.min(row.missing, counts[index]!);
      counts[index]! -= count;
      row.missing -= count;
      row.taken.push({ item, grade, count });
    }
  };
  for (const grades of PASSES) for (const row of rows) for (const grade of grades) take(row, grade);
  const stocked = rows.map(({ taken }, index): Stocked => {
    const similar = taken.filter(({ grade }) => grade === 'similar');
    return {
      owned: measured[index] ?? countOf(taken),
      unrated: countOf(taken.filter(({ grade }) => grade === 'unrated')),
      otherCurves: similar.map(({ item: { law = 'linear' }, count }) => ({ law, count })),
    };
  });
  const left = items.map((item, index) => ({ ...item, count: counts[index]! }));
  return { stocked, left: left.filter(({ count }) => count > 0) };
}

/** How many of each row a builder has by a measured part, which stands at one place; undefined for a row without one. */
function ownedPieces(list: readonly Wanted[]): readonly (0 | 1 | undefined)[] {
  const used = new Set<string>();
  return list.map(({ need: { kind, type, piece } }) => {
    const name = piece ?? (type !== undefined && isPieceText(type) ? type : undefined);
    if (name === undefined) return undefined;
    const key = `${kind} ${name}`;
    if (used.has(key)) return 0;
    used.add(key);
    return 1;
  });
}

function countOf(items: readonly { readonly count: number }[]): number {
  return items.reduce((sum, { count }) => sum + count, 0);
}

/** What is needed at the places of a build, equal parts together; at all of them without a list. */
export function wantedOf(build: Build, refs?: readonly string[]): readonly Wanted[] {
  const wanted = new Map<string, Wanted>();
  for (const part of boardParts(build)) {
    if (refs && !refs.includes(part.ref)) continue;
    const need = needOf(part);
    if (!need) continue;
    const key = needKey(need);
    wanted.set(key, { need, quantity: (wanted.get(key)?.quantity ?? 0) + 1 });
  }
  return [...wanted.values()];
}

/** Parts that a drawer lacks for a build. */
export interface Lacking extends Wanted {
  readonly owned: number;
}

/**
 * What a drawer lacks at some places of a build, after the rest of the build has taken its parts.
 *
 * @param refs All places without it.
 */
export function lackingAt(
  items: readonly DrawerItem[],
  build: Build,
  refs?: readonly string[],
): readonly Lacking[] {
  const all = wantedOf(build);
  const { stocked } = stockOf(items, all);
  const here = refs && new Set(wantedOf(build, refs).map(({ need }) => needKey(need)));
  return all.flatMap((wanted, index) => {
    const { owned } = stocked[index]!;
    const isHere = !here || here.has(needKey(wanted.need));
    return isHere && owned < wanted.quantity ? [{ ...wanted, owned }] : [];
  });
}

/** Whether a drawer has enough for some places of a build. */
export function isCovered(items: readonly DrawerItem[], build: Build, refs: readonly string[]): boolean {
  return lackingAt(items, build, refs).length === 0;
}

/** Values of a kind in a drawer, as codes, rising; within a range in SI units, if there is one. */
export function ownedValues(
  items: readonly DrawerItem[],
  kind: BuildPart['kind'],
  { from, to }: { readonly from: number; readonly to: number } = { from: 0, to: Number.POSITIVE_INFINITY },
): readonly string[] {
  const values = new Map<string, number>();
  for (const item of items) {
    const value = itemValue(item);
    if (item.kind === kind && value !== undefined && value >= from && value <= to)
      values.set(item.value!, value);
  }
  return [...values].sort(([, one], [, other]) => one - other).map(([code]) => code);
}
