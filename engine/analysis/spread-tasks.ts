import type { ClippingLevel } from './clipping-level.ts';
import { clippingOf, printedClipping } from './spread-clipping.ts';
import { type SpreadCause, type SpreadChunk, type SpreadColumns, SpreadRun } from './spread-run.ts';
import type { SpreadSettings } from './spread-settings.ts';
import { type SpreadSummary, summarise } from './spread-summary.ts';
import { type PrintedResponse, printedResponse } from './spread-verdict.ts';

/** What a run is, before any build: the figures with every part as printed, and of the other build of a verdict. */
export interface SpreadStart {
  readonly columns: SpreadColumns;
  readonly causes: readonly SpreadCause[];
  readonly nominal: Float64Array;
  readonly other: PrintedResponse | undefined;
}

/** Where two builds clip from with every part as printed. */
export interface PrintedClipping {
  readonly own: ClippingLevel;
  readonly other: ClippingLevel | undefined;
}

/** Work for one of several workers. */
export type SpreadTask =
  | {
      readonly kind: 'start';
      /** Tasks with one id have the same settings. */
      readonly id: number;
      readonly settings: SpreadSettings;
      readonly other: SpreadSettings | undefined;
    }
  | {
      readonly kind: 'chunk';
      readonly id: number;
      readonly settings: SpreadSettings;
      readonly from: number;
      readonly count: number;
    }
  | { readonly kind: 'summary'; readonly start: SpreadStart; readonly chunks: readonly SpreadChunk[] }
  | {
      readonly kind: 'printedClipping';
      readonly settings: SpreadSettings;
      readonly other: SpreadSettings | undefined;
    }
  | {
      readonly kind: 'clipping';
      readonly settings: SpreadSettings;
      readonly from: number;
      readonly count: number;
      readonly nearV: number | undefined;
    };

export interface SpreadAnswers {
  readonly start: SpreadStart;
  readonly chunk: SpreadChunk;
  readonly summary: SpreadSummary;
  readonly printedClipping: PrintedClipping;
  readonly clipping: readonly (ClippingLevel | undefined)[];
}

export type SpreadTaskOf<K extends SpreadTask['kind']> = Extract<SpreadTask, { readonly kind: K }>;

/** The run that this worker is part of. */
let current: { readonly id: number; readonly run: SpreadRun } | undefined;

function runOf({ id, settings }: Pick<SpreadTaskOf<'chunk'>, 'id' | 'settings'>): SpreadRun {
  if (current?.id !== id) current = { id, run: new SpreadRun(settings) };
  return current.run;
}

/** @throws BuildError, NetworkError, OperatingPointError for a build that cannot be solved as printed. */
export function doSpreadTask(task: SpreadTask): SpreadAnswers[SpreadTask['kind']] {
  switch (task.kind) {
    case 'start': {
      const { columns, causes, nominal } = runOf(task);
      return { columns, causes, nominal, other: task.other && printedResponse(task.other) };
    }
    case 'chunk':
      return runOf(task).solve(task.from, task.count);
    case 'summary': {
      const { columns, causes, nominal } = task.start;
      return summarise(columns, causes, nominal, task.chunks);
    }
    case 'printedClipping':
      return { own: printedClipping(task.settings), other: task.other && printedClipping(task.other) };
    case 'clipping': {
      const { settings, from, count, nearV } = task;
      return Array.from({ length: count }, (_, index) => clippingOf(settings, from + index, nearV));
    }
  }
}
