import fc from 'fast-check';
import { BUILD_FORMAT, BUILD_VERSION } from '../../../engine/builds/build-file.ts';
import { circuitDocument, parseCircuit } from '../../../engine/circuits/circuit-file.ts';
import { CIRCUITS } from '../../../engine/circuits/circuits.ts';
import { circuitDrawing } from '../../../engine/drawing/stage-drawing.ts';
import { mutatedDocuments } from '../../unit/mutated-json.ts';
import { cpuSeconds } from '../cpu-time.ts';
import { Dice } from '../dice.ts';
import type { Kind, Verdict } from '../kind.ts';
import { refusalFault } from '../refusal.ts';
import { tryBuildText } from './build-files.ts';

/**
 * Circuit files with one to four changed places, alone and in a build file: each must be drawn and solved, or refused.
 */
export const kind: Kind = {
  name: 'mutated circuit files',
  figure: { name: 'slowest', unit: 's of processor time', most: 2 },
  attempt: (seed) => {
    const circuit = new Dice(seed).pick([...CIRCUITS.values()]);
    const documents = mutatedDocuments(circuitDocument(circuit));
    return tryCircuit(fc.sample(documents, { seed, numRuns: 1 })[0]);
  },
};

function tryCircuit(document: unknown): Verdict {
  const { result: fault, seconds } = cpuSeconds(() => circuitFault(document));
  const file = { format: BUILD_FORMAT, version: BUILD_VERSION, circuit: document };
  const built = tryBuildText(JSON.stringify(file));
  return { fault: fault ?? built.fault, figure: seconds + built.figure };
}

function circuitFault(document: unknown): string | undefined {
  const { circuit, problems } = parseCircuit(document);
  if (circuit) circuitDrawing(circuit);
  // What is wrong and what to do are two separate sentences.
  return problems
    ?.flatMap(({ problem, remedy }) => [refusalFault(problem), refusalFault(remedy)])
    .find((each) => each !== undefined);
}
