import { once } from 'node:events';
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { CLIPPING_LEVEL_NOTE } from '../analysis/clipping-level.ts';
import { isReachable } from '../analysis/meter-readings.ts';
import { sharesToShow } from '../analysis/spread-causes.ts';
import {
  type AskSpread,
  type SpreadReport,
  spreadBuilds,
  USUAL_CLIPPING_COUNT,
  USUAL_COUNT,
} from '../analysis/spread-report.ts';
import type { SpreadSettings } from '../analysis/spread-settings.ts';
import type { Band, NamedBand } from '../analysis/spread-summary.ts';
import type { SpreadAnswers, SpreadTask } from '../analysis/spread-tasks.ts';
import {
  clippingKindsText,
  extremesText,
  failedText,
  measureText,
  notVariedText,
  SPREAD_NOTE,
  shareDone,
  swapTexts,
  TABLE_HZ,
  TONE_NOTE,
  timeText,
} from '../analysis/spread-text.ts';
import { clippingSwap, levelSwap, toneSwap } from '../analysis/spread-verdict.ts';
import type { Chain } from '../builds/chain.ts';
import { chainTitle } from '../builds/chain-swaps.ts';
import { type Tolerances, USUAL_SEED } from '../builds/parts-set.ts';
import { aroundChainText } from '../builds/surroundings.ts';
import { Refusal, type RefusalCode } from '../input/refusal.ts';
import { readChain, readOther } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { named, numberIn, type Options, temperatureOf } from './options.ts';
import { printJson, printSections, printTable } from './output.ts';
import { progressOn } from './progress.ts';
import { aroundPedal } from './surroundings.ts';

const WORKER = new URL('./spread-worker.mjs', import.meta.url);

/** Thousands of builds with other parts of the same values and types: what they do, and which parts cause it. */
export async function spreadCommand(options: Options): Promise<void> {
  const chain = readChain(options);
  const against = readOther(options);
  const count = countOf('count', options.count, USUAL_COUNT);
  const clippingCount = countOf('clipping', options.clipping, USUAL_CLIPPING_COUNT);
  const settings = settingsOf(options, chain);
  const other = against && settingsOf(options, against);
  const workers = new SpreadWorkers(availableParallelism());
  const onProgress = progressOn();
  try {
    const report = await spreadBuilds(
      { settings, other, count, clippingCount },
      {
        ask: workers.ask,
        nowMs: () => performance.now(),
        onChange: (news) => onProgress(shareDone(news)),
      },
    );
    if (options.json) printJson(asData(report));
    else printReport(report, chain, against);
  } finally {
    await workers.close();
  }
}

function countOf(option: 'count' | 'clipping', text: string | undefined, otherwise: number): number {
  const value = text === undefined ? otherwise : numberIn(option, text);
  if (!Number.isInteger(value)) throw new CliError(`--${option} ${named(text!)} is not a whole number.`);
  return value;
}

function settingsOf(options: Options, chain: Chain): SpreadSettings {
  const seed = options.seed === undefined ? USUAL_SEED : numberIn('seed', options.seed);
  if (!Number.isInteger(seed)) throw new CliError(`--seed ${named(options.seed!)} is not a whole number.`);
  return {
    build: chain.pedals[0]!.build,
    around: aroundPedal(options, chain, 0),
    temperatureK: temperaturesOf(options),
    seed,
    tolerances: tolerancesOf(options),
  };
}

/** "--temperature 5..40": from cold to warm. */
function temperaturesOf(options: Options): SpreadSettings['temperatureK'] {
  const parts = options.temperature?.split('..') ?? [];
  const [low, high = low] = parts;
  if (parts.length > 2 || (parts.length === 2 && parts.some((part) => part.trim() === '')))
    throw new CliError(
      `--temperature ${named(options.temperature!)} should be one, or a range such as 5..40.`,
    );
  const at = (temperature: string | undefined) =>
    temperatureOf(temperature === undefined ? {} : { temperature });
  const range = { low: at(low), high: at(high) };
  if (range.low > range.high)
    throw new CliError(`--temperature ${named(options.temperature!)} runs backwards.`);
  return range;
}

function tolerancesOf({ resistors, capacitors }: Options): Tolerances {
  return {
    ...(resistors !== undefined && { resistor: numberIn('resistors', resistors) / 100 }),
    ...(capacitors !== undefined && { capacitor: numberIn('capacitors', capacitors) / 100 }),
  };
}

type FromWorker =
  | { readonly answer: SpreadAnswers[SpreadTask['kind']] }
  | { readonly refused: { readonly code: RefusalCode; readonly message: string } };

/** Gives each task to a worker that has nothing to do; the others wait. */
class SpreadWorkers {
  readonly #workers: readonly Worker[];
  readonly #free: Worker[];
  readonly #waiting: ((worker: Worker) => void)[] = [];

