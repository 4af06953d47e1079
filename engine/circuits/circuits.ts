import type { Circuit } from './circuit.ts';
import { softClip } from './soft-clip/soft-clip.ts';

/** Every circuit, by its id. */
export const CIRCUITS: ReadonlyMap<string, Circuit> = new Map([[softClip.id, softClip]]);
