import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import type { ByteSource } from '../audio/byte-source.ts';
import { Refusal } from '../input/refusal.ts';

/** A file that is longer than the limit. */
export class TooLongError extends Refusal {
  constructor(message: string) {
    super('file', message);
    this.name = 'TooLongError';
  }
}

const PIECE_BYTES = 1 << 20;

/**
 * The bytes of a file, or of a pipe or device, which has no length: read until the limit is exceeded.
 *
 * @throws TooLongError, and the system's error if it cannot be read.
 */
export function readAtMost(path: string, mostBytes: number): Uint8Array {
  const file = openSync(path, 'r');
  try {
    if (fstatSync(file).size > mostBytes) throw tooLong(mostBytes);
    const pieces: Buffer[] = [];
    for (let length = 0; ; ) {
      const piece = Buffer.allocUnsafe(Math.min(PIECE_BYTES, mostBytes + 1 - length));
      const got = readSync(file, piece, 0, piece.length, null);
      if (got === 0) return Buffer.concat(pieces);
      length += got;
      if (length > mostBytes) throw tooLong(mostBytes);
      pieces.push(piece.subarray(0, got));
    }
  } finally {
    closeSync(file);
  }
}

/** The bytes of a file on a disk, read where they are needed. The result of `read` is valid until the next call. */
export class FileBytes implements ByteSource {
  readonly length: number;
  readonly #file: number;
  #buffer = Buffer.alloc(0);

  private constructor(file: number, length: number) {
    this.#file = file;
    this.length = length;
  }

  /**
   * @returns Undefined for a pipe or a device, which can only be read from its beginning to its end.
   * @throws TooLongError, and the system's error if it cannot be read.
   */
  static open(path: string, mostBytes: number): FileBytes | undefined {
    const file = openSync(path, 'r');
    const { size, isFile } = statOf(file);
    if (isFile && size <= mostBytes) return new FileBytes(file, size);
    closeSync(file);
    if (isFile) throw tooLong(mostBytes);
    return undefined;
  }

  read(at: number, length: number): Uint8Array {
    const wanted = Math.max(0, Math.min(length, this.length - at));
    if (this.#buffer.length < wanted) this.#buffer = Buffer.alloc(wanted);
    let got = 0;
    while (got < wanted) {
      const more = readSync(this.#file, this.#buffer, got, wanted - got, at + got);
      // The file has become shorter meanwhile: the missing bytes read as zeros.
      if (more === 0) this.#buffer.fill(0, got, wanted);
      got += more === 0 ? wanted - got : more;
    }
    return this.#buffer.subarray(0, wanted);
  }

  close(): void {
    closeSync(this.#file);
  }
}

function statOf(file: number): { readonly size: number; readonly isFile: boolean } {
  const stats = fstatSync(file);
  return { size: stats.size, isFile: stats.isFile() };
}

function tooLong(mostBytes: number): TooLongError {
  return new TooLongError(`it is longer than ${Math.round(mostBytes / 1e6)} MB`);
}

/** Meaning of the system's codes, from `errno(3)`. */
const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder',
  EACCES: 'you have no right to do that',
  EPERM: 'you have no right to do that',
  EISDIR: 'it is a folder',
  ENOTDIR: 'part of its path is no folder',
  ENOSPC: 'the disk is full',
  EDQUOT: 'your disk quota is used up',
  EFBIG: 'the file is too large for this disk',
  EROFS: 'the disk is read-only',
  EMFILE: 'too many files are open',
  ENAMETOOLONG: 'its name is too long',
  ELOOP: 'its links form a loop',
  EIO: 'the disk does not answer',
  ETXTBSY: 'it is in use',
  EBUSY: 'it is in use',
  ERR_INVALID_ARG_VALUE: 'no file can have that name',
};

/** Why a file cannot be read or written, in words. @throws Any other error. */
export function systemReason(error: unknown): string {
  if (error instanceof TooLongError) return error.message;
  if (!isSystemError(error)) throw error;
  return REASONS[error.code] ?? `the system says ${error.code}`;
}

function isSystemError(error: unknown): error is Error & { readonly code: string } {
  if (!(error instanceof Error && 'code' in error && typeof error.code === 'string')) return false;
  return 'syscall' in error || Object.hasOwn(REASONS, error.code);
}