  constructor(count: number) {
    this.#workers = Array.from({ length: count }, () => new Worker(WORKER));
    this.#free = [...this.#workers];
  }

  readonly ask: AskSpread = async (task) => {
    const worker = this.#free.pop() ?? (await new Promise<Worker>((take) => this.#waiting.push(take)));
    worker.postMessage(task);
    // Rejects where the worker fails.
    const [message] = (await once(worker, 'message')) as [FromWorker];
    const next = this.#waiting.shift();
    if (next) next(worker);
    else this.#free.push(worker);
    if ('refused' in message) throw new Refusal(message.refused.code, message.refused.message);
    // A worker answers a task of a kind with what belongs to it.
    return message.answer as never;
  };

  async close(): Promise<void> {
    await Promise.all(this.#workers.map((worker) => worker.terminate()));
  }
}

function asData(report: SpreadReport) {
  const { plan, start, summary, seconds, clipping, printedClipping, clippingSeconds } = report;
  const swap = start.other &&
    summary && {
      tone: toneSwap(summary, start.other),
      level: levelSwap(summary, start.other),
      clipping:
        clipping && printedClipping?.other
          ? clippingSwap(printedClipping.own, printedClipping.other, clipping)
          : undefined,
      says: swapTexts(report, 'the swap'),
    };
  return {
    count: plan.count,
    seed: plan.settings.seed,
    seconds,
    ...summary,
    nets: summary?.nets.filter(({ name }) => isReachable(name)),
    printedClipping: printedClipping?.own,
    clipping: clipping && { ...clipping, seconds: clippingSeconds },
    swap,
    notes: [SPREAD_NOTE, notVariedText(plan.settings), TONE_NOTE, CLIPPING_LEVEL_NOTE].filter(
      (note) => note !== '',
    ),
  };
}

const HEADINGS = ['', 'printed', '2.5 %', '25 %', '50 %', '75 %', '97.5 %', 'caused by'];

function printReport(report: SpreadReport, chain: Chain, against: Chain | undefined): void {
  const { summary, clipping, plan } = report;
  if (!summary) return;
  process.stdout.write(`${chainTitle(chain)}: ${timeText(report)} Seed ${plan.settings.seed}.\n`);
  say(failedText(report));
  const response = TABLE_HZ.map((hz) => {
    const band = summary.response[summary.hz.indexOf(hz)]!;
    return [`${hz.toFixed(0)} Hz`, ...bandCells(band, decibels), ''];
  });
  const nets = summary.nets.filter(({ name }) => isReachable(name));
  printSections([
    { title: '', rows: [HEADINGS] },
    {
      title: 'Gain, dB:',
      rows: [...response, ['level', ...bandCells(summary.level, decibels), causeCell(summary.level)]],
    },
    { title: 'DC, V:', rows: nets.map((net) => [net.name, ...bandCells(net, volts), causeCell(net)]) },
    {
      title: 'Supply current, mA:',
      rows: summary.supplies.map((each) => [each.name, ...bandCells(each, milliamperes), causeCell(each)]),
    },
    {
      title: 'Clips from, mV:',
      rows: clipping?.band
        ? [[`${clipping.found} of ${clipping.tried}`, ...bandCells(clipping.band, millivolts), '']]
        : [],
    },
  ]);
  process.stdout.write('\n');
  say(clippingKindsText(report));
  say(measureText('tone', summary.toneCauses));
  printTable(
    sharesToShow(summary.toneCauses).map(({ label, text, share }) => [
      `${Math.round(100 * share)} %`,
      label,
      text,
    ]),
  );
  say(measureText('level', summary.level.causes));
  for (const text of swapTexts(report, `the swap to ${against ? chainTitle(against) : ''}`)) say(text);
  say(extremesText(report));
  say(notVariedText(plan.settings));
  say(`\n${aroundChainText(plan.settings.around)} ${SPREAD_NOTE}\n${TONE_NOTE}\n${CLIPPING_LEVEL_NOTE}`);
}

function say(text: string): void {
  if (text !== '') process.stdout.write(`${text}\n`);
}

function bandCells(band: Band, text: (value: number) => string): readonly string[] {
  return [band.printed, band.low, band.lower, band.median, band.upper, band.high].map((value) =>
    Number.isFinite(value) ? text(value) : '',
  );
}

const decibels = (value: number) => value.toFixed(1);
const volts = (value: number) => value.toFixed(3);
const milliamperes = (value: number) => (1000 * value).toFixed(3);
const millivolts = (value: number) => (1000 * value).toPrecision(4);

function causeCell({ causes }: NamedBand): string {
  return causes.measure.labels.join(', ');
}
