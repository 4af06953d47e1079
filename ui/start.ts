import { NEEDS_STAND_IN } from './audio-worklet-support.ts';
import { openBench } from './opening/open-bench.ts';

/**
 * First script of the main page. Where AudioWorklet is missing, the bench opens on the fallback page: its
 * stand-in evaluates strings, which this page's content security policy forbids.
 */
if (NEEDS_STAND_IN) location.replace(`./fallback.html${location.search}${location.hash}`);
else openBench(() => import('./main.ts'));
