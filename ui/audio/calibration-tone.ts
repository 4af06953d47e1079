/** A frequency that any multimeter measures correctly on AC. */
const TONE_HZ = 150;
/** About a quarter of full scale, which no interface's output clips; its RMS is that over √2. */
export const TONE_PEAK = 0.25;
const FADE_SECONDS = 0.2;

/** Starts a tone for the multimeter, past the builds. @returns What stops it. */
export function playCalibrationTone(context: AudioContext): () => void {
  const tone = new OscillatorNode(context, { frequency: TONE_HZ });
  const level = new GainNode(context, { gain: 0 });
  level.gain.linearRampToValueAtTime(TONE_PEAK, context.currentTime + FADE_SECONDS);
  tone.connect(level).connect(context.destination);
  tone.start();
  return () => {
    tone.stop();
    level.disconnect();
  };
}
