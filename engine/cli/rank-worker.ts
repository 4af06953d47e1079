import { parentPort, workerData } from 'node:worker_threads';
import { type PresentPart, type RankSettings, rankCandidate } from '../analysis/rank.ts';
import type { Candidate } from '../analysis/rank-candidates.ts';

/** Start data of a ranking worker; then it gets one candidate at a time. */
export interface RankWorkerData {
  readonly settings: RankSettings;
  readonly present: PresentPart;
}

const { settings, present } = workerData as RankWorkerData;
parentPort?.on('message', (candidate: Candidate) => {
  parentPort?.postMessage(rankCandidate(settings, present, candidate));
});
