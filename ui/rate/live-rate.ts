/**
 * How much the circuits that play are oversampled: the highest factor that the machine carries, found by measuring.
 * Decisions and words only; what measures is rate-trial.ts, what carries out is rate-desk.ts.
 */

/** Highest first, in the order in which they are tried. */
export const LIVE_FACTORS = [16, 8, 4] as const;
export type LiveFactor = (typeof LIVE_FACTORS)[number];
/** What plays until something has been measured. */
export const STARTING_FACTOR: LiveFactor = 8;

/** Measured, or a factor that was chosen by hand. */
export type RateChoice = 'measured' | LiveFactor;

/** Time of a block that both builds and all behind them take, share of the block's own duration. */
export interface MeasuredShare {
  /** On a plucked phrase. */
  readonly music: number;
  /** On noise, the hardest usual input: up to 2.2 times the time of music, since no sample is foretold by those before. */
  readonly noise: number;
}

export type MeasuredShares = Readonly<Partial<Record<LiveFactor, MeasuredShare>>>;

/**
 * Up to which share a factor is taken on music. While a changed structure is faded in, the old circuits play on beside the
 * new ones: for a twentieth of a second the time doubles where both builds change (Exchange A and B), and nearly so where
 * one does, since it is solved alone beside a pair. That has to fit. What a turning knob adds is a few percent for a moment.
 */
const MOST_SHARE = 1 / 2;
/** On noise, which lasts: a tenth of the time stays for the rest of the machine. */
const MOST_NOISE_SHARE = 0.9;

/** Whether a factor is to be played at a measured share. */
export function isCarried(factor: LiveFactor, { music, noise }: MeasuredShare): boolean {
  return factor === 4 || (music <= MOST_SHARE && noise <= MOST_NOISE_SHARE);
}

const NOT_MEASURED: MeasuredShare = { music: Number.POSITIVE_INFINITY, noise: Number.POSITIVE_INFINITY };

/** The factor to be played; the lowest where even that takes too long, since nothing less is worth hearing. */
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
  | { readonly kind: 'measured'; readonly shares: MeasuredShares }
  | { readonly kind: 'chosen' }
  /** Sound broke up at the factor above. */
  | { readonly kind: 'brokeUp'; readonly at: LiveFactor }
  /** It could not be measured; in words why. */
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
      return `${factor}×, because of dropouts at ${reason.at}×.`;
    case 'failed':
      return `${factor}×: it could not be measured (${reason.because}).`;
    case 'measured':
      return `${factor}×, automatic: ${sharesText(factor, reason.shares)}.`;
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
  return words[reason.kind];
}

/** What is said when sound broke up and a lower factor takes over. */
export function stepDownSentence(from: LiveFactor): string {
  return `Dropouts at ${from}×. Now at ${stepDown(from)}×. Close what else keeps this machine busy: ${from}× is tried again after a while without dropouts.`;
}

/** What is said when sound broke up and no lower factor may take over. */
export function tooSlowSentence({ factor, reason }: LiveRate): string {
  if (factor === 4)
    return 'Dropouts at 4×, the lowest rate: this machine is too slow for these builds, or too busy. Close other programs and pages.';
  const why = reason.kind === 'chosen' ? ', chosen by hand' : '';
  return `Dropouts at ${factor}×${why}. Choose a lower rate under Sound….`;
}

function sharesText(factor: LiveFactor, shares: MeasuredShares): string {
  const parts = LIVE_FACTORS.flatMap((each) => {
    const share = shares[each];
    // What was measured below the factor that plays decided nothing.
    if (share === undefined || each < factor) return [];
    const percent = `${Math.round(100 * share.music)} % of the time (${Math.round(100 * share.noise)} % with noise)`;
    return each === factor ? [`take ${percent} there`] : [`would take ${percent} at ${each}×`];
  });
  return `both builds ${parts.join(' and ')}`;
}

/** Underruns that count as breaking up, and the time within which; one alone may be anything's fault. */
const MOST_UNDERRUNS = 3;
const WITHIN_SECONDS = 5;
/** So long after a change few count: while it is faded in, everything costs more for a moment. */
const GRACE_SECONDS = 1.5;
/** So many count all the same, since changes may follow each other without a rest, and the time within which. */
const MANY_UNDERRUNS = 10;
const MANY_WITHIN_SECONDS = 10;
/** Mean share of the audio thread's time over a second beyond which it cannot keep up. */
const FULL_LOAD = 0.95;

/** What tells whether sound breaks up. */
export interface Playback {
  readonly seconds: number;
  /** Gaps since the start; undefined before they were counted. */
  readonly underruns: number | undefined;
  /** Share of the time at hand that the audio thread needs, mean over a second. */
  readonly load: number;
}

/** Watches whether sound breaks up for want of time. */
export class BreakUpWatch {
  #quietUntil = 0;
  /** When each underrun was seen, s, the newest last: those that count, and all. */
  #seen: number[] = [];
  #all: number[] = [];
  #counted: number | undefined;
  #troubleSeconds = 0;

  /** Something has changed: few gaps count for a while. */
  restart(seconds: number): void {
    this.#quietUntil = seconds + GRACE_SECONDS;
    this.#seen = [];
  }

  /** The rate has changed: what came before is over. */
  forget(seconds: number): void {
    this.restart(seconds);
    this.#all = [];
    this.#troubleSeconds = seconds;
  }

  /** For how long there was no gap. */
  quietSeconds(seconds: number): number {
    return seconds - this.#troubleSeconds;
  }

  /** @returns Whether sound breaks up. */
  look({ seconds, underruns, load }: Playback): boolean {
    // Fewer than before: sound was started anew.
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
