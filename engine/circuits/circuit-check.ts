import { quoted } from '../input/shown-text.ts';
import { PartTypeError } from '../parts/catalogue.ts';
import { formatValue, parseValue, ValueError } from '../units/value-code.ts';
import type { Circuit, Stage } from './circuit.ts';
import { wireProblems } from './circuit-nets.ts';
import { figureRoles, type PartFigure } from './part-figure.ts';
import { type PartSpec, pinsOf, type SwitchSpec } from './part-spec.ts';
import { aKind, PartKindError, quantityOf, typeOfKind } from './part-values.ts';

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

/** Ports that are not one net in all stages that have them. */
const SIGNAL_PORTS = ['in', 'out'];
const GROUND_PORT = 'ground';

/**
 * What is wrong with a circuit whose document has the right shape: names that name nothing, pins that no wire reaches,
 * controls without parts. None where a build of it can be made into a network and drawn; whether that network can be
 * solved depends on the build.
 */
export function circuitProblems(circuit: Circuit): readonly CircuitProblem[] {
  return [
    ...sizeProblems(circuit),
    ...stageProblems(circuit),
    ...partProblems(circuit),
    ...wireProblems(circuit).map(({ code, stage, wire, problem, remedy }) => ({
      code,
      place: stage < 0 ? 'stages' : `stages[${stage}]${wire < 0 ? '.wires' : `.wires[${wire}]`}`,
      problem,
      remedy,
    })),
    ...packageProblems(circuit),
    ...knobProblems(circuit),
    ...switchProblems(circuit),
    ...bypassProblems(circuit),
    ...clippingProblems(circuit),
    ...roleProblems(circuit),
    ...circuit.figures.flatMap((figure, index) => figureProblems(circuit, figure, `figures[${index}]`)),
  ];
}

/** More than this takes seconds to make into a program, and longer than a sample to play. */
const MOST_PARTS = 160;
const MOST_SEMICONDUCTORS = 48;
const SEMICONDUCTORS: readonly PartSpec['kind'][] = ['diode', 'npn', 'pnp', 'nJfet', 'nMosfet', 'opamp'];

function sizeProblems({ stages }: Circuit): readonly CircuitProblem[] {
  const parts = stages.flatMap((each) => Object.values(each.parts));
  const semiconductors = parts.filter(({ kind }) => SEMICONDUCTORS.includes(kind));
  return [
    { what: 'parts', count: parts.length, most: MOST_PARTS },
    { what: 'diodes, transistors and op-amps', count: semiconductors.length, most: MOST_SEMICONDUCTORS },
  ]
    .filter(({ count, most }) => count > most)
    .map(({ what, count, most }) => ({
      code: 'too-large',
      place: 'stages',
      problem: `The circuit has ${count} ${what}; the bench plays at most ${most}.`,
      remedy: 'Take some away, or make two circuits of it.',
    }));
}

function stageProblems({ stages, rails }: Circuit): readonly CircuitProblem[] {
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
          remedy: 'Add the port to a wire, or take it away.',
        },
      ];
    }
    const isShared = !SIGNAL_PORTS.includes(port) && port !== GROUND_PORT;
    if (!isShared || all.filter((each) => each === port).length > 1) return [];
    return [
      {
        code: 'lonely-port',
        place: `${place}.ports.${port}`,
        problem: `Only stage ${id} has the port "${port}", so that it joins nothing.`,
        remedy: 'Add the port to the stage that it should meet, or take it away.',
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
      remedy: `Add "${missing}", or take "${there}" away.`,
    },
  ];
}

function partProblems({ stages, packages }: Circuit): readonly CircuitProblem[] {
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

/** What is wrong with the value or type that a part starts with. */
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
      if (!(error instanceof ValueError)) throw error;
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
    if (!(error instanceof PartTypeError || error instanceof PartKindError)) throw error;
    return [
      {
        code: 'unknown-type',
        place,
        problem: `${ref}: ${error.message}`,
        remedy: 'Choose a type of the catalogue.',
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
        remedy: 'Add the positions that it can stand at.',
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

function packageProblems(circuit: Circuit): readonly CircuitProblem[] {
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
            remedy: 'Take it away, or name it at an op-amp.',
          },
        ]),
  ]);
  return [...missing, ...listed];
}

