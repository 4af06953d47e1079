import { randomBytes } from 'node:crypto';
import {
  accessSync,
  chmodSync,
  closeSync,
  constants,
  fsyncSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import path from 'node:path';
import { quotedPath } from '../input/shown-text.ts';
import { CliError } from './cli-error.ts';
import { systemReason } from './input-file.ts';

/** Files that are begun and not yet in place. */
const begun = new Set<OutputFile>();

/**
 * A file that is written under another name and renamed when it is complete: if the writing ends early, by a
 * full disk or Ctrl-C, an older file of that name stays. A pipe or a device is written directly.
 */
export class OutputFile {
  readonly #option: string;
  readonly #name: string;
  readonly #place: string;
  readonly #beside: string | undefined;
  readonly #file: number;

  /** @param option That names the file, without its dashes. @throws CliError if no file can be written there. */
  constructor(option: string, name: string) {
    this.#option = option;
    this.#name = name;
    this.#place = targetOf(name);
    const isPlain = isPlainFile(this.#place);
    // In the same folder, since a rename in one step works only within a disk.
    this.#beside = isPlain
      ? path.join(path.dirname(this.#place), `.${randomBytes(6).toString('hex')}.cliplead-part`)
      : undefined;
    this.#file = this.#try(() => openSync(this.#beside ?? this.#place, this.#beside ? 'wx' : 'w'));
    begun.add(this);
  }

  write(bytes: Uint8Array): void {
    this.#try(() => {
      for (let at = 0; at < bytes.length; ) at += writeSync(this.#file, bytes, at);
    });
  }

  /** Puts the file in its place. */
  finish(): void {
    const beside = this.#beside;
    if (beside !== undefined) {
      this.#try(() => {
        // Some disks report only here that they are full.
        fsyncSync(this.#file);
        const mode = modeOf(this.#place);
        if (mode !== undefined) chmodSync(beside, mode);
      });
    }
    begun.delete(this);
    closeSync(this.#file);
    if (beside !== undefined) this.#try(() => renameSync(beside, this.#place));
  }

  /** Removes the unfinished file. */
  discard(): void {
    if (begun.delete(this)) closeSync(this.#file);
    if (this.#beside !== undefined) rmSync(this.#beside, { force: true });
  }

  #try<T>(action: () => T): T {
    try {
      return action();
    } catch (error) {
      if (this.#beside !== undefined) rmSync(this.#beside, { force: true });
      throw cannotWrite(this.#option, this.#name, error);
    }
  }
}

/** Writes a whole file. @throws CliError if that fails; an older file then stays. */
export function writeOutput(option: string, name: string, content: Uint8Array | string): void {
  const file = new OutputFile(option, name);
  try {
    file.write(typeof content === 'string' ? Buffer.from(content) : content);
    file.finish();
  } catch (error) {
    file.discard();
    throw error;
  }
}

/** Files that a command reads and writes, by the options that name them. */
type NamedFiles = Readonly<Record<string, string | undefined>>;

/**
 * Checks before the work that its files can be written, and that none would replace another.
 *
 * @throws CliError naming the options.
 */
export function checkOutputs(read: NamedFiles, written: NamedFiles): void {
  const outputs = Object.entries(written).filter(
    (entry): entry is [string, string] => entry[1] !== undefined,
  );
  for (const [index, [option, name]] of outputs.entries()) {
    checkFolder(option, name);
    const others = [...Object.entries(read), ...outputs.slice(0, index)];
    const same = others.find(([, other]) => other !== undefined && isSameFile(name, other));
    if (same)
      throw new CliError(
        `--${option} ${quotedPath(name)} is the file of --${same[0]}: give it another name.`,
      );
  }
}

function checkFolder(option: string, name: string): void {
  try {
    const place = targetOf(name);
    if (statSync(place, { throwIfNoEntry: false })?.isDirectory())
      throw Object.assign(new Error('a folder'), { code: 'EISDIR' });
    accessSync(isPlainFile(place) ? path.dirname(place) : place, constants.W_OK);
  } catch (error) {
    throw cannotWrite(option, name, error);
  }
}

/** By the place on the disk, so that links and other spellings of a path count as the same file. */
function isSameFile(one: string, other: string): boolean {
  if (targetOf(one) === targetOf(other)) return isPlainFile(targetOf(one));
  const [a, b] = [one, other].map((name) => statOf(name));
  return a !== undefined && b !== undefined && a.isFile() && a.dev === b.dev && a.ino === b.ino;
}

/** The file at the end of all links; for a file that does not exist yet, in its future folder. */
function targetOf(name: string): string {
  try {
    return realpathSync(name);
  } catch {
    try {
      return path.join(realpathSync(path.dirname(name)), path.basename(name));
    } catch {
      return path.resolve(name);
    }
  }
}

function statOf(name: string) {
  try {
    return statSync(name, { throwIfNoEntry: false });
  } catch {
    return undefined;
  }
}

function isPlainFile(place: string): boolean {
  return statOf(place)?.isFile() ?? true;
}

function modeOf(place: string): number | undefined {
  const mode = statOf(place)?.mode;
  return mode === undefined ? undefined : mode & 0o777;
}

function cannotWrite(option: string, name: string, error: unknown): CliError {
  return new CliError(`--${option}: ${quotedPath(name)} cannot be written: ${systemReason(error)}.`, 'file');
}

/** Exit codes after a signal are 128 more than its number. */
const SIGNALS = { SIGINT: 130, SIGTERM: 143, SIGHUP: 129 } as const;

/**
 * Does work that writes files in pieces: Ctrl-C ends it and removes unfinished files. The work must wait from
 * time to time, or the signal is not seen.
 */
export async function interruptible(work: () => Promise<void>): Promise<void> {
  const handlers = Object.entries(SIGNALS).map(([signal, code]) => {
    const handler = () => {
      for (const file of begun) file.discard();
      process.exit(code);
    };
    process.on(signal, handler);
    return [signal, handler] as const;
  });
  try {
    await work();
  } finally {
    for (const [signal, handler] of handlers) process.off(signal, handler);
    for (const file of begun) file.discard();
  }
}
