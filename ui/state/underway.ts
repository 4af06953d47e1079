import { answeredTrials } from '../../engine/analysis/blind-test.ts';
import { leaveNote, readNote } from '../storage/kept-texts.ts';
import type { BenchState } from './bench-state.ts';

const NAME = 'underway';
let noted: string | undefined;

/** Notes what would be lost with the page, so that the next one can say so. */
export function noteUnderway({ ear }: BenchState): void {
  const text = textOf(ear);
  if (text === noted) return;
  noted = text;
  leaveNote(NAME, text);
}

/** What the closed page lost, in one sentence; given once. */
export function goneText(): string | undefined {
  const text = readNote(NAME);
  leaveNote(NAME, undefined);
  noted = undefined;
  return text;
}

function textOf({ blindTest, capture, candidates }: BenchState['ear']): string | undefined {
  if (blindTest) {
    const { test } = blindTest;
    return `The blind test (${answeredTrials(test)} of ${test.plannedTrials} answered) was not finished when the page closed. It is gone.`;
  }
  if (candidates?.at !== undefined)
    return 'The page closed while candidates played. B is as it was before them; the verdicts are gone.';
  return capture === 'capturing'
    ? 'The riff was still being recorded when the page closed. It is gone.'
    : undefined;
}
