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
