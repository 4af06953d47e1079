import { speakerResponse } from '../engine/audio/speaker.ts';
import type { Build } from '../engine/builds/build.ts';
import { bypassedNetworkOf } from '../engine/builds/bypassed-network.ts';
import { networkOf } from '../engine/builds/network-of-build.ts';
import { probedNode } from '../engine/builds/probe-nets.ts';
import { Refusal } from '../engine/input/refusal.ts';
import type { Network } from '../engine/network/network.ts';
import { kelvinOf } from '../engine/network/temperature.ts';
import { circuitNumbers, circuitValues, compileCircuit } from '../engine/solver/compile.ts';
import type { OperatingPoint } from '../engine/solver/operating-point.ts';
import { warmUp } from '../engine/solver/warm-up.ts';
import { GLIDE_SECONDS, SLOTS, type Slot, TEMPERATURE_GLIDE_SECONDS } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { followGuitar } from './bench-guitar.ts';
import { followNoise } from './bench-noise.ts';
import { LETTER } from './components/bench-element.ts';
import { matchSeconds } from './ear/level-check.ts';
import { measureInWorker, RateDesk } from './rate/rate-desk.ts';
import type { BenchState, Builds, LevelMatch } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { isSameSource, soundAhead, soundChange } from './state/matched-sound.ts';
import { guitarAhead, playedNetwork } from './state/played-network.ts';
import { playedConditions } from './state/rest-states.ts';

/** The one place where the bench's state becomes sound: what changed there is told to the session. */
export class BenchAudio {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  #told: BenchState | undefined;
  readonly #structures = new Map<Slot, string>();
  /** The rest state that each slot was told. */
  readonly #rests = new Map<Slot, OperatingPoint>();
  readonly #rate: RateDesk;
  /** What is played of each build, and the state that it was made for. */
  #networks: Partial<Readonly<Record<Slot, Network>>> = {};
  #made: BenchState | undefined;
  #toldNetworks: Partial<Readonly<Record<Slot, Network>>> = {};
  #toldRateHz = 0;
  #toldSampleRateHz = 0;
  /** Turns of A and B that the state has followed. */
  #turns = 0;

