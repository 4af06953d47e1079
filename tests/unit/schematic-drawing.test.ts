import { describe, expect, it } from 'vitest';
import { netsByStage } from '../../engine/builds/probe-nets.ts';
import { readCircuit } from '../../engine/circuits/bundled-circuits.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { GridPoint } from '../../engine/circuits/part-spec.ts';
import { type Box, overlap, shifted, shiftedBox } from '../../engine/drawing/geometry.ts';
import { type Sheet, sheetOf } from '../../engine/drawing/sheet.ts';
import { circuitDrawing } from '../../engine/drawing/stage-drawing.ts';
import { voltSpots } from '../../engine/drawing/volt-spots.ts';
import { routeNets } from '../../engine/drawing/wire-router.ts';
import { STAGE_CIRCUITS } from './stage-circuits.ts';

/** Widths of drawings from a phone's to a poster's, in grid steps. */
const WIDTHS = [36, 64, 90, 130, 400];

type Segment = readonly [GridPoint, GridPoint];

interface DrawnSheet {
  readonly segments: readonly Segment[];
  readonly dots: readonly GridPoint[];
  readonly pins: ReadonlyMap<string, GridPoint>;
  readonly labels: readonly { readonly net: string; readonly at: GridPoint }[];
}

/** What is visible on a drawing: lines, dots, pins, and names at the ends of lines. It contains no nets. */
function drawn(sheet: Sheet): DrawnSheet {
  const move = (offset: GridPoint) => (point: GridPoint) => shifted(point, offset);
  return {
    segments: [
      ...sheet.links.map(({ from, to }): Segment => [from, to]),
      ...sheet.stages.flatMap(({ drawing, offset }) =>
        drawing.wires.flatMap(({ segments }) =>
          segments.map(([from, to]): Segment => [move(offset)(from), move(offset)(to)]),
        ),
      ),
    ],
    dots: sheet.stages.flatMap(({ drawing, offset }) =>
      drawing.wires.flatMap(({ junctions }) => junctions.map(move(offset))),
    ),
    pins: new Map(
      sheet.stages.flatMap(({ drawing, offset }) =>
        drawing.parts.flatMap(({ ref, pins }) =>
          pins.map(({ name, at }) => [`${ref}.${name}`, move(offset)(at)] as const),
        ),
      ),
    ),
    labels: [
      ...sheet.flags,
      ...sheet.stages.flatMap(({ drawing, offset }) =>
        drawing.flags.map(({ net, at }) => ({ net, at: move(offset)(at) })),
      ),
    ],
  };
}

const liesOn = ([x, y]: GridPoint, [[ax, ay], [bx, by]]: Segment) =>
  Math.min(ax, bx) <= x && x <= Math.max(ax, bx) && Math.min(ay, by) <= y && y <= Math.max(ay, by);

/** Sets of pins that look joined: lines that meet at their ends, at a dot or at a pin, and equal names. */
function joinedPins({ segments, dots, pins, labels }: DrawnSheet): ReadonlySet<string> {
  const parent = new Map<string, string>();
  const root = (key: string): string => {
    const up = parent.get(key) ?? key;
    return up === key ? key : root(up);
  };
  const join = (a: string, b: string) => parent.set(root(a), root(b));
  const key = ([x, y]: GridPoint) => `${x},${y}`;
  for (const [index, segment] of segments.entries()) {
    for (const end of segment) join(`line ${index}`, key(end));
    for (const dot of [...dots, ...pins.values(), ...labels.map(({ at }) => at)])
      if (liesOn(dot, segment)) join(`line ${index}`, key(dot));
  }
  for (const [pin, at] of pins) join(pin, key(at));
  for (const { net, at } of labels) join(`name ${net}`, key(at));
  const sets = new Map<string, string[]>();
  for (const pin of pins.keys()) sets.set(root(pin), [...(sets.get(root(pin)) ?? []), pin]);
  return new Set([...sets.values()].map((set) => set.sort().join(' ')));
}

