import { csvText } from '../input/csv.ts';
import type { OrderRow } from './order-row.ts';

const HEADINGS = [
  'group',
  'kind',
  'value',
  'rating',
  'quantity',
  'refs',
  'package',
  'marking',
  'substitutes',
];

/** Columns that a list has besides those of each row, such as what is owned. */
export interface FurtherColumns {
  readonly headings: readonly string[];
  readonly cells: (row: OrderRow) => readonly string[];
}

const NONE: FurtherColumns = { headings: [], cells: () => [] };

/** A list to order as comma-separated values. @see RFC 4180 */
export function orderCsv(rows: readonly OrderRow[], further: FurtherColumns = NONE): string {
  return csvText([[...HEADINGS, ...further.headings], ...rows.map((row) => cellsOf(row, further))]);
}

/** The same for several pedals, with a column for the pedal's number; the rows of "order" are those of all together. */
export function ordersCsv(
  lists: readonly (readonly OrderRow[])[],
  order: readonly OrderRow[],
  further = NONE,
): string {
  const numbered = lists.flatMap((rows, index) =>
    rows.map((row) => [
      `${index + 1}`,
      ...cellsOf(row, further).map((cell, column) => (column < HEADINGS.length ? cell : '')),
    ]),
  );
  const all = order.map((row) => ['order', ...cellsOf(row, further)]);
  return csvText([['pedal', ...HEADINGS, ...further.headings], ...numbered, ...all]);
}

function cellsOf(row: OrderRow, further: FurtherColumns): readonly string[] {
  return [
    row.group,
    row.kind,
    row.value,
    row.rating,
    String(row.quantity),
    row.refs.join(' '),
    row.package,
    row.marking,
    row.substitutes.join('; '),
    ...further.cells(row),
  ];
}
