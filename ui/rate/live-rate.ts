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
export type MeasuredShares = Readonly<Partial<Record<LiveFactor, number>>>;

/**
 * Up to which share a factor is taken. While a changed structure is faded in, the old circuits play on beside the new
 * ones: for a twentieth of a second the time doubles where both builds change (Exchange A and B), and nearly so where one
 * does, since it is solved alone beside a pair. That has to fit. What a turning knob adds is a few percent for a moment.
 */
const MOST_SHARE = 1 / 2;

/** Whether a factor is to be played at a measured share. */
export function isCarried(factor: LiveFactor, share: number): boolean {
  return factor === 4 || share <= MOST_SHARE;
}

/** The factor to be played; the lowest where even that takes too long, since nothing less is worth hearing. */
export function measuredFactor(shares: MeasuredShares): LiveFactor {
  return LIVE_FACTORS.find((factor) => isCarried(factor, shares[factor] ?? Number.POSITIVE_INFINITY)) ?? 4;
}

/** The next lower factor; the same for the lowest. */
export function stepDown(factor: LiveFactor): LiveFactor {
  return factor === 16 ? 8 : 4;
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
      return `${factor}×, because sound broke up at ${reason.at}×.`;
    case 'failed':
      return `${factor}×: it could not be measured (${reason.because}).`;
    case 'measured':
      return `${factor}×, chosen by measuring: ${sharesText(factor, reason.shares)}.`;
  }
}

/** The same in a word or two. */
export function rateWord({ reason }: LiveRate): string {
  const words = {
    unmeasured: 'not measured yet',
    chosen: 'by hand',
    brokeUp: 'stepped down',
    failed: 'not measured',
    measured: 'by measuring',
  };
  return words[reason.kind];
}

/** What is said when sound broke up and a lower factor takes over. */
export function stepDownSentence(from: LiveFactor): string {
  return `Sound broke up with the circuits solved ${from}×, so they go on at ${stepDown(from)}×. Close what else keeps this machine busy and press “Measure again” under Sound… to try again.`;
}

function sharesText(factor: LiveFactor, shares: MeasuredShares): string {
  const parts = LIVE_FACTORS.flatMap((each) => {
    const share = shares[each];
    // What was measured below the factor that plays decided nothing.
    if (share === undefined || each < factor) return [];
    const percent = `${Math.round(100 * share)} % of the time`;
    return each === factor ? [`take ${percent} there`] : [`would take ${percent} at ${each}×`];
  });
  return `both builds ${parts.join(' and ')}`;
}

/** Underruns that count as breaking up, and the time within which; one alone may be anything's fault. */
const MOST_UNDERRUNS = 3;
const WITHIN_SECONDS = 5;
/** So long after a change nothing counts: while it is faded in, everything costs more for a moment. */
const GRACE_SECONDS = 1.5;
/** Mean share of the audio thread's time over a second beyond which it cannot keep up. */
const FULL_LOAD = 0.95;

/** What tells whether sound breaks up. */
export interface Playback {
  readonly seconds: number;
  /** Gaps since the start as the browser counts them; undefined where it does not. */
  readonly underruns: number | undefined;
  /** Share of the time at hand that the audio thread needs, mean over a second. */
  readonly load: number;
}

/** Watches whether sound breaks up for want of time. */
export class BreakUpWatch {
  #quietUntil = 0;
  /** When each underrun was seen, s, the newest last. */
  #seen: number[] = [];
  #counted: number | undefined;

  /** Something has changed: nothing counts for a while. */
  restart(seconds: number): void {
    this.#quietUntil = seconds + GRACE_SECONDS;
    this.#seen = [];
  }

  /** @returns Whether sound breaks up. */
  look({ seconds, underruns, load }: Playback): boolean {
    const fresh = Math.max(0, (underruns ?? 0) - (this.#counted ?? underruns ?? 0));
    this.#counted = underruns;
    if (seconds < this.#quietUntil) return false;
    const since = seconds - WITHIN_SECONDS;
    this.#seen = this.#seen.filter((at) => at > since);
    for (let n = 0; n < Math.min(fresh, MOST_UNDERRUNS); n++) this.#seen.push(seconds);
    return load >= FULL_LOAD || this.#seen.length >= MOST_UNDERRUNS;
  }
}
