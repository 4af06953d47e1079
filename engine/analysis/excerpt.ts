import type { OversamplingFactor, OversamplingOptions } from '../audio/oversampler.ts';
import { Speaker } from '../audio/speaker.ts';
import { LEAST_STAND_IN_RATE_HZ } from '../audio/speaker-stand-in.ts';
import type { Build } from '../builds/build.ts';
import { type Chain, chainWith, LONE, placeIn } from '../builds/chain.ts';
import { chainDifferences, heardTitle } from '../builds/chain-swaps.ts';
import {
  aroundBothChainsText,
  aroundChainText,
  networkWithin,
  type Surroundings,
} from '../builds/surroundings.ts';
import { LONGEST_SOUND_SECONDS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { inLine, printable } from '../input/shown-text.ts';
import type { Network } from '../network/network.ts';
import { ratioToDb } from '../units/decibels.ts';
import { wholeLoudness } from './build-measurement.ts';
import {
  CLIPPING_LEVEL_NOTE,
  type ClippingLevel,
  clippingLevelOf,
  clippingLevelText,
} from './clipping-level.ts';
import { COMPARED_AIM_DB, judgedRate, type KnownError, solverErrorText } from './judged-rate.ts';
import { type OfflineRender, type OfflineRenderOptions, renderOffline } from './offline-render.ts';
import { renderTrouble, saidOf } from './render-trouble.ts';

/**
 * Least rate at which excerpts are rendered, of the recording's. For sines up to 1 kHz and 1 V the solver's error of the
 * presets is below -95 dB there.
 */
export const EXCERPT_OVERSAMPLING = 16;

/** Equal-gain fade from one build to the other, as on the bench. */
const FADE_SECONDS = 0.005;
/** Characters of a title in the text. */
const SHOWN_TITLE_CHARACTERS = 100;
/** Peak of an excerpt, below full scale so that no player clips it between samples. */
const PEAK_RATIO = 10 ** (-3 / 20);

/** Plan of an excerpt. */
export interface ExcerptPlan {
  readonly a: Build;
  /** If there is a second build, the two alternate, A first. */
  readonly b?: Build;
  /** Dry phrase, V, and its rate. */
  readonly inputV: Float64Array;
  /** Its factor is the lowest one: see `isRateFixed`. */
  readonly oversampling: OversamplingOptions;
  /** The factor is not raised where the solver's error asks for it. */
  readonly isRateFixed?: boolean;
  readonly temperatureK: number;
  readonly around: Surroundings;
  /** That of B, where it is another, as with another chain. */
  readonly aroundB?: Surroundings;
  readonly hasStandIn: boolean;
  /** Impulse response in place of the built-in speaker filter, at the phrase's rate. */
  readonly speaker?: Float64Array;
  /** Total number of loops of the phrase. */
  readonly rounds: number;
  /** Time until the other build plays; by default one loop of the phrase. */
  readonly turnSeconds?: number;
  readonly onProgress?: (share: number) => void;
}

/** A passage of an excerpt with one build. */
export interface Passage {
  readonly slot: 'a' | 'b';
  readonly startSeconds: number;
  readonly endSeconds: number;
}

/** Where a pedal of a chain clips from; its position counts from 1. */
export type PedalClipping = ClippingLevel & { readonly pedal: number };

export interface Excerpt {
  /** Full scale is 1. */
  readonly samples: Float64Array;
  readonly passages: readonly Passage[];
  /** Gain of each build for equal loudness, dB; the louder one is turned down. */
  readonly matchDb: Readonly<Record<'a' | 'b', number>>;
  /** Gain from volts to full scale after that, dB of 1/V. */
  readonly gainDb: number;
  /** Clipping levels of the pedals of each chain that are on, A first. */
  readonly clipping: readonly (readonly PedalClipping[])[];
  /** Rate at which both were solved, and the estimated error of each, A first. */
  readonly factor: OversamplingFactor;
  readonly errors: readonly KnownError[];
  /** What of the solver should be known, in sentences. */
  readonly warnings: readonly string[];
}

/**
 * Renders one build, or two that alternate over rounds of a phrase, matched by integrated loudness (ITU-R BS.1770-5).
 *
 * @throws NetworkError, OperatingPointError; Refusal where {@link excerptProblem} says why.
 */
export function renderExcerpt(plan: ExcerptPlan): Excerpt {
  const { a, b, oversampling, rounds, inputV, turnSeconds, temperatureK } = plan;
  const { sampleRateHz } = oversampling;
  const turnFrames = Math.round(turnSeconds === undefined ? inputV.length : turnSeconds * sampleRateHz);
  const problem = excerptProblem(plan);
  if (problem !== undefined) throw new Refusal('excerpt', problem);
  const phrase = repeated(inputV, rounds);
  const builds = b ? [a, b] : [a];
  const arounds = aroundsOf(plan);
  const networks = builds.map((build, index) => networkWithin(build, temperatureK, arounds[index]!));
  const { factor } = oversampling;
  const aim = { from: factor, aimDb: COMPARED_AIM_DB, sampleRateHz };
  const rate = judgedRate(networks, [inputV], aim, plan.isRateFixed ? factor : undefined);
  const settings = { ...oversampling, factor: rate.factor };
  const parts = networks.map((network, index) => {
    const onProgress = (share: number) => plan.onProgress?.((index + share) / builds.length);
    return renderPart(plan, network, phrase, { ...settings, onProgress });
  });
  const loudness = parts.map(({ outputV }) => wholeLoudness(outputV, sampleRateHz));
  const quietest = Math.min(...loudness);
  const matchDb = loudness.map((own) =>
    Number.isFinite(own) && Number.isFinite(quietest) ? quietest - own : 0,
  );
  const gains = matchDb.map((decibels) => 10 ** (decibels / 20));
  const passages = turns(phrase.length, b ? turnFrames : phrase.length, sampleRateHz);
  const mixed = b
    ? alternated([parts[0]!.outputV, parts[1]!.outputV], gains, turnFrames, FADE_SECONDS * sampleRateHz)
    : parts[0]!.outputV.slice();
  const peak = mixed.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  const gain = peak > 0 ? PEAK_RATIO / peak : 1;
  return {
    samples: mixed.map((sample) => gain * sample),
    passages,
    matchDb: { a: matchDb[0]!, b: matchDb[1] ?? 0 },
    gainDb: ratioToDb(gain),
    clipping: builds.map((build, index) => clippingOfPedals(build, temperatureK, arounds[index]!)),
    factor: rate.factor,
    errors: rate.accuracy.map(({ errorDb, isQuiet }) => ({ errorDb, isQuiet })),
    warnings: parts.flatMap((part, index) =>
      saidOf(b ? 'AB'[index]! : '', [rate.warnings[index], renderTrouble(part)]),
    ),
  };
}

function clippingOfPedals(
  build: Build,
  temperatureK: number,
  around: Surroundings,
): readonly PedalClipping[] {
  const chain = chainWith(build, around.chain ?? LONE);
  return chain.pedals.flatMap((pedal, position) => {
    if (!pedal.isOn) return [];
    const own = { ...around, chain: placeIn(chain, position) };
    return [{ pedal: position + 1, ...clippingLevelOf(pedal.build, temperatureK, own) }];
  });
}

/** Why an excerpt cannot be made, in a sentence; undefined if it can. */
export function excerptProblem(plan: ExcerptPlan): string | undefined {
  const { inputV, rounds, turnSeconds, hasStandIn, oversampling } = plan;
  const { sampleRateHz } = oversampling;
  const turnFrames = Math.round((turnSeconds ?? 1) * sampleRateHz);
  if (!(inputV.length > 0 && rounds >= 1 && turnFrames > 0))
    return `An excerpt of ${rounds} loops of ${inputV.length} samples, switched every ${turnFrames}, has no length.`;
  const seconds = (rounds * inputV.length) / sampleRateHz;
  if (seconds > LONGEST_SOUND_SECONDS)
    return `${rounds} loops last ${Math.round(seconds)} s; an excerpt lasts ${LONGEST_SOUND_SECONDS} s at most.`;
  if (hasStandIn && plan.speaker === undefined && sampleRateHz < LEAST_STAND_IN_RATE_HZ)
    return `The speaker filter needs a recording of at least ${LEAST_STAND_IN_RATE_HZ} Hz, not ${sampleRateHz} Hz.`;
  return undefined;
}

function renderPart(
  { hasStandIn, speaker: response }: ExcerptPlan,
  network: Network,
  phrase: Float64Array,
  options: OfflineRenderOptions,
): OfflineRender {
  const render = renderOffline(network, phrase, options);
  if (!hasStandIn) return render;
  const heard = new Float64Array(phrase.length);
  const speaker = new Speaker(options.sampleRateHz, heard.length);
  if (response) speaker.setResponse(response);
  speaker.process(render.outputV, heard.length, heard);
  return { ...render, outputV: heard };
}

function repeated(samples: Float64Array, rounds: number): Float64Array {
  const all = new Float64Array(samples.length * rounds);
  for (let round = 0; round < rounds; round++) all.set(samples, round * samples.length);
  return all;
}

function turns(frames: number, turnFrames: number, sampleRateHz: number): readonly Passage[] {
  return Array.from({ length: Math.ceil(frames / turnFrames) }, (_, index) => ({
    slot: index % 2 === 0 ? 'a' : 'b',
    startSeconds: (index * turnFrames) / sampleRateHz,
    endSeconds: Math.min(frames, (index + 1) * turnFrames) / sampleRateHz,
  }));
}

/** The builds in alternation; a fade begins at each switch. */
function alternated(
  [a, b]: readonly [Float64Array, Float64Array],
  gains: readonly number[],
  turnFrames: number,
  fadeFrames: number,
): Float64Array {
  return a.map((sample, frame) => {
    const turn = Math.floor(frame / turnFrames);
    const since = (frame - turn * turnFrames) / fadeFrames;
    const faded = turn === 0 || since >= 1 ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * since);
    const shareOfB = turn % 2 === 0 ? 1 - faded : faded;
    return (1 - shareOfB) * gains[0]! * sample + shareOfB * gains[1]! * b[frame]!;
  });
}

