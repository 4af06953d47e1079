import { type Sheet, sheetOf } from '../../../engine/drawing/sheet.ts';
import type { StageDrawing } from '../../../engine/drawing/stage-drawing.ts';

/** Pixels of a grid step: easy to read, and the least at which a sheet is fitted to the width. A larger sheet is scrolled. */
const READABLE_STEP_PX = 10.5;
const SMALLEST_STEP_PX = 8.5;
/** Sizes that are tried between them. */
const TRIED = 5;
/** Smaller letters have to save this share of the height. */
const WORTH = 0.1;

/** Pixels of a grid step of a sheet that fits the width. */
export function fittedStepPx({ width }: Sheet, widthPx: number): number {
  return Math.max(widthPx / width, SMALLEST_STEP_PX);
}

/** The arrangement of the stages that has to be scrolled least: more of them fit side by side where letters are smaller. */
export function chosenSheet(drawings: readonly StageDrawing[], widthPx: number): Sheet {
  const sheets = Array.from({ length: TRIED }, (_, index) => {
    const stepPx = READABLE_STEP_PX + ((SMALLEST_STEP_PX - READABLE_STEP_PX) * index) / (TRIED - 1);
    return sheetOf(drawings, Math.floor(widthPx / stepPx));
  });
  const heightPx = (sheet: Sheet) => sheet.height * fittedStepPx(sheet, widthPx);
  return sheets.reduce((best, sheet) => (heightPx(sheet) < (1 - WORTH) * heightPx(best) ? sheet : best));
}
