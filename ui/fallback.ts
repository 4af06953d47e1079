/** First script of the fallback page: the stand-in has to be there before Tone looks for AudioWorklet. */
await import('audioworklet-polyfill');
await import('./main.ts');

export {};
