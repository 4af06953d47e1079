/**
 * Memory that the page and the audio thread share; undefined where the page may not have it. WebKitGTK says that the
 * page is isolated and has no constructor for it all the same.
 */
export function sharedMemory(bytes: number): SharedArrayBuffer | undefined {
  const isToBeHad = globalThis.crossOriginIsolated && typeof globalThis.SharedArrayBuffer === 'function';
  return isToBeHad ? new SharedArrayBuffer(bytes) : undefined;
}
