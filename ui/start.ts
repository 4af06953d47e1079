import { HAS_AUDIO_WORKLET } from './audio-worklet-support.ts';

/**
 * First script of the main page. Where AudioWorklet is missing, the bench opens on the fallback page: its
 * stand-in evaluates strings, which this page's content security policy forbids.
 */
if (HAS_AUDIO_WORKLET) {
  await import('./main.ts');
} else {
  location.replace(`./fallback.html${location.search}${location.hash}`);
}
