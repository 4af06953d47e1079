/** Weight of the typeface: designators and swapped values are bold. */
export type Weight = 400 | 600;

/** First character of the tables below. */
const FIRST = 0x20;
/**
 * Advance widths of IBM Plex Sans from the space to "~", thousandths of the letters' size. Measured in Chromium with
 * `measureText`; a browser test compares them with the widths on the page.
 */
// biome-ignore format: a table
const WIDTHS: Readonly<Record<Weight, readonly number[]>> = {
  400: [
    236, 284, 419, 713, 598, 927, 694, 242, 335, 335, 450, 600, 272, 399, 272, 383, 600, 600, 600, 600, 600, 600, 600, 600,
    600, 600, 292, 292, 600, 600, 600, 477, 891, 641, 653, 621, 671, 583, 559, 695, 707, 400, 510, 634, 501, 812, 707, 708,
    606, 708, 640, 581, 572, 678, 609, 891, 613, 593, 580, 317, 383, 317, 600, 565, 600, 534, 580, 503, 580, 549, 324, 528,
    568, 250, 250, 527, 272, 873, 568, 560, 580, 580, 367, 487, 351, 568, 492, 768, 507, 499, 464, 343, 314, 343, 600,
  ],
  600: [
    236, 309, 471, 656, 600, 960, 713, 260, 337, 337, 556, 600, 299, 402, 299, 437, 600, 600, 600, 600, 600, 600, 600, 600,
    600, 600, 319, 319, 600, 600, 600, 493, 899, 672, 663, 642, 689, 600, 577, 712, 719, 423, 545, 678, 521, 817, 719, 712,
    641, 712, 664, 611, 580, 689, 638, 949, 655, 632, 599, 329, 437, 329, 600, 559, 600, 559, 600, 513, 600, 558, 350, 545,
    588, 275, 275, 562, 294, 888, 588, 563, 600, 600, 393, 499, 374, 588, 524, 819, 544, 524, 502, 363, 376, 363, 600,
  ],
};
/** The minus sign is as wide as a figure, in both weights. */
const MINUS_WIDTH = 600;
/** Of other characters: as wide as they are high, which only few are. */
const OTHER_WIDTH = 1000;

/** Width of a text as a multiple of the size of its letters. */
export function textWidth(text: string, weight: Weight): number {
  let sum = 0;
  for (const character of text) {
    const other = character === '−' ? MINUS_WIDTH : OTHER_WIDTH;
    sum += WIDTHS[weight][character.codePointAt(0)! - FIRST] ?? other;
  }
  return sum / 1000;
}

/** As many characters as have room, with a mark where some are missing. @param room As a multiple of the size of the letters. */
export function cutText(text: string, room: number, weight: Weight): string {
  if (textWidth(text, weight) <= room) return text;
  const characters = [...text];
  while (characters.length > 0 && textWidth(`${characters.join('')}…`, weight) > room) characters.pop();
  return `${characters.join('')}…`;
}
