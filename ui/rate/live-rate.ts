/**
 * Choice of the oversampling: the highest factor that the machine can play, by measurement. Only decisions and
 * texts; rate-trial.ts measures, rate-desk.ts acts.
 */

import type { OversamplingFactor } from '../../engine/audio/oversampler.ts';
import { causeText, causeWord, percent, type RateCause } from './rate-cause.ts';

/** Highest first, in the order in which they are tried. */
export const LIVE_FACTORS = [16, 8, 4] as const;
export type LiveFactor = (typeof LIVE_FACTORS)[number];
/** Factor before the first measurement. */
export const STARTING_FACTOR: LiveFactor = 8;

/** What to do where what plays would need this rate. */
export function liveRemedy(needed: OversamplingFactor): string {
  const isLive = LIVE_FACTORS.some((factor) => factor === needed);
  return isLive
    ? `It would need ${needed}x: choose it under Sound…`
    : `It would need ${needed}x: only the command line renders at that rate.`;
}

/** Measured, or a factor that was chosen by hand. */
export type RateChoice = 'measured' | LiveFactor;

/** Time for a block of both builds with everything after them, as a share of the block's duration. */
export interface MeasuredShare {
  /** On a plucked phrase. */
  readonly music: number;
  /** On noise, the hardest usual input: up to 2.2 times the time of music, since no sample is predicted by those before it. */
  readonly noise: number;
}

export type MeasuredShares = Readonly<Partial<Record<LiveFactor, MeasuredShare>>>;

/**
 * Largest share for a factor on music. While a changed structure fades in, the old circuits play on together
 * with the new ones: for a twentieth of a second the time doubles if both builds change (Swap sides), and
 * nearly doubles if one does, since it is solved alone beside a pair. A turning knob adds a few percent.
 */
const MOST_SHARE = 1 / 2;
/** Largest share on noise: a tenth of the time remains for the rest of the machine. */
const MOST_NOISE_SHARE = 0.9;

/** Whether a factor can be played with a measured share. */
export function isCarried(factor: LiveFactor, { music, noise }: MeasuredShare): boolean {
  return factor === 4 || (music <= MOST_SHARE && noise <= MOST_NOISE_SHARE);
}

const NOT_MEASURED: MeasuredShare = { music: Number.POSITIVE_INFINITY, noise: Number.POSITIVE_INFINITY };

/** The factor to play; the lowest one even if it takes too long. */
export function measuredFactor(shares: MeasuredShares): LiveFactor {
  return LIVE_FACTORS.find((factor) => isCarried(factor, shares[factor] ?? NOT_MEASURED)) ?? 4;
}

/** The next lower factor; the same for the lowest. */
export function stepDown(factor: LiveFactor): LiveFactor {
  return factor === 16 ? 8 : 4;
}

/** The next higher factor; the same for the highest. */
export function stepUp(factor: LiveFactor): LiveFactor {
  return factor === 4 ? 8 : 16;
}

export type RateReason =
  | { readonly kind: 'unmeasured' }
  /** @see RateCause. It is undefined at the highest factor, and until it has been measured. */
  | { readonly kind: 'measured'; readonly shares: MeasuredShares; readonly cause?: RateCause }
  | { readonly kind: 'chosen' }
  /** There were dropouts at the higher factor; the cause as of a measured one. */
  | { readonly kind: 'brokeUp'; readonly at: LiveFactor; readonly cause?: RateCause }
  /** It could not be measured, with the reason. */
  | { readonly kind: 'failed'; readonly because: string };

/** The factor that plays, and why that one. */
export interface LiveRate {
  readonly factor: LiveFactor;
  readonly reason: RateReason;
}

export const STARTING_RATE: LiveRate = { factor: STARTING_FACTOR, reason: { kind: 'unmeasured' } };

/** The rate in a sentence for the screen. */
export function rateSentence({ factor, reason }: LiveRate): string {
  switch (reason.kind) {
    case 'unmeasured':
      return `${factor}×, until both builds have been measured on this machine.`;
    case 'chosen':
      return `${factor}×, chosen by hand.`;
    case 'brokeUp':
      return `${factor}×, because of dropouts at ${reason.at}×. ${reason.cause ? causeText(reason.cause) : ''}`.trim();
    case 'failed':
      return `${factor}×: it could not be measured (${reason.because}).`;
    case 'measured':
      return `${factor}×, automatic: ${sharesText(factor, reason.shares)}.${lowerText(factor, reason.cause)}`;
  }
}

