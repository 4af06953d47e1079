import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import type { Build } from '../../engine/builds/build.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { AudioSession } from '../audio/audio-session.ts';
import type { Source } from '../audio/prepared-source.ts';
import { sharedMemory } from '../audio/shared-memory.ts';
import { dataText } from '../data-text.ts';
import type { BenchState, LevelMatch, MatchedSound } from '../state/bench-state.ts';
import { isSameSource, soundEngaged } from '../state/matched-sound.ts';
import { playedBuild } from '../state/played-network.ts';
import { type Loudness, matchAfterSwap } from '../state/swap-match.ts';
import type { LoudnessQueue, WantedLoudness } from './loudness-queue.ts';
import type { Phrase } from './phrase.ts';
import { LIVE_PEAK_V } from './playing-excerpts.ts';
import type { PlayingPhrase } from './playing-phrase.ts';
import type { LoudnessPhrase } from './voice-loudness.ts';

/** A longer phrase is measured over its first seconds, as while it plays. */
const MOST_SECONDS = 30;
/** What was played live serves for the swaps of this time, so that the build that stays need not be computed again. */
const LIVE_SERVES_MS = 20_000;
/** Quieter playing than this is none, V; and less than this of it, in blocks, is too little. */
const LEAST_PEAK_V = 0.01;
const LEAST_PLAYED_SECONDS = 1.5;
const BLOCK_SECONDS = 0.05;

/** How loud both builds are, and for which sound that was computed. */
export interface FoundLoudness {
  readonly sound: MatchedSound;
  readonly loudness: Loudness;
  /** Only the loudest passage has been computed. */
  readonly isEstimate: boolean;
  /** Plucked notes stood in for a live guitar that is not played. */
  readonly isByNotes: boolean;
}

/** How loud they are, while it is computed. */
export interface ComingMatch {
  /** From the loudest passage, mostly within half a decibel. */
  readonly estimate: () => Promise<FoundLoudness>;
  readonly whole: () => Promise<FoundLoudness>;
}

interface MatchPhrase extends LoudnessPhrase {
  readonly id: number;
  readonly isByNotes: boolean;
}

/** Finds the loudness of both builds of a state of the bench, over the phrase that plays or the last seconds of live playing. */
export class MatchDesk {
  readonly #session: Pick<AudioSession, 'readRecentInput' | 'start' | 'state'>;
  readonly #phrases: PlayingPhrase;
  readonly #queue: LoudnessQueue;
  readonly #ids = new WeakMap<object, number>();
  #count = 0;
  #prepared: { readonly of: object; readonly phrase: MatchPhrase } | undefined;
  /** Plucked notes for a rate: the same ones each time, so that what was computed with them is known. */
  #notes: MatchPhrase | undefined;
  #live: { readonly key: string; readonly atMs: number; readonly phrase: Promise<MatchPhrase> } | undefined;

  constructor(
    session: Pick<AudioSession, 'readRecentInput' | 'start' | 'state'>,
    phrases: PlayingPhrase,
    queue: LoudnessQueue,
  ) {
    this.#session = session;
    this.#phrases = phrases;
    this.#queue = queue;
  }

  /** Rejected with a Refusal if nothing plays or a build cannot be played, and with Cancelled where a later swap came first. */
  find(state: BenchState): ComingMatch {
    const sound = soundEngaged(state);
    const coming = this.#coming(state);
    const found = async (isEstimate: boolean): Promise<FoundLoudness> => {
      const { builds, isByNotes } = await coming;
      const both = builds.map(async ({ passage, whole }) => (isEstimate ? passage : (await whole).whole));
      const [a, b] = await Promise.all(both);
      return { sound, loudness: { a: a!, b: b! }, isByNotes, isEstimate };
    };
    return { whole: () => found(false), estimate: () => Promise.race([found(false), found(true)]) };
  }

