const hasAudio = 'AudioContext' in globalThis && 'BaseAudioContext' in globalThis;

/** Whether the browser runs processors by itself. */
const hasWorklet =
  hasAudio && 'AudioWorkletNode' in globalThis && 'audioWorklet' in BaseAudioContext.prototype;

/**
 * Whether the bench needs the stand-in for AudioWorklet. Where there is no Web Audio at all there is nothing to stand in
 * for, and the bench opens without sound.
 */
export const NEEDS_STAND_IN = hasAudio && !hasWorklet;