function boxesOf(sheet: Sheet): readonly { readonly name: string; readonly box: Box }[] {
  return [
    ...sheet.flags.map(({ net, box }) => ({ name: `flag ${net}`, box })),
    ...sheet.stages.flatMap(({ drawing, offset, heading: [x, y] }) => [
      {
        name: `heading ${drawing.title}`,
        box: { left: x, top: y - 1, right: x + drawing.title.length * 0.7, bottom: y },
      },
      ...drawing.flags.map(({ net, box }) => ({ name: `flag ${net}`, box: shiftedBox(box, offset) })),
      ...drawing.parts.flatMap(({ ref, spec, body, labels }) => [
        { name: ref, box: shiftedBox(body, offset) },
        ...labels
          .filter(() => spec.kind !== 'opamp')
          .map(({ what, box }) => ({ name: `${what} of ${ref}`, box: shiftedBox(box, offset) })),
      ]),
    ]),
  ];
}

/** Lines that run through a box, without a pin's own lead. */
function crossedBy({ segments }: DrawnSheet, { left, top, right, bottom }: Box): readonly Segment[] {
  return segments.filter(([[ax, ay], [bx, by]]) =>
    overlap(
      { left, top, right, bottom },
      {
        left: Math.min(ax, bx) - 0.05,
        right: Math.max(ax, bx) + 0.05,
        top: Math.min(ay, by) - 0.05,
        bottom: Math.max(ay, by) + 0.05,
      },
    ),
  );
}

/** Bundled circuits and, made of stages, circuits that stand nowhere else: every stage is drawn. */
const DRAWN = [...CIRCUITS.values(), ...Object.values(STAGE_CIRCUITS).map(readCircuit)];

const SOLDERED = DRAWN.flatMap((circuit) =>
  circuit.bypass.kinds.map((bypass) => ({
    id: circuit.id,
    bypass,
    circuit: fittedCircuit({ circuit, bypass }),
  })),
);

describe.each(SOLDERED)('the schematic of $id with $bypass bypass', ({ circuit }) => {
  const drawing = circuitDrawing(circuit);
  const { netOf } = circuitNets(circuit);

  it.each(WIDTHS)('joins the same pins as the network, %i steps wide', (width) => {
    const sheet = drawn(sheetOf(drawing, width));
    const nets = new Map<string, string[]>();
    for (const pin of sheet.pins.keys()) {
      const net = netOf.get(pin)!;
      nets.set(net, [...(nets.get(net) ?? []), pin]);
    }
    expect(joinedPins(sheet)).toEqual(new Set([...nets.values()].map((set) => set.sort().join(' '))));
  });

  it('draws every pin of every part that has pins', () => {
    const pins = [...netOf.keys()].filter((pin) => !pin.startsWith(':'));
    const shown = new Set(drawn(sheetOf(drawing, 100)).pins.keys());
    // the choice between one dual potentiometer and two connects nothing: it is a setting without a symbol
    expect(pins.filter((pin) => !shown.has(pin))).toEqual(pins.filter((pin) => pin === 'W2.ganged'));
  });

  it.each(WIDTHS)('keeps parts, labels and flags apart, %i steps wide', (width) => {
    const boxes = boxesOf(sheetOf(drawing, width));
    const clashes = boxes.flatMap((a, index) =>
      boxes.slice(0, index).flatMap((b) => (overlap(a.box, b.box) ? [`${a.name} on ${b.name}`] : [])),
    );
    expect(clashes).toEqual([]);
  });

  it.each(WIDTHS)('runs no wire through a part, a label or a heading, %i steps wide', (width) => {
    const sheet = sheetOf(drawing, width);
    const lines = drawn(sheet);
    const crossed = boxesOf(sheet).flatMap(({ name, box }) =>
      crossedBy(lines, box).map((line) => `${name} by ${JSON.stringify(line)}`),
    );
    expect(crossed).toEqual([]);
  });

  it.each(WIDTHS)('has a place for every DC voltage, over nothing else, %i steps wide', (width) => {
    const sheet = sheetOf(drawing, width);
    const lines = drawn(sheet);
    const nets = netsByStage(circuit).flatMap((group) => group.nets);
    const spots = voltSpots(sheet, nets);
    expect(spots.map(({ net }) => net)).toEqual(nets);
    const boxes = [...boxesOf(sheet), ...spots.map(({ net, box }) => ({ name: `volts of ${net}`, box }))];
    const clashes = spots.flatMap(({ net, box }) => [
      ...boxes
        .filter((other) => other.name !== `volts of ${net}` && overlap(other.box, box))
        .map(({ name }) => `${net} on ${name}`),
      ...crossedBy(lines, box).map((line) => `${net} on ${JSON.stringify(line)}`),
    ]);
    expect(clashes).toEqual([]);
  });

  it('has about as few wire crossings as a drawing by hand with the same places (common practice, no source)', () => {
    const { segments } = drawn(sheetOf(drawing, 400));
    const crossings = segments.flatMap((a, index) =>
      segments.slice(0, index).filter((b) => {
        const isALevel = a[0][1] === a[1][1];
        if (isALevel === (b[0][1] === b[1][1])) return false;
        const [level, upright] = isALevel ? [a, b] : [b, a];
        const at: GridPoint = [upright[0][0], level[0][1]];
        const isEnd = [...level, ...upright].some(([x, y]) => x === at[0] && y === at[1]);
        return liesOn(at, level) && liesOn(at, upright) && !isEnd;
      }),
    );
    expect(crossings.length).toBeLessThanOrEqual(6);
  });
});

