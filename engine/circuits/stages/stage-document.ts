import type { BypassKind, KnobSpec, PackageSpec, Stage, SwitchControlSpec } from '../circuit.ts';
import { CIRCUIT_FORMAT, CIRCUIT_VERSION, groupsShape, SHARED_SHAPES } from '../circuit-shape.ts';
import { described, list, object, oneOf, type Shape, text } from '../document-shape.ts';
import type { PartFigure } from '../part-figure.ts';
import type { PartGroup } from '../part-group.ts';

/** The shapes of a stage's document, and of a circuit's document that lists stages. */

export const STAGE_FORMAT = 'cliplead-stage';
export const STAGE_VERSION = 1;

/** Groups of stages by what they do, in the order of the list. */
export const STAGE_GROUPS = ['buffers', 'boosters', 'clipping', 'tone', 'blend', 'level', 'supply'] as const;
export type StageGroup = (typeof STAGE_GROUPS)[number];

/**
 * A stage that stands by itself. Its designators, nets and names are its own: a circuit that is made of stages gives
 * them new ones. It takes nothing of the direct voltage at its input, and says nothing of that at its output.
 */
export interface StageDocument extends Stage {
  readonly group: StageGroup;
  /** What it does, in one sentence. */
  readonly purpose: string;
  /** Ports that are left out where no other stage has them. */
  readonly offers?: readonly string[];
  readonly packages: Readonly<Record<string, PackageSpec>>;
  readonly knobs: readonly KnobSpec[];
  readonly switches: readonly SwitchControlSpec[];
  /** The net that clips, and the diodes that limit it; without diodes an op-amp or transistor does. */
  readonly clipping?: { readonly net: string; readonly diodes: readonly string[] };
  /** The knob that sets how loud it is, by its name. */
  readonly level?: string;
  readonly figures: readonly PartFigure[];
  readonly groups?: readonly PartGroup[];
  /** Where the starting value of each part comes from: "lowest frequency 8 Hz: 1 / (2π · 8 Hz · 1 MΩ) = 19.9 nF". */
  readonly values: Readonly<Record<string, string>>;
}

/** One stage in a circuit's list, with what differs from its document. */
export interface StageUse {
  /** Id of the document. */
  readonly stage: string;
  readonly title?: string;
  /** Values and types by the designators of the stage's document; of a package its type. */
  readonly parts?: Readonly<Record<string, string>>;
  /** Jobs that differ from those of the document, by its designators. */
  readonly jobs?: Readonly<Record<string, string>>;
  /** By the names in the stage's document. */
  readonly knobs?: Readonly<Record<string, { readonly name?: string; readonly start?: number }>>;
  readonly switches?: Readonly<Record<string, { readonly name?: string; readonly start?: string }>>;
}

/** A circuit as a list of stages, in the order of the signal; supplies stand last. */
export interface StageList {
  readonly id: string;
  readonly revision: number;
  readonly title: string;
  readonly stages: readonly StageUse[];
  /** Kinds of bypass; true bypass if absent. */
  readonly bypass?: readonly BypassKind[];
}

const { stageBody, controls, byRef, byName } = SHARED_SHAPES;
const sentence = text({ most: 300 });

export const stageShape = object(
  {
    format: oneOf([STAGE_FORMAT]),
    version: oneOf([STAGE_VERSION]),
    ...stageBody,
    group: oneOf(STAGE_GROUPS),
    purpose: described('What the stage does, in one sentence.', sentence),
    ...controls,
    figures: SHARED_SHAPES.figures,
    values: described('Where the starting values come from: a reason, and its formula.', byRef(sentence)),
  },
  {
    $schema: text({ most: 200 }),
    offers: described(
      'Ports that are left out where no other stage has them.',
      list(SHARED_SHAPES.port, { most: 4 }),
    ),
    clipping: described(
      'The net that clips, and the diodes that limit it.',
      object({ net: SHARED_SHAPES.name, diodes: list(SHARED_SHAPES.refText, { most: 16 }) }),
    ),
    level: described('The knob that sets how loud the stage is.', SHARED_SHAPES.name),
    groups: described('Parts that are swapped together.', groupsShape),
  },
);

const stageUse: Shape<StageUse> = object(
  { stage: described('Id of a stage; "cliplead stages" lists them.', SHARED_SHAPES.id) },
  {
    title: text({ most: 60 }),
    parts: described(
      'Values and types that differ, by the designators of the stage.',
      byRef(text({ most: 40 })),
    ),
    jobs: described('Jobs that differ, by the designators of the stage.', byRef(text({ most: 60 }))),
    knobs: described(
      'Other names and starts for its knobs.',
      byName(object({}, { name: SHARED_SHAPES.name, start: SHARED_SHAPES.rotation })),
    ),
    switches: described(
      'Other names and starts for its switches.',
      byName(object({}, { name: SHARED_SHAPES.name, start: SHARED_SHAPES.name })),
    ),
  },
);

export const stageListShape = object(
  {
    format: oneOf([CIRCUIT_FORMAT]),
    version: oneOf([CIRCUIT_VERSION]),
    id: SHARED_SHAPES.id,
    revision: SHARED_SHAPES.revision,
    title: text({ most: 60 }),
    stages: described('In signal order; supplies last.', list(stageUse, { least: 1, most: 22 })),
  },
  { $schema: text({ most: 200 }), bypass: list(oneOf(['true', 'buffered']), { least: 1, most: 2 }) },
);
