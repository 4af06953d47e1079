/** The smallest module: magic number and version 1. */
const EMPTY_MODULE = new Uint8Array([0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00]);

/** A necessary feature that the browser lacks, in one sentence; undefined if there is none. */
export function missingFeature(): string | undefined {
  if (typeof WebAssembly !== 'object')
    return 'This browser has no WebAssembly, which solves the circuits. Use a current Chromium, Chrome or Edge.';
  try {
    new WebAssembly.Module(EMPTY_MODULE);
    return undefined;
  } catch {
    return 'This browser refuses WebAssembly, which solves the circuits. Allow it for this page, or use another browser.';
  }
}
