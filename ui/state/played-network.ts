import type { Build } from '../../engine/builds/build.ts';
import {
  type Chain,
  type ChainPedal,
  type ChainPlace,
  chainWith,
  LONE,
  networkOfPedal,
} from '../../engine/builds/chain.ts';
import type { Instrument } from '../../engine/builds/instrument.ts';
import type { OutputLoad } from '../../engine/builds/output-load.ts';
import { type Surroundings, withSurroundings } from '../../engine/builds/surroundings.ts';
import type { FootswitchPosition } from '../../engine/circuits/circuit.ts';
import type { Network } from '../../engine/network/network.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';
import { isAlone } from './chains.ts';

/** The part of the state that decides the networks of its builds. */
export type PlayedState = Pick<
  BenchState,
  'builds' | 'places' | 'temperatureC' | 'isBypassed' | 'guitar' | 'after' | 'source'
>;

/** One build as it is played: with bypass, temperature, guitar, the rest of its chain, and what follows that. */
export interface PlayedBuild extends Surroundings {
  readonly build: Build;
  readonly temperatureC: number;
  readonly isBypassed: boolean;
  /** Undefined where none is part of the network. */
  readonly instrument: Instrument | undefined;
  /** Undefined if the output is left open. */
  readonly load: OutputLoad | undefined;
  /** Undefined for a pedal alone. */
  readonly chain: ChainPlace | undefined;
}

export function playedBuild(state: PlayedState, slot: Slot): PlayedBuild {
  const { builds, temperatureC, isBypassed } = state;
  return {
    build: builds[slot],
    temperatureC,
    isBypassed,
    ...surroundings(state, slot),
  };
}

/** What is before and after the build of a side. */
export function surroundings(state: Pick<PlayedState, 'guitar' | 'source' | 'after' | 'places'>, slot: Slot) {
  return {
    instrument: guitarAhead(state),
    load: loadBehind(state),
    chain: chainAround(state, slot),
  } satisfies Surroundings;
}

/** The chain of a side, as the pedal that is looked at sees it; undefined for a pedal alone. */
export function chainAround({ places }: Pick<PlayedState, 'places'>, slot: Slot): ChainPlace | undefined {
  return isAlone(places[slot]) ? undefined : places[slot];
}

/** The bypass of the bench switches every pedal off. */
export function chainHeard(chain: ChainPlace | undefined, isBypassed: boolean): ChainPlace | undefined {
  if (!chain || !isBypassed) return chain;
  const off = (pedals: readonly ChainPedal[]) => pedals.map((pedal) => ({ ...pedal, isOn: false }));
  return { ...chain, before: off(chain.before), after: off(chain.after), isOn: false };
}

/** The pedals of a side that are on, in the order of the signal; none while the bench is bypassed. */
export function pedalsOn({ builds, places, isBypassed }: PlayedState, slot: Slot): readonly ChainPedal[] {
  return isBypassed ? [] : chainWith(builds[slot], places[slot]).pedals.filter(({ isOn }) => isOn);
}

export function playedNetwork(state: PlayedState, slot: Slot): Network {
  return networkAsPlayed(playedBuild(state, slot));
}

export function networkAsPlayed({ instrument, ...played }: PlayedBuild): Network {
  return withSurroundings(pedalAsPlayed(played), { instrument });
}

/** Without the guitar, from the input of the pedal or of its chain. */
export function pedalAsPlayed(played: Omit<PlayedBuild, 'instrument'>): Network {
  const { build, temperatureC, isBypassed, load } = played;
  const chain = chainHeard(played.chain, isBypassed);
  const isOn = positionOf(played) === 'on';
  return withSurroundings(networkOfPedal({ build, isOn }, kelvinOf(temperatureC)), { load, chain });
}

/** Its pedals, as they are switched; one for a pedal alone. */
export function chainPlayed(played: Pick<PlayedBuild, 'build' | 'isBypassed' | 'chain'>): Chain {
  const alone = { ...LONE, isOn: positionOf(played) === 'on' };
  return chainWith(played.build, chainHeard(played.chain, played.isBypassed) ?? alone);
}

/** Of the footswitch of the build itself. */
export function positionOf({
  isBypassed,
  chain,
}: Pick<PlayedBuild, 'isBypassed' | 'chain'>): FootswitchPosition {
  return isBypassed || chain?.isOn === false ? 'bypassed' : 'on';
}

/** Where the nets of the build are in what is played: see `probedNode`. */
export function placeOf(played: Pick<PlayedBuild, 'isBypassed' | 'chain'>): FootswitchPosition | ChainPlace {
  return chainHeard(played.chain, played.isBypassed) ?? positionOf(played);
}

export function loadBehind({ after }: Pick<PlayedState, 'after'>): OutputLoad | undefined {
  return after.isOn ? after.load : undefined;
}

/** A live guitar is not part of the network. */
export function guitarAhead({
  guitar,
  source,
}: Pick<PlayedState, 'guitar' | 'source'>): Instrument | undefined {
  return guitar.isOn && source.kind !== 'live' ? guitar.instrument : undefined;
}
