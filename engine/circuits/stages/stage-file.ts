import type { Circuit, Stage } from '../circuit.ts';
import { circuitProblems } from '../circuit-check.ts';
import { allParts, type CircuitProblem } from '../circuit-problem.ts';
import { MOST_PROBLEMS, type ShapeProblem } from '../document-shape.ts';
import { STAGE_FORMAT, STAGE_VERSION, type StageDocument, stageShape } from './stage-document.ts';

/** A stage, or everything that is wrong with its document. */
export type ParsedStage =
  | { readonly stage: StageDocument; readonly problems?: undefined }
  | { readonly stage?: undefined; readonly problems: readonly CircuitProblem[] };

/** What a stage alone cannot have: the other stages, a supply, a level. */
const NEEDS_A_CIRCUIT = new Set([
  'lonely-port',
  'no-signal-path',
  'no-ground',
  'unknown-rail',
  'unknown-supply',
  'bypass-without-path',
]);

/** Reads a stage from its document as `parseCircuit` reads a circuit. Never throws. */
export function parseStage(json: unknown): ParsedStage {
  const shape: ShapeProblem[] = [];
  const document = stageShape.read(json, '', shape);
  if (!document || shape.length > 0) return { problems: shape.slice(0, MOST_PROBLEMS) };
  const { format: _format, version: _version, $schema: _schema, ...stage } = document;
  const problems = stageProblems(stage);
  return problems.length > 0 ? { problems: problems.slice(0, MOST_PROBLEMS) } : { stage };
}

/** A stage as the document that `parseStage` reads. */
export function stageDocument(stage: StageDocument): Readonly<Record<string, unknown>> {
  return { format: STAGE_FORMAT, version: STAGE_VERSION, ...stage };
}

function stageProblems(stage: StageDocument): readonly CircuitProblem[] {
  const alone = circuitProblems(circuitAlone(stage))
    .filter(({ code }) => !NEEDS_A_CIRCUIT.has(code))
    .filter(({ place }) => stage.clipping || place !== 'clippingNet')
    .filter(({ place }) => stage.level !== undefined || place !== 'roles.level')
    .map((problem) => ({ ...problem, place: placeInStage(problem.place) }));
  return [...alone, ...offerProblems(stage), ...valueProblems(stage)];
}

/** What follows, so that the name of the stage's output is not that of the circuit's. */
const NEXT: Stage = {
  id: 'next',
  title: '',
  ports: { in: [0, 0], out: [4, 0] },
  parts: { ZZZ999: { kind: 'resistor', value: '1k', at: [2, 0], role: '' } },
  wires: [
    ['in', 'ZZZ999.1'],
    ['ZZZ999.2', 'out'],
  ],
};

/** The stage as if it were a whole circuit, for the checks of its own names. */
function circuitAlone({
  clipping,
  level,
  offers,
  figures,
  packages,
  knobs,
  switches,
  groups,
  ...own
}: StageDocument): Circuit {
  const { id, title, ports, parts, wires } = own;
  return {
    id,
    revision: 1,
    title,
    stages: [{ id, title, ports, parts, wires }, ...('in' in ports ? [NEXT] : [])],
    packages,
    knobs,
    switches,
    rails: Object.keys(ports).filter((port) => !['in', 'out', 'ground', ...(offers ?? [])].includes(port)),
    bypass: { kinds: ['true'] },
    clippingNet: clipping?.net ?? '',
    clippingDiodes: clipping?.diodes ?? [],
    roles: { level: level ?? '', supply: '' },
    figures,
    ...(groups && { groups }),
  };
}

const PLACES: readonly (readonly [from: RegExp, to: string])[] = [
  [/^stages\[0\]\.?/u, ''],
  [/^stages$/u, ''],
  [/^clippingNet/u, 'clipping.net'],
  [/^clippingDiodes/u, 'clipping.diodes'],
  [/^roles\.level/u, 'level'],
];

function placeInStage(place: string): string {
  return PLACES.reduce((text, [from, to]) => text.replace(from, to), place);
}

function offerProblems({ offers = [], ports }: StageDocument): readonly CircuitProblem[] {
  return offers.flatMap((port, index) =>
    Object.hasOwn(ports, port) && !['in', 'out', 'ground'].includes(port)
      ? []
      : [
          {
            code: 'unknown-port',
            place: `offers[${index}]`,
            problem: `The stage offers "${port}", which is no port to other stages.`,
            remedy: 'Name one of its ports, other than in, out and ground.',
          },
        ],
  );
}

function valueProblems(stage: StageDocument): readonly CircuitProblem[] {
  const parts = allParts(circuitAlone(stage));
  return Object.keys(stage.values)
    .filter((ref) => !parts.has(ref) && !Object.hasOwn(stage.packages, ref))
    .map((ref) => ({
      code: 'unknown-part',
      place: `values.${ref}`,
      problem: `A value is explained for ${ref}, which is no part of the stage.`,
      remedy: 'Name a part of the stage.',
    }));
}
