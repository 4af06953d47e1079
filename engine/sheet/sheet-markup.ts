import { escaped } from '../wiring/picture.ts';

/** Markup that is ready: every text from outside in it is escaped. */
export interface Markup {
  readonly markup: string;
  /** Columns of a table that it takes; 1 if it is absent. */
  readonly columns?: number;
}

export type Cell = string | Markup;

/** To be ticked with a pencil. */
export const TICK_BOX: Markup = { markup: '<span class="box"></span>' };

const inner = (cell: Cell): string => (typeof cell === 'string' ? escaped(cell) : cell.markup);

function cellMarkup(cell: Cell): string {
  const columns = typeof cell === 'string' ? undefined : cell.columns;
  return `<td${columns === undefined ? '' : ` colspan="${columns}"`}>${inner(cell)}</td>`;
}

/** A paragraph of a plain text. */
export const paragraph = (text: string, kind = ''): string =>
  `<p${kind === '' ? '' : ` class="${kind}"`}>${escaped(text)}</p>`;

/** A list of plain texts; nothing for an empty one. */
export function list(items: readonly Cell[]): string {
  return items.length === 0 ? '' : `<ul>${items.map((item) => `<li>${inner(item)}</li>`).join('')}</ul>`;
}

/** Heading of a column, and its share of the width. */
export type Column = readonly [heading: string, share: number];

/** Rows below a title of their own; no page ends within a whole one. */
export interface RowGroup {
  readonly title?: string;
  readonly rows: readonly (readonly Cell[])[];
  readonly isWhole?: boolean;
}

/** A table whose head is repeated on every page. Rows of several groups stay with the title of their group. */
export function table(columns: readonly Column[], groups: readonly RowGroup[]): string {
  const bodies = groups.map(({ title, rows, isWhole }) => {
    const group =
      title === undefined
        ? ''
        : `<tr class="group"><th colspan="${columns.length}" scope="rowgroup">${escaped(title)}</th></tr>`;
    const lines = rows.map((cells) => `<tr>${cells.map(cellMarkup).join('')}</tr>`);
    return `<tbody${isWhole ? ' class="whole"' : ''}>${group}${lines.join('')}</tbody>`;
  });
  const whole = columns.reduce((sum, [, share]) => sum + share, 0);
  const widths = columns.map(([, share]) => `<col style="width:${((100 * share) / whole).toFixed(1)}%">`);
  const heads = columns.map(([heading]) => `<th scope="col">${escaped(heading)}</th>`);
  return `<table><colgroup>${widths.join('')}</colgroup><thead><tr>${heads.join('')}</tr></thead>${bodies.join('')}</table>`;
}

/** A text as a CSS string. Only letters and figures are left as they are. */
export function cssString(text: string): string {
  const safe = Array.from(text, (letter) =>
    /[A-Za-z0-9 .,:()-]/.test(letter) ? letter : `\\${letter.codePointAt(0)!.toString(16)} `,
  );
  return `"${safe.join('')}"`;
}
