import {
  EXCERPT_OVERSAMPLING,
  type Excerpt,
  type ExcerptPlan,
  excerptProblem,
  excerptText,
  renderExcerpt,
} from '../analysis/excerpt.ts';
import { encodeWav } from '../audio/wav.ts';
import type { Chain } from '../builds/chain.ts';
import { chainFiles, readChain, readOther } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { clippingData } from './clipping-data.ts';
import { named, numberIn, numberOf, type Options, temperatureOf } from './options.ts';
import { printJson } from './output.ts';
import { checkOutputs, writeOutput } from './output-file.ts';
import { progressOn } from './progress.ts';
import { oversamplingOf, readInput, resamplingOf } from './recording-input.ts';
import { aroundPedal } from './surroundings.ts';

/** By default each build is heard twice. */
const ROUNDS_OF_TWO = 4;

/** One build over a recording, or two in turn and equally loud, as a WAV to show, with a text of what is heard when. */
export function excerptCommand(options: Options): void {
  if (options.out === undefined) throw new CliError('--out is missing: give a file to write.');
  const { out, text: textOut } = options;
  checkOutputs({ in: options.in, ...chainFiles(options) }, { out, text: textOut });
  const { inputV, sampleRateHz } = readInput(options);
  const [chain, other] = [readChain(options), readOther(options)];
  const plan: ExcerptPlan = {
    a: chain.pedals[0]!.build,
    ...(other && { b: other.pedals[0]!.build, aroundB: aroundPedal(options, other, 0) }),
    inputV,
    oversampling: {
      factor: oversamplingOf(options, EXCERPT_OVERSAMPLING),
      quality: resamplingOf(options),
      sampleRateHz,
    },
    isRateFixed: options.oversample !== undefined,
    temperatureK: temperatureOf(options),
    around: aroundPedal(options, chain, 0),
    hasStandIn: options['speaker-filter'] ?? false,
    rounds: roundsOf(options),
    ...(options.turn === undefined ? {} : { turnSeconds: numberIn('turn', options.turn) }),
    onProgress: progressOn(),
  };
  const problem = excerptProblem(plan);
  if (problem !== undefined) throw new CliError(problem);
  const excerpt = renderExcerpt(plan);
  writeOutput('out', options.out, encodeWav({ sampleRateHz, channels: [excerpt.samples] }));
  const text = excerptText(plan, excerpt);
  if (textOut !== undefined) writeOutput('text', textOut, text);
  const chains = [chain, ...(other ? [other] : [])];
  if (options.json) printJson(asData(options.out, excerpt, chains));
  else process.stdout.write(text);
}

function roundsOf({ loops, against, turn }: Options): number {
  const otherwise = against !== undefined && turn === undefined ? ROUNDS_OF_TWO : 1;
  const count = numberOf('loops', loops, otherwise);
  if (!Number.isInteger(count)) throw new CliError(`--loops ${named(loops ?? '')} is not a whole number.`);
  return count;
}

function asData(
  out: string,
  { passages, matchDb, gainDb, clipping: ofChains, factor, errors, warnings }: Excerpt,
  chains: readonly Chain[],
) {
  const [a, b] = errors.map(({ errorDb }) => errorDb ?? null);
  const clipping = ofChains.map((levels, index) => clippingData(chains[index]!, levels));
  return { out, passages, matchDb, gainDb, clipping, factor, solverErrorDb: { a, b }, warnings };
}
