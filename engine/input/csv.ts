import { Refusal } from './refusal.ts';
import { quoted } from './shown-text.ts';

/** A cell that begins with one of these runs as a formula in spreadsheets; also behind a tab or a return. */
const FORMULA = /^[=+\-@\t\r]/;
/** What keeps it a text; it is taken off again when a table is read. */
const GUARD = "'";

/**
 * A table as comma-separated values. A cell that a spreadsheet would take for a formula begins with an apostrophe.
 *
 * @see RFC 4180; OWASP, "CSV Injection"
 */
export function csvText(lines: readonly (readonly string[])[]): string {
  return lines.map((line) => `${line.map(cellText).join(',')}\r\n`).join('');
}

function cellText(text: string): string {
  const guarded = FORMULA.test(text) || /^'['=+\-@\t\r]/.test(text) ? `${GUARD}${text}` : text;
  return /[",\r\n]/.test(guarded) ? `"${guarded.replaceAll('"', '""')}"` : guarded;
}

/** A line of a table, with the number that an editor shows for its beginning. */
export interface CsvLine {
  readonly number: number;
  readonly cells: readonly string[];
}

/**
 * The lines of comma-separated values, without empty ones. Spreadsheets of some countries put semicolons where RFC 4180 has
 * commas: the first line decides. Lines may end with LF alone.
 *
 * @param comma What stands between cells, where that is known.
 * @throws Refusal naming the line, for quotes that do not match.
 */
export function readCsv(text: string, comma = commaOf(text)): readonly CsvLine[] {
  const source = text.replace(/^\uFEFF/, '');
  const lines: CsvLine[] = [];
  let [at, number] = [0, 1];
  while (at < source.length) {
    const start = number;
    const cells: string[] = [];
    for (;;) {
      const cell = source[at] === '"' ? quotedCell(source, at, start) : plainCell(source, at, comma, start);
      cells.push(unguarded(cell.text));
      number += cell.text.split('\n').length - 1;
      at = cell.end;
      if (source[at] !== comma) break;
      at++;
    }
    if (source[at] === '\r') at++;
    if (source[at] === '\n') at++;
    number++;
    if (cells.some((cell) => cell.trim() !== '')) lines.push({ number: start, cells });
  }
  return lines;
}

function commaOf(text: string): string {
  const [first = ''] = text.split(/[\r\n]/, 1);
  return first.includes(';') && !first.includes(',') ? ';' : ',';
}

interface Cell {
  readonly text: string;
  readonly end: number;
}

function plainCell(source: string, start: number, comma: string, line: number): Cell {
  let end = start;
  while (end < source.length && source[end] !== comma && source[end] !== '\r' && source[end] !== '\n') end++;
  const text = source.slice(start, end);
  if (text.includes('"'))
    throw new Refusal(
      'file',
      `line ${line}: a quote in the middle of ${quoted(text)}; put the whole cell in quotes`,
    );
  return { text, end };
}

function quotedCell(source: string, start: number, line: number): Cell {
  let text = '';
  for (let at = start + 1; at < source.length; at++) {
    if (source[at] !== '"') text += source[at];
    else if (source[at + 1] === '"') {
      text += '"';
      at++;
    } else {
      const after = source[at + 1];
      if (after !== undefined && !',;\t\r\n'.includes(after))
        throw new Refusal('file', `line ${line}: text behind the closing quote of ${quoted(text)}`);
      return { text, end: at + 1 };
    }
  }
  throw new Refusal('file', `line ${line}: a quote is not closed`);
}

function unguarded(text: string): string {
  return /^'['=+\-@\t\r]/.test(text) ? text.slice(1) : text;
}
