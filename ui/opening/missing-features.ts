/** The smallest module: magic number and version 1. */
const EMPTY_MODULE = new Uint8Array([0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00]);

/** What the bench cannot do without and the browser does not have, in one sentence; undefined where all is there. */
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
