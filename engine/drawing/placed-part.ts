import type { Direction, GridPoint, PartSpec, PotSpec } from '../circuits/part-spec.ts';
import { type Box, placedBox, placedDirection, placedPoint } from './geometry.ts';
import { symbolShape } from './symbol-shape.ts';

/** A pin on the drawing and the direction of its lead. */
export interface PlacedPin {
  readonly name: string;
  readonly at: GridPoint;
  readonly away: Direction;
}

/** A line of text beside a part. Wires and other parts stay out of the box; texts are shortened to its width. */
export interface LabelSpot {
  readonly what: 'ref' | 'value';
  /** Start, middle or end of the baseline, as `anchor` says. */
  readonly at: GridPoint;
  readonly anchor: 'start' | 'middle' | 'end';
  readonly box: Box;
}

/** A part of a stage in drawing coordinates. */
export interface PlacedPart {
  readonly ref: string;
  readonly spec: PartSpec;
  readonly pins: readonly PlacedPin[];
  readonly body: Box;
  /** Corners of the area that is marked while the part is chosen. It is convex. */
  readonly mark: readonly GridPoint[];
  readonly labels: readonly LabelSpot[];
}

/** Size of a label's letters, grid steps, where it need not be written smaller. */
export const LABEL_SIZE = 0.98;
/** From a baseline up to the top of the letters, and down to the lower end of a "g", grid steps. */
export const LETTER_HEIGHT = 0.77;
export const LETTER_DEPTH = 0.22;
/** A chosen part is marked as far around its body, grid steps. No label reaches in there. */
export const MARK_MARGIN = 0.08;
/** Average width of a character, grid steps. */
const CHARACTER_WIDTH = 0.62;
const LINE_HEIGHT = 1.18;
/** Between mark and label, one above the other and side by side: at least half the width of the mark's line. */
const LINE_GAP = 0.05;
const SIDE_GAP = 0.14;
/** The first of two lines beside a part, above its middle. */
const BESIDE = 0.325;
/** Characters of a designator, of one with a control's name ("VR2 treble"), and of values beside and below. */
const REF_CHARACTERS = 5;
const NAMED_CHARACTERS = 10;
const UPRIGHT_CHARACTERS = 8;
const LYING_CHARACTERS = 9;

export function placedPart(ref: string, spec: PartSpec): PlacedPart {
  const { pins, body: unturned } = symbolShape(spec);
  const body = placedBox(unturned, spec);
  return {
    ref,
    spec,
    pins: Object.entries(pins).map(([name, { at, away }]) => ({
      name,
      at: placedPoint(at, spec),
      away: placedDirection(away, spec),
    })),
    body,
    mark: spec.kind === 'opamp' ? OPAMP_MARK.map((corner) => placedPoint(corner, spec)) : cornersAround(body),
    labels: labelSpots(spec, body),
  };
}

/** Around the triangle, since the value stands over its slope. */
const OPAMP_MARK: readonly GridPoint[] = [
  [-2.3, -2.2],
  [2.6, 0],
  [-2.3, 2.2],
];

function cornersAround({ left, top, right, bottom }: Box): readonly GridPoint[] {
  const [west, north] = [left - MARK_MARGIN, top - MARK_MARGIN];
  const [east, south] = [right + MARK_MARGIN, bottom + MARK_MARGIN];
  return [
    [west, north],
    [east, north],
    [east, south],
    [west, south],
  ];
}

function labelSpots(spec: PartSpec, body: Box): readonly LabelSpot[] {
  const [x, y] = spec.at;
  const isUpright = spec.turn === 90 || spec.turn === 270;
  switch (spec.kind) {
    case 'opamp':
      return [
        spot('ref', [x - 0.6, y + 0.4], 'middle', REF_CHARACTERS - 1),
        // Over the slope of the triangle, which is marked as a triangle.
        spot('value', [x + 1.2, y - 1.8], 'start', UPRIGHT_CHARACTERS),
      ];
    case 'npn':
    case 'pnp':
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet':
      return beside(spec.labels ?? 'right', y, body);
    case 'pot':
      return isUpright
        ? acrossFromWiper(spec, body)
        : beside(spec.labels ?? 'left', y, body, NAMED_CHARACTERS);
    case 'converter':
    case 'switch': {
      const baseline = above(body);
      return [
        spot('ref', [x, baseline - LINE_HEIGHT], 'middle', NAMED_CHARACTERS + 4),
        spot('value', [x, baseline], 'middle', NAMED_CHARACTERS + 4),
      ];
    }
    default:
      return isUpright ? beside(spec.labels ?? 'right', y, body) : aboveAndBelow(x, body);
  }
}

/** Baselines of the lines next to a mark. */
const above = ({ top }: Box): number => top - MARK_MARGIN - LINE_GAP - LETTER_DEPTH;
const below = ({ bottom }: Box): number => bottom + MARK_MARGIN + LINE_GAP + LETTER_HEIGHT;

function aboveAndBelow(x: number, body: Box): readonly LabelSpot[] {
  return [
    spot('ref', [x, above(body)], 'middle', REF_CHARACTERS),
    spot('value', [x, below(body)], 'middle', LYING_CHARACTERS),
  ];
}

/** A horizontal potentiometer has one side free, opposite the wiper. */
function acrossFromWiper(spec: PotSpec, body: Box): readonly LabelSpot[] {
  const [x] = spec.at;
  const isBelow = placedDirection('right', spec) === 'up';
  const baseline = isBelow ? below(body) : above(body) - LINE_HEIGHT;
  return [
    spot('ref', [x, baseline], 'middle', NAMED_CHARACTERS),
    spot('value', [x, baseline + LINE_HEIGHT], 'middle', LYING_CHARACTERS),
  ];
}

function beside(
  side: 'left' | 'right',
  y: number,
  body: Box,
  refCharacters = REF_CHARACTERS,
): readonly LabelSpot[] {
  const distance = MARK_MARGIN + SIDE_GAP;
  const from = side === 'left' ? body.left - distance : body.right + distance;
  const anchor = side === 'left' ? 'end' : 'start';
  return [
    spot('ref', [from, y - BESIDE], anchor, refCharacters),
    spot('value', [from, y - BESIDE + LINE_HEIGHT], anchor, UPRIGHT_CHARACTERS),
  ];
}

function spot(
  what: LabelSpot['what'],
  at: GridPoint,
  anchor: LabelSpot['anchor'],
  characters: number,
): LabelSpot {
  return { what, at, anchor, box: lineBox(at, anchor, characters * CHARACTER_WIDTH) };
}

/** Box of a line of text. @param width Grid steps. */
export function lineBox([x, y]: GridPoint, anchor: LabelSpot['anchor'], width: number): Box {
  const left = { start: x, middle: x - width / 2, end: x - width }[anchor];
  return { left, top: y - LETTER_HEIGHT, right: left + width, bottom: y + LETTER_DEPTH };
}
