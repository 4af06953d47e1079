import type { Circuit } from './circuit.ts';
import { allParts, type CircuitProblem } from './circuit-problem.ts';
import type { PartGroup } from './part-group.ts';
import { aKind } from './part-values.ts';

/**
 * Names that two groups have, and parts that cannot be swapped together.
 *
 * @param groups Those of the circuit, or those that a builder has made for it.
 */
export function groupProblems(
  circuit: Circuit,
  groups: readonly PartGroup[] = circuit.groups ?? [],
): readonly CircuitProblem[] {
  return groups.flatMap(({ name, parts }, index) => {
    const place = `groups[${index}]`;
    const repeated = groups.findIndex((other) => other.name === name) < index;
    return [
      ...(repeated
        ? [
            {
              code: 'repeated-group',
              place: `${place}.name`,
              problem: `Two groups are named "${name}".`,
              remedy: 'Rename one.',
            },
          ]
        : []),
      ...memberProblems(circuit, parts, place),
    ];
  });
}

function memberProblems(
  circuit: Circuit,
  parts: readonly string[],
  place: string,
): readonly CircuitProblem[] {
  const kindOf = (ref: string) =>
    Object.hasOwn(circuit.packages, ref) ? 'opamp' : allParts(circuit).get(ref)?.part.kind;
  const first = kindOf(parts[0]!);
  return parts.flatMap((ref, index): readonly CircuitProblem[] => {
    const at = `${place}.parts[${index}]`;
    const kind = kindOf(ref);
    if (
      kind === undefined ||
      kind === 'switch' ||
      (kind === 'opamp' && !Object.hasOwn(circuit.packages, ref))
    )
      return [
        {
          code: 'group-part',
          place: at,
          problem: `${ref} is ${kind === undefined ? 'no part of the circuit' : 'no part that can be swapped'}.`,
          remedy: 'Name parts of the circuit that have a value or type; an op-amp by its package.',
        },
      ];
    if (parts.indexOf(ref) < index)
      return [{ code: 'group-part', place: at, problem: `${ref} is named twice.`, remedy: 'Remove one.' }];
    if (first === undefined || kind === first) return [];
    return [
      {
        code: 'group-part',
        place: at,
        problem: `${ref} is ${aKind(kind)}, but ${parts[0]} is ${aKind(first)}.`,
        remedy: 'Name parts of one kind.',
      },
    ];
  });
}
