import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { type Instrument, withInstrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { Network } from '../../engine/network/network.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';

/** The part of the state that decides the networks of its builds. */
export type PlayedState = Pick<BenchState, 'builds' | 'temperatureC' | 'isBypassed' | 'guitar' | 'source'>;

/** The network of a build as it is played: with bypass, temperature, and guitar. */
export function playedNetwork(state: PlayedState, slot: Slot): Network {
  const make = state.isBypassed ? bypassedNetworkOf : networkOf;
  const network = make(state.builds[slot], kelvinOf(state.temperatureC));
  const instrument = guitarAhead(state);
  return instrument ? withInstrument(network, instrument) : network;
}

/** A live guitar is not part of the network. */
export function guitarAhead({
  guitar,
  source,
}: Pick<PlayedState, 'guitar' | 'source'>): Instrument | undefined {
  return guitar.isOn && source.kind !== 'live' ? guitar.instrument : undefined;
}
