import { inputCorrection } from '../engine/analysis/input-correction.ts';
import type { Build } from '../engine/builds/build.ts';
import { bypassedNetworkOf } from '../engine/builds/bypassed-network.ts';
import { networkOf } from '../engine/builds/network-of-build.ts';
import { Refusal } from '../engine/input/refusal.ts';
import { kelvinOf } from '../engine/network/temperature.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { SlotFollower } from './slot-follower.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';

const NONE = new Float64Array(0);

/**
 * Corrects a live guitar from the load of the interface to that of each build. Other sources have the guitar as
 * parts before the build instead.
 */
export function followGuitar(store: BenchStore, session: AudioSession): void {
  new SlotFollower(store, session, {
    conditions: ({ guitar, source, isBypassed, temperatureC }) =>
      source.kind === 'live' && guitar.isOn
        ? JSON.stringify([guitar.instrument, isBypassed, temperatureC, session.state.sampleRateHz])
        : '',
    tell: (slot, build) =>
      session.correctInput(
        slot,
        build ? correctionFor(build, store.state, session.state.sampleRateHz) : NONE,
      ),
  });
}

function correctionFor(
  build: Build,
  { guitar, isBypassed, temperatureC }: BenchState,
  sampleRateHz: number,
): Float64Array {
  const make = isBypassed ? bypassedNetworkOf : networkOf;
  try {
    const pedal = make(build, kelvinOf(temperatureC));
    return inputCorrection(pedal, guitar.instrument, sampleRateHz).coefficients;
  } catch (error) {
    if (error instanceof Refusal) return NONE;
    throw error;
  }
}
