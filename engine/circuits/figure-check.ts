import type { Circuit } from './circuit.ts';
import { INPUT_NET, OUTPUT_NET } from './circuit-nets.ts';
import { allParts, type CircuitProblem, nameOneOf } from './circuit-problem.ts';
import { settingProblems } from './control-check.ts';
import { figureRoles, type PartFigure } from './part-figure.ts';
import { pinsOf } from './part-spec.ts';
import { aKind } from './part-values.ts';
import { wireNames } from './role-check.ts';

/** Problems of a figure: parts, knobs or nets that the circuit does not have. */
export function figureProblems(
  circuit: Circuit,
  figure: PartFigure,
  place: string,
): readonly CircuitProblem[] {
  const parts = allParts(circuit);
  const wrong = figureRoles(figure).flatMap(({ key, ref, kinds }): readonly CircuitProblem[] => {
    const found = parts.get(ref)?.part;
    if (found && kinds.includes(found.kind)) return [];
    return [
      {
        code: 'figure-part',
        place: `${place}.${key}`,
        problem: `The figure "${figure.name}" reads ${ref}, which is ${found ? aKind(found.kind) : 'no part of the circuit'}.`,
        remedy: `Name ${kinds.map(aKind).join(' or ')}.`,
      },
    ];
  });
  const unknown = figure.parts
    .filter((ref) => !parts.has(ref))
    .map((ref) => ({
      code: 'figure-part',
      place: `${place}.parts`,
      problem: `The figure "${figure.name}" depends on ${ref}, which is no part of the circuit.`,
      remedy: 'Name parts of the circuit.',
    }));
  return [
    ...wrong,
    ...unknown,
    ...positionProblems(circuit, figure, place),
    ...netProblems(circuit, figure, place),
  ];
}

function positionProblems(circuit: Circuit, figure: PartFigure, place: string): readonly CircuitProblem[] {
  if (figure.formula !== 'forward voltage' || !figure.at) return [];
  const { switch: name, positions } = figure.at;
  return Object.keys(positions).flatMap((position) =>
    settingProblems(circuit, name, position, `${place}.at`),
  );
}

/** Nets, knobs and resistors by which the network shows the figure. */
function netProblems(circuit: Circuit, figure: PartFigure, place: string): readonly CircuitProblem[] {
  const transfer = 'transfer' in figure ? figure.transfer : undefined;
  const nets = {
    ...(transfer && { 'transfer.from': transfer.from, 'transfer.to': transfer.to }),
    ...('seenAt' in figure && { seenAt: figure.seenAt }),
    ...('net' in figure && { net: figure.net }),
  };
  const known = knownNets(circuit);
  const knobs = circuit.knobs.map(({ name }) => name);
  return [
    ...Object.entries(nets)
      .filter(([, net]) => !known.has(net))
      .map(([key, net]) => ({
        code: 'figure-net',
        place: `${place}.${key}`,
        problem: `The figure "${figure.name}" is measured at "${net}", which is no net and no pin of the circuit.`,
        remedy: 'Name a wire, a rail, "in", "out", or a pin such as "R1.1".',
      })),
    ...Object.keys(transfer?.knobs ?? {})
      .filter((name) => !knobs.includes(name))
      .map((name) => ({
        code: 'figure-knob',
        place: `${place}.transfer.knobs`,
        problem: `The figure "${figure.name}" turns the knob "${name}", which the circuit does not have.`,
        remedy: nameOneOf(knobs, 'knob'),
      })),
  ];
}

function knownNets(circuit: Circuit): ReadonlySet<string> {
  const pins = [...allParts(circuit)].flatMap(([ref, { part }]) =>
    pinsOf(part).map((pin) => `${ref}.${pin}`),
  );
  return new Set([...wireNames(circuit.stages), ...circuit.rails, INPUT_NET, OUTPUT_NET, ...pins]);
}