function knobProblems(circuit: Circuit): readonly CircuitProblem[] {
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
      remedy: others.length > 0 ? `Name one of ${others.join(', ')}.` : 'Take the gang away.',
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
function settingProblems(
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
        remedy: `Name one of ${circuit.switches.map((each) => each.name).join(', ') || 'the switches, of which there are none'}.`,
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

function switchProblems(circuit: Circuit): readonly CircuitProblem[] {
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
  const set = new Set(circuit.switches.map(({ ref }) => ref));
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

function bypassProblems({ bypass, stages }: Circuit): readonly CircuitProblem[] {
  const ids = stages.map(({ id }) => id);
  const { kinds, inputStages, outputBuffer } = bypass;
  const named = [
    ...inputStages.map((id, index) => ({ id, place: `bypass.inputStages[${index}]` })),
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
    kinds.includes('transistor-switched') && !outputBuffer
      ? [
          {
            code: 'bypass-without-buffer',
            place: 'bypass.kinds',
            problem: 'A transistor-switched bypass needs an output buffer.',
            remedy: 'Add "outputBuffer", or take that kind away.',
          },
        ]
      : [];
  const nets = wireNames(stages);
  const wanted = [
    { net: bypass.bufferedNet, place: 'bypass.bufferedNet' },
    ...(outputBuffer ? [{ net: outputBuffer.inputNet, place: 'bypass.outputBuffer.inputNet' }] : []),
  ];
  const netless = wanted
    .filter(({ net }) => !nets.has(net))
    .map(({ net, place }) => unknownNet(net, place, nets));
  return [...unknown, ...repeated, ...unbuffered, ...netless];
}

function unknownNet(net: string, place: string, nets: ReadonlySet<string>): CircuitProblem {
  return {
    code: 'unknown-net',
    place,
    problem: `No wire is named "${net}".`,
    remedy: `Name the wire of that net, or use one of ${[...nets].join(', ')}.`,
  };
}

function wireNames(stages: readonly Stage[]): ReadonlySet<string> {
  return new Set(stages.flatMap(({ wires }) => wires.flatMap((each) => ('pins' in each ? [each.name] : []))));
}

function clippingProblems(circuit: Circuit): readonly CircuitProblem[] {
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

function roleProblems(circuit: Circuit): readonly CircuitProblem[] {
  const { level, supply } = circuit.roles;
  const problems: CircuitProblem[] = [];
  if (!circuit.knobs.some(({ name }) => name === level)) {
    problems.push({
      code: 'unknown-knob',
      place: 'roles.level',
      problem: `There is no knob "${level}" to set the level.`,
      remedy: `Name one of ${circuit.knobs.map(({ name }) => name).join(', ') || 'the knobs, of which there are none'}.`,
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

function figureProblems(circuit: Circuit, figure: PartFigure, place: string): readonly CircuitProblem[] {
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
      problem: `The figure "${figure.name}" is moved by ${ref}, which is no part of the circuit.`,
      remedy: 'Name parts of the circuit.',
    }));
  if (figure.formula !== 'forward voltage' || !figure.at) return [...wrong, ...unknown];
  const { switch: name, positions } = figure.at;
  const set = Object.keys(positions).flatMap((position) =>
    settingProblems(circuit, name, position, `${place}.at`),
  );
  return [...wrong, ...unknown, ...set];
}

interface FoundPart {
  readonly part: PartSpec;
  readonly place: string;
}

const knownParts = new WeakMap<Circuit, ReadonlyMap<string, FoundPart>>();

/** Parts by reference designator with their places in the document. */
function allParts(circuit: Circuit): ReadonlyMap<string, FoundPart> {
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
