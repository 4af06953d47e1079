import type { GridPoint } from '../circuits/part-spec.ts';
import type { Box } from '../drawing/geometry.ts';
import {
  circle,
  LINE,
  line,
  type Picture,
  type PictureText,
  px,
  rect,
  SMALL_SIZE,
  TEXT_SIZE,
  TITLE_SIZE,
  textAt,
  wrapped,
} from './picture.ts';
import { lugName, type WiringItem } from './wiring.ts';
import { netText, type WiringPlaces } from './wiring-places.ts';

/** Length of a lug that sticks out of a part. */
const STUB = 1;
/** Text beside a control: from the left edge of the drawing. */
const TEXT_X = 1;
/** Rooms for texts, grid steps. */
const CONTROL_ROOM = 14;
const HARDWARE_ROOM = 15;

/** How an item is drawn around its lugs. */
export function itemPicture(item: WiringItem, { at }: WiringPlaces): Picture {
  const lugs = item.lugs.map((lug) => at.get(lugName(item, lug))!);
  switch (item.kind) {
    case 'pot':
      return pot(item, lugs);
    case 'toggle':
      return toggle(item, lugs);
    case 'named-switch':
    case 'named-footswitch':
      return namedSwitch(item, lugs);
    case 'footswitch':
      return footswitch(item, lugs);
    case 'LED':
    case 'LED resistor':
      return inLine(item, lugs);
    case 'DC socket':
      return socket(item, lugs);
    case 'battery':
      return boxed(item, lugs, [-4.2, -1.6], 9);
    case 'input jack':
    case 'output jack':
      return jack(item, lugs);
    case 'board':
      throw new RangeError('the board is drawn with its pads');
  }
}

/** Board with the name of each pad's net. */
export function boardPicture(board: WiringItem, { at, edge, bottom }: WiringPlaces, left: number): Picture {
  const body: Box = { left, right: edge, top: 2.5, bottom };
  const texts = board.lugs.map((pad) => {
    const [x, y] = at.get(lugName(board, pad))!;
    const isLeft = x === left;
    return textAt(netText(pad.net!), [x + (isLeft ? 1 : -1), y + 0.4], {
      anchor: isLeft ? 'start' : 'end',
      room: 17,
    });
  });
  const middle = (left + edge) / 2;
  const title = textAt('Board', [middle, 2], { size: TITLE_SIZE, weight: 600, anchor: 'middle' });
  return {
    shapes: rect(body),
    texts: [...texts, title],
    bodies: [{ ...body, left: left + 0.5, right: edge - 0.5 }],
  };
}

function beside({ title, lines }: WiringItem, y: number): readonly PictureText[] {
  const text = lines.flatMap((each) => wrapped(each, CONTROL_ROOM, TEXT_SIZE, 400));
  return [
    textAt(title, [TEXT_X, y + 0.4], { size: TITLE_SIZE, weight: 600, room: CONTROL_ROOM }),
    ...text.map((each, index) =>
      textAt(each, [TEXT_X, y + 0.4 + LINE * (index + 1)], { room: CONTROL_ROOM }),
    ),
  ];
}

/** From the back, lugs to the right: lug 1 above, and clockwise for the player is counter-clockwise here. */
function pot(item: WiringItem, lugs: readonly GridPoint[]): Picture {
  const [x, y] = lugs[1]!;
  const middle: GridPoint = [x - 4.5, y];
  const tabs = lugs.map((lug) => line([x - 2.4, lug[1] * 0.6 + y * 0.4], lug));
  const numbers = item.lugs.map(({ lug }, index) =>
    textAt(lug, [x - 0.4, lugs[index]![1] - 0.7], { size: SMALL_SIZE, anchor: 'end' }),
  );
  const [from, to] = [`${px(middle[0] + 0.9)} ${px(y - 1.2)}`, `${px(middle[0] + 0.9)} ${px(y + 1.2)}`];
  const tip = `${px(middle[0] + 0.9)} ${px(y + 1.2)}`;
  const turn = `<path d="M${from}A${px(1.5)} ${px(1.5)} 0 1 0 ${to}" data-turn="1 3"/><path d="M${tip}l-6 -4M${tip}l-5 5"/>`;
  return {
    shapes: circle(middle, 3) + tabs.join('') + turn,
    texts: [...beside(item, lugs[0]![1]), ...numbers],
    bodies: [],
  };
}