function aroundsOf({ around, aroundB = around }: Pick<ExcerptPlan, 'around' | 'aroundB'>) {
  return [around, aroundB] as const;
}

/** Which build plays when, level match, swaps, and how exactly it was solved, one a line. */
export function excerptText(
  plan: Pick<ExcerptPlan, 'a' | 'b' | 'hasStandIn' | 'temperatureK' | 'around' | 'aroundB'>,
  excerpt: Excerpt,
): string {
  const { a, b, hasStandIn, temperatureK } = plan;
  const [aroundA, aroundB] = aroundsOf(plan);
  const chains = {
    a: chainWith(a, aroundA.chain ?? LONE),
    b: b && chainWith(b, aroundB.chain ?? LONE),
  };
  // Each passage is one line with the title, so the title must not have line breaks.
  const shown = (chain: Chain) => inLine(heardTitle(chain), SHOWN_TITLE_CHARACTERS);
  const title = { a: shown(chains.a), b: chains.b ? shown(chains.b) : '' };
  const lines = chains.b
    ? [
        `A: ${title.a}`,
        `B: ${title.b}`,
        '',
        ...excerpt.passages.map(
          ({ slot, startSeconds, endSeconds }) =>
            `${clock(startSeconds)} to ${clock(endSeconds)}  ${slot.toUpperCase()}  ${title[slot]}`,
        ),
        '',
        matchText(excerpt.matchDb),
        '',
        'A and B differ in:',
        ...chainDifferences(chains.a, chains.b, temperatureK).map(printable),
      ]
    : [`0:00.0 to ${clock(excerpt.passages[0]?.endSeconds ?? 0)}  ${title.a}`];
  const sides = [chains.a, ...(chains.b ? [chains.b] : [])];
  lines.push(...clippingLines(excerpt.clipping, sides));
  const around = b ? aroundBothChainsText(aroundA, aroundB) : aroundChainText(aroundA);
  const player = sides.some(({ pedals }) => pedals.length > 1) ? 'chain' : 'pedal';
  const chain = hasStandIn
    ? 'Heard through the speaker filter.'
    : `The ${player} alone, without amplifier or speaker.`;
  const solved = `Oversampling ${excerpt.factor}x; solver error ${solverErrorText(excerpt.errors)}.`;
  return `${[...lines, '', around, chain, solved, ...excerpt.warnings].join('\n')}\n`;
}

