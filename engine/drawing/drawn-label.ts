import { fittedText } from './fitted-text.ts';
import type { Box } from './geometry.ts';
import { LABEL_SIZE, type LabelSpot, lineBox } from './placed-part.ts';
import { textWidth, type Weight } from './text-width.ts';

/** A label as it stands on the sheet. */
export interface DrawnLabel {
  readonly written: string;
  /** Of its letters, grid steps. */
  readonly size: number;
  readonly weight: Weight;
  readonly box: Box;
}

/** @param letter Of the build, before a value that differs from the other build's; otherwise empty. */
export function drawnLabel({ what, at, anchor, box }: LabelSpot, text: string, letter: string): DrawnLabel {
  const weight = what === 'ref' || letter !== '' ? 600 : 400;
  const room = (box.right - box.left) / LABEL_SIZE;
  const { written, share } = fittedText(letter ? `${letter} ${text}` : text, room, weight);
  const size = share * LABEL_SIZE;
  return { written, size, weight, box: lineBox(at, anchor, size * textWidth(written, weight)) };
}
