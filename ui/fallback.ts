import { HAS_AUDIO_WORKLET } from './audio-worklet-support.ts';

/**
 * First script of the fallback page: the stand-in has to be there before Tone looks for AudioWorklet. This page's
 * policy permits more than the bench needs, so where it is not needed the main page opens instead.
 */
if (HAS_AUDIO_WORKLET) {
  location.replace(`./${location.search}${location.hash}`);
} else {
  await import('audioworklet-polyfill');
  await import('./main.ts');
}
