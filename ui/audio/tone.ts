/**
 * What the bench uses of Tone, module by module: Tone's index opens a context of its own as it is loaded, which throws
 * where the browser has none to give, ahead of any page that could say so.
 */
export { Context } from 'tone/build/esm/core/context/Context.js';
export { setContext } from 'tone/build/esm/core/context/GlobalContext.js';
export { ToneAudioBuffer } from 'tone/build/esm/core/context/ToneAudioBuffer.js';
export { connect } from 'tone/build/esm/core/context/ToneAudioNode.js';
export { Player } from 'tone/build/esm/source/buffer/Player.js';
