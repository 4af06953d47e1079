import { once } from 'node:events';
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { HARMONICS_PEAKS_V } from '../analysis/build-measurement.ts';
import { CLIPPING_LEVEL_NOTE, clippingLevelText } from '../analysis/clipping-level.ts';
import {
  atCommonRate,
  inOrder,
  measurePresent,
  type OwnSpread,
  type PresentPart,
  type RankedCandidate,
  type RankSettings,
  type RateNeed,
  type RefusedCandidate,
  rateNeed,
} from '../analysis/rank.ts';
import { type Candidate, candidatesFor } from '../analysis/rank-candidates.ts';
import { NO_VERDICT_NOTE, VERDICT_RULE, type Verdict } from '../analysis/rank-verdict.ts';
import { saidOf } from '../analysis/render-trouble.ts';
import { NULL_DEPTH_NOTE } from '../analysis/sound-difference.ts';
import type { Build } from '../builds/build.ts';
import { groupsWith, readParts, refsText, settingsText, usualGroup } from '../builds/part-groups.ts';
import { surroundingsText } from '../builds/surroundings.ts';
import { settingGap } from '../parts/data-gaps.ts';
import { pedalOf, pedalPrefix, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { drawerOf } from './drawer-option.ts';
import { named, type Options, temperatureOf } from './options.ts';
import { printJson, printSections } from './output.ts';
import { progressOn } from './progress.ts';
import type { ToRankWorker } from './rank-worker.ts';
import { oversamplingOf, readInput, resamplingOf } from './recording-input.ts';
import { aroundPedal } from './surroundings.ts';

const WORKER = new URL('./rank-worker.mjs', import.meta.url);

/** The rate to begin with. All are compared at one rate. */
const RANK_FACTOR = 8;

type Ranked = RankedCandidate | RefusedCandidate;

/** Everything that could be soldered at one place or at several together, over a recording, ranked by how much it changes. */
export async function rankCommand(options: Options): Promise<void> {
  const chain = readChain(options);
  const { part, alone } = options;
  if (part === undefined)
    throw new CliError('--part is missing: name the part to find candidates for, such as D1, or D1,D2.');
  const { position, text } = pedalOf(`--part ${named(part)}`, part, chain.pedals.length);
  const { build } = chain.pedals[position]!;
  const refs = rankedParts(build, text, alone ?? false);
  const candidates = candidatesFor(build, refs, options.candidates, drawerOf(options));
  const { inputV, sampleRateHz } = readInput(options);
  const settings: RankSettings = {
    build,
    refs,
    input: {
      inputV,
      sampleRateHz,
      factor: oversamplingOf(options, RANK_FACTOR),
      quality: resamplingOf(options),
    },
    around: aroundPedal(options, chain, position),
    temperatureK: temperatureOf(options),
    withSpread: options.spread ?? false,
  };
  const ranking = await rankOnAllCores(settings, candidates, options.oversample !== undefined);
  const presentText = settingsText(build.parts, refs);
  if (options.json) printJson(asData(presentText, ranking));
  else {
    process.stdout.write(`${pedalPrefix(chain, position)}${rankedText(build, refs, alone ?? false)}\n\n`);
    printRanking(presentText, ranking);
  }
}

/** The parts of --part: those named, or the group of a single one. */
function rankedParts(build: Build, part: string, isAlone: boolean): readonly string[] {
  const refs = readParts(build, part).map(({ ref }) => ref);
  const group = refs.length === 1 && !isAlone ? usualGroup(build, refs[0]!) : undefined;
  return group?.parts ?? refs;
}

function rankedText(build: Build, refs: readonly string[], isAlone: boolean): string {
  const group = groupsWith(build, refs[0]!).find(({ parts }) => parts.join() === refs.join());
  const name = group ? ` (${group.name})` : '';
  const hint = !isAlone && group?.isUsual ? ' --alone ranks a single part: name only one with --part.' : '';
  return `Candidates for ${refsText(refs)}${name}.${hint}`;
}

interface Ranking {
  readonly settings: RankSettings;
  readonly present: PresentPart;
  readonly ranked: readonly Ranked[];
}

/** First the rate that all need, if it is not fixed, then everything at that rate. */
async function rankOnAllCores(
  asked: RankSettings,
  candidates: readonly Candidate[],
  isRateFixed: boolean,
): Promise<Ranking> {
  const onProgress = progressOn();
  const workers = Array.from(
    { length: Math.min(candidates.length, availableParallelism()) },
    () => new Worker(WORKER),
  );
  try {
    const tasks = candidates.map((candidate): Task => ({ candidate }));
    const own = isRateFixed ? undefined : rateNeed(asked);
    const needs = isRateFixed
      ? []
      : await answersOf<RateNeed | undefined>(workers, { settings: asked }, tasks, (share) =>
          onProgress(share / 2),
        );
    const settings = atCommonRate(asked, [own, ...needs]);
    const present = measurePresent(settings, own);
    const needy = candidates.map((candidate, index): Task => ({ candidate, need: needs[index] }));
    const ranked = await answersOf<Ranked>(workers, { settings, present }, needy, (share) =>
      onProgress(isRateFixed ? share : (1 + share) / 2),
    );
    return { settings, present, ranked: inOrder(ranked) };
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
}

type Task = Extract<ToRankWorker, { readonly candidate: Candidate }>;

/** Each worker takes the next task when it has finished one. @returns The answers in the order of the tasks. */
async function answersOf<T>(
  workers: readonly Worker[],
  begin: ToRankWorker,
  tasks: readonly Task[],
  onProgress: (share: number) => void,
): Promise<readonly T[]> {
  const answers: T[] = [];
  let [next, done] = [0, 0];
  const run = async (worker: Worker) => {
    worker.postMessage(begin);
    for (let index = next++; index < tasks.length; index = next++) {
      worker.postMessage(tasks[index]!);
      // Rejects where the worker fails.
      const [answer] = await once(worker, 'message');
      answers[index] = answer;
      onProgress(++done / tasks.length);
    }
  };
  await Promise.all(workers.map(run));
  return answers;
}

function asData(
  text: string,
  { settings: { refs, input }, present: { measurement, ownSpread }, ranked }: Ranking,
) {
  const { harmonics, clipping, warnings } = measurement;
  return {
    refs,
    note: NULL_DEPTH_NOTE,
    factor: input.factor,
    present: { text, harmonics, clipping, ownSpread, warnings },
    noVerdict: { says: NO_VERDICT_NOTE, rule: VERDICT_RULE, candidates: withoutVerdict(ranked) },
    candidates: ranked,
  };
}

function printRanking(text: string, { settings, present, ranked }: Ranking): void {
  const { measurement, ownSpread } = present;
  const [, usual] = HARMONICS_PEAKS_V;
  const played = ranked.filter((candidate) => !('problem' in candidate)) as readonly RankedCandidate[];
  const own = [text, '', '', '', '', '', ...distortionAndClipping(measurement)];
  const rowsOf = (verdict: Verdict) =>
    played.filter((candidate) => candidate.verdict === verdict).map(candidateRow);
  printSections([
    { title: '', rows: [HEADINGS] },
    { title: headOf(played), rows: [own, ...spreadRows(ownSpread), ...rowsOf('none')] },
    { title: 'Differ more than pieces do:', rows: rowsOf('differs') },
    { title: 'Not ranked †:', rows: rowsOf('not ranked') },
  ]);
  for (const { text: name, warnings } of [{ text, ...measurement }, ...played])
    for (const line of saidOf(name, warnings)) process.stdout.write(`${line}\n`);
  for (const candidate of ranked) {
    if ('problem' in candidate)
      process.stdout.write(`${candidate.text} cannot be played: ${candidate.problem}\n`);
  }
  printOwnGap(settings);
  printGaps(played);
  process.stdout.write(
    `\n${surroundingsText(settings.around)} Oversampling ${settings.input.factor}x. Tone change: dB after level match, over thirds of an octave. Loudness: LU. Response: dB at Hz. Harmonics: 220 Hz, ${1000 * usual} mV peak.\n` +
      `Spread from piece to piece: ${ownSpread.spread.text} (${ownSpread.spread.source}).\n${VERDICT_RULE}\n${CLIPPING_LEVEL_NOTE}\n${NULL_DEPTH_NOTE}\n`,
  );
}

function withoutVerdict(ranked: readonly Ranked[]): readonly string[] {
  return ranked.flatMap((row) => ('verdict' in row && row.verdict === 'none' ? [row.text] : []));
}

const HEADINGS = ['', 'tone change', 'loudness', 'response', 'at', 'null', 'H2', 'H3', 'THD', 'clips from'];

/** What stands above the present part and the candidates without a verdict. */
function headOf(played: readonly RankedCandidate[]): string {
  return played.some(({ verdict }) => verdict === 'none') ? NO_VERDICT_NOTE : 'The present part:';
}

function candidateRow({ text, difference, ...measured }: RankedCandidate): readonly string[] {
  return [text, ...differences(difference), ...distortionAndClipping(measured)];
}

/** Whether the present part's own data is a guess, to which all differences are relative. */
function printOwnGap({ build, refs }: RankSettings): void {
  for (const { ref, kind } of readParts(build, refs.join(','))) {
    const gap = settingGap(kind, build.parts[ref] ?? {});
    if (gap === undefined) continue;
    process.stdout.write(`\n${ref} as it is: ${gap}, so every difference here is uncertain.\n`);
    return;
  }
}

/** Which types are listed, but not ranked, and why. */
function printGaps(played: readonly RankedCandidate[]): void {
  const gaps = played.flatMap(({ notRanked }) => (notRanked === undefined ? [] : notRanked));
  if (gaps.length === 0) return;
  process.stdout.write(
    '\n† Not ranked, since its data is a guess: it can be heard, but its figures prove nothing.\n',
  );
  for (const gap of gaps) process.stdout.write(`  ${gap}.\n`);
}

function spreadRows({ low, high }: OwnSpread): string[][] {
  return [
    ['  another piece, low', ...differences(low)],
    ['  another piece, high', ...differences(high)],
  ];
}

function differences({ spectrumDb, loudnessLu, response, nullDb }: RankedCandidate['difference']): string[] {
  return [
    spectrumDb.toFixed(2),
    loudnessLu.toFixed(2),
    response.differenceDb.toFixed(2),
    response.hz.toFixed(0),
    nullDb.toFixed(1),
  ];
}

function distortionAndClipping({
  harmonics,
  clipping,
}: Pick<RankedCandidate, 'harmonics' | 'clipping'>): string[] {
  const [, usual] = HARMONICS_PEAKS_V;
  const { relativeDb, distortionOfFundamental } = harmonics.find(({ inputPeakV }) => inputPeakV === usual)!;
  return [
    relativeDb[0]!.toFixed(1),
    relativeDb[1]!.toFixed(1),
    `${(100 * distortionOfFundamental).toFixed(2)} %`,
    clippingLevelText(clipping),
  ];
}
