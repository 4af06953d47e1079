import type { GridPoint } from '../circuits/part-spec.ts';
import type { Box } from '../drawing/geometry.ts';
import { cutText, textWidth, type Weight } from '../drawing/text-width.ts';
import { printable } from '../input/shown-text.ts';

/** Pixels of a grid step. */
export const STEP = 10;

/** A text of a drawing. Sizes in grid steps; `at` is on the baseline. */
export interface PictureText {
  readonly text: string;
  readonly at: GridPoint;
  readonly size: number;
  readonly weight: Weight;
  readonly anchor: 'start' | 'middle' | 'end';
}

/** Lines and texts of a part of a drawing, and the room that they take. */
export interface Picture {
  /** SVG elements without texts. */
  readonly shapes: string;
  readonly texts: readonly PictureText[];
  /** Boxes that no wire crosses; those of the texts come on top. */
  readonly bodies: readonly Box[];
}

export const TITLE_SIZE = 1.3;
export const TEXT_SIZE = 1.2;
export const SMALL_SIZE = 1.1;
/** From one line of text to the next, grid steps. */
export const LINE = 1.6;
/** Heights of letters above and below the baseline, as shares of their size. */
const ASCENT = 0.75;
const DESCENT = 0.22;

/** A text, cut to a room where one is given. @param room Grid steps. */
export function textAt(
  text: string,
  at: GridPoint,
  {
    size = TEXT_SIZE,
    weight = 400,
    anchor = 'start',
    room,
  }: Partial<PictureText> & { readonly room?: number } = {},
): PictureText {
  const cut = room === undefined ? text : cutText(text, room / size, weight);
  return { text: cut, at, size, weight, anchor };
}

export function textBox({ text, at: [x, y], size, weight, anchor }: PictureText): Box {
  const width = size * textWidth(text, weight);
  const left = x - { start: 0, middle: width / 2, end: width }[anchor];
  return { left, right: left + width, top: y - ASCENT * size, bottom: y + DESCENT * size };
}

/** Lines of a text in a room, broken between words. */
export function wrapped(text: string, room: number, size: number, weight: Weight): readonly string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const longer = lines.length === 0 ? word : `${lines.at(-1)} ${word}`;
    if (lines.length > 0 && size * textWidth(longer, weight) <= room) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

/** Text for XML, which allows no control characters: names come from files of others. */
export function escaped(text: string): string {
  return printable(text).replace(/[&<>"]/g, (character) => ENTITIES[character]!);
}

/** A length in pixels. */
export const px = (steps: number): string => `${Math.round(steps * STEP * 10) / 10}`;

export const line = ([x, y]: GridPoint, [toX, toY]: GridPoint): string =>
  `<path d="M${px(x)} ${px(y)}L${px(toX)} ${px(toY)}"/>`;

export const rect = ({ left, top, right, bottom }: Box, round = 0.3): string =>
  `<rect x="${px(left)}" y="${px(top)}" width="${px(right - left)}" height="${px(bottom - top)}" rx="${px(round)}"/>`;

export const circle = ([x, y]: GridPoint, radius: number): string =>
  `<circle cx="${px(x)}" cy="${px(y)}" r="${px(radius)}"/>`;

export function textElement({ text, at: [x, y], size, weight, anchor }: PictureText): string {
  const bold = weight === 600 ? ' font-weight="600"' : '';
  return `<text x="${px(x)}" y="${px(y)}" font-size="${px(size)}"${bold} text-anchor="${anchor}">${escaped(text)}</text>`;
}
