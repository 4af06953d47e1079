/**
 * The value of a JSON text, undefined if it is not JSON: no JSON value is undefined. Some editors put a byte order mark
 * before it.
 */
export function readJson(text: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    if (error instanceof SyntaxError) return undefined;
    throw error;
  }
}

/** Deepest nesting of brackets; those in quotes do not count. */
export function jsonDepth(text: string): number {
  let [depth, most, isQuoted] = [0, 0, false];
  for (let at = 0; at < text.length; at++) {
    const letter = text[at];
    if (isQuoted && letter === '\\') at++;
    else if (letter === '"') isQuoted = !isQuoted;
    else if (!isQuoted && (letter === '{' || letter === '[')) most = Math.max(most, ++depth);
    else if (!isQuoted && (letter === '}' || letter === ']')) depth--;
  }
  return most;
}

/** Whether a JSON value is an object with keys. */
export function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
