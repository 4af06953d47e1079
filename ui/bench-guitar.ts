import { inputCorrection } from '../engine/analysis/input-correction.ts';
import type { Build } from '../engine/builds/build.ts';
import { Refusal } from '../engine/input/refusal.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { SlotFollower } from './slot-follower.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { loadBehind, pedalAsPlayed } from './state/played-network.ts';

const NONE = new Float64Array(0);

/**
 * Corrects a live guitar from the load of the interface to that of each build. Other sources have the guitar as
 * parts before the build instead.
 */
export function followGuitar(store: BenchStore, session: AudioSession): void {
  new SlotFollower(store, session, {
    conditions: ({ guitar, after, source, isBypassed, temperatureC }) =>
      source.kind === 'live' && guitar.isOn
        ? JSON.stringify([guitar.instrument, after, isBypassed, temperatureC, session.state.sampleRateHz])
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
  { guitar, after, isBypassed, temperatureC }: BenchState,
  sampleRateHz: number,
): Float64Array {
  try {
    const pedal = pedalAsPlayed({ build, temperatureC, isBypassed, load: loadBehind({ after }) });
    return inputCorrection(pedal, guitar.instrument, sampleRateHz).coefficients;
  } catch (error) {
    if (error instanceof Refusal) return NONE;
    throw error;
  }
}
