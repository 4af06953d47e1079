/** Bytes of a file, read when needed, so that a long file need not be in memory as a whole. */
export interface ByteSource {
  readonly length: number;
  /** Fewer bytes than asked for at the end of the file. The result may be overwritten by the next call. */
  read(at: number, length: number): Uint8Array;
}

/** Bytes that are in the memory already. */
export function bytesInMemory(bytes: Uint8Array): ByteSource {
  return { length: bytes.length, read: (at, length) => bytes.subarray(at, at + length) };
}