  async #coming(state: BenchState) {
    const phrase = await this.#phraseOf(state);
    const builds = this.#queue.urgently(SLOTS.map((slot) => this.#wanted(state, slot, phrase)));
    return { builds, isByNotes: phrase.isByNotes };
  }

  /** Computes the loudness of a state's build B in advance. @throws as `find`. */
  async prepareB(state: BenchState): Promise<number> {
    const phrase = await this.#phraseOf(state);
    const { whole } = await this.#queue.inAdvance(this.#wanted(state, 'b', phrase)).whole;
    return whole;
  }

  /** All on which the loudness depends is in the key, as data or as the number of an object that never changes. */
  #wanted(state: BenchState, slot: Slot, phrase: MatchPhrase): WantedLoudness {
    const played = { ...playedBuild(state, slot), isBypassed: false };
    const { source, guitar, hearsNoise, hasStandIn, speaker: own } = state;
    const liveGuitar = source.kind === 'live' && guitar.isOn ? guitar.instrument : undefined;
    const speaker = hasStandIn ? (own ?? 'built in') : undefined;
    const { inputV, sampleRateHz, isLoop, id } = phrase;
    const plan = {
      played,
      speaker,
      liveGuitar,
      hearsNoise,
      phrase: { inputV, sampleRateHz, isLoop },
    } as const;
    const { build, ...conditions } = played;
    const speakerKey = typeof speaker === 'object' ? this.#idOf(speaker) : speaker;
    return {
      key: dataText([id, this.#soundOf(build), conditions, speakerKey, liveGuitar, hearsNoise]),
      plan,
    };
  }

  #soundOf({ circuit, parts, knobs, switches, bypass }: Build) {
    return [this.#idOf(circuit), parts, knobs, switches, bypass];
  }

  #idOf(data: object): number {
    const known = this.#ids.get(data);
    if (known !== undefined) return known;
    this.#count++;
    this.#ids.set(data, this.#count);
    return this.#count;
  }

  /** Once sound runs: a context that opens may have another rate, and then the phrase is another. */
  async #phraseOf(state: BenchState): Promise<MatchPhrase> {
    await this.#session.start();
    return state.source.kind === 'live' ? this.#livePhrase(state) : this.#loop(await this.#phrases.of(state));
  }

  #loop(phrase: Phrase): MatchPhrase {
    if (this.#prepared?.of === phrase) return this.#prepared.phrase;
    const { inputV, sampleRateHz } = phrase;
    const first = shared(inputV.subarray(0, MOST_SECONDS * sampleRateHz));
    const prepared = { inputV: first, sampleRateHz, isLoop: true, id: this.#idOf(phrase), isByNotes: false };
    this.#prepared = { of: phrase, phrase: prepared };
    return prepared;
  }

  /** While candidates are tried they are all measured over one phrase, for which their levels were computed before. */
  #livePhrase({ source, calibration, ear }: BenchState): Promise<MatchPhrase> {
    const key = JSON.stringify([source, calibration.volts, this.#session.state.sampleRateHz]);
    const now = performance.now();
    const isHeld = ear.candidates?.at !== undefined;
    if (this.#live?.key === key && (isHeld || now - this.#live.atMs < LIVE_SERVES_MS))
      return this.#live.phrase;
    const phrase = this.#lastPlayed(source);
    const live = { key, atMs: now, phrase };
    this.#live = live;
    const forget = () => {
      if (this.#live === live) this.#live = undefined;
    };
    // Notes only stand in: the next swap asks for real playing again.
    phrase.then(({ isByNotes }) => isByNotes && forget(), forget);
    return phrase;
  }

  async #lastPlayed(wanted: Source): Promise<MatchPhrase> {
    const { sampleRateHz, source } = this.#session.state;
    // Until the input is open, the source before it plays.
    if (!isSameSource(source, wanted)) return this.#notesAt(sampleRateHz);
    const recent = await this.#session.readRecentInput();
    return playedSeconds(recent, sampleRateHz) >= LEAST_PLAYED_SECONDS
      ? this.#livePhraseOf(recent, sampleRateHz, false)
      : this.#notesAt(sampleRateHz);
  }

  #notesAt(sampleRateHz: number): MatchPhrase {
    if (this.#notes?.sampleRateHz === sampleRateHz) return this.#notes;
    const notes = pluckedPhrase({ sampleRateHz, peakVolts: LIVE_PEAK_V, seed: 1 });
    this.#notes = this.#livePhraseOf(notes, sampleRateHz, true);
    return this.#notes;
  }

  #livePhraseOf(samples: ArrayLike<number>, sampleRateHz: number, isByNotes: boolean): MatchPhrase {
    const inputV = shared(samples);
    return { inputV, sampleRateHz, isLoop: false, id: this.#idOf(inputV), isByNotes };
  }
}

/** How long there was playing, counted in blocks that are loud enough. */
function playedSeconds(volts: Float32Array, sampleRateHz: number): number {
  const frames = Math.round(BLOCK_SECONDS * sampleRateHz);
  let loud = 0;
  for (let start = 0; start + frames <= volts.length; start += frames) {
    const block = volts.subarray(start, start + frames);
    if (block.some((each) => Math.abs(each) > LEAST_PEAK_V)) loud++;
  }
  return loud * BLOCK_SECONDS;
}

/** The match of the present one after a swap. */
export function matchWith(
  before: LevelMatch,
  { sound, loudness, isByNotes, isEstimate }: FoundLoudness,
): LevelMatch {
  return { ...matchAfterSwap(before, sound, loudness), isByNotes, isEstimate };
}

/** In memory that a worker can share, if there is any, so that it is not copied for each build. */
function shared(samples: ArrayLike<number>): Float32Array {
  const memory = sharedMemory(samples.length * Float32Array.BYTES_PER_ELEMENT);
  const copy = memory ? new Float32Array(memory) : new Float32Array(samples.length);
  copy.set(samples);
  return copy;
}
