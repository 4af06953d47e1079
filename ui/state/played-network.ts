import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { type Instrument, withInstrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { Network } from '../../engine/network/network.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';

/** What of the bench decides which network is played of its builds. */
export type PlayedState = Pick<BenchState, 'builds' | 'temperatureC' | 'isBypassed' | 'guitar' | 'source'>;

/** A build as it is played: bypassed or not, at the bench's temperature, a guitar ahead of it or not. */
export function playedNetwork(state: PlayedState, slot: Slot): Network {
  const make = state.isBypassed ? bypassedNetworkOf : networkOf;
  const network = make(state.builds[slot], kelvinOf(state.temperatureC));
  const instrument = guitarAhead(state);
  return instrument ? withInstrument(network, instrument) : network;
}

/** A live guitar is ahead of the interface itself. */
export function guitarAhead({
  guitar,
  source,
}: Pick<PlayedState, 'guitar' | 'source'>): Instrument | undefined {
  return guitar.isOn && source.kind !== 'live' ? guitar.instrument : undefined;
}
