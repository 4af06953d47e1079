/**
 * Loudest peaks of a well-set interface, dB of full scale: high enough above its noise, and room for a harder stroke.
 * Common practice, no source.
 */
const AIM_DB = -12;
/** Advice begins outside, and ends inside these, so that it does not flicker. */
const TOO_LOW_DB = { begins: -21, ends: -17 } as const;
const TOO_HIGH_DB = { begins: -3, ends: -6 } as const;
/** Quieter than this nothing is played: hum and hiss of a guitar with its volume up, dB of full scale; from memory. */
const SILENT_DB = -54;
/** The peaks of so much playing count, ms. */
const WINDOW_MS = 6000;
/** And so much there has to be, ms. */
const LEAST_PLAYING_MS = 2000;
/** Without playing for so long nothing is said, ms. */
const PAUSE_MS = 2500;
/** Peaks are kept one for each slice of this length, ms. */
const SLICE_MS = 250;
/** Advice moves in such steps, dB: about what a gain knob can be set to by hand. */
const STEP_DB = 3;

/** How the gain of the interface is to be turned; positive is up. */
export interface GainAdvice {
  readonly byDb: number;
}

interface Slice {
  readonly startMs: number;
  readonly peakDb: number;
}

/** Watches the peaks of a live input and says how to set the interface's gain. Has no clock of its own. */
export class GainWatch {
  /** Only slices in which something was played, in order. */
  #slices: readonly Slice[] = [];
  #advice: GainAdvice | undefined;

  /** @param peak Of the last moment, share of full scale. */
  add(peak: number, atMs: number): GainAdvice | undefined {
    const peakDb = 20 * Math.log10(Math.max(peak, 1e-9));
    if (peakDb > SILENT_DB) this.#keep(peakDb, atMs);
    const last = this.#slices.at(-1);
    if (!last || atMs - last.startMs > PAUSE_MS) this.clear();
    else if (this.#slices.length * SLICE_MS >= LEAST_PLAYING_MS) this.#judge();
    return this.#advice;
  }

  /** As for another input. */
  clear(): void {
    this.#slices = [];
    this.#advice = undefined;
  }

  #keep(peakDb: number, atMs: number): void {
    const startMs = atMs - (atMs % SLICE_MS);
    const last = this.#slices.at(-1);
    if (last?.startMs === startMs) {
      if (peakDb > last.peakDb) this.#slices = [...this.#slices.slice(0, -1), { startMs, peakDb }];
      return;
    }
    const isRecent = (slice: Slice) => atMs - slice.startMs < WINDOW_MS;
    this.#slices = [...this.#slices.filter(isRecent), { startMs, peakDb }];
  }

  #judge(): void {
    const loudestDb = Math.max(...this.#slices.map(({ peakDb }) => peakDb));
    const wasLow = this.#advice !== undefined && this.#advice.byDb > 0;
    const wasHigh = this.#advice !== undefined && this.#advice.byDb < 0;
    const isLow = loudestDb < (wasLow ? TOO_LOW_DB.ends : TOO_LOW_DB.begins);
    const isHigh = loudestDb > (wasHigh ? TOO_HIGH_DB.ends : TOO_HIGH_DB.begins);
    if (!isLow && !isHigh) this.#advice = undefined;
    else this.#advise(AIM_DB - loudestDb);
  }

  /** Stays at what was said until that is a step off. */
  #advise(exactDb: number): void {
    const said = this.#advice?.byDb;
    if (said !== undefined && Math.sign(said) === Math.sign(exactDb) && Math.abs(exactDb - said) < STEP_DB)
      return;
    this.#advice = { byDb: STEP_DB * Math.round(exactDb / STEP_DB) };
  }
}

/** "Turn the interface up by about 6 dB." */
export function gainAdviceText({ byDb }: GainAdvice): string {
  return `Turn the interface ${byDb > 0 ? 'up' : 'down'} by about ${Math.abs(byDb)} dB.`;
}
