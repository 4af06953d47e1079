import { NEEDS_STAND_IN } from './audio-worklet-support.ts';
import { openBench } from './opening/open-bench.ts';

/**
 * First script of the fallback page: the replacement must load before Tone looks for AudioWorklet. This page's
 * policy permits more than the bench needs, so the main page opens instead if possible.
 */
if (!NEEDS_STAND_IN) location.replace(`./${location.search}${location.hash}`);
else
  openBench(async () => {
    await import('audioworklet-polyfill');
    await import('./main.ts');
  });
