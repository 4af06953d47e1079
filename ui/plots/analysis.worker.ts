import { isRefusal } from '../state/bench-store.ts';
import type { Answer, FromAnalyser, ToAnalyser } from './analysis-messages.ts';
import { analyse, type Query } from './plot-analysis.ts';

/** Analyses beside the page's own thread, so that the page stays fluid. */
addEventListener('message', ({ data }: MessageEvent<ToAnalyser>) => {
  const reply: FromAnalyser = { id: data.id, answer: answerTo(data.query) };
  postMessage(reply);
});

function answerTo(query: Query): Answer {
  try {
    const result = analyse(query);
    return result === undefined ? { kind: 'none' } : { kind: 'result', result };
  } catch (error) {
    if (isRefusal(error)) return { kind: 'refused', message: error.message };
    throw error;
  }
}
