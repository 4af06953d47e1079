import type { Direction, GridPoint, Placement } from '../circuits/part-spec.ts';

/** A box on the drawing, edges included, grid steps. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const STEPS: Readonly<Record<Direction, GridPoint>> = {
  left: [-1, 0],
  right: [1, 0],
  up: [0, -1],
  down: [0, 1],
};

/** The point `steps` grid steps away. */
export function moved([x, y]: GridPoint, direction: Direction, steps = 1): GridPoint {
  const [dx, dy] = STEPS[direction];
  return [x + steps * dx, y + steps * dy];
}

export const shifted = ([x, y]: GridPoint, [dx, dy]: GridPoint): GridPoint => [x + dx, y + dy];

export const shiftedBox = (box: Box, [dx, dy]: GridPoint): Box => ({
  left: box.left + dx,
  top: box.top + dy,
  right: box.right + dx,
  bottom: box.bottom + dy,
});

/** Smallest box around all; an empty list gives an empty box at the origin. */
export function boxAround(boxes: readonly Box[]): Box {
  if (boxes.length === 0) return { left: 0, top: 0, right: 0, bottom: 0 };
  return {
    left: Math.min(...boxes.map(({ left }) => left)),
    top: Math.min(...boxes.map(({ top }) => top)),
    right: Math.max(...boxes.map(({ right }) => right)),
    bottom: Math.max(...boxes.map(({ bottom }) => bottom)),
  };
}

export const pointBox = ([x, y]: GridPoint): Box => ({ left: x, top: y, right: x, bottom: y });

/** Whether two boxes share area; boxes that only touch do not. */
export function overlap(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/** A point of a symbol in drawing coordinates: first mirrored, then turned clockwise, then moved to the part's place. */
export function placedPoint([x, y]: GridPoint, { at, turn = 0, flip = false }: Placement): GridPoint {
  const [dx, dy] = turned([x, flip ? -y : y], turn);
  return [at[0] + dx, at[1] + dy];
}

export function placedBox(box: Box, placement: Placement): Box {
  const [ax, ay] = placedPoint([box.left, box.top], placement);
  const [bx, by] = placedPoint([box.right, box.bottom], placement);
  return {
    left: Math.min(ax, bx),
    top: Math.min(ay, by),
    right: Math.max(ax, bx),
    bottom: Math.max(ay, by),
  };
}

export function placedDirection(direction: Direction, placement: Placement): Direction {
  const [dx, dy] = placedPoint(STEPS[direction], { ...placement, at: [0, 0] });
  if (dx !== 0) return dx < 0 ? 'left' : 'right';
  return dy < 0 ? 'up' : 'down';
}

function turned([x, y]: GridPoint, turn: 0 | 90 | 180 | 270): GridPoint {
  switch (turn) {
    case 0:
      return [x, y];
    case 90:
      return [-y, x];
    case 180:
      return [-x, -y];
    case 270:
      return [y, -x];
  }
}
