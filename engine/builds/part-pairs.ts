import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { PartJob } from '../circuits/part-job.ts';
import type { PartSpec } from '../circuits/part-spec.ts';
import type { Build } from './build.ts';

/** A part of a build as it is compared with another circuit: each amplifier of a package by itself, since each has a job. */
export interface ComparedPart {
  readonly ref: string;
  /** Where its setting stands: the package of an amplifier, else the part itself. */
  readonly place: string;
  readonly kind: PartSpec['kind'];
  readonly job: PartJob | undefined;
  readonly role: string;
  /** Title of its stage. */
  readonly stage: string;
  /** Not in the way of the signal: not fitted, or jumpered. */
  readonly isUnfitted: boolean;
}

export interface PartPairs {
  /** Of the first build's parts and the second's, in the order of the first one's signal. */
  readonly both: readonly (readonly [ComparedPart, ComparedPart])[];
  readonly onlyFirst: readonly ComparedPart[];
  readonly onlySecond: readonly ComparedPart[];
}

/** Parts and switches of a build in the order of its stages; a footswitch is none. */
export function comparedParts(build: Build): readonly ComparedPart[] {
  const { stages, switches } = fittedCircuit(build);
  return stages.flatMap(({ title, parts }) =>
    Object.entries(parts)
      .filter(([ref, { kind }]) => kind !== 'switch' || switches.some((control) => control.ref === ref))
      .map(([ref, part]) => {
        const place = part.kind === 'opamp' ? part.package : ref;
        const isUnfitted = build.parts[place]?.fit !== undefined;
        return { ref, place, kind: part.kind, job: part.job, role: part.role, stage: title, isUnfitted };
      }),
  );
}

/**
 * Sets the parts of two circuits against each other: those of one job in the order of the signal, fitted ones first. In two
 * revisions of a circuit a designator says more than a job. It gives the same pairs in either order of the builds.
 */
export function partPairs(first: Build, second: Build): PartPairs {
  const [one, other] = [comparedParts(first), comparedParts(second)];
  const found = new Map<ComparedPart, ComparedPart>();
  const isOneFamily = first.circuit.id === second.circuit.id;
  if (isOneFamily) pair(one, other, found, ({ ref, kind }) => `${ref} ${kind}`);
  pair(one, other, found, ({ job }) => job);
  const taken = new Set(found.values());
  return {
    both: one.flatMap((part) => (found.has(part) ? [[part, found.get(part)!] as const] : [])),
    onlyFirst: one.filter((part) => !found.has(part)),
    onlySecond: other.filter((part) => !taken.has(part)),
  };
}

/** The places in another build that have the jobs of a place in the first; of a package there may be several. */
export function counterpartsOf(build: Build, place: string, other: Build): readonly string[] {
  const pairs = partPairs(build, other).both.filter(([part]) => part.place === place);
  return [...new Set(pairs.map(([, part]) => part.place))];
}

function pair(
  one: readonly ComparedPart[],
  other: readonly ComparedPart[],
  found: Map<ComparedPart, ComparedPart>,
  keyOf: (part: ComparedPart) => string | undefined,
): void {
  const taken = new Set(found.values());
  const waiting = fittedFirst(other.filter((part) => !taken.has(part)));
  for (const part of fittedFirst(one.filter((each) => !found.has(each)))) {
    const key = keyOf(part);
    const index = key === undefined ? -1 : waiting.findIndex((each) => keyOf(each) === key);
    if (index >= 0) found.set(part, waiting.splice(index, 1)[0]!);
  }
}

function fittedFirst(parts: readonly ComparedPart[]): ComparedPart[] {
  return [...parts.filter(({ isUnfitted }) => !isUnfitted), ...parts.filter(({ isUnfitted }) => isUnfitted)];
}
