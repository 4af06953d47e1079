import { roundTrip } from '../../engine/analysis/round-trip.ts';
import { recordLoop } from './loop-recording.ts';
import { isRefused } from './problems.ts';
import type { SessionStatus } from './session-status.ts';

/**
 * Measures the delay from the output to the live input that is open, while the builds are muted; does nothing otherwise.
 *
 * @param entry The node before the processor. @param heard Called when the test signal has been played.
 */
export async function measureRoundTrip(
  status: SessionStatus,
  context: AudioContext,
  entry: GainNode,
  heard: () => void,
): Promise<void> {
  const { isMuted, isMeasuringRoundTrip, input, sampleRateHz, latency } = status.state;
  if (!input || !isMuted || isMeasuringRoundTrip) return;
  const problems = status.problems('roundTrip', undefined);
  status.change({ isMeasuringRoundTrip: true, roundTrip: undefined, problems });
  try {
    const result = roundTrip(await recordLoop(context, entry), sampleRateHz);
    heard();
    const measured = { result, inputLabel: input.label, sampleRateHz, baseMs: latency.baseMs };
    status.change({ roundTrip: measured, isMeasuringRoundTrip: false });
  } catch (error) {
    status.change({ isMeasuringRoundTrip: false });
    if (!isRefused(error)) throw error;
    status.report('roundTrip', `The delay could not be measured (${error.message}).`);
  }
}
