import { encodeWav } from '../../engine/audio/wav.ts';
import { readJson } from '../../engine/input/json.ts';
import { databaseReason, readAll } from '../storage/database.ts';
import { allKeptTexts } from '../storage/kept-texts.ts';

/** A stored item, as a file. */
export interface KeptFile {
  readonly name: string;
  readonly content: Blob;
}

export interface KeptFiles {
  readonly files: readonly KeptFile[];
  /** Why something is missing, in one sentence. */
  readonly trouble: string | undefined;
}

/** Everything that the browser stores of the bench, unchanged, including parts that the bench could not read. */
export async function keptFiles(): Promise<KeptFiles> {
  const texts = allKeptTexts();
  const builds = buildFiles(texts.get('cliplead-bench'));
  const all = texts.size > 0 ? [textFile('cliplead.json', JSON.stringify(Object.fromEntries(texts)))] : [];
  try {
    const riffs = (await readAll('riffs')).flatMap(riffFile);
    return { files: [...builds, ...riffs, ...all], trouble: undefined };
  } catch (error) {
    return { files: [...builds, ...all], trouble: `Riffs cannot be read: ${databaseReason(error)}.` };
  }
}

/** Both builds as build files, if they can be read. */
function buildFiles(text: string | undefined): readonly KeptFile[] {
  const saved = readJson(text ?? '') as Record<string, unknown> | null | undefined;
  return (['a', 'b'] as const).flatMap((slot) => {
    const build = saved?.[slot];
    return typeof build === 'string' ? [textFile(`build-${slot.toUpperCase()}.build.json`, build)] : [];
  });
}

function textFile(name: string, text: string): KeptFile {
  return { name, content: new Blob([text], { type: 'application/json' }) };
}

/** The whole recording of a riff, not only its loop; a sample of 1 is 1 V. */
function riffFile(entry: unknown, index: number): readonly KeptFile[] {
  const { name, samples, sampleRateHz } = (entry ?? {}) as Record<string, unknown>;
  if (!(samples instanceof Float32Array) || typeof sampleRateHz !== 'number' || !(sampleRateHz > 0))
    return [];
  const wav = encodeWav({ channels: [Float64Array.from(samples)], sampleRateHz: Math.round(sampleRateHz) });
  const stem = String(name ?? '').replace(/[^\p{L}\p{N}]+/gu, '-');
  const content = new Blob([new Uint8Array(wav)], { type: 'audio/wav' });
  return [{ name: `riff-${index + 1}-${stem}.wav`, content }];
}
