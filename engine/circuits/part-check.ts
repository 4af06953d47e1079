import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { formatValue, parseValue } from '../units/value-code.ts';
import type { Circuit } from './circuit.ts';
import { allParts, type CircuitProblem } from './circuit-problem.ts';
import { type PartSpec, pinsOf } from './part-spec.ts';
import { quantityOf, typeOfKind } from './part-values.ts';

export function partProblems({ stages, packages }: Circuit): readonly CircuitProblem[] {
  const owners = new Map<string, string>();
  return stages.flatMap(({ id, parts }, index) =>
    Object.entries(parts).flatMap(([ref, part]): readonly CircuitProblem[] => {
      const place = `stages[${index}].parts.${ref}`;
      const owner = owners.get(ref) ?? (ref in packages ? 'the packages' : undefined);
      owners.set(ref, `stage ${id}`);
      const repeated: CircuitProblem[] =
        owner === undefined
          ? []
          : [
              {
                code: 'repeated-part',
                place,
                problem: `${ref} is in stage ${id} and in ${owner}.`,
                remedy: 'Give one of them another designator.',
              },
            ];
      return [...repeated, ...startProblems(ref, part, place), ...positionProblems(ref, part, place)];
    }),
  );
}

/** Problems of a part's starting value or type. */
function startProblems(ref: string, part: PartSpec, place: string): readonly CircuitProblem[] {
  if ('value' in part) return valueProblems(ref, part, place);
  if ('type' in part) return typeProblems(ref, part.kind, part.type, `${place}.type`);
  return [];
}

function valueProblems(
  ref: string,
  part: Extract<PartSpec, { readonly value: string }>,
  place: string,
): readonly CircuitProblem[] {
  const quantity = quantityOf(part.kind)!;
  const written = (() => {
    try {
      return formatValue(parseValue(part.value, quantity), quantity);
    } catch (error) {
      if (!(error instanceof Refusal && error.code === 'value')) throw error;
      return undefined;
    }
  })();
  if (written === part.value) return [];
  return [
    {
      code: 'bad-value',
      place: `${place}.value`,
      problem: `${ref} is ${quoted(part.value)}, which is ${written === undefined ? `no value in ${quantity}` : 'not written as on a parts list'}.`,
      remedy: written === undefined ? 'Write it as "4k7", "47n" or "9V".' : `Write "${written}".`,
    },
  ];
}

function typeProblems(
  ref: string,
  kind: Parameters<typeof typeOfKind>[0],
  type: string,
  place: string,
): readonly CircuitProblem[] {
  try {
    const known = typeOfKind(kind, type);
    if (known === type) return [];
    return [
      {
        code: 'unknown-type',
        place,
        problem: `${ref} is ${quoted(type)}, which the catalogue calls ${known}.`,
        remedy: `Write "${known}".`,
      },
    ];
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return [
      {
        code: 'unknown-type',
        place,
        problem: `${ref}: ${error.message}`,
        remedy: 'Choose a type from the catalogue.',
      },
    ];
  }
}

function positionProblems(ref: string, part: PartSpec, place: string): readonly CircuitProblem[] {
  if (part.kind !== 'switch') return [];
  const entries = Object.entries(part.positions);
  const repeated = part.pins.find((pin, index) => part.pins.indexOf(pin) !== index);
  if (repeated !== undefined) {
    return [
      {
        code: 'repeated-pin',
        place: `${place}.pins`,
        problem: `The switch ${ref} has two pins "${repeated}".`,
        remedy: 'Give one of them another name.',
      },
    ];
  }
  if (entries.length === 0) {
    return [
      {
        code: 'no-positions',
        place: `${place}.positions`,
        problem: `The switch ${ref} has no position.`,
        remedy: 'Add its positions.',
      },
    ];
  }
  return entries.flatMap(([position, pairs]) =>
    pairs.flatMap((pair, index) =>
      pair
        .filter((pin) => !pinsOf(part).includes(pin))
        .map((pin) => ({
          code: 'unknown-pin',
          place: `${place}.positions.${position}[${index}]`,
          problem: `${ref} has no pin "${pin}".`,
          remedy: `The pins of ${ref} are ${pinsOf(part).join(', ')}.`,
        })),
    ),
  );
}

export function packageProblems(circuit: Circuit): readonly CircuitProblem[] {
  const used = [...allParts(circuit)].flatMap(([ref, { part, place }]) =>
    part.kind === 'opamp' ? [{ ref, package: part.package, place }] : [],
  );
  const missing = used
    .filter((each) => !Object.hasOwn(circuit.packages, each.package))
    .map((each) => ({
      code: 'unknown-package',
      place: `${each.place}.package`,
      problem: `${each.ref} is part of the package ${each.package}, which is not listed.`,
      remedy: `Add ${each.package} with its type to "packages".`,
    }));
  const listed = Object.entries(circuit.packages).flatMap(([ref, { type }]): readonly CircuitProblem[] => [
    ...typeProblems(ref, 'opamp', type, `packages.${ref}.type`),
    ...(used.some((each) => each.package === ref)
      ? []
      : [
          {
            code: 'unused-package',
            place: `packages.${ref}`,
            problem: `No amplifier is part of the package ${ref}.`,
            remedy: 'Remove it, or name it in an op-amp.',
          },
        ]),
  ]);
  return [...missing, ...listed];
}
