import type { Build } from '../../engine/builds/build.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import type { Instrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { OutputLoad } from '../../engine/builds/output-load.ts';
import { type Surroundings, withSurroundings } from '../../engine/builds/surroundings.ts';
import type { Network } from '../../engine/network/network.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';

/** The part of the state that decides the networks of its builds. */
export type PlayedState = Pick<
  BenchState,
  'builds' | 'temperatureC' | 'isBypassed' | 'guitar' | 'after' | 'source'
>;

/** One build as it is played: with bypass, temperature, guitar, and what follows it. */
export interface PlayedBuild extends Surroundings {
  readonly build: Build;
  readonly temperatureC: number;
  readonly isBypassed: boolean;
  /** Undefined where none is part of the network. */
  readonly instrument: Instrument | undefined;
  /** Undefined if the output is left open. */
  readonly load: OutputLoad | undefined;
}

export function playedBuild(state: PlayedState, slot: Slot): PlayedBuild {
  const { builds, temperatureC, isBypassed } = state;
  return {
    build: builds[slot],
    temperatureC,
    isBypassed,
    ...surroundings(state),
  };
}

/** What is before and after both builds. */
export function surroundings(state: Pick<PlayedState, 'guitar' | 'source' | 'after'>) {
  return { instrument: guitarAhead(state), load: loadBehind(state) } satisfies Surroundings;
}

export function playedNetwork(state: PlayedState, slot: Slot): Network {
  return networkAsPlayed(playedBuild(state, slot));
}

export function networkAsPlayed({ instrument, ...played }: PlayedBuild): Network {
  return withSurroundings(pedalAsPlayed(played), { instrument });
}

/** Without the guitar, from the pedal's input. */
export function pedalAsPlayed({
  build,
  temperatureC,
  isBypassed,
  load,
}: Omit<PlayedBuild, 'instrument'>): Network {
  const make = isBypassed ? bypassedNetworkOf : networkOf;
  return withSurroundings(make(build, kelvinOf(temperatureC)), { load });
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