/** The same in a word or two. */
export function rateWord({ reason }: LiveRate): string {
  const words = {
    unmeasured: 'not measured yet',
    chosen: 'by hand',
    brokeUp: 'stepped down',
    failed: 'not measured',
    measured: 'automatic',
  };
  const word = words[reason.kind];
  const cause = 'cause' in reason && reason.cause && causeWord(reason.cause, MOST_SHARE);
  return cause ? `${word}: ${cause}` : word;
}

/** Why it is not the highest factor; empty if it is. */
function lowerText(factor: LiveFactor, cause: RateCause | undefined): string {
  if (factor === LIVE_FACTORS[0]) return '';
  const limit = ` The limit is ${percent(MOST_SHARE)} (noise: ${percent(MOST_NOISE_SHARE)}), because during a swap the old and the new circuit play together.`;
  return cause ? `${limit} ${causeText(cause)}` : limit;
}

/** Message after dropouts, with a step down. */
export function stepDownSentence(from: LiveFactor): string {
  return `Dropouts at ${from}×. Now at ${stepDown(from)}×. Close other programs and pages. ${from}× is tried again after a time without dropouts.`;
}

/** Message after dropouts without a step down. */
export function tooSlowSentence({ factor, reason }: LiveRate): string {
  if (factor === 4)
    return 'Dropouts at 4×, the lowest rate: this machine is too slow for these builds, or too busy. Close other programs and pages.';
  const why = reason.kind === 'chosen' ? ', chosen by hand' : '';
  return `Dropouts at ${factor}×${why}. Choose a lower rate under Sound….`;
}

function sharesText(factor: LiveFactor, shares: MeasuredShares): string {
  const parts = LIVE_FACTORS.flatMap((each) => {
    const share = shares[each];
    // Shares at lower factors did not matter.
    if (share === undefined || each < factor) return [];
    return [
      `${percent(share.music)} of the time at ${each}× (noise, the worst case: ${percent(share.noise)})`,
    ];
  });
  return `both builds need ${parts.join(', ')}`;
}

/** Gaps within a time that count as a dropout problem; a single gap may have any cause. */
const MOST_UNDERRUNS = 3;
const WITHIN_SECONDS = 5;
/** Time after a change in which a few gaps are ignored: a crossfade costs more for a moment. */
const GRACE_SECONDS = 1.5;
/** Gaps within a time that always count, since changes may follow each other without a pause. */
const MANY_UNDERRUNS = 10;
const MANY_WITHIN_SECONDS = 10;
/** Mean share of the audio thread's time over a second beyond which it cannot keep up. */
const FULL_LOAD = 0.95;

/** Data for detecting dropouts. */
export interface Playback {
  readonly seconds: number;
  /** Gaps since the start; undefined before they were counted. */
  readonly underruns: number | undefined;
  /** Load of the audio thread, mean over a second. */
  readonly load: number;
}

/** Detects dropouts because of a slow machine. */
export class BreakUpWatch {
  #quietUntil = 0;
  /** Times of gaps, s, the newest last: those that count, and all. */
  #seen: number[] = [];
  #all: number[] = [];
  #counted: number | undefined;
  #troubleSeconds = 0;

  /** After a change: a few gaps are ignored for a while. */
  restart(seconds: number): void {
    this.#quietUntil = seconds + GRACE_SECONDS;
    this.#seen = [];
  }

  /** The rate has changed: earlier gaps are forgotten. */
  forget(seconds: number): void {
    this.restart(seconds);
    this.#all = [];
    this.#troubleSeconds = seconds;
  }

  /** Time without a gap. */
  quietSeconds(seconds: number): number {
    return seconds - this.#troubleSeconds;
  }

  /** @returns Whether there are dropouts. */
  look({ seconds, underruns, load }: Playback): boolean {
    // Fewer than before: sound was restarted.
    const fresh = Math.max(0, (underruns ?? 0) - (this.#counted ?? underruns ?? 0));
    this.#counted = underruns;
    const isGrace = seconds < this.#quietUntil;
    this.#all = within(this.#all, seconds - MANY_WITHIN_SECONDS, fresh, seconds, MANY_UNDERRUNS);
    this.#seen = within(this.#seen, seconds - WITHIN_SECONDS, isGrace ? 0 : fresh, seconds, MOST_UNDERRUNS);
    const isFull = !isGrace && load >= FULL_LOAD;
    if (fresh > 0 || isFull) this.#troubleSeconds = seconds;
    return isFull || this.#seen.length >= MOST_UNDERRUNS || this.#all.length >= MANY_UNDERRUNS;
  }
}

/** Times later than `since`, with those of fresh gaps; of these no more than `most`. */
function within(
  times: readonly number[],
  since: number,
  fresh: number,
  seconds: number,
  most: number,
): number[] {
  return [
    ...times.filter((at) => at > since),
    ...Array.from({ length: Math.min(fresh, most) }, () => seconds),
  ];
}
