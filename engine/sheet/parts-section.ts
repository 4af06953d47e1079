import { type PedalOrder, placesText } from '../analysis/order-list.ts';
import { ORDER_GROUPS, type OrderRow } from '../analysis/order-row.ts';
import { resistorPicture } from '../drawing/resistor-bands.ts';
import { escaped } from '../wiring/picture.ts';
import { type Cell, type Column, paragraph, TICK_BOX, table } from './sheet-markup.ts';

const COLUMNS: readonly Column[] = [
  ['', 6],
  ['Count', 12],
  ['Value', 24],
  ['Kind', 21],
  ['Place', 21],
  ['Rating', 13],
  ['Size', 30],
  ['Marking', 55],
];

/** What to order and to solder, group by group, each line with a box to tick. */
export function partsSection({ rows, unrated }: PedalOrder): string {
  const groups = ORDER_GROUPS.map((title) => ({ title, rows: rows.filter(({ group }) => group === title) }));
  const lines = groups
    .filter((group) => group.rows.length > 0)
    .map(({ title, rows: own }) => ({ title, rows: own.map(cellsOf) }));
  return `${unrated === undefined ? '' : paragraph(unrated)}${table(COLUMNS, lines)}`;
}

function cellsOf(row: OrderRow): readonly Cell[] {
  const { quantity, value, kind, refs, rating, package: size, bands, marking } = row;
  const first = [TICK_BOX, `${quantity} ×`, value, kind, placesText(refs), rating];
  // Sentences about what is off the board need the room.
  if (marking === '' && bands.length === 0) return [...first, { markup: escaped(size), columns: 2 }];
  return [...first, size, bands.length === 0 ? marking : { markup: bands.map(bandsMarkup).join('') }];
}

/** The bands drawn and, for paper without colours and for those who do not see them, in words. */
function bandsMarkup(bands: OrderRow['bands'][number]): string {
  return `<div class="code">${resistorPicture(bands)}<span>${escaped(bands.join(' '))}</span></div>`;
}
