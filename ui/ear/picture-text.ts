/** What no XML document may hold, escaped or not: controls, halves of surrogate pairs. XML 1.0, section 2.2. */
const FORBIDDEN = /[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]/gu;

/** A document that every reader takes: what it may not hold is shown as missing letters. */
export function wellFormed(markup: string): string {
  return markup.replace(FORBIDDEN, '\ufffd');
}

/** A text as it stands between two tags; a `]]>` there would end a section that never began (section 2.4). */
export function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}
