import { type DrawerItem, isNeedUnknown, type Stocked, stockOf } from '../builds/drawer.ts';
import { pairText, type ValuePair, valuePairs } from '../builds/value-pairs.ts';
import type { OrderRow } from './order-list.ts';
import type { FurtherColumns } from './order-table.ts';

/** A line of a list beside what a drawer has of it. */
export interface StockedRow extends OrderRow, Stocked {
  /** How many to buy. */
  readonly buy: number;
  /** Two parts of the drawer that make the missing value, nearest first. */
  readonly pairs: readonly ValuePair[];
}

/** A list to order with the drawer subtracted. Pairs are made of what no line of the list takes. */
export function stockedRows(rows: readonly OrderRow[], items: readonly DrawerItem[]): readonly StockedRow[] {
  const wanted = rows.flatMap(({ need, quantity }) => (need ? [{ need, quantity }] : []));
  const { stocked, left } = stockOf(items, wanted);
  const found = stocked.values();
  return rows.map((row): StockedRow => {
    const stock: Stocked = row.need ? found.next().value! : { owned: 0, unrated: 0 };
    const buy = row.quantity - stock.owned;
    return { ...row, ...stock, buy, pairs: buy > 0 && row.need ? valuePairs(left, row.need, buy) : [] };
  });
}

/** What to know of what is owned, in a sentence without a stop; empty if nothing. */
export function stockNote({ unrated, need, pairs }: StockedRow): string {
  const cause = need && isNeedUnknown(need) ? 'rating not computed' : 'without a rating on the bag';
  const rating = unrated === 0 ? '' : `${unrated} ${cause}: check ${unrated === 1 ? 'it' : 'them'}`;
  return [rating, ...(pairs.length > 0 ? [`instead: ${pairs.map(pairText).join('; ')}`] : [])]
    .filter((text) => text !== '')
    .join('; ');
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
