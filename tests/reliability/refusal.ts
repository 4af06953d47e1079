import { MOST_MESSAGE_CHARACTERS } from '../../engine/input/shown-text.ts';

/** Words that a program says of itself, not of what it was given. */
const CODE_WORDS =
  /is not a function|is not iterable|Cannot read|undefined|\bNaN\b|\[object|call stack|Invalid array length|Array buffer|out of memory|Unexpected token|\.ts:\d|\bENOENT\b|TypeError|RangeError/;

/** Control characters, separators of lines, marks of direction, halves of surrogate pairs. */
const HIDDEN = /\p{Cc}|\p{Zl}|\p{Zp}|\p{Cs}|[\u200e\u200f\u202a-\u202e\u2066-\u2069]/u;

/** Why a refusal is not one that can be shown; undefined where it can. */
export function refusalFault(message: string): string | undefined {
  if (message.length > MOST_MESSAGE_CHARACTERS) return `a refusal of ${message.length} characters`;
  if (HIDDEN.test(message)) return `a refusal with hidden characters: ${JSON.stringify(message)}`;
  if (CODE_WORDS.test(message)) return `a refusal in words of the code: ${message}`;
  return message.trim().length < 8 ? `a refusal without a sentence: "${message}"` : undefined;
}
