import type { Circuit } from './circuit.ts';
import { circuitDocument, circuitProblemText, parseCircuit } from './circuit-file.ts';
import { cleanBlend } from './clean-blend/clean-blend.ts';
import { softClip } from './soft-clip/soft-clip.ts';

/**
 * The circuits that come with the bench, by id, each in its newest revision. They are read like any other
 * document. Only the reading of files and the menus use this list: a build carries its circuit.
 */
export const CIRCUITS: ReadonlyMap<string, Circuit> = new Map(
  [softClip, cleanBlend].map((described) => {
    const { circuit, problems } = parseCircuit(circuitDocument(described));
    if (!circuit) throw new RangeError(`${described.id}: ${problems.map(circuitProblemText).join(' ')}`);
    return [circuit.id, circuit];
  }),
);
