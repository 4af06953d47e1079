import type { Circuit } from './circuit.ts';
import type { PartSpec } from './part-spec.ts';

/** One thing that is wrong with a circuit. */
export interface CircuitProblem {
  /** Does not change from one version to the next. */
  readonly code: string;
  /** Where in the document, as "stages[0].parts.R4.value". */
  readonly place: string;
  /** What is wrong, a sentence that names the part or net. */
  readonly problem: string;
  /** What to do, a sentence. */
  readonly remedy: string;
}

/** The remedy where a knob or switch is named that the circuit does not have. */
export function nameOneOf(names: readonly string[], what: 'knob' | 'switch'): string {
  return names.length > 0 ? `Name one of ${names.join(', ')}.` : `Add a ${what} to the circuit, and name it.`;
}

export interface FoundPart {
  readonly part: PartSpec;
  readonly place: string;
}

const knownParts = new WeakMap<Circuit, ReadonlyMap<string, FoundPart>>();

/** Parts by reference designator with their places in the document. */
export function allParts(circuit: Circuit): ReadonlyMap<string, FoundPart> {
  const known = knownParts.get(circuit);
  if (known) return known;
  const found = new Map<string, FoundPart>();
  circuit.stages.forEach(({ parts }, index) => {
    for (const [ref, part] of Object.entries(parts))
      found.set(ref, { part, place: `stages[${index}].parts.${ref}` });
  });
  knownParts.set(circuit, found);
  return found;
}
