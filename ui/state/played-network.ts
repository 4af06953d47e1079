import type { Build } from '../../engine/builds/build.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { type Instrument, withInstrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { Network } from '../../engine/network/network.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';

/** The part of the state that decides the networks of its builds. */
export type PlayedState = Pick<BenchState, 'builds' | 'temperatureC' | 'isBypassed' | 'guitar' | 'source'>;

/** One build as it is played: with bypass, temperature, and guitar. */
export interface PlayedBuild {
  readonly build: Build;
  readonly temperatureC: number;
  readonly isBypassed: boolean;
  /** Undefined where none is part of the network. */
  readonly instrument: Instrument | undefined;
}

export function playedBuild(state: PlayedState, slot: Slot): PlayedBuild {
  const { builds, temperatureC, isBypassed } = state;
  return { build: builds[slot], temperatureC, isBypassed, instrument: guitarAhead(state) };
}

export function playedNetwork(state: PlayedState, slot: Slot): Network {
  return networkAsPlayed(playedBuild(state, slot));
}

export function networkAsPlayed({ build, temperatureC, isBypassed, instrument }: PlayedBuild): Network {
  const make = isBypassed ? bypassedNetworkOf : networkOf;
  const network = make(build, kelvinOf(temperatureC));
  return instrument ? withInstrument(network, instrument) : network;
}

/** A live guitar is not part of the network. */
export function guitarAhead({
  guitar,
  source,
}: Pick<PlayedState, 'guitar' | 'source'>): Instrument | undefined {
  return guitar.isOn && source.kind !== 'live' ? guitar.instrument : undefined;
}
