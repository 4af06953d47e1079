import { parentPort } from 'node:worker_threads';
import { doSpreadTask, type SpreadTask } from '../analysis/spread-tasks.ts';
import { Refusal } from '../input/refusal.ts';

/** A spread worker answers one task at a time: with the answer, or with why there is none. */
parentPort?.on('message', (task: SpreadTask) => {
  try {
    parentPort?.postMessage({ answer: doSpreadTask(task) });
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    parentPort?.postMessage({ refused: { code: error.code, message: error.message } });
  }
});
