import { Refusal } from '../engine/input/refusal.ts';
import { doJob } from './ear/ear-jobs.ts';
import type { FromEarWorker, ToEarWorker } from './ear/ear-messages.ts';
import type { Answer, FromAnalyser, ToAnalyser } from './plots/analysis-messages.ts';
import { analyse, type Query } from './plots/plot-analysis.ts';
import type { FromSwapWorker, ToSwapWorker } from './swap/swap-messages.ts';
import { SwapPreparer } from './swap/swap-preparer.ts';

const swaps = new SwapPreparer();

/**
 * Analyses, renders and prepares swaps beside the page's own thread, one request at a time. One script for all
 * of them, since all need the engine: the browser loads and compiles it once for any number of workers.
 */
addEventListener('message', ({ data }: MessageEvent<ToAnalyser | ToEarWorker | ToSwapWorker>) => {
  if ('query' in data) reply({ id: data.id, answer: answerTo(data.query) });
  else if ('swap' in data) reply({ id: data.id, answer: swaps.prepare(data.swap) });
  else render(data);
});

function reply(message: FromAnalyser | FromEarWorker | FromSwapWorker): void {
  postMessage(message);
}

function answerTo(query: Query): Answer {
  try {
    const result = analyse(query);
    return result === undefined ? { kind: 'none' } : { kind: 'result', result };
  } catch (error) {
    if (error instanceof Refusal) return { kind: 'refused', message: error.message };
    throw error;
  }
}

function render({ id, job }: ToEarWorker): void {
  try {
    const result = doJob(job, (share) => reply({ id, kind: 'progress', share }));
    reply({ id, kind: 'result', result });
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    reply({ id, kind: 'refused', code: error.code, message: error.message });
  }
}
