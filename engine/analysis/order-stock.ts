import { type DrawerItem, isNeedUnknown, NOTHING_STOCKED, type Stocked, stockOf } from '../builds/drawer.ts';
import { allocatedPairs, type OfferedPair, pairText } from '../builds/value-pairs.ts';
import { potTitle } from '../units/taper.ts';
import type { OrderRow } from './order-row.ts';
import type { FurtherColumns } from './order-table.ts';

/** A line of a list beside what a drawer has of it. */
export interface StockedRow extends OrderRow, Stocked {
  /** How many to buy. */
  readonly buy: number;
  /** Two parts of the drawer that make the missing value, for as many places as they reach. */
  readonly pairs: readonly OfferedPair[];
  /** Types of the drawer that do in the place of what is missing. */
  readonly substituted: readonly Substituted[];
}

interface Substituted {
  readonly type: string;
  readonly count: number;
}

/** A list to order with the drawer subtracted. Pairs are made of what no line of the list takes, and each part is in one pair. */
export function stockedRows(rows: readonly OrderRow[], items: readonly DrawerItem[]): readonly StockedRow[] {
  const wanted = rows.flatMap(({ need, quantity }) => (need ? [{ need, quantity }] : []));
  const { stocked, left } = stockOf(items, wanted);
  const missing = wanted.map((each, index) => ({ ...each, quantity: each.quantity - stocked[index]!.owned }));
  const [stocks, pairs] = [stocked.values(), allocatedPairs(left, missing).values()];
  const spare = new Map(left.map(({ type, count }) => [type, count]));
  return rows.map((row): StockedRow => {
    const stock = row.need ? stocks.next().value! : NOTHING_STOCKED;
    const buy = row.quantity - stock.owned;
    return {
      ...row,
      ...stock,
      buy,
      pairs: row.need ? pairs.next().value! : [],
      substituted: takeSubstitutes(row, buy, spare),
    };
  });
}

/** @param spare What the list leaves of each type; what is taken here is gone for the next line. */
function takeSubstitutes(
  { substitutes, need }: OrderRow,
  buy: number,
  spare: Map<string | undefined, number>,
): readonly Substituted[] {
  if (need?.type === undefined) return [];
  let missing = buy;
  return substitutes.flatMap((text) => {
    const [type = ''] = text.split(':', 1);
    const count = Math.min(missing, spare.get(type) ?? 0);
    if (count === 0) return [];
    spare.set(type, spare.get(type)! - count);
    missing -= count;
    return [{ type, count }];
  });
}

/** What to know of what is owned, in a sentence without a stop; empty if nothing. */
export function stockNote(row: StockedRow): string {
  const curves = row.otherCurves.map(
    ({ law, count }) =>
      `${count} owned ${count === 1 ? 'has' : 'have'} the curve ${potTitle(law)}, the build ${potTitle(row.need!.law!)}`,
  );
  const others = row.substituted.map(({ type, count }) => `${count} × ${type} in the drawer will do`);
  return [ratingNote(row), ...curves, pairNote(row), ...others].filter((text) => text !== '').join('; ');
}

function ratingNote({ unrated, need }: StockedRow): string {
  if (unrated === 0 || !need) return '';
  const lack = need.kind === 'hardware' ? 'size or switching' : 'rating';
  const cause = isNeedUnknown(need) ? 'rating not computed' : `without a ${lack} on the bag`;
  return `${unrated} ${cause}: check ${unrated === 1 ? 'it' : 'them'}`;
}

function pairNote({ pairs, buy }: StockedRow): string {
  if (pairs.length === 0) return '';
  const covered = pairs.reduce((sum, { count }) => sum + count, 0);
  const texts = pairs.map((pair) => `${pair.count === 1 ? '' : `${pair.count} times `}${pairText(pair)}`);
  return `instead${covered < buy ? ` of ${covered}` : ''}: ${texts.join('; ')}`;
}

/** Columns of what is owned, and what to buy. @param stocked The rows that are printed with them. */
export function stockColumns(stocked: readonly StockedRow[]): FurtherColumns {
  const byRow = new Map<OrderRow, StockedRow>(stocked.map((row) => [row, row]));
  return {
    headings: ['owned', 'buy', 'note'],
    cells: (row) => {
      const stock = byRow.get(row);
      return stock ? [String(stock.owned), String(stock.buy), stockNote(stock)] : ['', '', ''];
    },
  };
}
