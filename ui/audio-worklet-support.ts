const hasAudio = 'AudioContext' in globalThis && 'BaseAudioContext' in globalThis;

/** Whether the browser runs processors by itself. */
const hasWorklet =
  hasAudio && 'AudioWorkletNode' in globalThis && 'audioWorklet' in BaseAudioContext.prototype;

/**
 * Whether the bench needs the replacement for AudioWorklet. Without Web Audio it does not help, and the bench
 * opens without sound.
 */
export const NEEDS_STAND_IN = hasAudio && !hasWorklet;
