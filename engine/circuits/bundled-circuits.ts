import { type Circuit, isSameCircuit } from './circuit.ts';
import { circuitDocument, circuitProblemText, parseCircuit } from './circuit-file.ts';
import { isSameButWords } from './circuit-words.ts';

/**
 * Circuits that belong to the bench: the newest revision of each, and the older ones, so that a build keeps its own.
 */
export interface BundledCircuits {
  /** By id. */
  readonly newest: ReadonlyMap<string, Circuit>;
  readonly older: readonly Circuit[];
}

/**
 * @param newest The present circuits of the bench. @param older Documents of the older revisions.
 * @throws RangeError for a document that is not a circuit.
 */
export function bundledCircuits(newest: readonly Circuit[], older: readonly unknown[]): BundledCircuits {
  const described = newest.map((circuit) => readCircuit(circuitDocument(circuit)));
  return {
    newest: new Map(described.map((circuit) => [circuit.id, circuit])),
    older: older.map(readCircuit),
  };
}

/** A circuit of its document, or of a list of stages. @throws RangeError for a document that is not a circuit. */
export function readCircuit(document: unknown): Circuit {
  const { circuit, problems } = parseCircuit(document);
  if (circuit) return circuit;
  throw new RangeError(`A circuit of the bench: ${problems.map(circuitProblemText).join(' ')}`);
}

/** A revision of a bundled circuit; undefined if the bench does not have it. */
export function revisionOf(
  { newest, older }: BundledCircuits,
  id: string,
  revision: unknown,
): Circuit | undefined {
  return [...newest.values(), ...older].find((circuit) => circuit.id === id && circuit.revision === revision);
}

/** The newest revision of a circuit that is itself an older one of the bench; undefined for all others. */
export function newerRevision({ newest, older }: BundledCircuits, circuit: Circuit): Circuit | undefined {
  const isOlder = older.some((each) => isSameCircuit(each, circuit));
  return isOlder ? newest.get(circuit.id) : undefined;
}

/**
 * The newest revision that differs from a circuit of the bench in words and drawing alone; the circuit itself if there is none.
 * A build moves to it without a question: nothing that it says of its parts changes.
 */
export function inNewestWords({ newest, older }: BundledCircuits, circuit: Circuit): Circuit {
  if (!older.some((each) => isSameCircuit(each, circuit))) return circuit;
  const alike = [...older, ...newest.values()].filter(
    (each) => each.revision > circuit.revision && isSameButWords(each, circuit),
  );
  return alike.reduce((latest, each) => (each.revision > latest.revision ? each : latest), circuit);
}
