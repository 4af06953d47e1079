/** The package has no types and no exports: loading it puts AudioWorklet where it is missing. */
declare module 'audioworklet-polyfill';
