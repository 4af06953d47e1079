import { Refusal } from '../../engine/input/refusal.ts';
import { blocksPerTiming, measureShares, type RateTrial, type RateTrialResult } from './rate-trial.ts';

/** Measures in its own thread: one trial a message, one result each. */
addEventListener('message', ({ data }: MessageEvent<RateTrial>) => {
  postMessage(resultOf(data));
});

function resultOf(trial: RateTrial): RateTrialResult {
  try {
    const now = () => performance.now();
    return { kind: 'shares', shares: measureShares(trial, now, blocksPerTiming(now)) };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { kind: 'failed', because: error.message };
  }
}
