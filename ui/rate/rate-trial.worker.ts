import { Refusal } from '../../engine/input/refusal.ts';
import {
  blocksPerTiming,
  type CauseTrial,
  measureCause,
  measureShares,
  type RateTrial,
  type TrialAnswer,
} from './rate-trial.ts';

/** Measures in its own thread: one trial a message, one answer each. */
addEventListener('message', ({ data }: MessageEvent<RateTrial | CauseTrial>) => {
  postMessage(answerTo(data));
});

function answerTo(trial: RateTrial | CauseTrial): TrialAnswer {
  try {
    const now = () => performance.now();
    const groupBlocks = blocksPerTiming(now);
    return 'at' in trial
      ? { kind: 'cause', cause: measureCause(trial, now, groupBlocks) }
      : { kind: 'shares', shares: measureShares(trial, now, groupBlocks) };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { kind: 'failed', because: error.message };
  }
}
