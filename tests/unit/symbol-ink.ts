import type { Box } from '../../engine/drawing/geometry.ts';

/** Place and size of a group of the drawing: first scaled, then moved. */
interface Group {
  readonly x: number;
  readonly y: number;
  readonly scale: number;
}

/** Boxes of all lines of a symbol with their width, in grid steps about its middle. Reads what symbols are made of. */
export function inkBoxes(symbol: string): readonly Box[] {
  const groups: Group[] = [{ x: 0, y: 0, scale: 1 }];
  const boxes: Box[] = [];
  for (const [tag, close, name = '', rest = ''] of symbol.matchAll(/<(\/?)(\w+)([^>]*)>/g)) {
    const group = groups.at(-1)!;
    if (name === 'g' && close) groups.pop();
    else if (name === 'g') groups.push(within(group, attribute(rest, 'transform')));
    else if (!close) boxes.push(...linesOf(name, rest, tag).map((box) => placed(box, group)));
  }
  return boxes;
}

function within({ x, y, scale }: Group, transform: string): Group {
  const [dx = 0, dy = 0] = numbers(/translate\(([^)]*)\)/.exec(transform)?.[1]);
  const [factor = 1] = numbers(/scale\(([^)]*)\)/.exec(transform)?.[1]);
  return { x: x + scale * dx, y: y + scale * dy, scale: scale * factor };
}

function placed({ left, top, right, bottom }: Box, { x, y, scale }: Group): Box {
  return {
    left: x + scale * left,
    top: y + scale * top,
    right: x + scale * right,
    bottom: y + scale * bottom,
  };
}

function linesOf(name: string, attributes: string, tag: string): readonly Box[] {
  const of = (key: string) => Number(attribute(attributes, key) || 0);
  switch (name) {
    case 'path':
      return pathLines(attribute(attributes, 'd'), /bridge/.test(attributes) ? 0.2 : 0.13);
    case 'circle':
      return [around(of('cx') - of('r'), of('cy') - of('r'), of('cx') + of('r'), of('cy') + of('r'), 0.13)];
    case 'rect':
      return [around(of('x'), of('y'), of('x') + of('width'), of('y') + of('height'), 0.08)];
    default:
      throw new Error(`symbols have no ${tag}`);
  }
}

/** Of each straight piece; of an arc the box of its circle's half. */
function pathLines(d: string, width: number): readonly Box[] {
  const boxes: Box[] = [];
  let [x, y, startX, startY] = [0, 0, 0, 0];
  const to = (nextX: number, nextY: number, isDrawn = true) => {
    if (isDrawn) boxes.push(around(x, y, nextX, nextY, width));
    [x, y] = [nextX, nextY];
  };
  for (const [, command, text] of d.matchAll(/([MLHVZa])([^MLHVZa]*)/g)) {
    const [first = 0, second = 0, ...more] = numbers(text);
    if (command === 'M') {
      to(first, second, false);
      [startX, startY] = [x, y];
    } else if (command === 'L') to(first, second);
    else if (command === 'H') to(first, y);
    else if (command === 'V') to(x, first);
    else if (command === 'Z') to(startX, startY);
    else {
      boxes.push(around(x, y - first, x + more[3]!, y, width));
      [x, y] = [x + more[3]!, y + more[4]!];
    }
  }
  return boxes;
}

function around(x: number, y: number, toX: number, toY: number, width: number): Box {
  const half = width / 2;
  return {
    left: Math.min(x, toX) - half,
    top: Math.min(y, toY) - half,
    right: Math.max(x, toX) + half,
    bottom: Math.max(y, toY) + half,
  };
}

const attribute = (text: string, key: string): string =>
  new RegExp(`(?:^|\\s)${key}=["']?([^"'>]*?)["']?(?=\\s+[\\w-]+=|\\s*/?$)`).exec(text)?.[1] ?? '';

const numbers = (text: string | undefined): number[] => (text?.match(/-?[\d.]+/g) ?? []).map(Number);
