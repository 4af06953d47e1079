import { inputCorrection } from '../engine/analysis/input-correction.ts';
import { Refusal } from '../engine/input/refusal.ts';
import type { Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { dataText } from './data-text.ts';
import { SlotFollower } from './slot-follower.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { chainAround, pedalAsPlayed, playedBuild } from './state/played-network.ts';

const NONE = new Float64Array(0);

/**
 * Corrects a live guitar from the load of the interface to that of each build. Other sources have the guitar as
 * parts before the build instead.
 */
export function followGuitar(store: BenchStore, session: AudioSession): void {
  new SlotFollower(store, session, {
    conditions: ({ guitar, after, source, isBypassed, temperatureC, places }, slot) =>
      source.kind === 'live' && guitar.isOn
        ? dataText([
            guitar.instrument,
            after,
            isBypassed,
            temperatureC,
            session.state.sampleRateHz,
            chainAround({ places }, slot) ?? null,
          ])
        : '',
    tell: (slot, build) =>
      session.correctInput(slot, build ? correctionFor(store.state, slot, session.state.sampleRateHz) : NONE),
  });
}

function correctionFor(state: BenchState, slot: Slot, sampleRateHz: number): Float64Array {
  try {
    const pedal = pedalAsPlayed(playedBuild(state, slot));
    return inputCorrection(pedal, state.guitar.instrument, sampleRateHz).coefficients;
  } catch (error) {
    if (error instanceof Refusal) return NONE;
    throw error;
  }
}
