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
  new RegExp(String.raw`\s(?:x|×|qty:?|anzahl:?)\s*(\d{1,6})\s*${PIECES}?$`, 'i'),
  new RegExp(String.raw`\s(\d{1,6})\s*${PIECES}$`, 'i'),
  new RegExp(String.raw`\s*\((?:x\s*)?(\d{1,6})\s*${PIECES}?\)$`, 'i'),
];
const LAST_COUNT = /(?<=\S)\s+([1-9]\d{0,5})$/;
/** Cases, and sizes of surface-mount parts: EIA codes, from memory. */
const OF_A_CASE = /\b(?:TO|DO|SO|SOIC|SOT|DI[LP])\s+\d+$|\s(?:1206|1210|1812|2010|2512)$/i;
const PLAIN_COUNT = /^(\d{1,6})\s+(?=\S)/;
/** A side of a box or part, and how sides are joined. */
const SIDE = String.raw`\d+(?:[.,]\d+)?`;
const TIMES = String.raw`\s*[x×]\s*`;
/** A last side below 10 has a decimal or its unit: in "60 x 31 x 2" and "112 x 60 x 31 x 2" the last is a number of parts. */
const LAST_SIDE = String.raw`(?:\d{2,}(?:[.,]\d+)?|\d[.,]\d+|\d(?=\s*mm\b))`;
/** Sides in mm, and pins of a socket. */
const NO_COUNTS = new RegExp(
  [
    // A number before sides without blanks is no side: "2x 112x60x9".
    String.raw`(?!\d+${TIMES}(?<=\s)\d+[x×]\d+[x×]\d)${SIDE}${TIMES}${SIDE}${TIMES}${LAST_SIDE}(?![\d.,]\d|\d|${TIMES}\d{2})`,
    // Without blanks nothing is counted: "112x60x9".
    String.raw`(?<![\d.,])${SIDE}[x×]${SIDE}[x×]${SIDE}(?![.,]?\d|${TIMES}\d)`,
    String.raw`\b\d+[ -]?pins?\b`,
  ].join('|'),
  'gi',
);
/** A length of wire counts in metres. */
const LENGTH = /(?<![\d.,])(\d{1,4}(?:[.,]\d{1,3})?)\s*(m|metres?|meters?|ft|feet|foot)(?=[\s,;)]|$)/i;
/** International yard and pound agreement of 1959. */
const METRES_PER_FOOT = 0.3048;
/** A number of parts that is none, or a second one: "1,000x", "-5x". */
const STRAY_COUNT =
  /(?:^|\s)[-+]?\d[\d.,]*(?:x|×|pcs?)(?=\s|$)|^[-+]\d+\s*(?:x|×|\*)\s|^\d+[.,][\d.,]*\s*(?:x|×|\*|pcs?\.?)\s/i;

/** The number of parts that a line gives with a word or sign; undefined if it gives none so. */
export function countedLine(line: string): CountedLine | undefined {
  for (const pattern of COUNTS) {
    const counted = countBy(pattern, line);
    if (counted) return counted;
  }
  return undefined;
}

/** A line that begins with a number and a blank: a number of parts, or a value. */
export function plainCounted(line: string): CountedLine | undefined {
  return countBy(PLAIN_COUNT, line);
}

/**
 * A line that ends with a blank and a number, a number of parts on bags of resistors and types; common practice, no source. It
 * may belong to a case: "TO 92".
 */
export function lastCounted(line: string): CountedLine | undefined {
  return OF_A_CASE.test(line) ? undefined : countBy(LAST_COUNT, line);
}

/** What is no number of parts is covered while the number is looked for. */
function countBy(pattern: RegExp, line: string): CountedLine | undefined {
  const cover = (text: string) => '_'.repeat(text.length);
  const covered = line.replace(NO_COUNTS, cover);
  const found = pattern.exec(/\bwires?\b/i.test(line) ? covered.replace(LENGTH, cover) : covered);
  if (!found) return undefined;
  const rest = `${line.slice(0, found.index)} ${line.slice(found.index + found[0].length)}`.trim();
  return { count: Number(found[1]), rest };
}

/** The length in a line of wire, m; undefined where it gives none. */
export function metresIn(line: string): number | undefined {
  const found = LENGTH.exec(line);
  if (!found) return undefined;
  const length = Number(found[1]!.replace(',', '.'));
  return /^f/i.test(found[2]!) ? length * METRES_PER_FOOT : length;
}

/** What looks like a number of parts and cannot be one. */
export function strayCount(line: string): string | undefined {
  return STRAY_COUNT.exec(line)?.[0].trim();
}
