import { escaped } from '../wiring/picture.ts';

/** Markup that is ready: every text from outside in it is escaped. */
export interface Markup {
  readonly markup: string;
}

type Cell = string | Markup;

const inner = (cell: Cell): string => (typeof cell === 'string' ? escaped(cell) : cell.markup);

/** A paragraph of a plain text. */
export const paragraph = (text: string, kind = ''): string =>
  `<p${kind === '' ? '' : ` class="${kind}"`}>${escaped(text)}</p>`;

/** A list of plain texts; nothing for an empty one. */
export function list(items: readonly Cell[]): string {
  return items.length === 0 ? '' : `<ul>${items.map((item) => `<li>${inner(item)}</li>`).join('')}</ul>`;
}

/** Heading of a column, and its share of the width. */
export type Column = readonly [heading: string, share: number];

/** A table whose head is repeated on every page. Rows of several groups stay with the title of their group. */
export function table(
  columns: readonly Column[],
  groups: readonly { readonly title?: string; readonly rows: readonly (readonly Cell[])[] }[],
): string {
  const bodies = groups.map(({ title, rows }) => {
    const group =
      title === undefined
        ? ''
        : `<tr class="group"><th colspan="${columns.length}" scope="rowgroup">${escaped(title)}</th></tr>`;
    const lines = rows.map((cells) => `<tr>${cells.map((cell) => `<td>${inner(cell)}</td>`).join('')}</tr>`);
    return `<tbody>${group}${lines.join('')}</tbody>`;
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
