import { quoted } from '../engine/input/shown-text.ts';

/** Result of sorting dropped files. */
export interface DroppedFiles {
  /** A build, a chain, measured parts or a drawer. */
  readonly text: File | undefined;
  readonly recording: File | undefined;
  /** Files that were not used. */
  readonly left: readonly File[];
}

type FileKind = 'text' | 'recording';

const TEXT_NAME = /\.(json|csv|txt|html?|md)$/i;
const RECORDING_NAME = /\.(wave?|flac|mp3|og[ag]|opus|m4a|aac|aiff?|webm|mp4)$/i;
/** Enough for everything before a file's first brace: a byte order mark, spaces, empty lines. */
const FIRST_BYTES = 64;
/** Most names of unused files in the message; longer lists end with a number. */
const NAMES_TOLD = 3;

/** The first file of text and the first recording of what was dropped. */
export async function sortDropped(files: readonly File[]): Promise<DroppedFiles> {
  const kinds = await Promise.all(files.map(kindOf));
  const first = (kind: FileKind) => files[kinds.indexOf(kind)];
  const text = first('text');
  const recording = first('recording');
  return { text, recording, left: files.filter((file) => file !== text && file !== recording) };
}

/** One sentence about unused files; undefined if there are none. */
export function leftText(left: readonly File[]): string | undefined {
  if (left.length === 0) return undefined;
  const names = left.slice(0, NAMES_TOLD).map(({ name }) => quoted(name));
  const more = left.length > NAMES_TOLD ? ` and ${left.length - NAMES_TOLD} more` : '';
  return `Not used: ${names.join(', ')}${more}. One recording and one other file at a time.`;
}

/** By its name, then by what the system says of it, then by its first characters: files of the bench are JSON objects. */
async function kindOf(file: File): Promise<FileKind> {
  if (TEXT_NAME.test(file.name)) return 'text';
  if (RECORDING_NAME.test(file.name)) return 'recording';
  if (/^(audio|video)\//.test(file.type)) return 'recording';
  if (/^(text\/|application\/json$)/.test(file.type)) return 'text';
  return (await startsAsJson(file)) ? 'text' : 'recording';
}

/** False for something that cannot be read, such as a folder: as a recording it is refused with a message. */
async function startsAsJson(file: File): Promise<boolean> {
  try {
    return /^[\uFEFF\s]*[{[]/.test(await file.slice(0, FIRST_BYTES).text());
  } catch {
    return false;
  }
}
