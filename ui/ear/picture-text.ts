/** Characters that XML forbids, escaped or not: controls, halves of surrogate pairs. XML 1.0, section 2.2. */
const FORBIDDEN = /[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]/gu;

/** A valid document: forbidden characters become replacement characters. */
export function wellFormed(markup: string): string {
  return markup.replace(FORBIDDEN, '\ufffd');
}

/** A text escaped for XML; a `]]>` must be escaped too (section 2.4). */
export function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}