function toggle(item: WiringItem, lugs: readonly GridPoint[]): Picture {
  const body = around(lugs, 1.7);
  const numbers = item.lugs.map(({ lug }, index) => numberAt(lug, lugs[index]!));
  const blades = lugs.map(([x, y]) => line([x - 0.9, y], [x + 0.9, y]));
  return {
    shapes: rect(body) + blades.join(''),
    texts: [...beside(item, lugs[0]![1]), ...numbers],
    bodies: [],
  };
}

function namedSwitch(item: WiringItem, lugs: readonly GridPoint[]): Picture {
  const names = item.lugs.map(({ lug }, index) => {
    const [x, y] = lugs[index]!;
    const isControl = item.kind === 'named-switch';
    return textAt(lug, [x + (isControl ? -0.8 : 0.8), y + 0.4], {
      anchor: isControl ? 'end' : 'start',
      size: SMALL_SIZE,
      room: 6,
    });
  });
  const [x, top] = lugs[0]!;
  const bottom = lugs.at(-1)![1] + 1;
  if (item.kind === 'named-switch') {
    const body = { left: x - 7.5, right: x, top: top - 1, bottom };
    return { shapes: rect(body), texts: [...beside(item, top), ...names], bodies: [] };
  }
  const body = { left: x, right: x + 8, top: top - 1, bottom };
  const texts = [...above(item, [x + 1, top - 1.6]), ...names];
  return { shapes: rect(body), texts, bodies: [{ ...body, left: x + 0.5 }] };
}

function numberAt(lug: string, [x, y]: GridPoint): PictureText {
  return textAt(lug, [x - 0.5, y - 0.7], { size: SMALL_SIZE, anchor: 'end' });
}

/** The blades of the lugs stand across the row of their pole. */
function footswitch(item: WiringItem, lugs: readonly GridPoint[]): Picture {
  const body = around(lugs, 1.8);
  const blades = lugs.map(([x, y]) => line([x, y - 0.9], [x, y + 0.9]));
  const numbers = item.lugs.map(({ lug }, index) => numberAt(lug, lugs[index]!));
  const texts = titled(item, [lugs[2]![0] + 5, lugs[0]![1] - 2.5]);
  return { shapes: rect(body, 0.6) + blades.join(''), texts: [...texts, ...numbers], bodies: [] };
}

function titled({ title, lines }: WiringItem, [x, y]: GridPoint): readonly PictureText[] {
  return [
    textAt(title, [x, y], { size: TITLE_SIZE, weight: 600, room: HARDWARE_ROOM }),
    ...lines.map((each, index) => textAt(each, [x, y + LINE * (index + 1)], { room: HARDWARE_ROOM })),
  ];
}

/** Title and lines in one line. */
function above({ title, lines }: WiringItem, at: GridPoint): readonly PictureText[] {
  const text = [title, ...lines].join(', ');
  return [textAt(text, at, { weight: 600, room: HARDWARE_ROOM })];
}

