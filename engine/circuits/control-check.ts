import type { Circuit } from './circuit.ts';
import { allParts, type CircuitProblem, nameOneOf } from './circuit-problem.ts';
import type { SwitchSpec } from './part-spec.ts';
import { aKind } from './part-values.ts';

export function knobProblems(circuit: Circuit): readonly CircuitProblem[] {
  const parts = allParts(circuit);
  const problems = circuit.knobs.flatMap(({ ref, name, gang }, index): readonly CircuitProblem[] => {
    const place = `knobs[${index}]`;
    const named = nameProblems(circuit, name, `${place}.name`, index);
    const found = parts.get(ref)?.part;
    const turned: CircuitProblem[] =
      found?.kind === 'pot'
        ? circuit.knobs.findIndex((other) => other.ref === ref) === index
          ? []
          : [twoKnobs(ref, `${place}.ref`)]
        : [
            {
              code: 'knob-without-pot',
              place: `${place}.ref`,
              problem: `The knob "${name}" turns ${ref}, which is ${found ? aKind(found.kind) : 'no part of the circuit'}.`,
              remedy: 'Name the potentiometer that it turns.',
            },
          ];
    return [...named, ...turned, ...(gang ? gangProblems(circuit, name, gang, `${place}.gang`) : [])];
  });
  const turned = new Set(circuit.knobs.map(({ ref }) => ref));
  const loose = [...parts]
    .filter(([ref, { part }]) => part.kind === 'pot' && !turned.has(ref))
    .map(([ref, { place }]) => ({
      code: 'pot-without-knob',
      place,
      problem: `The potentiometer ${ref} has no knob.`,
      remedy: `Add a knob with "ref": "${ref}".`,
    }));
  return [...problems, ...loose];
}

function twoKnobs(ref: string, place: string): CircuitProblem {
  return {
    code: 'repeated-control',
    place,
    problem: `${ref} has two controls.`,
    remedy: 'Keep one of them.',
  };
}

function gangProblems(
  circuit: Circuit,
  name: string,
  gang: NonNullable<Circuit['knobs'][number]['gang']>,
  place: string,
): readonly CircuitProblem[] {
  const others = circuit.knobs.filter((knob) => knob.name !== name).map((knob) => knob.name);
  const leader = circuit.knobs.find((knob) => knob.name === gang.knob);
  const problems: CircuitProblem[] = [];
  if (!others.includes(gang.knob)) {
    problems.push({
      code: 'gang-unknown-knob',
      place: `${place}.knob`,
      problem: `The knob "${name}" turns with "${gang.knob}", which is ${gang.knob === name ? 'itself' : 'no knob of the circuit'}.`,
      remedy: others.length > 0 ? `Name one of ${others.join(', ')}.` : 'Remove the gang.',
    });
  } else if (leader?.gang) {
    problems.push({
      code: 'gang-of-gang',
      place: `${place}.knob`,
      problem: `The knob "${name}" turns with "${gang.knob}", which turns with another knob itself.`,
      remedy: 'Name the knob that leads.',
    });
  }
  return [...problems, ...settingProblems(circuit, gang.switch, gang.position, place)];
}

/** What is wrong with a switch's name and one of its positions. */
export function settingProblems(
  circuit: Circuit,
  name: string,
  position: string,
  place: string,
): readonly CircuitProblem[] {
  const positions = positionsOf(circuit, name);
  if (!positions) {
    return [
      {
        code: 'unknown-switch',
        place: `${place}.switch`,
        problem: `There is no switch "${name}".`,
        remedy: nameOneOf(
          circuit.switches.map((each) => each.name),
          'switch',
        ),
      },
    ];
  }
  if (positions.includes(position)) return [];
  return [
    {
      code: 'unknown-position',
      place,
      problem: `The switch "${name}" has no position "${position}".`,
      remedy: `Its positions are ${positions.join(', ')}.`,
    },
  ];
}

/** Positions of a switch by its name; undefined where there is no such control or part. */
function positionsOf(circuit: Circuit, name: string): readonly string[] | undefined {
  const control = circuit.switches.find((each) => each.name === name);
  const part = control && allParts(circuit).get(control.ref)?.part;
  return part?.kind === 'switch' ? Object.keys(part.positions) : undefined;
}

export function switchProblems(circuit: Circuit): readonly CircuitProblem[] {
  const parts = allParts(circuit);
  const problems = circuit.switches.flatMap(({ ref, name, start }, index): readonly CircuitProblem[] => {
    const place = `switches[${index}]`;
    const named = nameProblems(circuit, name, `${place}.name`, circuit.knobs.length + index);
    const found = parts.get(ref)?.part;
    if (found?.kind !== 'switch') {
      return [
        ...named,
        {
          code: 'control-without-switch',
          place: `${place}.ref`,
          problem: `The switch "${name}" is ${ref}, which is ${found ? aKind(found.kind) : 'no part of the circuit'}.`,
          remedy: 'Name the switch that it sets.',
        },
      ];
    }
    const isFirst = circuit.switches.findIndex((other) => other.ref === ref) === index;
    return [
      ...named,
      ...(isFirst ? [] : [twoKnobs(ref, `${place}.ref`)]),
      ...startPositionProblems(name, start, found, `${place}.start`),
    ];
  });
  const set = new Set([...circuit.switches.map(({ ref }) => ref), ...(circuit.bypass.footswitch ?? [])]);
  const loose = [...parts]
    .filter(([ref, { part }]) => part.kind === 'switch' && !set.has(ref))
    .map(([ref, { place }]) => ({
      code: 'switch-without-control',
      place,
      problem: `The switch ${ref} has no control.`,
      remedy: `Add an entry with "ref": "${ref}" to "switches".`,
    }));
  return [...problems, ...loose];
}

function startPositionProblems(
  name: string,
  start: string,
  { positions }: SwitchSpec,
  place: string,
): readonly CircuitProblem[] {
  const names = Object.keys(positions);
  if (names.includes(start) || names.length === 0) return [];
  return [
    {
      code: 'unknown-position',
      place,
      problem: `The switch "${name}" starts at "${start}", which is none of its positions.`,
      remedy: `Its positions are ${names.join(', ')}.`,
    },
  ];
}

/** A control's name is said once. @param index Its place among knobs and switches together. */
function nameProblems(
  { knobs, switches }: Circuit,
  name: string,
  place: string,
  index: number,
): readonly CircuitProblem[] {
  const first = [...knobs, ...switches].findIndex((each) => each.name === name);
  if (first === index) return [];
  return [
    {
      code: 'repeated-control',
      place,
      problem: `Two controls have the name "${name}".`,
      remedy: 'Give one of them another name.',
    },
  ];
}
