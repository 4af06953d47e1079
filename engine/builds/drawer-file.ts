import { type CsvLine, csvText, readCsv } from '../input/csv.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { potTitle } from '../units/taper.ts';
import { MOST_LINE_CHARACTERS, readBagLine } from './bag-line.ts';
import { type DrawerItem, MOST_DRAWER_ITEMS, withItems } from './drawer.ts';
import { isOnBoard, needName } from './part-need.ts';

/** Characters of a file: some 100 for each of the most bags. */
export const MOST_DRAWER_CHARACTERS = 500_000;
/** Longest file in bytes, checked before it is read. */
export const MOST_DRAWER_BYTES = 3 * MOST_DRAWER_CHARACTERS;

const HEADINGS = ['count', 'value', 'kind', 'taper', 'tolerance', 'rating', 'material'] as const;
type Heading = (typeof HEADINGS)[number];
/** Other words for headings; common practice, no source. */
const OTHER_HEADINGS: Readonly<Record<string, Heading>> = {
  quantity: 'count',
  number: 'count',
  qty: 'count',
  pcs: 'count',
  part: 'value',
};
/** A heading of a column that may hold numbers of parts. */
const LIKE_COUNT = /\b(count|quantit|qty|pcs|pieces|stock|amount|how many)/i;

/** What a file holds, and the lines that were not understood, each in a sentence. */
export interface ReadDrawer {
  readonly items: readonly DrawerItem[];
  readonly problems: readonly string[];
}

/** A drawer as comma-separated values with a header line. @see RFC 4180 */
export function drawerCsv(items: readonly DrawerItem[]): string {
  return csvText([HEADINGS, ...items.map(cellsOf)]);
}

function cellsOf(item: DrawerItem): readonly string[] {
  const { kind, value, type, count, law, material, tolerancePercent, ratedV, ratedW } = item;
  return [
    String(count),
    value ?? type ?? '',
    isOnBoard(kind) ? needName(item) : 'hardware',
    law === undefined ? '' : potTitle(law),
    tolerancePercent === undefined ? '' : `${tolerancePercent}%`,
    ratedV === undefined ? (ratedW === undefined ? '' : `${ratedW}W`) : `${ratedV}V`,
    material ?? '',
  ];
}

/**
 * The bags of a file: comma-separated values with a line of headings, or lines as on bags. What is not understood is named with
 * its line and left out; the rest is taken.
 *
 * @throws Refusal for a file that is too long, or a table whose columns of values and of numbers are not known.
 */
export function readDrawer(text: string): ReadDrawer {
  if (text.length > MOST_DRAWER_CHARACTERS)
    throw new Refusal(
      'file',
      `it has ${text.length} characters, and a drawer at most ${MOST_DRAWER_CHARACTERS}`,
    );
  const found: DrawerItem[] = [];
  const problems: string[] = [];
  for (const { number, line } of linesOf(text)) {
    try {
      found.push(readBagLine(line()).item);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      problems.push(`Line ${number}: ${error.message}`);
    }
  }
  const items = withItems([], found);
  if (items.length > MOST_DRAWER_ITEMS)
    throw new Refusal('file', `it has more than ${MOST_DRAWER_ITEMS} different bags`);
  return { items, problems };
}

interface Line {
  readonly number: number;
  /** @throws Refusal for a number of parts that is none. */
  readonly line: () => string;
}

/** Each line as on a bag. A table has its columns in any order; columns that are not known are passed over. */
function linesOf(text: string): readonly Line[] {
  const source = text.replace(/^\uFEFF/, '');
  const [first = ''] = source.split(/[\r\n]/, 1);
  const comma = [',', ';', '\t'].find((each) => first.includes(each));
  const isTable = first.split(comma ?? ',').some((cell) => headingOf(cell.replaceAll('"', '')) !== undefined);
  if (isTable) return tableLines(readCsv(source, comma));
  return source
    .split(/\r\n|\r|\n/)
    .map((line, index) => ({ number: index + 1, line: line.trim() }))
    .filter(({ line }) => line !== '')
    .map(({ number, line }) => ({ number, line: () => line }));
}

function headingOf(cell: string): Heading | undefined {
  const word = cell.trim().toLowerCase();
  return HEADINGS.find((heading) => heading === word) ?? OTHER_HEADINGS[word];
}

function tableLines([head, ...lines]: readonly CsvLine[]): readonly Line[] {
  const columns = head!.cells.map(headingOf);
  if (!columns.includes('value')) throw new Refusal('file', 'it has no column with the heading "value"');
  if (!columns.includes('count')) checkNoCount(head!.cells, columns, lines);
  return lines.map(({ number, cells }) => ({ number, line: () => bagLineOf(columns, cells) }));
}

/** A table without numbers of parts has one of each; one whose numbers are under another heading must not be read so. */
function checkNoCount(
  headings: readonly string[],
  columns: readonly (Heading | undefined)[],
  lines: readonly CsvLine[],
): void {
  const isCount = (column: number) =>
    lines.length > 0 && lines.every(({ cells }) => /^\s*\d+\s*$/.test(cells[column] ?? ''));
  const found = headings.find(
    (heading, column) => columns[column] === undefined && (LIKE_COUNT.test(heading) || isCount(column)),
  );
  if (found !== undefined)
    throw new Refusal(
      'file',
      `the column ${quoted(found)} may be the number of parts: give that column the heading "count"`,
    );
}

function bagLineOf(columns: readonly (Heading | undefined)[], cells: readonly string[]): string {
  const cell = (name: Heading) => (cells[columns.indexOf(name)] ?? '').trim();
  const count = cell('count') === '' ? '1' : cell('count');
  if (!/^\d+$/.test(count)) throw new Refusal('value', `${quoted(count)} is not a number of parts.`);
  const words = HEADINGS.filter((heading) => heading !== 'count').map(cell);
  return [`${count}x`, ...words]
    .filter((word) => word !== '')
    .join(' ')
    .slice(0, MOST_LINE_CHARACTERS + 1);
}