/** A resistor or an LED in its wire. */
function inLine(item: WiringItem, [from, to]: readonly GridPoint[]): Picture {
  const [x, y] = from!;
  const middle = (x + to![0]) / 2;
  const isLed = item.kind === 'LED';
  const body = {
    left: middle - (isLed ? 1.4 : 1.8),
    right: middle + (isLed ? 1.4 : 1.8),
    top: y - 0.9,
    bottom: y + 0.9,
  };
  const pointsRight = item.lugs[0]!.lug === 'A';
  const shape = isLed ? ledSymbol(middle, y, pointsRight ? 1 : -1) : rect(body, 0);
  const leads = line(from!, [body.left, y]) + line([body.right, y], to!);
  const names = isLed
    ? item.lugs.map(({ lug }, index) =>
        textAt(lug, [[from!, to!][index]![0], y - 0.8], { size: SMALL_SIZE, anchor: 'middle' }),
      )
    : [];
  const below = [item.title, ...item.lines].map((text, index) =>
    textAt(text, [middle, y + 2.3 + 1.3 * index], { size: SMALL_SIZE, anchor: 'middle', room: 7.5 }),
  );
  return { shapes: `${shape}${leads}`, texts: [...names, ...below], bodies: [body] };
}

/** A triangle that points from anode to cathode, and the bar. @param to 1 if the cathode is at the right. */
function ledSymbol(x: number, y: number, to: 1 | -1): string {
  const [back, front] = [x - 1.4 * to, x + 1.4 * to];
  const triangle = `<path d="M${px(back)} ${px(y - 0.9)}V${px(y + 0.9)}L${px(front)} ${px(y)}Z"/>`;
  return triangle + line([front, y - 0.9], [front, y + 0.9]);
}

function socket(item: WiringItem, lugs: readonly GridPoint[]): Picture {
  const [[x, top], [, bottom], [right]] = lugs as [GridPoint, GridPoint, GridPoint];
  const body = { left: x + STUB, right: right - STUB, top: top - 1.4, bottom: bottom + 1.4 };
  const names = item.lugs.map(({ lug, name }, index) => {
    const [lugX, lugY] = lugs[index]!;
    const isRight = lugX === right;
    const text = name === '' ? lug : `${lug} ${name}`;
    return textAt(text, [lugX + (isRight ? -1.6 : 1.6), lugY + 0.4], {
      anchor: isRight ? 'end' : 'start',
      size: SMALL_SIZE,
    });
  });
  const stubs = lugs.map(([lugX, y]) => line([lugX, y], [lugX === right ? body.right : body.left, y]));
  return {
    shapes: rect(body) + stubs.join(''),
    texts: [...titled(item, [body.left, bottom + 3]), ...names],
    bodies: [body],
  };
}

/** A box at the right of its lugs, with their names in it. */
function boxed(
  item: WiringItem,
  lugs: readonly GridPoint[],
  [titleY, top]: readonly [number, number],
  width: number,
): Picture {
  const [x, first] = lugs.reduce((highest, each) => (each[1] < highest[1] ? each : highest));
  const last = Math.max(...lugs.map(([, y]) => y));
  const left = x + STUB;
  const body = { left, right: left + width, top: first + top, bottom: last + 1.4 };
  const names = item.lugs.map(({ lug, name }, index) =>
    textAt(name === '' ? lug : `${lug} ${name}`, [left + 0.6, lugs[index]![1] + 0.4], { size: SMALL_SIZE }),
  );
  const texts = [...above(item, [left, first + titleY + 1.8]), ...names];
  const stubs = lugs.map((lug) => line(lug, [left, lug[1]])).join('');
  return { shapes: rect(body) + stubs, texts, bodies: [body] };
}

/** Contacts of a jack in the order in which they are drawn, with the hole of the plug at the far end. */
function jack(item: WiringItem, lugs: readonly GridPoint[]): Picture {
  const picture = boxed(item, lugs, [-4.2, -1.6], 9);
  const [x, y] = lugs[0]!;
  const last = lugs.at(-1)![1];
  const hole = rect({
    left: x + 10,
    right: x + 11.5,
    top: (y + last) / 2 - 1.2,
    bottom: (y + last) / 2 + 1.2,
  });
  return { ...picture, shapes: picture.shapes + hole };
}

function around(points: readonly GridPoint[], by: number): Box {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  return {
    left: Math.min(...xs) - by,
    right: Math.max(...xs) + by,
    top: Math.min(...ys) - by,
    bottom: Math.max(...ys) + by,
  };
}
