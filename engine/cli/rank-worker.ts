import { parentPort, workerData } from 'node:worker_threads';
import { type PresentPart, type RankSettings, rankCandidate } from '../analysis/rank.ts';
import type { Candidate } from '../analysis/rank-candidates.ts';

/** What a worker of the ranking is started with; it is then sent one candidate at a time. */
export interface RankWorkerData {
  readonly settings: RankSettings;
  readonly present: PresentPart;
}

const { settings, present } = workerData as RankWorkerData;
parentPort?.on('message', (candidate: Candidate) => {
  parentPort?.postMessage(rankCandidate(settings, present, candidate));
});
