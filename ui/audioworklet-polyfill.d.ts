/** The package has no types and no exports: loading it adds a missing AudioWorklet. */
declare module 'audioworklet-polyfill';
