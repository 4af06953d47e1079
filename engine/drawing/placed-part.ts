import type { Direction, GridPoint, PartSpec, PotSpec } from '../circuits/part-spec.ts';
import { type Box, placedBox, placedDirection, placedPoint } from './geometry.ts';
import { symbolShape } from './symbol-shape.ts';

/** A pin on the drawing and the direction of its lead. */
export interface PlacedPin {
  readonly name: string;
  readonly at: GridPoint;
  readonly away: Direction;
}

/** A line of text beside a part. Wires and other parts stay out of the box; texts are shortened to `characters`. */
export interface LabelSpot {
  readonly what: 'ref' | 'value';
  /** Start, middle or end of the first line's baseline, as `anchor` says. */
  readonly at: GridPoint;
  readonly anchor: 'start' | 'middle' | 'end';
  readonly characters: number;
  readonly box: Box;
}

/** A part of a stage in drawing coordinates. */
export interface PlacedPart {
  readonly ref: string;
  readonly spec: PartSpec;
  readonly pins: readonly PlacedPin[];
  readonly body: Box;
  readonly labels: readonly LabelSpot[];
}

/** Average width of a character, grid steps, in text with capitals 0.8 steps high. */
export const CHARACTER_WIDTH = 0.62;
/** From a baseline up to the top of its capitals. */
const CAPITAL_HEIGHT = 0.8;
const LINE_HEIGHT = 1.3;
/** Characters of a designator, of one with a control's name ("VR2 treble"), and of values beside and below. */
const REF_CHARACTERS = 5;
const NAMED_CHARACTERS = 10;
const UPRIGHT_CHARACTERS = 8;
const LYING_CHARACTERS = 9;

export function placedPart(ref: string, spec: PartSpec): PlacedPart {
  const { pins, body } = symbolShape(spec);
  return {
    ref,
    spec,
    pins: Object.entries(pins).map(([name, { at, away }]) => ({
      name,
      at: placedPoint(at, spec),
      away: placedDirection(away, spec),
    })),
    body: placedBox(body, spec),
    labels: labelSpots(spec),
  };
}

function labelSpots(spec: PartSpec): readonly LabelSpot[] {
  const [x, y] = spec.at;
  const isUpright = spec.turn === 90 || spec.turn === 270;
  switch (spec.kind) {
    case 'opamp':
      return [
        spot('ref', [x - 0.6, y + 0.4], 'middle', REF_CHARACTERS - 1),
        spot('value', [x + 1.2, y - 1.8], 'start', UPRIGHT_CHARACTERS),
      ];
    case 'npn':
    case 'pnp':
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet':
      return beside(spec.labels ?? 'right', [x, y], 1.9);
    case 'pot':
      return isUpright ? acrossFromWiper(spec) : beside(spec.labels ?? 'left', [x, y], 1, NAMED_CHARACTERS);
    case 'converter':
    case 'switch': {
      const bottom = placedBox(symbolShape(spec).body, spec).top - 0.3;
      return [
        spot('ref', [x, bottom - LINE_HEIGHT], 'middle', NAMED_CHARACTERS + 4),
        spot('value', [x, bottom], 'middle', NAMED_CHARACTERS + 4),
      ];
    }
    default:
      return isUpright ? beside(spec.labels ?? 'right', [x, y], 1) : aboveAndBelow([x, y]);
  }
}

function aboveAndBelow([x, y]: GridPoint): readonly LabelSpot[] {
  return [
    spot('ref', [x, y - 0.95], 'middle', REF_CHARACTERS),
    spot('value', [x, y + 0.95 + CAPITAL_HEIGHT], 'middle', LYING_CHARACTERS),
  ];
}

/** A horizontal potentiometer has one side free, opposite the wiper. */
function acrossFromWiper(spec: PotSpec): readonly LabelSpot[] {
  const [x, y] = spec.at;
  const isBelow = placedDirection('right', spec) === 'up';
  const baseline = isBelow ? y + 0.95 + CAPITAL_HEIGHT : y - 0.95 - LINE_HEIGHT;
  return [
    spot('ref', [x, baseline], 'middle', NAMED_CHARACTERS),
    spot('value', [x, baseline + LINE_HEIGHT], 'middle', LYING_CHARACTERS),
  ];
}

function beside(
  side: 'left' | 'right',
  [x, y]: GridPoint,
  distance: number,
  refCharacters = REF_CHARACTERS,
): readonly LabelSpot[] {
  const isLeft = side === 'left';
  const from = isLeft ? x - distance : x + distance;
  const anchor = isLeft ? 'end' : 'start';
  return [
    spot('ref', [from, y - 0.2], anchor, refCharacters),
    spot('value', [from, y - 0.2 + LINE_HEIGHT], anchor, UPRIGHT_CHARACTERS),
  ];
}

function spot(
  what: LabelSpot['what'],
  at: GridPoint,
  anchor: LabelSpot['anchor'],
  characters: number,
): LabelSpot {
  const width = characters * CHARACTER_WIDTH;
  const left = { start: at[0], middle: at[0] - width / 2, end: at[0] - width }[anchor];
  return {
    what,
    at,
    anchor,
    characters,
    box: { left, top: at[1] - CAPITAL_HEIGHT, right: left + width, bottom: at[1] + 0.15 },
  };
}
