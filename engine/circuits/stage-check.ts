import { isDevice } from '../devices/devices.ts';
import type { Circuit, Stage } from './circuit.ts';
import type { CircuitProblem } from './circuit-problem.ts';

/** Ports that are not one net in all stages that have them. */
const SIGNAL_PORTS = ['in', 'out'];
const GROUND_PORT = 'ground';

/** More parts than this take seconds to compile, and longer than a sample to play. */
const MOST_PARTS = 160;
const MOST_SEMICONDUCTORS = 48;

export function sizeProblems({ stages }: Circuit): readonly CircuitProblem[] {
  const parts = stages.flatMap((each) => Object.values(each.parts));
  const semiconductors = parts.filter((each) => isDevice(each) && each.kind !== 'converter');
  return [
    { what: 'parts', count: parts.length, most: MOST_PARTS },
    { what: 'diodes, transistors and op-amps', count: semiconductors.length, most: MOST_SEMICONDUCTORS },
  ]
    .filter(({ count, most }) => count > most)
    .map(({ what, count, most }) => ({
      code: 'too-large',
      place: 'stages',
      problem: `The circuit has ${count} ${what}; the bench plays at most ${most}.`,
      remedy: 'Remove some, or make two circuits of it.',
    }));
}

export function stageProblems({ stages, rails }: Circuit): readonly CircuitProblem[] {
  const problems: CircuitProblem[] = [];
  const ports = stages.flatMap((each) => Object.keys(each.ports));
  stages.forEach((each, index) => {
    const place = `stages[${index}]`;
    if (stages.findIndex(({ id }) => id === each.id) !== index) {
      problems.push({
        code: 'repeated-stage',
        place: `${place}.id`,
        problem: `Two stages have the id "${each.id}".`,
        remedy: 'Give one of them another id.',
      });
    }
    problems.push(...portProblems(each, place, [...ports, ...rails]));
  });
  if (!stages.some((each) => 'in' in each.ports)) {
    problems.push({
      code: 'no-signal-path',
      place: 'stages',
      problem: 'No stage has the ports "in" and "out".',
      remedy: 'Add them to each stage that the signal goes through.',
    });
  }
  if (!ports.includes(GROUND_PORT)) {
    problems.push({
      code: 'no-ground',
      place: 'stages',
      problem: 'No stage has the port "ground".',
      remedy: 'Add it where a part is joined to ground.',
    });
  }
  rails.forEach((rail, index) => {
    if (ports.includes(rail) && ![...SIGNAL_PORTS, GROUND_PORT].includes(rail)) return;
    problems.push({
      code: 'unknown-rail',
      place: `rails[${index}]`,
      problem: `The rail "${rail}" is no shared port of any stage.`,
      remedy: 'Name a port that a stage has, other than in, out and ground.',
    });
  });
  return problems;
}

function portProblems(
  { id, ports, wires }: Stage,
  place: string,
  /** Of all stages; rails once more, since they may be there for their name alone. */
  all: readonly string[],
): readonly CircuitProblem[] {
  const names = Object.keys(ports);
  const wired = new Set(wires.flatMap((each) => ('pins' in each ? each.pins : each)));
  const problems = names.flatMap((port): CircuitProblem[] => {
    if (!wired.has(port)) {
      return [
        {
          code: 'unwired-port',
          place: `${place}.ports.${port}`,
          problem: `No wire of stage ${id} reaches its port "${port}".`,
          remedy: 'Add the port to a wire, or remove it.',
        },
      ];
    }
    const isShared = !SIGNAL_PORTS.includes(port) && port !== GROUND_PORT;
    if (!isShared || all.filter((each) => each === port).length > 1) return [];
    return [
      {
        code: 'lonely-port',
        place: `${place}.ports.${port}`,
        problem: `Only stage ${id} has the port "${port}", so it connects nothing.`,
        remedy: 'Add the port to the stage that it should connect to, or remove it.',
      },
    ];
  });
  if (names.includes('in') === names.includes('out')) return problems;
  const [there, missing] = names.includes('in') ? ['in', 'out'] : ['out', 'in'];
  return [
    ...problems,
    {
      code: 'broken-path',
      place: `${place}.ports`,
      problem: `Stage ${id} has the port "${there}", but not "${missing}".`,
      remedy: `Add "${missing}", or remove "${there}".`,
    },
  ];
}
