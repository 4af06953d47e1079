import { firstChannelAt } from '../../engine/audio/recording-file.ts';
import {
  LONGEST_SOUND_SECONDS,
  MOST_COMPRESSED_BYTES,
  MOST_RECORDING_BYTES,
} from '../../engine/input/limits.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { oneLine, quoted } from '../../engine/input/shown-text.ts';
import list from '../../presets/recordings/recordings.json';
import { besidePage } from '../slices.ts';

const FILES = import.meta.glob<string>('../../presets/recordings/*.flac', {
  query: '?url',
  import: 'default',
  eager: true,
});

/** A recording that comes with Cliplead. */
export interface BundledRecording {
  readonly id: string;
  readonly title: string;
  readonly author: string;
  /** Assumed peak, V; how it was recorded is not known. */
  readonly peakVolts: number;
}

export const RECORDINGS: readonly BundledRecording[] = list.map(({ file, title, author, peakVolts }) => ({
  id: file,
  title,
  author,
  peakVolts,
}));

/** One channel at the context's rate. */
export interface LoadedSound {
  readonly samples: Float32Array<ArrayBuffer>;
  /** Largest magnitude, in units of full scale. */
  readonly peak: number;
  /** Damage of a file that plays all the same, in a sentence. */
  readonly warning: string | undefined;
}

/** A file without a playable sound; the message is one line, fit for the screen. */
export class SoundError extends Refusal {
  constructor(message: string) {
    super('source', oneLine(message));
  }
}

/** @throws SoundError where the recording cannot be fetched. */
export async function loadBundled(id: string, context: BaseAudioContext): Promise<LoadedSound> {
  const bytes = await fetchBytes(FILES[`../../presets/recordings/${id}`]);
  if (!bytes) throw new SoundError(`The recording "${id}" could not be loaded.`);
  return decoded(bytes, context.sampleRate, id);
}

async function fetchBytes(address: string | undefined): Promise<Uint8Array | undefined> {
  if (address === undefined) return undefined;
  try {
    const response = await fetch(address);
    return response.ok ? new Uint8Array(await response.arrayBuffer()) : undefined;
  } catch {
    // Without a network there is no response at all.
    return undefined;
  }
}

/**
 * First channel of the user's own file: WAV and FLAC are decoded here, so that their samples are exactly those of
 * the command line; anything else by the browser. Its length is checked before it is read.
 *
 * @throws SoundError if it is not a sound.
 */
export async function loadFile(file: File, context: BaseAudioContext): Promise<LoadedSound> {
  const marker = String.fromCharCode(...new Uint8Array(await bytesOf(file, 4)));
  const isOurs = marker === 'fLaC' || marker === 'RIFF';
  const most = isOurs ? MOST_RECORDING_BYTES : MOST_COMPRESSED_BYTES;
  if (file.size > most) {
    const [size, limit] = [file.size, most].map((bytes) => `${Math.round(bytes / 1e6)} MB`);
    throw new SoundError(`${quoted(file.name)} has ${size}; ${limit} is the most. Cut it shorter.`);
  }
  const bytes = await bytesOf(file, file.size);
  if (isOurs) return decoded(new Uint8Array(bytes), context.sampleRate, file.name);
  return withPeak(await decodedByBrowser(bytes, context, file.name), file.name, []);
}

async function decodedByBrowser(
  bytes: ArrayBuffer,
  context: BaseAudioContext,
  name: string,
): Promise<Float32Array<ArrayBuffer>> {
  let buffer: AudioBuffer;
  try {
    buffer = await context.decodeAudioData(bytes);
  } catch {
    throw new SoundError(`${quoted(name)} is not a recording that this browser can read.`);
  }
  if (buffer.duration > LONGEST_SOUND_SECONDS) {
    const minutes = LONGEST_SOUND_SECONDS / 60;
    throw new SoundError(
      `${quoted(name)} lasts ${Math.round(buffer.duration)} s: cut it to ${minutes} minutes.`,
    );
  }
  return buffer.getChannelData(0).slice();
}

/** @throws SoundError for something that cannot be read, such as a folder or a deleted file. */
async function bytesOf(file: File, length: number): Promise<ArrayBuffer> {
  try {
    return await file.slice(0, length).arrayBuffer();
  } catch {
    throw new SoundError(`${quoted(file.name)} cannot be read: it is a folder, or it is no longer there.`);
  }
}

async function decoded(bytes: Uint8Array, rateHz: number, name: string): Promise<LoadedSound> {
  try {
    const { samples, warnings } = await besidePage(firstChannelAt(bytes, rateHz));
    return withPeak(Float32Array.from(samples), name, warnings);
  } catch (error) {
    if (error instanceof Refusal) throw new SoundError(`${quoted(name)}: ${error.message}.`);
    throw error;
  }
}

function withPeak(
  samples: Float32Array<ArrayBuffer>,
  name: string,
  warnings: readonly string[],
): LoadedSound {
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  if (!(peak > 0)) throw new SoundError(`${quoted(name)} has only silence.`);
  const warning = warnings.length > 0 ? oneLine(`${quoted(name)}: ${warnings.join(' ')}`) : undefined;
  return { samples, peak, warning };
}
