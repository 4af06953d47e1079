import { matchWith } from '../ear/match-desk.ts';
import { NO_MATCHES, type PendingMatch, type SwapMatches } from '../swap/pending-match.ts';
import { SwapsOnPage } from '../swap/swap-maker.ts';
import type { Unsolvable } from '../swap/swap-messages.ts';
import {
  isSameButForKnobs,
  isSameSound,
  type Prepared,
  SwapPath,
  type SwapSound,
} from '../swap/swap-path.ts';
import { BenchChange } from './bench-change.ts';
import type { Action, BenchState } from './bench-state.ts';
import { carriedOut, freshHistory, type History } from './history.ts';
import { soundAhead, soundChange } from './matched-sound.ts';
import { canonicalAction, refused } from './refused-action.ts';
import type { Remedy } from './starting-state.ts';

/** While swaps follow each other quickly, one in this time is shown and heard. */
const SHOWN_EVERY_MS = 250;

/** An action that waits for the preparation of its result. */
interface Waiting {
  readonly action: Action;
  readonly atMs: number;
}

/** A running preparation: its actions, and the history before and after them. */
interface Asked {
  readonly actions: readonly Waiting[];
  readonly before: History;
  readonly after: History;
  readonly match: PendingMatch;
}

/**
 * Holds the bench's state, carries actions out, and remembers builds for undo and redo. A change of the
 * circuits is prepared first, and the state changes when it is ready: screen and sound change together, and a
 * circuit that cannot be played is never shown. Everything else, and knobs, takes effect at once. Emits {@link BenchChange}.
 */
export class BenchStore extends EventTarget {
  readonly #swaps: SwapPath;
  #history: History;
  /** In the order in which they were given. */
  #waiting: readonly Waiting[] = [];
  #waitingSinceMs = 0;
  #isPreparing = false;
  /** They were refused together: each is then tried alone, so that only the impossible one is refused. */
  #isOneByOne = false;
  #settling: (() => void)[] = [];
  readonly #matches: SwapMatches;
  /** Of the running preparation. */
  #pending: PendingMatch | undefined;

  /** Tried in turn until the first state has been played. */
  #remedies: readonly Remedy[];

  constructor(
    state: BenchState,
    swaps: SwapPath = new SwapPath(NO_SOUND, new SwapsOnPage()),
    remedies: readonly Remedy[] = [],
    matches: SwapMatches = NO_MATCHES,
  ) {
    super();
    this.#matches = matches;
    this.#history = freshHistory(state);
    this.#swaps = swaps;
    this.#remedies = remedies;
  }

  get state(): BenchState {
    return this.#history.state;
  }

  /** The state after the running preparation: the next step of a value or switch starts from it. */
  get wanted(): BenchState {
    return this.#after(this.#waiting).state;
  }

  get canUndo(): boolean {
    return this.#history.past.length > 0;
  }

  get canRedo(): boolean {
    return this.#history.future.length > 0;
  }

  /** Called for every change of the state. */
  onChange(listener: (change: BenchChange) => void): void {
    this.addEventListener('change', (event) => listener(event as BenchChange));
  }

