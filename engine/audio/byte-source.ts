/** Bytes of a file, read where they are needed, so that a long file need not be in the memory whole. */
export interface ByteSource {
  readonly length: number;
  /** Fewer bytes than asked for at the end of the file. What is given may be overwritten by the next call. */
  read(at: number, length: number): Uint8Array;
}

/** Bytes that are in the memory already. */
export function bytesInMemory(bytes: Uint8Array): ByteSource {
  return { length: bytes.length, read: (at, length) => bytes.subarray(at, at + length) };
}
