import { speakerResponse } from '../engine/audio/speaker.ts';
import type { Build } from '../engine/builds/build.ts';
import { bypassedNetworkOf } from '../engine/builds/bypassed-network.ts';
import { networkOf } from '../engine/builds/network-of-build.ts';
import { probedNode } from '../engine/builds/probe-nets.ts';
import { Refusal } from '../engine/input/refusal.ts';
import type { Network } from '../engine/network/network.ts';
import { kelvinOf } from '../engine/network/temperature.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { followGuitar } from './bench-guitar.ts';
import { followNoise } from './bench-noise.ts';
import { matchSeconds } from './ear/level-check.ts';
import type { RateDesk, RateWish } from './rate/rate-desk.ts';
import type { BenchChange } from './state/bench-change.ts';
import type { BenchState, Builds, LevelMatch } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { isSameSource, soundAhead, soundChange } from './state/matched-sound.ts';
import { playedNetworks, type SwapSound } from './swap/swap-path.ts';

/** Fields of the bench's state that the session is told as they are, each where it has changed. */
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
 * The one place where the bench's state becomes sound, but for the builds themselves, whose way is that of a swap: what
 * has changed is told to the session.
 */
export class BenchAudio {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  readonly #rate: RateDesk;
  #sampleRateHz: number;
  /** Turns of A and B that the state has followed. */
  #turns = 0;

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

  /** To be called at display rate: follows turns of A and B, ends a measurement of loudness. */
  tick(): void {
    this.#followTurns();
    this.#rate.tick();
    const { match } = this.#store.state;
    if (match.isMeasuring || match.isFollowing) this.#matchLevels(match);
  }

  /** Measures anew which rate the machine carries. */
  measureRate(): void {
    this.#rate.forget();
    this.#followRate();
  }

  /** Turns the louder build down once enough has been measured, and measures on to see how well that holds. */
  #matchLevels(match: LevelMatch): void {
    const { loudnessA, loudnessB, measuredSeconds } = this.#session.readTelemetry();
    const { roundSeconds, source } = this.#session.state;
    const isLoading = !isSameSource(source, this.#store.state.source);
    if (isLoading || measuredSeconds < matchSeconds(roundSeconds)) return;
    const difference = loudnessA - loudnessB;
    this.#session.measureLoudness();
    if (Number.isFinite(difference)) {
      const sound = soundAhead(this.#store.state);
      const db = { a: Math.min(0, -difference), b: Math.min(0, difference) };
      this.#store.act({ type: 'match', match: { ...match, db, sound, isMeasuring: false } });
    } else if (match.isMeasuring) {
      this.#store.act({ type: 'match', match: { ...match, isMeasuring: false } });
      const message = 'Levels cannot be matched in silence: choose an input and press Listen.';
      this.#store.act({ type: 'refuse', ref: '', slot: undefined, message });
    }
  }

  /** A and B have changed by themselves in the audio thread: so they do on the screen. */
  #followTurns(): void {
    const { turns } = this.#session.readTelemetry();
    const since = turns - this.#turns;
    this.#turns = turns;
    // Fewer than before: sound was restarted.
    if (since > 0 && since % 2 === 1) {
      this.#store.act({ type: 'hear', slot: this.#store.state.heard === 'a' ? 'b' : 'a' });
    }
  }

  /** What the bench starts with; the builds themselves go the way of a swap. */
  #tellAll(state: BenchState): void {
    for (const { tell } of TELLINGS) tell(this.#session, state);
    this.#session.alternate(state.ear.turn);
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
    // What is found while the page is idle is told later, but what was measured until now counts no longer.
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

  /** How fast circuits are to be solved depends on what plays; another rate needs other circuits. */
  #followRate(): void {
    const { state } = this.#store;
    const networks = networksOf(state);
    if (networks) this.#rate.follow(rateWish(networks, state));
    this.#store.follow();
  }

  #tellEar({ ear: before }: BenchState, { ear }: BenchState): void {
    const { difference, turn } = ear;
    if (before.difference !== difference)
      this.#session.hearDifference(difference !== undefined, difference?.gainDb ?? 0);
    if (before.turn !== turn) this.#session.alternate(turn);
  }

  /** A build that does not have the net is silent. */
  #tellProbe({ probe, builds, isBypassed, temperatureC }: BenchState): void {
    const make = isBypassed ? bypassedNetworkOf : networkOf;
    const nodeIn = (build: Build) =>
      probe === undefined
        ? undefined
        : (probedNode(build, make(build, kelvinOf(temperatureC)), probe) ?? null);
    this.#session.setProbe({ a: nodeIn(builds.a), b: nodeIn(builds.b) });
  }

  /** What was halted goes on with Listen. */
  #stopListening(): void {
    if (this.#store.state.isListening) this.#store.act({ type: 'listen', isListening: false });
  }
}

/** What is wished of the rate while a state of the bench is played. */
function rateWish(networks: Readonly<Record<Slot, Network>>, state: BenchState): RateWish {
  return {
    networks,
    choice: state.rateChoice,
    isHeld: state.ear.blindTest !== undefined || state.match.isMeasuring,
  };
}

/** What swaps are handed over to. */
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
  // Before sound is started there is no rate; it is told again with it.
  if (speaker && !(sampleRateHz > 0)) return;
  session.setSpeaker(
    speaker ? speakerResponse(speaker.samples, speaker.sampleRateHz, sampleRateHz) : new Float64Array(0),
  );
}

const isMatching = ({ match }: BenchState): boolean => match.isMeasuring || match.isFollowing;

/** Whether nets may have been joined or parted: knobs and titles do neither. */
function isWiredAnew({ builds: before }: BenchState, { builds }: { readonly builds: Builds }): boolean {
  return SLOTS.some((slot) => {
    const { circuit, parts, switches } = builds[slot];
    const was = before[slot];
    return circuit !== was.circuit || parts !== was.parts || switches !== was.switches;
  });
}
