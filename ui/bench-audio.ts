import { speakerResponse } from '../engine/audio/speaker.ts';
import { probedNode } from '../engine/builds/probe-nets.ts';
import { Refusal } from '../engine/input/refusal.ts';
import type { Network } from '../engine/network/network.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { followGuitar } from './bench-guitar.ts';
import { followNoise } from './bench-noise.ts';
import { matchSeconds } from './ear/level-check.ts';
import type { RateDesk, RateWish } from './rate/rate-desk.ts';
import type { BenchChange } from './state/bench-change.ts';
import type { BenchState, LevelMatch } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import type { Sides } from './state/chains.ts';
import { isSameSource, soundAhead, soundChange } from './state/matched-sound.ts';
import { pedalAsPlayed, pedalsOn, placeOf, playedBuild } from './state/played-network.ts';
import { matchAfterSwap } from './state/swap-match.ts';
import { playedNetworks, type SwapSound } from './swap/swap-path.ts';

/** Fields of the state that are sent to the session unchanged, each when it changes. */
const TELLINGS: readonly {
  readonly of: readonly (keyof BenchState)[];
  readonly tell: (session: AudioSession, state: BenchState) => void;
}[] = [
  { of: ['heard'], tell: (session, { heard }) => session.hear(heard) },
  { of: ['isListening'], tell: tellListening },
  {
    of: ['outputDb', 'hasStandIn', 'match'],
    tell: (session, { outputDb, hasStandIn, match }) =>
      session.setSettings({ outputDb, standIn: hasStandIn, matchDb: match.db }),
  },
  { of: ['speaker'], tell: tellSpeaker },
  { of: ['calibration'], tell: (session, { calibration }) => session.setInterfaceVolts(calibration.volts) },
];

/**
 * The one place that sends changes of the bench's state to the session, except the builds themselves, which
 * take the path of a swap.
 */
export class BenchAudio {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  readonly #rate: RateDesk;
  #sampleRateHz: number;
  /** Automatic switches of A and B that the state has followed. */
  #autoSwitches = 0;

  constructor(store: BenchStore, session: AudioSession, rate: RateDesk) {
    this.#store = store;
    this.#session = session;
    this.#rate = rate;
    this.#sampleRateHz = session.state.sampleRateHz;
    store.onChange((change) => this.#follow(change));
    session.addEventListener('change', () => this.#followSession());
    session.addEventListener('halt', () => this.#stopListening());
    followNoise(store, session);
    followGuitar(store, session);
    this.#tellAll(store.state);
  }

  /** To be called at display rate: follows automatic switches of A and B, ends a measurement of loudness. */
  tick(): void {
    this.#followTurns();
    this.#rate.tick();
    const { match } = this.#store.state;
    if (match.isMeasuring || match.isFollowing) this.#matchLevels(match);
  }

  /** Measures the highest possible rate again. */
  measureRate(): void {
    this.#rate.forget();
    this.#followRate();
  }

  /** Matches B to A after enough measuring, and goes on measuring to check the match. */
  #matchLevels(match: LevelMatch): void {
    const { loudnessA, loudnessB, measuredSeconds } = this.#session.readTelemetry();
    const { roundSeconds, source } = this.#session.state;
    const isLoading = !isSameSource(source, this.#store.state.source);
    if (isLoading || measuredSeconds < matchSeconds(roundSeconds)) return;
    const difference = loudnessA - loudnessB;
    this.#session.measureLoudness();
    if (Number.isFinite(difference)) {
      const sound = soundAhead(this.#store.state);
      const measured = matchAfterSwap(match, sound, { a: loudnessA, b: loudnessB });
      this.#store.act({ type: 'match', match: { ...measured, isByNotes: false, isEstimate: false } });
    } else if (match.isMeasuring) {
      this.#store.act({ type: 'match', match: { ...match, isMeasuring: false } });
      const message = 'Levels cannot be matched in silence: choose an input and press Listen.';
      this.#store.act({ type: 'refuse', ref: '', slot: undefined, message });
    }
  }

  /** Shows an automatic switch of A and B on the screen. */
  #followTurns(): void {
    const { autoSwitches } = this.#session.readTelemetry();
    const since = autoSwitches - this.#autoSwitches;
    this.#autoSwitches = autoSwitches;
    // Fewer than before: sound was restarted.
    if (since > 0 && since % 2 === 1) {
      this.#store.act({ type: 'hear', slot: this.#store.state.heard === 'a' ? 'b' : 'a' });
    }
  }

  /** Sends the starting state; the builds themselves take the path of a swap. */
  #tellAll(state: BenchState): void {
    for (const { tell } of TELLINGS) tell(this.#session, state);
    this.#session.alternate(state.ear.switchEvery);
    this.#tellProbe(state);
    this.#followRate();
  }

  #follow(change: BenchChange): void {
    const { before, after } = change;
    this.#followRate();
    if (change.isOf('probe', 'isBypassed') || (after.probe !== undefined && isWiredAnew(before, after)))
      this.#tellProbe(after);
    for (const { of, tell } of TELLINGS) if (change.isOf(...of)) tell(this.#session, after);
    if (change.isOf('ear')) this.#tellEar(before, after);
    const hasBegun = isMatching(after) && !isMatching(before);
    // The new values are sent later, when the page is idle; earlier measurements no longer count.
    if (hasBegun || soundChange(soundAhead(before), soundAhead(after)) !== undefined)
      this.#session.measureLoudness();
  }

  #followSession(): void {
    const { sampleRateHz } = this.#session.state;
    const isOther = sampleRateHz !== this.#sampleRateHz;
    this.#sampleRateHz = sampleRateHz;
    const { state } = this.#store;
    if (isOther && state.speaker) tellSpeaker(this.#session, state);
    this.#followRate();
  }

  /** The rate depends on the builds; another rate needs newly compiled circuits. */
  #followRate(): void {
    const { state } = this.#store;
    const networks = networksOf(state);
    if (networks) this.#rate.follow(rateWish(networks, state));
    this.#store.follow();
  }

  #tellEar({ ear: before }: BenchState, { ear }: BenchState): void {
    const { difference, switchEvery } = ear;
    if (before.difference !== difference)
      this.#session.hearDifference(difference !== undefined, difference?.gainDb ?? 0);
    if (before.switchEvery !== switchEvery) this.#session.alternate(switchEvery);
  }

  /** A build that does not have the net is silent. */
  #tellProbe(state: BenchState): void {
    const { probe } = state;
    const nodeIn = (slot: Slot) => {
      if (probe === undefined) return undefined;
      const played = playedBuild(state, slot);
      return probedNode(played.build, pedalAsPlayed(played), probe, placeOf(played)) ?? null;
    };
    this.#session.setProbe({ a: nodeIn('a'), b: nodeIn('b') });
  }

