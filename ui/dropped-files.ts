import { quoted } from '../engine/input/shown-text.ts';

/** What files that were dropped together are taken for. */
export interface DroppedFiles {
  readonly build: File | undefined;
  readonly recording: File | undefined;
  /** Those for which there was no place any more. */
  readonly left: readonly File[];
}

type FileKind = 'build' | 'recording';

const BUILD_NAME = /\.json$/i;
const RECORDING_NAME = /\.(wave?|flac|mp3|og[ag]|opus|m4a|aac|aiff?|webm|mp4)$/i;
/** Enough for what stands ahead of a build file's first brace: a byte order mark, spaces, empty lines. */
const FIRST_BYTES = 64;
/** Names that are told of those that were left; longer lists end with a number. */
const NAMES_TOLD = 3;

/** The first build and the first recording of what was dropped. */
export async function sortDropped(files: readonly File[]): Promise<DroppedFiles> {
  const kinds = await Promise.all(files.map(kindOf));
  const first = (kind: FileKind) => files[kinds.indexOf(kind)];
  const build = first('build');
  const recording = first('recording');
  return { build, recording, left: files.filter((file) => file !== build && file !== recording) };
}

/** One sentence on the files that were left; undefined where none was. */
export function leftText(left: readonly File[]): string | undefined {
  if (left.length === 0) return undefined;
  const names = left.slice(0, NAMES_TOLD).map(({ name }) => quoted(name));
  const more = left.length > NAMES_TOLD ? ` and ${left.length - NAMES_TOLD} more` : '';
  return `Not taken: ${names.join(', ')}${more}. Drop one build and one recording at a time.`;
}

/** By its name, then by what the system says of it, then by its first characters: a build file is a JSON object. */
async function kindOf(file: File): Promise<FileKind> {
  if (BUILD_NAME.test(file.name)) return 'build';
  if (RECORDING_NAME.test(file.name)) return 'recording';
  if (/^(audio|video)\//.test(file.type)) return 'recording';
  if (file.type === 'application/json') return 'build';
  return (await startsAsJson(file)) ? 'build' : 'recording';
}

/** False for what cannot be read, as a folder: as a recording it is refused in words. */
async function startsAsJson(file: File): Promise<boolean> {
  try {
    return /^[\uFEFF\s]*[{[]/.test(await file.slice(0, FIRST_BYTES).text());
  } catch {
    return false;
  }
}