  act(requested: Action): void {
    const wanted = this.#after(this.#waiting);
    const waiting = { action: canonicalAction(wanted.state, requested), atMs: Date.now() };
    if (this.#isAtOnce(waiting, wanted)) {
      this.#become(carriedOut(this.#history, waiting.action, waiting.atMs));
    } else {
      if (this.#waiting.length === 0) this.#waitingSinceMs = performance.now();
      this.#waiting = [...this.#waiting, waiting];
      this.#pending?.hurry();
    }
    this.follow();
  }

  /**
   * Whether an action needs no preparation, neither on the state that is shown nor on the wanted one: what repeats a
   * waiting swap changes only the first. No edit overtakes a waiting undo or redo, which would then go elsewhere.
   */
  #isAtOnce({ action, atMs }: Waiting, wanted: History): boolean {
    const now = this.#history.state;
    const then = carriedOut(this.#history, action, atMs).state;
    const isTravelling = this.#waiting.some(({ action: { type } }) => type === 'undo' || type === 'redo');
    const isEdit = then.builds !== now.builds || then.places !== now.places;
    if (isTravelling && isEdit) return false;
    // A waiting change is one of the pedal that was looked at when it was asked for.
    if (action.type === 'look' && this.#waiting.length > 0) return false;
    if (action.type === 'turnKnob') return true;
    return isSameSound(now, then) && isSameSound(wanted.state, carriedOut(wanted, action, atMs).state);
  }

  /** Sends the audio thread what it does not have yet; to be called when the rate may have changed. */
  follow(): void {
    if (this.#isPreparing) return;
    const asked = this.#isOneByOne ? this.#waiting.slice(0, 1) : this.#waiting;
    const before = this.#history;
    const after = this.#after(asked);
    if (asked.length === 0 && this.#swaps.isTold(after.state)) {
      this.#settle();
      return;
    }
    this.#isPreparing = true;
    const match = (asked.length > 0 ? this.#matches : NO_MATCHES).begin(after.state);
    this.#pending = match;
    this.#swaps.prepare(after.state, asked.length === 0, (outcome) => {
      if (outcome.kind !== 'ready') match.hurry();
      match.wait(() => {
        this.#isPreparing = false;
        this.#take({ actions: asked, before, after, match }, outcome);
        this.follow();
      });
    });
  }

  /** Resolves when no preparation runs: every request is shown and sent, or refused. */
  settled(): Promise<void> {
    return new Promise((resolve) => {
      this.#settling.push(resolve);
      this.follow();
    });
  }

  #settle(): void {
    const settling = this.#settling;
    this.#settling = [];
    for (const resolve of settling) resolve();
  }

  #after(waiting: readonly Waiting[]): History {
    return waiting.reduce((history, { action, atMs }) => carriedOut(history, action, atMs), this.#history);
  }

  #take(asked: Asked, outcome: Prepared): void {
    if (outcome.kind === 'outdated') return;
    if (outcome.kind === 'refused') this.#refuse(asked, outcome);
    else if (!this.#isOvertaken(asked)) this.#carryOut(asked, outcome.handOver);
  }

  /** A later swap replaces an earlier request, except one from time to time. */
  #isOvertaken({ actions }: Asked): boolean {
    const isLater = actions.length > 0 && this.#waiting.length > actions.length && !this.#isOneByOne;
    return isLater && performance.now() - this.#waitingSinceMs < SHOWN_EVERY_MS;
  }

  #carryOut({ actions, before, after, match }: Asked, handOver: () => void): void {
    const history = this.#history === before ? after : this.#after(actions);
    // If a knob was turned meanwhile, its values follow. Any other change needs a new preparation.
    if (!isSameButForKnobs(history.state, after.state)) return;
    this.#drop(actions);
    this.#remedies = [];
    handOver();
    if (actions.length > 0) this.#become(matched(history, match));
  }

  #drop(actions: readonly Waiting[]): void {
    this.#waiting = this.#waiting.slice(actions.length);
    this.#waitingSinceMs = performance.now();
    if (this.#waiting.length === 0) this.#isOneByOne = false;
  }

  #refuse({ actions, after }: Asked, problem: Unsolvable): void {
    const [first] = actions;
    if (actions.length > 1) {
      this.#isOneByOne = true;
      return;
    }
    if (!first && this.#remedy(problem)) return;
    if (first) this.#drop(actions);
    else this.#swaps.giveUp(after.state, problem.slot);
    const { state } = this.#history;
    const told = first ? refused(state, first.action, problem) : this.#goesOn(state, problem);
    this.#become({ ...this.#history, state: told });
  }

  /** Replaces a starting state that cannot be played. @returns Whether there was something else to try. */
  #remedy(problem: Unsolvable): boolean {
    const { state } = this.#history;
    for (const remedy of this.#remedies) {
      this.#remedies = this.#remedies.filter((each) => each !== remedy);
      const remedied = remedy(state, problem);
      if (isSameSound(state, remedied)) continue;
      this.#become(freshHistory(remedied));
      return true;
    }
    return false;
  }

  /**
   * If a build on the bench cannot be played, for example at another rate, that is said, and the old sound goes on.
   * What was said just before, as of the other build, still stands.
   */
  #goesOn(state: BenchState, { slot, message }: Unsolvable): BenchState {
    const does = this.#swaps.hasCircuit(slot) ? 'keeps its old sound' : 'is silent';
    const text = `${slot.toUpperCase()} ${does}: ${message}`;
    const earlier = state.refusal?.message ?? '';
    const told = earlier.includes(text) ? earlier : `${earlier} ${text}`.trim();
    return { ...state, refusal: { ref: '', slot, message: told } };
  }

  #become(history: History): void {
    const before = this.#history.state;
    this.#history = history;
    this.dispatchEvent(new BenchChange(before, history.state));
  }
}

/** With the gain that belongs to the swap, if it is known already. */
function matched(history: History, { found }: PendingMatch): History {
  const { state } = history;
  if (!found || soundChange(found.sound, soundAhead(state)) !== undefined) return history;
  return { ...history, state: { ...state, match: matchWith(state.match, found) } };
}

const NO_SOUND: SwapSound = {
  circuitRateHzFor: () => 8 * 48_000,
  setCircuit: () => {},
  setValues: () => {},
};
