import type { Recording } from '../../engine/audio/recording.ts';
import { decodeRecording } from '../../engine/audio/recording-file.ts';
import { resample } from '../../engine/audio/resample.ts';
import list from '../../presets/recordings/recordings.json';

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
  /** What its peak is taken to have been, V; how it was recorded is not known. */
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
}

/** A file that holds no sound that can be played; the message is fit for the screen. */
export class SoundError extends Error {}

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
 * the command line; anything else by the browser.
 *
 * @throws SoundError where it is no sound.
 */
export async function loadFile(file: File, context: BaseAudioContext): Promise<LoadedSound> {
  const bytes = await bytesOf(file);
  const marker = String.fromCharCode(...new Uint8Array(bytes.slice(0, 4)));
  if (marker === 'fLaC' || marker === 'RIFF') {
    return decoded(new Uint8Array(bytes), context.sampleRate, file.name);
  }
  try {
    const buffer = await context.decodeAudioData(bytes);
    return withPeak(buffer.getChannelData(0).slice(), file.name);
  } catch (error) {
    if (error instanceof SoundError) throw error;
    throw new SoundError(`"${file.name}" is no recording that this browser can read.`);
  }
}

/** @throws SoundError for what cannot be read, as a folder or a file that is gone. */
async function bytesOf(file: File): Promise<ArrayBuffer> {
  try {
    return await file.arrayBuffer();
  } catch {
    throw new SoundError(`"${file.name}" cannot be read: it is a folder, or it is no longer there.`);
  }
}

function decoded(bytes: Uint8Array, rateHz: number, name: string): LoadedSound {
  try {
    return toSound(decodeRecording(bytes), rateHz, name);
  } catch (error) {
    if (error instanceof SoundError) throw error;
    throw new SoundError(`"${name}": ${error instanceof Error ? error.message : error}`);
  }
}

function toSound({ channels, sampleRateHz }: Recording, rateHz: number, name: string): LoadedSound {
  const channel = channels[0] ?? new Float64Array(0);
  const samples = sampleRateHz === rateHz ? channel : resample(channel, sampleRateHz, rateHz);
  return withPeak(Float32Array.from(samples), name);
}

function withPeak(samples: Float32Array<ArrayBuffer>, name: string): LoadedSound {
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  if (!(peak > 0)) throw new SoundError(`"${name}" holds only silence.`);
  return { samples, peak };
}
