import type { ChainPedal, ChainPlace } from '../../engine/builds/chain.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { Network } from '../../engine/network/network.ts';
import { GLIDE_SECONDS, SLOTS, type Slot, TEMPERATURE_GLIDE_SECONDS } from '../../worklets/bench-messages.ts';
import type { BenchRemote } from '../audio/bench-remote.ts';
import { withPedalNames } from '../pedal-names.ts';
import type { BenchState } from '../state/bench-state.ts';
import { pedalsOf } from '../state/chains.ts';
import { guitarAhead, loadBehind, type PlayedState, playedNetwork } from '../state/played-network.ts';
import type { SwapMaker } from './swap-maker.ts';
import type { PreparedBuild, SwapRequest, Unsolvable, WantedBuild } from './swap-messages.ts';

/** The receiver of swaps, and the rate at which its circuits are solved. */
export interface SwapSound extends Pick<BenchRemote, 'setCircuit' | 'setValues'> {
  /** For these networks, Hz. */
  circuitRateHzFor(networks: Readonly<Record<Slot, Network>>, state: BenchState): number;
}

/** A prepared state of the bench. */
export type Prepared =
  /** `handOver` sends the audio thread what it needs to play the state. */
  | { readonly kind: 'ready'; readonly handOver: () => void }
  | ({ readonly kind: 'refused' } & Unsolvable)
  /** The rate has changed meanwhile: it must be prepared again. */
  | { readonly kind: 'outdated' };

/** What the audio thread was sent for a build. */
interface Told {
  readonly played: string;
  readonly pedals: readonly ChainPedal[];
  /** Undefined if it could not be played. */
  readonly structureKey: string | undefined;
}

/**
 * The way of a swap from a state of the bench to the audio thread; see NOTES.md. It records what was sent last, so that
 * only builds that change are prepared, in a worker if possible.
 */
export class SwapPath {
  readonly #sound: SwapSound;
  readonly #maker: SwapMaker;
  #told: Readonly<Partial<Record<Slot, Told>>> = {};
  readonly #withCircuit = new Set<Slot>();
  #toldRateHz = 0;
  #toldCelsius = Number.NaN;

  constructor(sound: SwapSound, maker: SwapMaker) {
    this.#sound = sound;
    this.#maker = maker;
  }

  /** Whether the audio thread has been sent this state, at the rate that is needed now. */
  isTold(state: BenchState): boolean {
    if (!SLOTS.every((slot) => this.#isTold(state, slot))) return false;
    try {
      return this.#toldRateHz === this.#sound.circuitRateHzFor(playedNetworks(state), state);
    } catch (error) {
      if (error instanceof Refusal) return true;
      throw error;
    }
  }

  #isTold(state: BenchState, slot: Slot): boolean {
    const told = this.#told[slot];
    return (
      told !== undefined && told.played === playedText(state) && areAlike(told.pedals, pedalsOf(state, slot))
    );
  }

  /** Prepares a state. @param prepared Called once; immediately if no worker runs. */
  prepare(state: BenchState, isTurn: boolean, prepared: (outcome: Prepared) => void): void {
    const request = this.#requestOf(state, isTurn);
    if ('message' in request) {
      prepared({ kind: 'refused', ...request });
      return;
    }
    this.#maker.prepare(request, (answer) => {
      if (answer.kind === 'refused') prepared({ ...answer, message: withPedalNames(answer.message) });
      else if (this.#sound.circuitRateHzFor(playedNetworks(state), state) !== request.circuitRateHz) {
        prepared({ kind: 'outdated' });
      } else {
        const handOver = () => this.#handOver(state, request.circuitRateHz, answer.builds);
        prepared({ kind: 'ready', handOver });
      }
    });
  }

  /** Whether the audio thread has been handed a circuit for the slot. */
  hasCircuit(slot: Slot): boolean {
    return this.#withCircuit.has(slot);
  }

  /**
   * Gives one build of a state up, which cannot be played: what plays goes on. Not asked for again until it changes.
   * The other build is prepared next, unless the state has no networks: then every request of it is refused.
   */
  giveUp(state: BenchState, slot: Slot): void {
    const networks = networksOrProblem(state);
    const hasNone = 'message' in networks;
    const rateHz = hasNone ? this.#toldRateHz : this.#sound.circuitRateHzFor(networks, state);
    // At another rate both builds need other circuits.
    if (rateHz !== this.#toldRateHz) this.#told = {};
    this.#toldRateHz = rateHz;
    for (const each of hasNone ? SLOTS : [slot]) this.#note(state, each, this.#told[each]?.structureKey);
  }

  #requestOf(state: BenchState, isTurn: boolean): SwapRequest | Unsolvable {
    const networks = networksOrProblem(state);
    if ('message' in networks) return networks;
    const circuitRateHz = this.#sound.circuitRateHzFor(networks, state);
    const isSameRate = circuitRateHz === this.#toldRateHz;
    const builds: Partial<Record<Slot, WantedBuild>> = {};
    for (const slot of SLOTS) {
      if (isSameRate && this.#isTold(state, slot)) continue;
      builds[slot] = {
        network: networks[slot],
        engaged: state.isBypassed ? playedNetwork({ ...state, isBypassed: false }, slot) : undefined,
        playing: isSameRate ? this.#told[slot]?.structureKey : undefined,
      };
    }
    return { builds, circuitRateHz, isTurn };
  }

  #handOver(
    state: BenchState,
    circuitRateHz: number,
    builds: Readonly<Partial<Record<Slot, PreparedBuild>>>,
  ): void {
    const isWarmer = state.temperatureC !== this.#toldCelsius;
    this.#toldRateHz = circuitRateHz;
    this.#toldCelsius = state.temperatureC;
    for (const slot of SLOTS) {
      const prepared = builds[slot];
      this.#note(state, slot, prepared?.structureKey ?? this.#told[slot]?.structureKey);
      if (prepared?.kind === 'circuit') {
        this.#withCircuit.add(slot);
        this.#sound.setCircuit(slot, prepared.circuit);
      } else if (prepared) {
        this.#sound.setValues(slot, prepared.numbers, isWarmer ? TEMPERATURE_GLIDE_SECONDS : GLIDE_SECONDS);
      }
    }
  }

  #note(state: BenchState, slot: Slot, structureKey: string | undefined): void {
    const told = { played: playedText(state), pedals: pedalsOf(state, slot), structureKey };
    this.#told = { ...this.#told, [slot]: told };
  }
}

