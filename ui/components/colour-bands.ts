import { unsafeHTML } from 'lit/directives/unsafe-html.js';
import { resistorPicture } from '../../engine/drawing/resistor-bands.ts';
import type { BandColour } from '../../engine/units/colour-bands.ts';

/** A resistor with its bands. */
export const bandsDrawing = (bands: readonly BandColour[]) => unsafeHTML(resistorPicture(bands));
