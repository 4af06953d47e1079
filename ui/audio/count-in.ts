/** Pitch of the first beat and of the others, as metronomes have them; common practice, no source. */
const FIRST_HZ = 1500;
const OTHER_HZ = 1000;
/** Long enough to be heard as a click with a pitch. */
const CLICK_SECONDS = 0.04;
/** Peak of a click at an output level of 0 dB. */
const CLICK_PEAK = 0.25;

/**
 * Plays the beats before a recording, past the builds: all of them are given to the audio clock at once, so that the
 * page's work does not move them.
 *
 * @param level Factor of the output level. @returns What stops them.
 */
export function playCountIn(
  context: AudioContext,
  { beats, tempoBpm, level }: { readonly beats: number; readonly tempoBpm: number; readonly level: number },
): () => void {
  // Read once: the clock goes on while the clicks are made.
  const { currentTime } = context;
  const clicks = Array.from({ length: beats }, (_, beat) => {
    const startSeconds = currentTime + (beat * 60) / tempoBpm;
    return clickAt(context, startSeconds, beat === 0 ? FIRST_HZ : OTHER_HZ, level * CLICK_PEAK);
  });
  return () => {
    for (const click of clicks) click.stop();
  };
}

function clickAt(
  context: AudioContext,
  startSeconds: number,
  frequency: number,
  peak: number,
): OscillatorNode {
  const tone = new OscillatorNode(context, { frequency });
  const envelope = new GainNode(context, { gain: 0 });
  envelope.gain.setValueAtTime(peak, startSeconds);
  envelope.gain.linearRampToValueAtTime(0, startSeconds + CLICK_SECONDS);
  tone.connect(envelope).connect(context.destination);
  tone.onended = () => envelope.disconnect();
  tone.start(startSeconds);
  tone.stop(startSeconds + CLICK_SECONDS);
  return tone;
}
