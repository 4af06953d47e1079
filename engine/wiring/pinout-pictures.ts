import type { GridPoint } from '../circuits/part-spec.ts';
import { textWidth } from '../drawing/text-width.ts';
import { type Footprint, unknownPinsText } from '../parts/footprint.ts';
import {
  circle,
  escaped,
  LINE,
  line,
  type PictureText,
  px,
  rect,
  SMALL_SIZE,
  TEXT_SIZE,
  TITLE_SIZE,
  textAt,
  textElement,
  wrapped,
} from './picture.ts';
import type { Pinout, PinoutPin } from './pinouts.ts';
import { netText } from './wiring-places.ts';
import type { DrawnPicture } from './wiring-svg.ts';

/** Cells beside each other, and their width in grid steps. */
const COLUMNS = 3;
const CELL = 32;
const ROOM = CELL - 2;
const ROW_GAP = 1.5;
/** Rows of a chip. */
const PITCH = 2;
/** A chip's half width, and rooms for the name of a pin in it and for its net beside it. */
const HALF_CHIP = 5.8;
const NAME_ROOM = 3.8;
const NET_ROOM = 8.2;
const LEAST_SIZE = 0.9;
/** Middle of a small case, and where the list of its legs begins. */
const CASE_X = 6;
const LIST_X = 12.5;
const NAME_COLUMN = 1.6;

/** How the case lies on the drawing. From above: transistors as they stand on the board, legs away from you. */
const VIEWS: Readonly<Record<Footprint['outline'], string>> = {
  dip: 'from above, notch up',
  surface: 'from above',
  flat: 'from above, flat side down',
  can: 'from above, mark at the left',
  axial: 'band at the cathode',
  LED: 'from above, flat side at the cathode',
};
const SHORT: Readonly<Record<string, string>> = { 'not connected': 'NC', 'balance, comp': 'bal, c.' };

interface Cell {
  readonly shapes: string;
  readonly texts: readonly PictureText[];
  readonly height: number;
}

/** The picture of all pinouts, in rows. Every leg says its part, number, pin and net. */
export function pinoutPicture(pinouts: readonly Pinout[]): DrawnPicture {
  const elements: string[] = [];
  let y = 1;
  for (let first = 0; first < pinouts.length; first += COLUMNS) {
    const row = pinouts.slice(first, first + COLUMNS).map(cellOf);
    for (const [index, { shapes, texts }] of row.entries())
      elements.push(
        `<g transform="translate(${px(CELL * index)} ${px(y)})">${shapes}${texts.map(textElement).join('')}</g>`,
      );
    y += Math.max(...row.map(({ height }) => height)) + ROW_GAP;
  }
  return { width: 10 * CELL * COLUMNS, height: Math.ceil(10 * y), elements: elements.join('\n') };
}

function cellOf(pinout: Pinout): Cell {
  const { title, footprint } = pinout;
  const top = [
    textAt(title, [1, LINE], { size: TITLE_SIZE, weight: 600, room: ROOM }),
    textAt(caseLine(footprint), [1, 2 * LINE], { size: SMALL_SIZE, room: ROOM }),
  ];
  const drawn = footprint?.legs ? legsOf(pinout, footprint) : { shapes: '', texts: [], height: 0 };
  const from = 2.6 * LINE;
  const notes = [...pinout.notes, ...(footprint?.notes ?? []), ...sourceOf(footprint)]
    .flatMap((note) => wrapped(note, ROOM, SMALL_SIZE, 400))
    .map((text, index) => textAt(text, [1, from + drawn.height + 1.4 * (index + 1)], { size: SMALL_SIZE }));
  return {
    shapes: `<g transform="translate(0 ${px(from)})">${drawn.shapes}</g>`,
    texts: [
      ...top,
      ...drawn.texts.map((text) => ({ ...text, at: [text.at[0], text.at[1] + from] as const })),
      ...notes,
    ],
    height: from + drawn.height + 1.4 * notes.length,
  };
}

function caseLine(footprint: Footprint | undefined): string {
  if (!footprint?.legs) return unknownPinsText(footprint);
  return `${footprint.package}, ${VIEWS[footprint.outline]}`;
}

function sourceOf(footprint: Footprint | undefined): readonly string[] {
  return footprint?.legs && !['axial', 'LED'].includes(footprint.outline)
    ? [`Pins: ${footprint.source}.`]
    : [];
}

function legsOf(pinout: Pinout, { outline }: Footprint): Cell {
  if (outline === 'dip' || outline === 'surface') return chip(pinout);
  const { shapes, places } = CASES[outline];
  const legs = pinout.pins.map((pin, index) => legElement(pinout, pin, places[index]!.at)).join('');
  const letters = pinout.pins.map(({ lug }, index) => {
    const { at, letter } = places[index]!;
    return textAt(lug, [at[0] + letter[0], at[1] + letter[1]], { size: SMALL_SIZE, anchor: 'middle' });
  });
  const list = pinout.pins.flatMap(({ lug, name, net }, index) => {
    const y = 2 + LINE * index;
    const text = net === undefined ? `${name}: open` : `${name}: ${netText(net)}`;
    return [
      textAt(lug, [LIST_X, y], { weight: 600 }),
      textAt(text, [LIST_X + NAME_COLUMN, y], { room: CELL - LIST_X - NAME_COLUMN - 1 }),
    ];
  });
  return { shapes: shapes + legs, texts: [...letters, ...list], height: outline === 'axial' ? 5 : 7 };
}

