import { Cancelled } from './ear-pool.ts';
import type { BuildLoudness, LoudnessPlan } from './voice-loudness.ts';

/** Results that are kept: those of a long list of candidates, and of the swaps before it. */
const MOST_KEPT = 200;

/** A wanted loudness: equal keys have equal results. */
export interface WantedLoudness {
  readonly key: string;
  readonly plan: LoudnessPlan;
}

/** The loudness of a build while it is computed: first over its loudest passage, then over all. */
export interface ComingLoudness {
  readonly passage: Promise<number>;
  readonly whole: Promise<BuildLoudness>;
}

interface Waiting extends WantedLoudness {
  readonly isUrgent: boolean;
  /** It is also wanted in advance, whether or not a swap waits for it. */
  readonly isInAdvance: boolean;
  readonly onPassage: (loudness: number) => void;
  readonly resolve: (loudness: BuildLoudness) => void;
  readonly reject: (error: unknown) => void;
}

type Compute = (plan: LoudnessPlan, onPassage: (loudness: number) => void) => Promise<BuildLoudness>;

/**
 * Loudness of builds, computed one after the other and kept. What a swap waits for goes before what is computed in
 * advance, and the newest swap replaces those before it. A loudness is rejected with a Refusal where a build cannot be
 * played, and with Cancelled where a later swap came before it was begun.
 */
export class LoudnessQueue {
  readonly #compute: Compute;
  readonly #known = new Map<string, ComingLoudness>();
  #waiting: readonly Waiting[] = [];
  #isBusy = false;

  constructor(compute: Compute) {
    this.#compute = compute;
  }

  /** For a swap: before all others; earlier swaps that still wait are cancelled, or wait in advance again. */
  urgently(wanted: readonly WantedLoudness[]): readonly ComingLoudness[] {
    const keys = new Set(wanted.map(({ key }) => key));
    const isOver = ({ key, isUrgent }: Waiting) => isUrgent && !keys.has(key);
    const dropped = this.#waiting.filter((each) => isOver(each) && !each.isInAdvance);
    this.#waiting = this.#waiting
      .filter((each) => !dropped.includes(each))
      .map((each) => (isOver(each) ? { ...each, isUrgent: false } : each));
    for (const { reject } of dropped) reject(new Cancelled());
    return wanted.map((each) => this.#find(each, true));
  }

  inAdvance(wanted: WantedLoudness): ComingLoudness {
    return this.#find(wanted, false);
  }

  #find(wanted: WantedLoudness, isUrgent: boolean): ComingLoudness {
    const known = this.#known.get(wanted.key);
    if (known) this.#mark(wanted.key, isUrgent);
    if (known) return known;
    const coming = this.#begin(wanted, isUrgent);
    this.#keep(wanted.key, coming);
    void this.#work();
    return coming;
  }

  #begin(wanted: WantedLoudness, isUrgent: boolean): ComingLoudness {
    let onPassage: Waiting['onPassage'] = () => {};
    const whole = new Promise<BuildLoudness>((resolve, reject) => {
      const waiting = {
        ...wanted,
        isUrgent,
        isInAdvance: !isUrgent,
        onPassage: (found: number) => onPassage(found),
        resolve,
        reject,
      };
      this.#waiting = [...this.#waiting, waiting];
    });
    const passage = new Promise<number>((resolve, reject) => {
      onPassage = resolve;
      whole.then((found) => resolve(found.passage), reject);
    });
    return { passage, whole };
  }

  /** What waits already is wanted by one more. */
  #mark(key: string, isUrgent: boolean): void {
    const mark = isUrgent ? { isUrgent } : { isInAdvance: true };
    this.#waiting = this.#waiting.map((each) => (each.key === key ? { ...each, ...mark } : each));
  }

  #keep(key: string, coming: ComingLoudness): void {
    this.#known.set(key, coming);
    const [oldest] = this.#known.keys();
    if (this.#known.size > MOST_KEPT && oldest !== undefined) this.#known.delete(oldest);
    const forget = () => {
      if (this.#known.get(key) === coming) this.#known.delete(key);
    };
    coming.passage.catch(forget);
    coming.whole.catch(forget);
  }

  async #work(): Promise<void> {
    if (this.#isBusy) return;
    this.#isBusy = true;
    for (let next = this.#take(); next; next = this.#take()) {
      try {
        next.resolve(await this.#compute(next.plan, next.onPassage));
      } catch (error) {
        next.reject(error);
      }
    }
    this.#isBusy = false;
  }

  #take(): Waiting | undefined {
    const next = this.#waiting.find(({ isUrgent }) => isUrgent) ?? this.#waiting[0];
    this.#waiting = this.#waiting.filter((each) => each !== next);
    return next;
  }
}
