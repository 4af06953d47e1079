import type { Circuit, FootswitchPosition, Stage } from './circuit.ts';
import { allParts, type CircuitProblem, nameOneOf } from './circuit-problem.ts';
import { aKind } from './part-values.ts';

export function bypassProblems(circuit: Circuit): readonly CircuitProblem[] {
  const { bypass, stages } = circuit;
  const ids = stages.map(({ id }) => id);
  const { kinds, footswitch, bufferedNet, inputStages, outputBuffer } = bypass;
  const named = [
    ...(inputStages ?? []).map((id, index) => ({ id, place: `bypass.inputStages[${index}]` })),
    ...(outputBuffer ? [{ id: outputBuffer.stage, place: 'bypass.outputBuffer.stage' }] : []),
  ];
  const unknown = named
    .filter(({ id }) => !ids.includes(id))
    .map(({ id, place }) => ({
      code: 'unknown-stage',
      place,
      problem: `There is no stage "${id}".`,
      remedy: `The stages are ${ids.join(', ')}.`,
    }));
  const repeated = kinds
    .map((kind, index) => ({ kind, index }))
    .filter(({ kind, index }) => kinds.indexOf(kind) !== index)
    .map(({ kind, index }) => ({
      code: 'repeated-bypass',
      place: `bypass.kinds[${index}]`,
      problem: `The bypass "${kind}" is listed twice.`,
      remedy: 'Keep one of them.',
    }));
  const unbuffered: CircuitProblem[] =
    kinds.includes('transistor-switched') && !outputBuffer && !footswitch
      ? [
          {
            code: 'bypass-without-buffer',
            place: 'bypass.kinds',
            problem: 'A transistor-switched bypass needs an output buffer.',
            remedy: 'Add "outputBuffer", or remove that kind.',
          },
        ]
      : [];
  const nets = wireNames(stages);
  const wanted = [
    ...(bufferedNet === undefined ? [] : [{ net: bufferedNet, place: 'bypass.bufferedNet' }]),
    ...(outputBuffer ? [{ net: outputBuffer.inputNet, place: 'bypass.outputBuffer.inputNet' }] : []),
  ];
  const netless = wanted
    .filter(({ net }) => !nets.has(net))
    .map(({ net, place }) => unknownNet(net, place, nets));
  return [
    ...unknown,
    ...repeated,
    ...unbuffered,
    ...netless,
    ...stageKindProblems(circuit),
    ...(footswitch ? footswitchProblems(circuit, footswitch) : pathProblems(bypass)),
  ];
}

/** A bypass of fixed values needs a place where it begins. */
function pathProblems({ bufferedNet, inputStages }: Circuit['bypass']): readonly CircuitProblem[] {
  if (bufferedNet !== undefined && inputStages !== undefined) return [];
  return [
    {
      code: 'bypass-without-path',
      place: 'bypass',
      problem: 'Nothing says how the pedal is bypassed.',
      remedy: 'Name the switches in "footswitch", or give "bufferedNet" and "inputStages".',
    },
  ];
}

const FOOTSWITCH_POSITIONS: readonly FootswitchPosition[] = ['on', 'bypassed'];

/** A stage of a kind of bypass that no build can choose. */
function stageKindProblems({ bypass: { kinds }, stages }: Circuit): readonly CircuitProblem[] {
  return stages.flatMap(({ bypass = [] }, stage) =>
    bypass.flatMap((kind, index) =>
      kinds.includes(kind)
        ? []
        : [
            {
              code: 'unlisted-bypass',
              place: `stages[${stage}].bypass[${index}]`,
              problem: `The circuit has no bypass "${kind}".`,
              remedy: `Add it to "kinds" of "bypass", or use one of ${kinds.join(', ')}.`,
            },
          ],
    ),
  );
}

function footswitchProblems(
  { stages, switches }: Circuit,
  footswitch: readonly string[],
): readonly CircuitProblem[] {
  return footswitch.flatMap((ref, index): readonly CircuitProblem[] => {
    if (switches.some((control) => control.ref === ref)) {
      return [
        {
          code: 'footswitch-with-control',
          place: `bypass.footswitch[${index}]`,
          problem: `${ref} is a footswitch and also one of "switches".`,
          remedy: 'Remove it from one of them.',
        },
      ];
    }
    const part = stages.map(({ parts }) => parts[ref]).find((each) => each !== undefined);
    const positions = part?.kind === 'switch' ? Object.keys(part.positions) : [];
    if (FOOTSWITCH_POSITIONS.every((position) => positions.includes(position))) return [];
    return [
      {
        code: 'footswitch',
        place: `bypass.footswitch[${index}]`,
        problem: `${ref} is no switch with the positions "on" and "bypassed".`,
        remedy: 'Name a switch of the circuit, and give it these positions.',
      },
    ];
  });
}

function unknownNet(net: string, place: string, nets: ReadonlySet<string>): CircuitProblem {
  return {
    code: 'unknown-net',
    place,
    problem: `No wire is named "${net}".`,
    remedy: `Name the wire of that net, or use one of ${[...nets].join(', ')}.`,
  };
}

export function wireNames(stages: readonly Stage[]): ReadonlySet<string> {
  return new Set(stages.flatMap(({ wires }) => wires.flatMap((each) => ('pins' in each ? [each.name] : []))));
}

export function clippingProblems(circuit: Circuit): readonly CircuitProblem[] {
  const parts = allParts(circuit);
  const nets = wireNames(circuit.stages);
  const strangers = circuit.clippingDiodes.flatMap((ref, index): readonly CircuitProblem[] => {
    const found = parts.get(ref)?.part;
    if (found?.kind === 'diode') return [];
    return [
      {
        code: 'clipping-diode',
        place: `clippingDiodes[${index}]`,
        problem: `${ref} is ${found ? aKind(found.kind) : 'no part of the circuit'}, not a diode that clips.`,
        remedy: 'Name diodes of the circuit.',
      },
    ];
  });
  if (nets.has(circuit.clippingNet)) return strangers;
  return [...strangers, unknownNet(circuit.clippingNet, 'clippingNet', nets)];
}

export function roleProblems(circuit: Circuit): readonly CircuitProblem[] {
  const { level, supply } = circuit.roles;
  const problems: CircuitProblem[] = [];
  if (!circuit.knobs.some(({ name }) => name === level)) {
    problems.push({
      code: 'unknown-knob',
      place: 'roles.level',
      problem: `There is no knob "${level}" to set the level.`,
      remedy: nameOneOf(
        circuit.knobs.map(({ name }) => name),
        'knob',
      ),
    });
  }
  const found = allParts(circuit).get(supply)?.part;
  if (found?.kind !== 'supply') {
    problems.push({
      code: 'unknown-supply',
      place: 'roles.supply',
      problem: `${supply} is ${found ? aKind(found.kind) : 'no part of the circuit'}, not the supply.`,
      remedy: 'Name the part of the kind "supply" that feeds the pedal.',
    });
  }
  return problems;
}
