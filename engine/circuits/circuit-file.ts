import type { Circuit } from './circuit.ts';
import { circuitProblems } from './circuit-check.ts';
import type { CircuitProblem } from './circuit-problem.ts';
import { CIRCUIT_FORMAT, CIRCUIT_VERSION, circuitShape } from './circuit-shape.ts';
import { MOST_PROBLEMS, type ShapeProblem } from './document-shape.ts';
import { isStageList, readStageList } from './stages/stage-list.ts';

/** A circuit, or everything that is wrong with its document. */
export type ParsedCircuit =
  | { readonly circuit: Circuit; readonly problems?: undefined }
  | { readonly circuit?: undefined; readonly problems: readonly CircuitProblem[] };

/**
 * Reads a circuit from its document, the value that a circuit file's JSON holds: whole stages, or a list of stages of the
 * library. The shape is checked first, names only in a document of the right shape. Never throws; gives at most a hundred
 * problems.
 */
export function parseCircuit(json: unknown): ParsedCircuit {
  return isStageList(json) ? parseStageList(json) : parseWhole(json);
}

/** A circuit made of stages is read as the whole circuit too, since it is saved so. */
function parseStageList(json: unknown): ParsedCircuit {
  const joined = readStageList(json);
  if (!joined.circuit) return { problems: joined.problems.slice(0, MOST_PROBLEMS) };
  const { circuit, problems } = parseWhole(circuitDocument(joined.circuit));
  if (circuit) return { circuit };
  return { problems: problems.map(joined.inList) };
}

function parseWhole(json: unknown): ParsedCircuit {
  const shape: ShapeProblem[] = [];
  const document = circuitShape.read(json, '', shape);
  if (!document || shape.length > 0) return { problems: shape.slice(0, MOST_PROBLEMS) };
  const { format: _format, version: _version, $schema: _schema, ...circuit } = document;
  const problems = circuitProblems(circuit);
  return problems.length > 0 ? { problems: problems.slice(0, MOST_PROBLEMS) } : { circuit };
}

/** A circuit as the document that `parseCircuit` reads. */
export function circuitDocument(circuit: Circuit): Readonly<Record<string, unknown>> {
  return { format: CIRCUIT_FORMAT, version: CIRCUIT_VERSION, ...circuit };
}

/** A problem on one line: place, problem, remedy. */
export function circuitProblemText({ place, problem, remedy }: CircuitProblem): string {
  return `${place === '' ? '' : `${place}: `}${problem} ${remedy}`;
}