describe('the sheet', () => {
  it.each(SOLDERED)(
    'of $id with $bypass bypass is filled: two thirds as high as with one stage a row, or less',
    ({ circuit }) => {
      const drawing = circuitDrawing(circuit);
      const single = sheetOf(drawing, 1);
      const { stages, height, width } = sheetOf(drawing, 130);
      expect(width).toBeLessThanOrEqual(130);
      expect(height).toBeLessThan((2 / 3) * single.height);
      expect(stages.map((each) => each.drawing.id)).toEqual(drawing.map(({ id }) => id));
    },
  );
});

describe('routing', () => {
  it('joins two ends on one line by one straight piece', () => {
    const [net] = routeNets(
      [
        {
          name: 'n',
          ends: [
            [0, 0],
            [5, 0],
          ],
        },
      ],
      [],
      [],
    );
    expect(net?.segments).toEqual([
      [
        [0, 0],
        [5, 0],
      ],
    ]);
    expect(net?.junctions).toEqual([]);
  });

  it('goes around a box by the shorter way', () => {
    const [net] = routeNets(
      [
        {
          name: 'n',
          ends: [
            [0, 0],
            [6, 0],
          ],
        },
      ],
      [{ left: 2, top: -1, right: 4, bottom: 5 }],
      [],
    );
    const ys = net!.segments.flat().map(([, y]) => y);
    expect(Math.min(...ys)).toBe(-2);
    expect(Math.max(...ys)).toBe(0);
  });

  it('draws a dot at a branch, and only at a branch', () => {
    const [net] = routeNets(
      [
        {
          name: 'n',
          ends: [
            [0, 0],
            [8, 0],
            [4, 3],
          ],
        },
      ],
      [],
      [],
    );
    expect(net?.junctions).toEqual([[4, 0]]);
  });

  it('crosses another net without a dot', () => {
    const [a, b] = routeNets(
      [
        {
          name: 'a',
          ends: [
            [0, 0],
            [8, 0],
          ],
        },
        {
          name: 'b',
          ends: [
            [4, -30],
            [4, 30],
          ],
        },
      ],
      [],
      [],
    );
    expect([...a!.junctions, ...b!.junctions]).toEqual([]);
    expect(b?.segments).toEqual([
      [
        [4, -30],
        [4, 30],
      ],
    ]);
  });

  it('names the net whose end cannot be reached', () => {
    const wall = [
      { left: 4, top: -1, right: 6, bottom: -1 },
      { left: 4, top: 1, right: 6, bottom: 1 },
      { left: 4, top: 0, right: 4, bottom: 0 },
      { left: 6, top: 0, right: 6, bottom: 0 },
    ];
    expect(() =>
      routeNets(
        [
          {
            name: 'walled',
            ends: [
              [0, 0],
              [5, 0],
            ],
          },
        ],
        wall,
        [],
      ),
    ).toThrow(/"walled"/);
  });
});
