import { isRefusal } from '../state/bench-store.ts';
import { doJob } from './ear-jobs.ts';
import type { FromEarWorker, ToEarWorker } from './ear-messages.ts';

const reply = (message: FromEarWorker): void => postMessage(message);

/** Renders beside the page's own thread, one job at a time. */
addEventListener('message', ({ data: { id, job } }: MessageEvent<ToEarWorker>) => {
  try {
    const result = doJob(job, (share) => reply({ id, kind: 'progress', share }));
    reply({ id, kind: 'result', result });
  } catch (error) {
    if (!isRefusal(error) && !(error instanceof RangeError)) throw error;
    reply({ id, kind: 'refused', message: error.message });
  }
});