function clippingLines(
  levels: readonly (readonly PedalClipping[])[],
  chains: readonly Chain[],
): readonly string[] {
  const lines = levels.flatMap((pedals, index) =>
    pedals.map((level) => {
      const name = clippingName(levels.length > 1 ? 'AB'[index] : undefined, chains[index]!, level);
      return `${name}clips from ${clippingLevelText(level)}`;
    }),
  );
  return lines.length > 0 ? ['', ...lines, CLIPPING_LEVEL_NOTE] : lines;
}

/** "A: ", "A, pedal 2: " or "Pedal 2: ". */
function clippingName(slot: string | undefined, { pedals }: Chain, { pedal }: PedalClipping): string {
  if (pedals.length === 1) return slot === undefined ? '' : `${slot}: `;
  return slot === undefined ? `Pedal ${pedal}: ` : `${slot}, pedal ${pedal}: `;
}

function matchText({ a, b }: Excerpt['matchDb']): string {
  if (a === 0 && b === 0) return 'Both are equally loud as they are.';
  const [slot, decibels] = a < b ? ['A', a] : ['B', b];
  return `Equally loud (ITU-R BS.1770-5, integrated): ${slot} is turned down by ${(-decibels).toFixed(1)} dB.`;
}

function clock(seconds: number): string {
  const tenths = Math.round(seconds * 10);
  return `${Math.floor(tenths / 600)}:${((tenths % 600) / 10).toFixed(1).padStart(4, '0')}`;
}
