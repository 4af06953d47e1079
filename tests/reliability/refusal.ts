import { MOST_MESSAGE_CHARACTERS } from '../../engine/input/shown-text.ts';

/** Words about the program itself, which do not belong in a refusal. */
const CODE_WORDS =
  /is not a function|is not iterable|Cannot read|undefined|\bNaN\b|\[object|call stack|Invalid array length|Array buffer|out of memory|Unexpected token|\.ts:\d|\bENOENT\b|TypeError|RangeError/;

/** Control characters, line separators, direction marks, halves of surrogate pairs. */
const HIDDEN = /\p{Cc}|\p{Zl}|\p{Zp}|\p{Cs}|[\u200e\u200f\u202a-\u202e\u2066-\u2069]/u;

/** Why a refusal cannot be shown to a user; undefined if it can. */
export function refusalFault(message: string): string | undefined {
  if (message.length > MOST_MESSAGE_CHARACTERS) return `a refusal of ${message.length} characters`;
  if (HIDDEN.test(message)) return `a refusal with hidden characters: ${JSON.stringify(message)}`;
  if (CODE_WORDS.test(message)) return `a refusal in words of the code: ${message}`;
  return message.trim().length < 8 ? `a refusal without a sentence: "${message}"` : undefined;
}
