import { appendFileSync } from 'node:fs';
import { hasNetlistSolver } from '../reference/netlist-solver.ts';
import { inputText } from '../reference/trial-input.ts';
import { KeptAnswers } from './kept-answers.ts';
import {
  measureTrial,
  type RandomTrial,
  randomTrial,
  TRIAL_FACTORS,
  type TrialOutcome,
} from './random-trial.ts';

type Measured = Extract<TrialOutcome, { readonly errorsDb: readonly number[] }>;

const PERCENTILES = [50, 90, 95, 99, 100];
/** Errors above these, dB, are counted. */
const COUNTED_DB = [-60, -80];
const WORST = 10;

/** Where builds and trials come from, and the script that tries them. */
export interface RandomSource {
  readonly script: string;
  readonly trialOf: (seed: number) => RandomTrial;
}

export const BUILDS: RandomSource = { script: 'random-builds', trialOf: randomTrial };

export interface RandomErrorsOptions {
  readonly count: number;
  readonly seed: number;
  /** No build begins after this time, s. */
  readonly limitSeconds?: number;
  /** Receives each result as a line of JSON. */
  readonly file?: string;
  /** Folder that keeps the reference's results for a further run. */
  readonly answers?: string;
  /** Random builds of the circuits by default. */
  readonly source?: RandomSource;
}

/**
 * Random builds with random inputs, compared with the netlist solver: the engine's error at 8x, 16x and offline,
 * grouped by the kinds of parts, and the worst builds. Returns undefined if there is no compiler.
 */
export function measureRandomErrors(options: RandomErrorsOptions): readonly TrialOutcome[] | undefined {
  if (!hasNetlistSolver()) return undefined;
  const ends = performance.now() + 1000 * (options.limitSeconds ?? Number.POSITIVE_INFINITY);
  const answers = options.answers === undefined ? undefined : new KeptAnswers(options.answers);
  const { trialOf } = options.source ?? BUILDS;
  const outcomes: TrialOutcome[] = [];
  for (let k = 0; k < options.count && performance.now() < ends; k++) {
    const outcome = measureTrial(trialOf(options.seed + k), answers);
    outcomes.push(outcome);
    if (options.file) appendFileSync(options.file, `${JSON.stringify(outcome)}\n`);
  }
  return outcomes;
}

/** The table, as lines. */
export function errorTable(outcomes: readonly TrialOutcome[], seed: number, source = BUILDS): string {
  const of = (kind: TrialOutcome['kind']) => outcomes.filter((outcome) => outcome.kind === kind);
  const measured = of('measured') as Measured[];
  const head =
    `${outcomes.length} builds from seed ${seed}: ${measured.length} measured, ${of('unstable').length} unstable circuits, ` +
    `${of('refused').length} refused, ${of('no reference').length} that the reference did not solve`;
  const traits = ['phase reversal', 'input range', 'class-B output', 'field-effect'];
  const groups: [string, Measured[]][] = [
    ['all', measured],
    ...traits.map((trait): [string, Measured[]] => [trait, measured.filter((m) => m.traits.includes(trait))]),
    ['none of these', measured.filter((m) => m.traits.length === 0)],
  ];
  return [head, ...groups.flatMap(([name, group]) => rowsOf(name, group)), ...worstOf(measured, source)].join(
    '\n',
  );
}

function rowsOf(name: string, group: readonly Measured[]): string[] {
  if (group.length === 0) return [];
  const title = `\n${name} (${group.length})`.padEnd(28);
  const columns = PERCENTILES.map((p) => (p === 100 ? 'worst' : `${p} %`).padStart(8));
  const counts = COUNTED_DB.map((limit) => `above ${limit}`.padStart(11));
  const rates: [string, (one: Measured) => number][] = [
    ...TRIAL_FACTORS.map((factor, at): [string, (one: Measured) => number] => [
      `${factor}x`,
      ({ errorsDb }) => errorsDb[at]!,
    ]),
    ['as rendered', ({ offlineDb }) => offlineDb],
  ];
  const rows = rates.map(([name, errorOf]) => {
    const errors = group.map(errorOf).sort((a, b) => a - b);
    const cells = PERCENTILES.map((p) => percentile(errors, p).toFixed(1).padStart(8));
    const above = COUNTED_DB.map((limit) => {
      const share = errors.filter((error) => error > limit).length / errors.length;
      return `${(100 * share).toFixed(1)} %`.padStart(11);
    });
    return `${name.padStart(27)}${cells.join('')}${above.join('')}`;
  });
  return [`${title}${columns.join('')}${counts.join('')}`, ...rows];
}

function percentile(sorted: readonly number[], p: number): number {
  return sorted[Math.min(sorted.length - 1, Math.ceil((p / 100) * sorted.length) - 1)] ?? Number.NaN;
}

function worstOf(measured: readonly Measured[], { script, trialOf }: RandomSource): string[] {
  const worst = [...measured].sort((a, b) => b.errorsDb[1]! - a.errorsDb[1]!).slice(0, WORST);
  return [
    '\nThe worst at 16x:',
    ...worst.map(({ seed, errorsDb, traits, failures, restV }) => {
      const { input } = trialOf(seed);
      const notes = [
        ...traits,
        failures > 0 ? `${failures} samples not solved` : '',
        restV > 1e-6 ? 'two operating points' : '',
      ];
      return (
        `${errorsDb.map((error) => error.toFixed(1).padStart(7)).join('')}  ${inputText(input)}; ` +
        `${notes.filter(Boolean).join(', ')}\n` +
        `        npm run ${script} -- --errors --count 1 --seed ${seed}`
      );
    }),
  ];
}
