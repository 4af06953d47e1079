/** Whether the browser itself has AudioWorklet: then the bench is on the main page, else on the fallback page. */
export const HAS_AUDIO_WORKLET =
  'AudioWorkletNode' in globalThis && 'audioWorklet' in BaseAudioContext.prototype;
