import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { HARMONICS_PEAKS_V } from '../analysis/build-measurement.ts';
import { CLIPPING_LEVEL_NOTE, clippingLevelText } from '../analysis/clipping-level.ts';
import type { Harmonics } from '../analysis/harmonics.ts';
import {
  inOrder,
  measurePresent,
  NULL_DEPTH_NOTE,
  type OwnSpread,
  type PresentPart,
  type RankedCandidate,
  type RankSettings,
  type RefusedCandidate,
} from '../analysis/rank.ts';
import { type Candidate, candidatesFor } from '../analysis/rank-candidates.ts';
import { settingText } from '../builds/part-setting.ts';
import { CliError } from './cli-error.ts';
import { type Options, readBuild, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { progressOn } from './progress.ts';
import type { RankWorkerData } from './rank-worker.ts';
import { oversamplingOf, readInput, resamplingOf } from './recording-input.ts';

const WORKER = new URL('./rank-worker.mjs', import.meta.url);

/** The rate of the bench: there are many candidates, and all are compared at one rate. */
const RANK_FACTOR = 8;

type Ranked = RankedCandidate | RefusedCandidate;

/** Everything that could be soldered at one reference, over a recording, ranked by how much it changes. */
export async function rankCommand(options: Options): Promise<void> {
  const build = readBuild(options);
  const ref = options.part;
  if (ref === undefined) throw new CliError('--part names no part to find candidates for, such as D1.');
  const candidates = candidatesFor(build, ref, options.candidates);
  const { inputV, sampleRateHz } = readInput(options);
  const settings: RankSettings = {
    build,
    ref,
    input: {
      inputV,
      sampleRateHz,
      factor: oversamplingOf(options, RANK_FACTOR),
      quality: resamplingOf(options),
    },
    temperatureK: temperatureOf(options),
    withSpread: options.spread ?? false,
  };
  const present = measurePresent(settings);
  const ranked = inOrder(await rankOnAllCores({ settings, present }, candidates));
  const presentText = settingText(build.parts[ref]!);
  if (options.json) printJson(asData(presentText, present, ranked, settings));
  else printRanking(presentText, present, ranked);
}

/** Each worker takes the next candidate when it has finished one. */
async function rankOnAllCores(
  data: RankWorkerData,
  candidates: readonly Candidate[],
): Promise<readonly Ranked[]> {
  const ranked: Ranked[] = [];
  const onProgress = progressOn();
  let next = 0;
  const count = Math.min(candidates.length, availableParallelism());
  const run = () =>
    new Promise<void>((resolve, reject) => {
      const worker = new Worker(WORKER, { workerData: data });
      const give = () => {
        const candidate = candidates[next++];
        if (candidate) worker.postMessage(candidate);
        else void worker.terminate().then(() => resolve(), reject);
      };
      worker.on('message', (result: Ranked) => {
        ranked.push(result);
        onProgress(ranked.length / candidates.length);
        give();
      });
      worker.on('error', reject);
      give();
    });
  await Promise.all(Array.from({ length: count }, run));
  return ranked;
}

function asData(
  text: string,
  { measurement, ownSpread }: PresentPart,
  ranked: readonly Ranked[],
  { ref }: RankSettings,
) {
  const { harmonics, clipping, solverWarning } = measurement;
  return {
    ref,
    note: NULL_DEPTH_NOTE,
    present: { text, harmonics, clipping, ownSpread, ...(solverWarning !== undefined && { solverWarning }) },
    candidates: ranked,
  };
}

function printRanking(
  text: string,
  { measurement, ownSpread }: PresentPart,
  ranked: readonly Ranked[],
): void {
  const [, usual] = HARMONICS_PEAKS_V;
  const played = ranked.filter((candidate) => !('problem' in candidate)) as readonly RankedCandidate[];
  printTable([
    ['', 'tone change', 'loudness', 'response', 'at', 'null', `H2`, 'H3', 'THD', 'clips from'],
    [
      text,
      '',
      '',
      '',
      '',
      '',
      ...distortion(measurement.harmonics, usual),
      clippingLevelText(measurement.clipping),
    ],
    ...spreadRows(ownSpread),
    ...played.map((candidate) => [
      `${candidate.text}${candidate.isWithinPresentSpread ? ' *' : ''}`,
      ...differences(candidate.difference),
      ...distortion(candidate.harmonics, usual),
      clippingLevelText(candidate.clipping),
    ]),
  ]);
  for (const { text: name, solverWarning } of [{ text, ...measurement }, ...played])
    if (solverWarning !== undefined) process.stdout.write(`${name}: ${solverWarning}\n`);
  for (const candidate of ranked) {
    if ('problem' in candidate)
      process.stdout.write(`${candidate.text} cannot be played: ${candidate.problem}\n`);
  }
  process.stdout.write(
    `\nTone change: dB after level match, over thirds of an octave. Loudness: LU. Response: dB at Hz. Harmonics: 220 Hz, ${1000 * usual} mV peak.\n` +
      `* another piece of the present type may differ as much: ${ownSpread.spread.text} (${ownSpread.spread.source}).\n${CLIPPING_LEVEL_NOTE}\n${NULL_DEPTH_NOTE}\n`,
  );
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

function distortion(harmonics: readonly Harmonics[], peakV: number): string[] {
  const { relativeDb, distortionOfFundamental } = harmonics.find(({ inputPeakV }) => inputPeakV === peakV)!;
  return [
    relativeDb[0]!.toFixed(1),
    relativeDb[1]!.toFixed(1),
    `${(100 * distortionOfFundamental).toFixed(2)} %`,
  ];
}
