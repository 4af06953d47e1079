/**
 * Memory that the page and the audio thread share; undefined where the page may not have it. WebKitGTK reports
 * the page as isolated but has no constructor for it.
 */
export function sharedMemory(bytes: number): SharedArrayBuffer | undefined {
  const isToBeHad = globalThis.crossOriginIsolated && typeof globalThis.SharedArrayBuffer === 'function';
  return isToBeHad ? new SharedArrayBuffer(bytes) : undefined;
}
