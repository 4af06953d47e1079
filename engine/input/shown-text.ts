import { isRecord } from './json.ts';

/** A refusal is one line. */
export const MOST_MESSAGE_CHARACTERS = 200;
/** Characters of a text from outside that a sentence quotes. */
const MOST_QUOTED_CHARACTERS = 40;

/**
 * Characters that are invisible or change how others are shown: control characters (C0, DEL, C1), line and paragraph
 * separators, marks of writing direction, half of a surrogate pair. Unicode 15, sections 23.1 to 23.6.
 */
const HIDDEN =
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
  /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** The text with every hidden character made visible: an escape becomes the six letters \u001b. */
export function printable(text: string): string {
  return text.replace(HIDDEN, (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`);
}

/** A text from outside, shortened, in quotes, with every character visible. */
export function quoted(text: string, most = MOST_QUOTED_CHARACTERS): string {
  return `"${cut(printable(text.slice(0, most + 1)), most)}"`;
}

/** A value of a document for a sentence: a text is quoted, an object or a list is only named. */
export function shownValue(value: unknown): string {
  if (typeof value === 'string') return quoted(value);
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (isRecord(value)) return 'an object';
  return value === undefined ? 'missing' : String(value);
}

/** The path of a file in quotes, with every character visible. If it is too long, its end is kept, since that names the file. */
export function quotedPath(path: string): string {
  const shown = printable(path.slice(-MOST_QUOTED_CHARACTERS - 1));
  return shown.length > MOST_QUOTED_CHARACTERS
    ? `"…${shown.slice(1 - MOST_QUOTED_CHARACTERS).replace(/^[\udc00-\udfff]/, '')}"`
    : `"${shown}"`;
}

/** A name or title for one line of text: shortened, with every character visible. */
export function inLine(text: string, most: number): string {
  return cut(printable(text.slice(0, most + 1)), most);
}

/** A message as one line of at most 200 characters. */
export function oneLine(message: string, most = MOST_MESSAGE_CHARACTERS): string {
  return inLine(message.slice(0, 2 * most).replace(/\s+/g, ' '), most);
}

/** Several sentences in one line: as many as fit, then the number of the rest. The first is always shown. */
export function sentencesInLine(sentences: readonly string[]): string {
  const more = (shown: number) => {
    const left = sentences.length - shown;
    if (left === 0) return '';
    return ` And ${left} more ${left === 1 ? 'problem' : 'problems'}.`;
  };
  for (let shown = Math.min(sentences.length, 20); shown > 1; shown--) {
    const line = oneLine(sentences.slice(0, shown).join(' '), Number.POSITIVE_INFINITY) + more(shown);
    if (line.length <= MOST_MESSAGE_CHARACTERS) return line;
  }
  const rest = more(Math.min(1, sentences.length));
  return oneLine(sentences[0] ?? '', MOST_MESSAGE_CHARACTERS - rest.length) + rest;
}

function cut(text: string, most: number): string {
  // Do not end with half of a surrogate pair.
  return text.length > most ? `${text.slice(0, most - 1).replace(/[\ud800-\udbff]$/, '')}…` : text;
}
