/** What a text holds as JSON, undefined where it is none: no JSON is undefined. Some editors put a byte order mark ahead. */
export function readJson(text: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    if (error instanceof SyntaxError) return undefined;
    throw error;
  }
}