/** Whether two states sound the same: names, notes and other contents of the screen do not matter. */
export function isSameSound(one: PlayedState, other: PlayedState): boolean {
  if (one === other) return true;
  if (playedText(one) !== playedText(other)) return false;
  return SLOTS.every((slot) => areAlike(pedalsOf(one, slot), pedalsOf(other, slot)));
}

/** The same, for any positions of the knobs. */
export function isSameButForKnobs(one: PlayedState, other: PlayedState): boolean {
  if (playedText(one) !== playedText(other)) return false;
  return SLOTS.every((slot) => areAlike(pedalsOf(one, slot), pedalsOf(other, slot), false));
}

/** Whether two chains are played alike; the cable of the last pedal is of no effect. */
function areAlike(one: readonly ChainPedal[], other: readonly ChainPedal[], hasKnobs = true): boolean {
  return (
    one.length === other.length &&
    one.every((pedal, index) => {
      const { build, isOn, cableMetres } = other[index]!;
      const isLast = index === one.length - 1;
      return (
        pedal.isOn === isOn &&
        (isLast || pedal.cableMetres === cableMetres) &&
        isPlayedAlike(pedal.build, build, hasKnobs)
      );
    })
  );
}

type PlayedBuild = PlayedState['builds'][Slot];

function isPlayedAlike(one: PlayedBuild, other: PlayedBuild, hasKnobs: boolean): boolean {
  return (
    one.circuit === other.circuit &&
    one.bypass === other.bypass &&
    isSameData(one.parts, other.parts) &&
    (!hasKnobs || isSameData(one.knobs, other.knobs)) &&
    isSameData(one.switches, other.switches)
  );
}

/** Edits keep unchanged parts as the same object; the same edit made twice gives two objects. */
function isSameData(one: object, other: object): boolean {
  return one === other || JSON.stringify(one) === JSON.stringify(other);
}

/** Everything besides the chains that changes how they are played, as one text. */
function playedText(state: Omit<PlayedState, 'builds' | 'places'>): string {
  const { temperatureC, isBypassed } = state;
  return JSON.stringify([temperatureC, isBypassed, guitarAhead(state) ?? null, loadBehind(state) ?? null]);
}

/** A network takes half a millisecond to make, and longer with ceramic capacitors, so the last one of each build is kept. */
const made = new WeakMap<PlayedBuild, Made>();

interface Made {
  readonly played: string;
  readonly place: ChainPlace;
  readonly network: Network;
}

/** What both builds play. @throws BuildError. */
export function playedNetworks(state: PlayedState): Readonly<Record<Slot, Network>> {
  return { a: networkIn(state, 'a'), b: networkIn(state, 'b') };
}

function networksOrProblem(state: PlayedState): Readonly<Record<Slot, Network>> | Unsolvable {
  for (const slot of SLOTS) {
    try {
      networkIn(state, slot);
    } catch (error) {
      if (error instanceof Refusal) return { slot, message: withPedalNames(error.message) };
      throw error;
    }
  }
  return playedNetworks(state);
}

function networkIn(state: PlayedState, slot: Slot): Network {
  const build = state.builds[slot];
  const place = state.places[slot];
  const played = playedText(state);
  const known = made.get(build);
  if (known?.played === played && known.place === place) return known.network;
  const network = playedNetwork(state, slot);
  made.set(build, { played, place, network });
  return network;
}
