/**
 * First script of the main page. Where AudioWorklet is missing, the bench opens on the fallback page: its
 * stand-in evaluates strings, which this page's content security policy forbids.
 */
if ('AudioWorkletNode' in globalThis && 'audioWorklet' in BaseAudioContext.prototype) {
  await import('./main.ts');
} else {
  location.replace(`./fallback.html${location.search}${location.hash}`);
}

export {};
