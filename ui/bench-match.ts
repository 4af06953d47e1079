import { Refusal } from '../engine/input/refusal.ts';
import { oneLine } from '../engine/input/shown-text.ts';
import { Cancelled } from './ear/ear-pool.ts';
import type { FoundLoudness, MatchDesk } from './ear/match-desk.ts';
import { matchWith } from './ear/match-desk.ts';
import type { BenchState, MatchedSound } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { isMatchFresh, soundAhead, soundChange, soundEngaged } from './state/matched-sound.ts';
import { PendingMatch, type SwapMatches } from './swap/pending-match.ts';

/** Knobs turn in many small steps: levels are matched once they rest. */
const REST_MS = 250;

/**
 * Matches levels by computing, as long as that is on. A swap begins with its match (`begin`); everything else that
 * changes the loudness of a build, and a swap that did not wait, is matched afterwards (`follow`).
 */
export class BenchMatch implements SwapMatches {
  readonly #desk: MatchDesk;
  #store: BenchStore | undefined;
  /** The last sound that was asked for. */
  #asked: MatchedSound | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(desk: MatchDesk) {
    this.#desk = desk;
  }

  begin(state: BenchState): PendingMatch {
    if (!isAutomatic(state) || isMatchFresh(state)) return new PendingMatch(undefined);
    return new PendingMatch(this.#desk.find(state).estimate());
  }

  /** Computes the loudness of build B of a state in advance. @throws Refusal if it cannot be played. */
  prepareB(state: BenchState): Promise<number> {
    return this.#desk.prepareB(state);
  }

  /** Follows the bench from now on. */
  follow(store: BenchStore): void {
    this.#store = store;
    store.onChange((change) => this.#check(change.isOf('builds') && isTurned(change.before, change.after)));
  }

  #check(isTurn: boolean): void {
    const { state } = this.#store!;
    if (!isAutomatic(state) || isMatchFresh(state)) {
      this.#forget();
      return;
    }
    const sound = soundEngaged(state);
    if (this.#asked && soundChange(this.#asked, sound) === undefined) return;
    this.#forget();
    this.#asked = sound;
    this.#timer = setTimeout(() => void this.#find(state, sound), isTurn ? REST_MS : 0);
  }

  #forget(): void {
    clearTimeout(this.#timer);
    this.#asked = undefined;
  }

  async #find(state: BenchState, sound: MatchedSound): Promise<void> {
    try {
      this.#take(await this.#desk.find(state).whole());
    } catch (error) {
      if (error instanceof Cancelled) await this.#findAgain(sound);
      else this.#fail(sound, error);
    }
  }

  /** A later swap came first. If that was refused, the sound that still plays is asked for again. */
  async #findAgain(sound: MatchedSound): Promise<void> {
    await this.#store!.settled();
    if (this.#asked !== sound) return;
    this.#forget();
    this.#check(false);
  }

  #take(found: FoundLoudness): void {
    const { state } = this.#store!;
    if (isAutomatic(state) && isFor(found, state) && !isMatchFresh(state))
      this.#store!.act({ type: 'match', match: matchWith(state.match, found) });
  }

  /** It is said why there is no match; after a change it is tried again. */
  #fail(sound: MatchedSound, error: unknown): void {
    if (!(error instanceof Refusal)) throw error;
    const { state } = this.#store!;
    if (!isAutomatic(state) || soundChange(sound, soundAhead(state)) !== undefined) return;
    const problem = `Levels cannot be matched. ${oneLine(error.message)}`;
    const match = { ...state.match, sound, problem, isEstimate: false, isByNotes: false };
    this.#store!.act({ type: 'match', match });
  }
}

/** Whether a loudness belongs to what a state plays. */
export function isFor({ sound }: FoundLoudness, state: BenchState): boolean {
  return soundChange(sound, soundAhead(state)) === undefined;
}

/** During a blind test nothing changes; a live measurement has its own way. */
function isAutomatic({ match, isListening, ear }: BenchState): boolean {
  return (
    match.isAutomatic &&
    !match.isFollowing &&
    !match.isMeasuring &&
    isListening &&
    ear.blindTest === undefined
  );
}

function isTurned({ builds: before }: BenchState, { builds }: BenchState): boolean {
  return builds.a.knobs !== before.a.knobs || builds.b.knobs !== before.b.knobs;
}