  constructor(store: BenchStore, session: AudioSession) {
    this.#store = store;
    this.#session = session;
    this.#rate = new RateDesk(session, measureInWorker);
    store.addEventListener('change', () => this.#follow());
    session.addEventListener('change', () => this.#follow());
    session.addEventListener('halt', () => this.#stopListening());
    followNoise(store, session);
    followGuitar(store, session);
    this.#follow();
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
    this.#follow();
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
    // Fewer than before: sound was started anew.
    if (since > 0 && since % 2 === 1) {
      this.#store.act({ type: 'hear', slot: this.#store.state.heard === 'a' ? 'b' : 'a' });
    }
  }

  #follow(): void {
    const { state } = this.#store;
    const networks = this.#networksOf(state);
    // Ahead of the rest, since it may change the session, and so come back here.
    this.#rate.follow({
      networks,
      choice: state.rateChoice,
      isHeld: state.ear.blindTest !== undefined || state.match.isMeasuring,
    });
    const told = this.#told;
    this.#told = state;
    const { circuitRateHz } = this.#session;
    const { sampleRateHz } = this.#session.state;
    const isOtherSampleRate = sampleRateHz !== this.#toldSampleRateHz;
    this.#toldSampleRateHz = sampleRateHz;
    const isOtherRate = circuitRateHz !== this.#toldRateHz;
    this.#toldRateHz = circuitRateHz;
    const isOtherTemperature = told?.temperatureC !== state.temperatureC;
    const toldNetworks = this.#toldNetworks;
    // Ahead of the telling: what is refused comes back here.
    this.#toldNetworks = networks;
    for (const slot of SLOTS) {
      const isOther = networks[slot] !== toldNetworks[slot];
      if (isOther || isOtherRate) this.#tellBuild(slot, networks[slot], { isOtherRate, isOtherTemperature });
    }
    const isOtherProbe = told?.probe !== state.probe || told?.isBypassed !== state.isBypassed;
    if (isOtherProbe || (state.probe !== undefined && isWiredAnew(state.builds, told.builds)))
      this.#tellProbe(state);
    if (told?.heard !== state.heard) this.#session.hear(state.heard);
    if (told?.ear.difference !== state.ear.difference) {
      const { difference } = state.ear;
      this.#session.hearDifference(difference !== undefined, difference?.gainDb ?? 0);
    }
    if (told?.ear.turn !== state.ear.turn) this.#session.alternate(state.ear.turn);
    if (told?.isListening !== state.isListening) this.#tellListening(state);
    const isOtherSetting =
      told?.outputDb !== state.outputDb ||
      told.hasStandIn !== state.hasStandIn ||
      told.match.db !== state.match.db;
    if (isOtherSetting) {
      this.#session.setSettings({
        outputDb: state.outputDb,
        standIn: state.hasStandIn,
        matchDb: state.match.db,
      });
    }
    if (told?.speaker !== state.speaker || (isOtherSampleRate && state.speaker)) this.#tellSpeaker(state);
    if (told?.calibration !== state.calibration) this.#session.setInterfaceVolts(state.calibration.volts);
    const isMatching = state.match.isMeasuring || state.match.isFollowing;
    const isFirst = isMatching && !(told?.match.isMeasuring || told?.match.isFollowing);
    // What is found while the page is idle is told later, but what was measured until now counts no longer.
    if (isFirst || (told && soundChange(soundAhead(told), soundAhead(state)) !== undefined))
      this.#session.measureLoudness();
  }

  /** What is played of both builds; the same objects while nothing about them has changed. */
  #networksOf(state: BenchState): Readonly<Record<Slot, Network>> {
    const before = this.#made;
    this.#made = state;
    const isOther = (slot: Slot) =>
      before?.builds[slot] !== state.builds[slot] ||
      before.isBypassed !== state.isBypassed ||
      guitarAhead(before) !== guitarAhead(state) ||
      before.temperatureC !== state.temperatureC;
    const networkIn = (slot: Slot) => {
      const known = isOther(slot) ? undefined : this.#networks[slot];
      return known ?? playedNetwork(state, slot);
    };
    const networks = { a: networkIn('a'), b: networkIn('b') };
    this.#networks = networks;
    return networks;
  }

  #tellSpeaker({ speaker }: BenchState): void {
    const { sampleRateHz } = this.#session.state;
    // Before sound is started there is no rate; it is told again with it.
    if (speaker && !(sampleRateHz > 0)) return;
    this.#session.setSpeaker(
      speaker ? speakerResponse(speaker.samples, speaker.sampleRateHz, sampleRateHz) : new Float64Array(0),
    );
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

  #tellListening({ isListening }: BenchState): void {
    if (isListening) void this.#session.start();
    this.#session.setMuted(!isListening);
  }

  /** What cannot be solved is said, and goes on sounding as it was. */
  #tellBuild(slot: Slot, network: Network, change: Change): void {
    try {
      this.#tellSolved(slot, network, change);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.#store.act({ type: 'refuse', ref: '', slot, message: `${goesOn(slot)}: ${error.message}` });
    }
  }

  #tellSolved(slot: Slot, network: Network, { isOtherRate, isOtherTemperature }: Change): void {
    const options = { sampleRateHz: this.#session.circuitRateHz };
    const { structureKey } = circuitValues(network, options);
    const isValuesOnly = !isOtherRate && structureKey === this.#structures.get(slot);
    const rest = this.#restOf(slot, network, isValuesOnly ? this.#rests.get(slot) : undefined);
    if (isValuesOnly) {
      const glideSeconds = isOtherTemperature ? TEMPERATURE_GLIDE_SECONDS : GLIDE_SECONDS;
      this.#rests.set(slot, rest);
      this.#session.setValues(slot, circuitNumbers(network, rest), glideSeconds);
      return;
    }
    const circuit = compileCircuit(network, { ...options, paired: true, rest });
    if (!circuit.module) {
      // Without emitted code it would take many times longer than the audio thread has.
      this.#structures.delete(slot);
      this.#store.act({ type: 'refuse', ref: '', slot, message: tooEntangled(slot) });
      return;
    }
    warmUp(circuit);
    this.#structures.set(slot, structureKey);
    this.#rests.set(slot, rest);
    this.#session.setCircuit(slot, circuit);
  }

  /** The store has solved most of them to check an edit. */
  #restOf(slot: Slot, network: Network, near: OperatingPoint | undefined): OperatingPoint {
    const { rests, state } = this.#store;
    const conditions = playedConditions({ ...state, instrument: guitarAhead(state) });
    return rests.of(state.builds[slot], conditions, () => network, near);
  }
}

/** What has changed beside the build itself. */
interface Change {
  readonly isOtherRate: boolean;
  readonly isOtherTemperature: boolean;
}

/** Whether nets may have been joined or parted: knobs and titles do neither. */
function isWiredAnew(builds: Builds, before: Builds): boolean {
  return SLOTS.some((slot) => {
    const { circuit, parts, switches } = builds[slot];
    const was = before[slot];
    return circuit !== was.circuit || parts !== was.parts || switches !== was.switches;
  });
}

function goesOn(slot: Slot): string {
  return `${LETTER[slot]} goes on sounding as before`;
}

function tooEntangled(slot: Slot): string {
  return `${goesOn(slot)}: without a capacitor on its bias or supply, or with so many parts in series and parallel, all its stages have to be solved at once, which takes too long to be played live. The command line can render it.`;
}
