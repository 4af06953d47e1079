/** A line on a bag without the number of its parts. */
export interface CountedLine {
  readonly count: number;
  readonly rest: string;
}

/** What follows or leads a number of parts on bags, in English and German; common practice, no source. */
const PIECES = String.raw`(?:x|×|\*|pcs?\.?|pieces?|off|stk\.?|stück|st\.)`;
const COUNTS: readonly RegExp[] = [
  new RegExp(String.raw`^(\d{1,6})\s*${PIECES}\s+(?=\S)`, 'i'),
  /^(\d{1,6})(?:x|×)(?=\S)/i,
  new RegExp(String.raw`^\((\d{1,6})\s*${PIECES}?\)\s*`, 'i'),
  /^qty:?\s*(\d{1,6})\s+(?=\S)/i,
  // Not the last side of a box, "112 x 60 x 31".
  new RegExp(String.raw`(?<!\d\s*[x×]\s*[\d.,]+)\s(?:x|×|qty:?|anzahl:?)\s*(\d{1,6})\s*${PIECES}?$`, 'i'),
  new RegExp(String.raw`\s(\d{1,6})\s*${PIECES}$`, 'i'),
  new RegExp(String.raw`\s*\((?:x\s*)?(\d{1,6})\s*${PIECES}?\)$`, 'i'),
];
/** A length of wire counts in metres. */
const METRES = /(?:^|\s)(\d{1,4})\s*(?:m|metres?|meters?)(?=\s|$)/i;
/** A number of parts that is none, or a second one: "1,000x", "-5x". */
const STRAY_COUNT =
  /(?:^|\s)[-+]?\d[\d.,]*(?:x|×|pcs?)(?=\s|$)|^[-+]\d+\s*(?:x|×|\*)\s|^\d+[.,][\d.,]*\s*(?:x|×|\*|pcs?\.?)\s/i;

/** The number of parts that a line gives with a word or sign; undefined if it gives none so. */
export function countedLine(line: string): CountedLine | undefined {
  for (const pattern of COUNTS) {
    const found = pattern.exec(line);
    if (found) return { count: Number(found[1]), rest: line.replace(found[0], ' ').trim() };
  }
  return undefined;
}

/** A line of wire with its whole metres; undefined where it gives none. */
export function meteredLine(line: string): CountedLine | undefined {
  const found = METRES.exec(line);
  return found ? { count: Number(found[1]), rest: line.replace(found[0], ' ').trim() } : undefined;
}

/** What looks like a number of parts and cannot be one. */
export function strayCount(line: string): string | undefined {
  return STRAY_COUNT.exec(line)?.[0].trim();
}
