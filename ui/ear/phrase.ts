import { Refusal } from '../../engine/input/refusal.ts';
import type { AudioSession } from '../audio/audio-session.ts';
import type { BenchState } from '../state/bench-state.ts';

/** Dry notes for a render: volts at their sample rate. */
export interface Phrase {
  readonly inputV: Float64Array;
  readonly sampleRateHz: number;
}

/**
 * The present source as a phrase: one loop of the riff, or a recording, string or file.
 *
 * @throws Refusal that says what to do if there are no notes.
 */
export async function readPhrase(
  { source, ear }: Pick<BenchState, 'source'> & { readonly ear: Pick<BenchState['ear'], 'riffs'> },
  session: Pick<AudioSession, 'readSource'>,
  options: { readonly isQuiet?: boolean } = {},
): Promise<Phrase> {
  if (source.kind === 'riff') {
    const riff = ear.riffs.find(({ id }) => id === source.id);
    if (riff) {
      const round = riff.samples.subarray(riff.startFrame, riff.endFrame);
      return { inputV: Float64Array.from(round), sampleRateHz: riff.sampleRateHz };
    }
  }
  if (source.kind === 'live')
    throw new Refusal('source', 'A live input has no end: record a riff first, or choose a recording.');
  const sound = await session.readSource(source, options);
  if (!sound) throw new Refusal('source', 'Nothing plays: choose a riff or a recording first.');
  return { inputV: Float64Array.from(sound.samples), sampleRateHz: sound.sampleRateHz };
}

/** The first seconds of a phrase, for what would take too long over all of it. */
export function shortened({ inputV, sampleRateHz }: Phrase, seconds: number): Phrase {
  return { inputV: inputV.slice(0, Math.round(seconds * sampleRateHz)), sampleRateHz };
}
