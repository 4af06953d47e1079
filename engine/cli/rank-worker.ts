import { parentPort } from 'node:worker_threads';
import {
  type PresentPart,
  type RankSettings,
  type RateNeed,
  rankCandidate,
  rateNeed,
} from '../analysis/rank.ts';
import type { Candidate } from '../analysis/rank-candidates.ts';

/** A ranking worker gets the settings first, then candidates, one at a time; each is answered. */
export type ToRankWorker =
  | { readonly settings: RankSettings; readonly present?: PresentPart }
  | { readonly candidate: Candidate; readonly need?: RateNeed | undefined };

let [settings, present]: [RankSettings | undefined, PresentPart | undefined] = [undefined, undefined];
parentPort?.on('message', (message: ToRankWorker) => {
  if ('settings' in message) [settings, present] = [message.settings, message.present];
  else if (!settings) throw new Error('a candidate came before the settings');
  else if (present)
    parentPort?.postMessage(rankCandidate(settings, present, message.candidate, message.need));
  else parentPort?.postMessage(rateNeed(settings, message.candidate));
});