interface LegPlace {
  readonly at: GridPoint;
  /** Middle of its letter from there. */
  readonly letter: GridPoint;
}

const inRow = (xs: readonly number[], y: number): readonly LegPlace[] =>
  xs.map((x) => ({ at: [x, y], letter: [0, 2.1] }));

/** Flat side down: its legs in the order of one who looks at the flat side. */
const FLAT = `<path d="M${px(CASE_X - 2.5)} ${px(4.2)}H${px(CASE_X + 2.5)}A28 28 0 1 0 ${px(CASE_X - 2.5)} ${px(4.2)}Z"/>`;

/** What is clockwise from below is counter-clockwise from above. */
const CASES: Readonly<
  Record<'flat' | 'can' | 'axial' | 'LED', { readonly shapes: string; readonly places: readonly LegPlace[] }>
> = {
  flat: { shapes: FLAT, places: inRow([CASE_X - 1.5, CASE_X, CASE_X + 1.5], 3.5) },
  can: {
    shapes:
      circle([CASE_X, 3], 2.8) + rect({ left: CASE_X - 3.7, right: CASE_X - 2.8, top: 2.5, bottom: 3.5 }, 0),
    places: [
      { at: [CASE_X - 1, 4], letter: [-1, 0.9] },
      { at: [CASE_X + 1, 4], letter: [1, 0.9] },
      { at: [CASE_X + 1, 2], letter: [1, -0.1] },
    ],
  },
  axial: {
    shapes:
      rect({ left: CASE_X - 2, right: CASE_X + 2, top: 1, bottom: 3 }) +
      `<path stroke-width="4" stroke-linecap="butt" d="M${px(CASE_X + 1.2)} ${px(1)}V${px(3)}"/>` +
      line([CASE_X - 4, 2], [CASE_X - 2, 2]) +
      line([CASE_X + 2, 2], [CASE_X + 4, 2]),
    places: inRow([CASE_X - 4, CASE_X + 4], 2),
  },
  LED: {
    shapes: `<path d="M${px(CASE_X + 2)} ${px(1.2)}A27 27 0 1 0 ${px(CASE_X + 2)} ${px(4.8)}Z"/>`,
    places: inRow([CASE_X - 1, CASE_X + 1], 3),
  },
};

/** Pins count down on the left and up on the right. */
function chip(pinout: Pinout): Cell {
  const { pins } = pinout;
  const rows = Math.ceil(pins.length / 2);
  const middle = CELL / 2;
  const height = PITCH * rows;
  const body = rect({ left: middle - HALF_CHIP, right: middle + HALF_CHIP, top: 0, bottom: height }, 0);
  const notch = rows === 4 ? `<path d="M${px(middle - 0.6)} 0A6 6 0 0 0 ${px(middle + 0.6)} 0"/>` : '';
  const drawn = pins.map((pin, index) => {
    const isLeft = index < rows;
    const y = PITCH * ((isLeft ? index : pins.length - 1 - index) + 0.5);
    return chipPin(pinout, pin, [middle, y], isLeft ? -1 : 1);
  });
  return {
    shapes: body + notch + drawn.map(({ shapes }) => shapes).join(''),
    texts: drawn.flatMap(({ texts }) => texts),
    height: height + 1,
  };
}

/** @param side −1 at the left, 1 at the right. */
function chipPin(pinout: Pinout, pin: PinoutPin, [middle, y]: GridPoint, side: -1 | 1) {
  const edge = middle + side * HALF_CHIP;
  const leg: GridPoint = [edge + side * 0.9, y];
  const outwards = side < 0 ? ('end' as const) : ('start' as const);
  const inwards = side < 0 ? ('start' as const) : ('end' as const);
  const baseline = y + 0.4;
  const name = SHORT[pin.name] ?? pin.name;
  const net = pin.net === undefined ? 'open' : netText(pin.net);
  return {
    shapes: line([edge, y], leg) + legElement(pinout, pin, leg),
    texts: [
      textAt(pin.lug, [edge - side * 0.4, baseline], { size: SMALL_SIZE, anchor: inwards }),
      textAt(name, [edge - side * 1.4, baseline], {
        size: SMALL_SIZE,
        weight: 600,
        anchor: inwards,
        room: NAME_ROOM,
      }),
      textAt(net, [leg[0] + side * 0.8, baseline], { size: netSize(net), anchor: outwards, room: NET_ROOM }),
    ],
  };
}

/** Smaller letters for a long name, before it is cut. */
function netSize(net: string): number {
  return Math.min(TEXT_SIZE, Math.max(LEAST_SIZE, NET_ROOM / (textWidth(net, 400) + 0.1)));
}

function legElement({ ref }: Pinout, { lug, pin, net }: PinoutPin, [x, y]: GridPoint): string {
  const more = (name: string, value: string | undefined) =>
    value === undefined ? '' : ` data-${name}="${escaped(value)}"`;
  return `<circle class="leg" data-part="${escaped(ref)}" data-lug="${escaped(lug)}"${more('pin', pin)}${more('net', net)} cx="${px(x)}" cy="${px(y)}" r="3.5" fill="currentColor"/>`;
}
