import { serialiseBuild } from '../engine/builds/build-file.ts';
import { buildTitle } from '../engine/builds/build-title.ts';
import { MOST_PEDALS } from '../engine/builds/chain.ts';
import { serialiseChain } from '../engine/builds/chain-file.ts';
import { MOST_BUILD_BYTES, MOST_TITLE_CHARACTERS } from '../engine/input/limits.ts';
import { Refusal } from '../engine/input/refusal.ts';
import { inLine, oneLine, quoted } from '../engine/input/shown-text.ts';
import type { Slot } from '../worklets/bench-messages.ts';
import { fileName } from './file-name.ts';
import { type IncomingText, readIncoming } from './share/incoming-text.ts';
import type { BenchStore } from './state/bench-store.ts';
import { type Joining, joining } from './state/chain-actions.ts';
import { chainOf, isAlone, type Sides, sideTitle } from './state/chains.ts';

/** Measured parts or a drawer: they belong to no side. */
export type ForNoSide = Exclude<IncomingText, { readonly kind: 'chain' }>;

/**
 * Loads the build or chain of a file into a slot, or shows why that is not possible.
 *
 * @param offer What becomes of a file of measured parts or of a drawer.
 */
export async function openFile(
  store: BenchStore,
  { slot, file, joins }: FileToOpen,
  offer: (offered: ForNoSide) => void,
): Promise<void> {
  const message = await loadFile(store, { slot, file, joins }, offer);
  if (message !== undefined) store.act({ type: 'refuse', ref: '', slot, message });
}

/** A file from the menu of a side. */
interface FileToOpen {
  readonly slot: Slot;
  readonly file: File;
  /** What a build becomes; a chain takes the place of all pedals. */
  readonly joins: Joining;
}

/**
 * Loads a build in place of the pedal that is looked at, or beside it; a chain in place of all.
 *
 * @returns Why that is not possible, in one sentence; undefined if it was loaded or offered.
 */
export async function loadFile(
  store: BenchStore,
  { slot, file, joins }: FileToOpen,
  offer: (offered: ForNoSide) => void,
): Promise<string | undefined> {
  try {
    const read = readIncoming(await fileText(file));
    if (read.kind !== 'chain') {
      offer(read);
      return undefined;
    }
    const [first, ...others] = read.chain.pedals;
    if (others.length > 0 && joins !== 'instead')
      throw new Refusal('file', 'a chain replaces every pedal. Choose “Replace pedal” and open it again');
    if (others.length > 0) store.act({ type: 'loadChain', slot, chain: read.chain });
    else store.act(joining(slot, store.wanted.places[slot], first!.build, joins));
    await store.settled();
  } catch (error) {
    return notOpened(file, error);
  }
  return store.state.refusal?.message;
}

/** A refusal in one sentence that names the file. @throws Any other error. */
export function notOpened(file: File, error: unknown): string {
  if (!(error instanceof Refusal)) throw error;
  return oneLine(`${quoted(file.name)} was not opened: ${error.message}`);
}

/** @throws Refusal for a file that is too large or cannot be read, such as a folder or a deleted file. */
export async function fileText(file: File): Promise<string> {
  const most = MOST_PEDALS * MOST_BUILD_BYTES;
  if (file.size > most)
    throw new Refusal(
      'file',
      `it is ${(file.size / 1e6).toFixed(0)} MB large, and a file of builds has ${most / 1e6} MB at most`,
    );
  try {
    return await file.text();
  } catch {
    throw new Refusal('file', 'it cannot be read');
  }
}

/** A side as a file would have it. */
export interface SideFile {
  readonly title: string;
  readonly text: string;
  /** Of the file. */
  readonly name: string;
}

/** The chain of a side, or a pedal of it, named after its title. */
export function sideFile(sides: Sides, slot: Slot, isPedal: boolean): SideFile {
  const [title, name] = [fileTitle(sides, slot, isPedal), sideFileName(sides, slot, isPedal)];
  const text = isOnePedal(sides, slot, isPedal)
    ? serialiseBuild(sides.builds[slot])
    : serialiseChain({ title, chain: chainOf(sides, slot) });
  return { title, text, name };
}

/** Name of the file as which a side, or a pedal of it, is saved. */
export function sideFileName(sides: Sides, slot: Slot, isPedal: boolean): string {
  const kind = isOnePedal(sides, slot, isPedal) ? 'build' : 'chain';
  return `${fileName(fileTitle(sides, slot, isPedal), kind)}.${kind}.json`;
}

const isOnePedal = (sides: Sides, slot: Slot, isPedal: boolean): boolean =>
  isPedal || isAlone(sides.places[slot]);

function fileTitle(sides: Sides, slot: Slot, isPedal: boolean): string {
  return isOnePedal(sides, slot, isPedal)
    ? buildTitle(sides.builds[slot])
    : inLine(sideTitle(sides, slot), MOST_TITLE_CHARACTERS);
}

/** Offers the chain of a side as a file, or a pedal of it. */
export function saveSide(sides: Sides, slot: Slot, isPedal: boolean): void {
  const { text, name } = sideFile(sides, slot, isPedal);
  save(text, name);
}

function save(text: string, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  link.download = name;
  link.click();
  URL.revokeObjectURL(link.href);
}
