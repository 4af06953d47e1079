import type { Circuit } from './circuit.ts';
import { cleanBlend } from './clean-blend/clean-blend.ts';
import { softClip } from './soft-clip/soft-clip.ts';

/** Every circuit, by its id. */
export const CIRCUITS: ReadonlyMap<string, Circuit> = new Map(
  [softClip, cleanBlend].map((circuit) => [circuit.id, circuit]),
);
