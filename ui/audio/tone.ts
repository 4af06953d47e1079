/**
 * The modules of Tone that the bench uses. Tone's index opens a context while it loads, which throws in a
 * browser without one, before any page could say so.
 */
export { Context } from 'tone/build/esm/core/context/Context.js';
export { setContext } from 'tone/build/esm/core/context/GlobalContext.js';
export { ToneAudioBuffer } from 'tone/build/esm/core/context/ToneAudioBuffer.js';
export { connect } from 'tone/build/esm/core/context/ToneAudioNode.js';
export { Player } from 'tone/build/esm/source/buffer/Player.js';
