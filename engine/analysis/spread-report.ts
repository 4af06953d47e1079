import type { ClippingLevel } from './clipping-level.ts';
import { type ClippingSpread, clippingSpread } from './spread-clipping.ts';
import type { SpreadChunk } from './spread-run.ts';
import type { SpreadSettings } from './spread-settings.ts';
import type { SpreadSummary } from './spread-summary.ts';
import type {
  PrintedClipping,
  SpreadAnswers,
  SpreadStart,
  SpreadTask,
  SpreadTaskOf,
} from './spread-tasks.ts';

/** What is asked for. */
export interface SpreadPlan {
  readonly settings: SpreadSettings;
  /** The build after a swap, to be judged in units of the spread. */
  readonly other?: SpreadSettings | undefined;
  /** Builds, and how many of them are also driven until they clip. */
  readonly count: number;
  readonly clippingCount: number;
}

/** What is known so far. */
export interface SpreadReport {
  readonly plan: SpreadPlan;
  readonly start: SpreadStart;
  /** Builds solved, and what they show; after each stage for more of them. */
  readonly solved: number;
  readonly summary: SpreadSummary | undefined;
  /** How long all builds took, s; undefined until they are solved. */
  readonly seconds: number | undefined;
  readonly printedClipping: PrintedClipping | undefined;
  readonly clipping: ClippingSpread | undefined;
  /** How long the clipping levels took, s; undefined until all are known. */
  readonly clippingSeconds: number | undefined;
}

/** Gives a task to a free worker. */
export type AskSpread = <K extends SpreadTask['kind']>(task: SpreadTaskOf<K>) => Promise<SpreadAnswers[K]>;

/** How a run is carried out. */
export interface SpreadMeans {
  readonly ask: AskSpread;
  /** A clock, ms. */
  readonly nowMs: () => number;
  /** Told what is known after every task. */
  readonly onChange: (report: SpreadReport) => void;
}

export const USUAL_COUNT = 10_000;
export const USUAL_CLIPPING_COUNT = 500;

/** Builds of one task, and those of the first stage that is shown. */
const CHUNK = 250;
const FIRST_SHOWN = 1000;
const CLIPPING_CHUNK = 10;

const NOTHING_KNOWN = {
  solved: 0,
  summary: undefined,
  seconds: undefined,
  printedClipping: undefined,
  clipping: undefined,
  clippingSeconds: undefined,
};

let runs = 0;

/** Builds after which a browser has compiled most of the work well. */
const WARM_UP = 1000;

/** A task whose answer is of no interest: a worker that has done it solves builds several times as fast as a new one. */
export function warmUpTask(settings: SpreadSettings): SpreadTaskOf<'chunk'> {
  return { kind: 'chunk', id: ++runs, settings, from: 1, count: WARM_UP };
}

/**
 * Solves all builds of a run on as many workers as there are.
 *
 * @throws BuildError, NetworkError, OperatingPointError, as a task does.
 */
export async function spreadBuilds(
  plan: SpreadPlan,
  { ask, nowMs, onChange }: SpreadMeans,
): Promise<SpreadReport> {
  const { settings, other, count } = plan;
  const beganMs = nowMs();
  const id = ++runs;
  let report: SpreadReport | undefined;
  let solved = 0;
  const tell = (news: Partial<SpreadReport>) => {
    if (!report) return;
    report = { ...report, solved, ...news };
    onChange(report);
  };
  // Not waited for: the other workers solve builds meanwhile.
  const begun = ask<'start'>({ kind: 'start', id, settings, other }).then((start) => {
    report = { ...NOTHING_KNOWN, plan, start };
    tell({});
    return start;
  });
  const chunks: SpreadChunk[] = [];
  const solve = async (from: number) => {
    const size = Math.min(CHUNK, count - from + 1);
    chunks[(from - 1) / CHUNK] = await ask<'chunk'>({ kind: 'chunk', id, settings, from, count: size });
    solved += size;
    tell({});
  };
  const numbers = Array.from({ length: Math.ceil(count / CHUNK) }, (_, index) => 1 + index * CHUNK);
  const [start] = await Promise.all([begun, ...numbers.filter((from) => from < FIRST_SHOWN).map(solve)]);
  const summarise = async () => {
    tell({ summary: await ask<'summary'>({ kind: 'summary', start, chunks: [...chunks] }) });
  };
  const others = numbers.filter((from) => from > FIRST_SHOWN);
  if (others.length > 0) await Promise.all([summarise(), ...others.map(solve)]);
  await summarise();
  tell({ seconds: (nowMs() - beganMs) / 1000 });
  const clipping = await clippingLevels(plan, { ask, nowMs }, tell);
  return { ...report!, ...clipping };
}

type ClippingNews = Pick<SpreadReport, 'printedClipping' | 'clipping' | 'clippingSeconds'>;

async function clippingLevels(
  { settings, other, count, clippingCount }: SpreadPlan,
  { ask, nowMs }: Pick<SpreadMeans, 'ask' | 'nowMs'>,
  tell: (news: Partial<SpreadReport>) => void,
): Promise<Partial<ClippingNews>> {
  const wanted = Math.min(count, clippingCount);
  if (wanted === 0) return {};
  const beganMs = nowMs();
  const printed = await ask<'printedClipping'>({ kind: 'printedClipping', settings, other });
  const nearV = printed.own.kind === 'from' ? printed.own.inputPeakV : undefined;
  const levels: (readonly (ClippingLevel | undefined)[])[] = [];
  const news = (): ClippingNews => ({
    printedClipping: printed,
    clipping: clippingSpread(printed.own, levels.flat()),
    clippingSeconds: undefined,
  });
  const find = async (first: number) => {
    const size = Math.min(CLIPPING_CHUNK, wanted - first);
    const from = first + 1;
    levels[first / CLIPPING_CHUNK] = await ask<'clipping'>({
      kind: 'clipping',
      settings,
      from,
      count: size,
      nearV,
    });
    tell(news());
  };
  const firsts = Array.from(
    { length: Math.ceil(wanted / CLIPPING_CHUNK) },
    (_, index) => index * CLIPPING_CHUNK,
  );
  await Promise.all(firsts.map(find));
  const all = { ...news(), clippingSeconds: (nowMs() - beganMs) / 1000 };
  tell(all);
  return all;
}
