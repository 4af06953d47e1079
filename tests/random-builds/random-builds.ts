import { parseArgs } from 'node:util';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { BUILDS, errorTable, measureRandomErrors, type RandomSource } from './random-errors.ts';
import type { TrialOutcome } from './random-trial.ts';
import { type Outcome, tryBuild } from './trial.ts';

/** 4x of 48 kHz: the rate of a slow machine, and difficult for the solver. */
const SAMPLE_RATE_HZ = 4 * 48_000;
const SECONDS = 0.1;

/** A script's source, and what it prints after the errors. */
export interface RandomScript extends RandomSource {
  readonly more?: (outcomes: readonly TrialOutcome[]) => string;
}

/**
 * Random builds, seed by seed; each must play or be refused with a reason. A failed one is printed with its
 * build file, which can be saved and played again; then the exit code is 1.
 *
 * With --errors each build plays one random input instead, and its error relative to the netlist solver is measured;
 * --limit is the number of seconds after which no new build begins, --file writes the results as lines of JSON, and
 * --answers keeps the reference's results in a folder, for a further run with a changed engine. A single result is
 * printed whole.
 */
export function runRandomBuilds(args: readonly string[], script: RandomScript = BUILDS): number {
  const text = { type: 'string' } as const;
  const { values } = parseArgs({
    args: [...args],
    options: { count: text, seed: text, errors: { type: 'boolean' }, limit: text, file: text, answers: text },
  });
  const [count, first] = [Number(values.count ?? 1000), Number(values.seed ?? 1)];
  if (!(count >= 1 && Number.isInteger(first)))
    throw new RangeError(`--count ${values.count} --seed ${values.seed}`);
  if (values.errors) return printErrors(count, first, values, script);
  const refusals = new Map<string, number>();
  let [played, troubled, failures] = [0, 0, 0];
  for (let seed = first; seed < first + count; seed++) {
    const { build } = script.trialOf(seed);
    const outcome: Outcome = tryBuild(build, { sampleRateHz: SAMPLE_RATE_HZ, seconds: SECONDS });
    if (outcome.kind === 'played') {
      played++;
      if (outcome.steps > 0) troubled++;
    } else if (outcome.kind === 'refused') {
      // Designators and nets differ from build to build, so only the sentence is compared.
      const sentence = outcome.message.replace(/[A-Z]+\d+[A-Z]?\b|\d+(\.\d+)?/g, '…').slice(0, 100);
      refusals.set(sentence, (refusals.get(sentence) ?? 0) + 1);
    } else {
      failures++;
      process.stdout.write(`\nseed ${seed}: ${outcome.why}\n${serialiseBuild(build)}\n`);
    }
  }
  process.stdout.write(
    `${count} builds from seed ${first}: ${played} played (${troubled} with samples that did not converge), ` +
      `${count - played - failures} refused, ${failures} failed\n`,
  );
  for (const [sentence, times] of [...refusals].sort(([, a], [, b]) => b - a).slice(0, 20))
    process.stdout.write(`${String(times).padStart(6)}  ${sentence}\n`);
  return failures > 0 ? 1 : 0;
}

function printErrors(
  count: number,
  seed: number,
  { limit, file, answers }: Readonly<Partial<Record<'limit' | 'file' | 'answers', string | undefined>>>,
  script: RandomScript,
): number {
  const outcomes = measureRandomErrors({
    count,
    seed,
    source: script,
    ...(limit !== undefined && { limitSeconds: Number(limit) }),
    ...(file !== undefined && { file }),
    ...(answers !== undefined && { answers }),
  });
  if (!outcomes) {
    process.stderr.write(
      'There is nothing to compare with: the netlist solver is compiled by cc, which is missing.\n',
    );
    return 2;
  }
  if (count === 1) {
    const { build, ...rest } = script.trialOf(seed);
    process.stdout.write(`${serialiseBuild(build)}\n${JSON.stringify({ ...rest, ...outcomes[0] })}\n`);
  } else process.stdout.write(`${errorTable(outcomes, seed, script)}\n`);
  if (script.more) process.stdout.write(`${script.more(outcomes)}\n`);
  return 0;
}