  /** After a halt, Listen starts the sound again. */
  #stopListening(): void {
    if (this.#store.state.isListening) this.#store.act({ type: 'listen', isListening: false });
  }
}

/** The rate that a state of the bench needs. */
function rateWish(networks: Readonly<Record<Slot, Network>>, state: BenchState): RateWish {
  return {
    networks,
    pedals: { a: pedalsOn(state, 'a'), b: pedalsOn(state, 'b') },
    choice: state.rateChoice,
    isHeld: state.ear.blindTest !== undefined || state.match.isMeasuring,
  };
}

/** Receiver of swaps. */
export function soundOf(session: AudioSession, rate: RateDesk): SwapSound {
  return {
    circuitRateHzFor: (networks, state) =>
      session.state.sampleRateHz * rate.rateFor(rateWish(networks, state)).factor,
    setCircuit: (slot, circuit) => session.setCircuit(slot, circuit),
    setValues: (slot, numbers, glideSeconds) => session.setValues(slot, numbers, glideSeconds),
  };
}

/** Undefined where there are none. */
function networksOf(state: BenchState): Readonly<Record<Slot, Network>> | undefined {
  try {
    return playedNetworks(state);
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}

function tellListening(session: AudioSession, { isListening }: BenchState): void {
  if (isListening) void session.start();
  session.setMuted(!isListening);
}

function tellSpeaker(session: AudioSession, { speaker }: BenchState): void {
  const { sampleRateHz } = session.state;
  // Before the start there is no rate; it is sent again with one.
  if (speaker && !(sampleRateHz > 0)) return;
  session.setSpeaker(
    speaker ? speakerResponse(speaker.samples, speaker.sampleRateHz, sampleRateHz) : new Float64Array(0),
  );
}

const isMatching = ({ match }: BenchState): boolean => match.isMeasuring || match.isFollowing;

/** Whether nets may have been joined or separated; knobs and titles never do that. */
function isWiredAnew(before: Sides, { builds, places }: Sides): boolean {
  return SLOTS.some((slot) => {
    const { circuit, parts, switches } = builds[slot];
    const was = before.builds[slot];
    const isOther = circuit !== was.circuit || parts !== was.parts || switches !== was.switches;
    return isOther || places[slot] !== before.places[slot];
  });
}
