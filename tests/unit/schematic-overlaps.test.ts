import { describe, expect, it } from 'vitest';
import type { PartSetting } from '../../engine/builds/build.ts';
import { canBeUnfitted } from '../../engine/builds/canonical-setting.ts';
import { readCircuit } from '../../engine/circuits/bundled-circuits.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { GridPoint, PartSpec } from '../../engine/circuits/part-spec.ts';
import { drawnLabel } from '../../engine/drawing/drawn-label.ts';
import { type Box, overlap } from '../../engine/drawing/geometry.ts';
import { partSymbol } from '../../engine/drawing/part-symbol.ts';
import { type PlacedPart, placedPart } from '../../engine/drawing/placed-part.ts';
import { circuitDrawing } from '../../engine/drawing/stage-drawing.ts';
import { symbolShape } from '../../engine/drawing/symbol-shape.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { signBox } from '../../ui/components/schematic/warning-sign.ts';
import { STAGE_CIRCUITS } from './stage-circuits.ts';
import { inkBoxes } from './symbol-ink.ts';

/**
 * What is drawn lies in boxes: a symbol's lines in its body, but for straight leads to its pins, and a text in the box of its
 * label. Widths of texts are estimated with the advance widths of the typeface (engine/drawing/text-width.ts); the browser
 * test of the schematic compares them with getBBox. That these boxes and the wires keep apart on every sheet is tested in
 * schematic-drawing.test.ts. Together: nothing overlaps, whatever is soldered.
 */
const SMALL = 1e-9;
/** Half the width of a line, by which a symbol may reach over the edge of its body. */
const HALF_LINE = 0.066;

const DRAWN = [...CIRCUITS.values(), ...Object.values(STAGE_CIRCUITS).map(readCircuit)];
const SOLDERED = DRAWN.flatMap((circuit) =>
  circuit.bypass.kinds.map((bypass) => fittedCircuit({ circuit, bypass })),
);
const PARTS: readonly PlacedPart[] = SOLDERED.flatMap((circuit) =>
  circuitDrawing(circuit).flatMap(({ parts }) => parts),
);

/** One of each symbol: a part's kind, and what changes its symbol. */
const SPECS: readonly PartSpec[] = [
  ...new Map(
    PARTS.map(({ spec }) => {
      const isPolarised = spec.kind === 'capacitor' && spec.polarised;
      return [`${spec.kind} ${isPolarised} ${Object.keys(symbolShape(spec).pins)}`, spec];
    }),
  ).values(),
];

/** Everything that changes the symbol of a part. */
function settingsOf(spec: PartSpec): readonly PartSetting[] {
  if (spec.kind === 'switch' || !canBeUnfitted(spec.kind)) return [{}];
  const kinds: readonly PartSetting[] =
    spec.kind === 'diode' ? typesOf('diode').map((type) => ({ type })) : [{}];
  const seconds = spec.kind === 'diode' ? ['LED-red', '1N5819', '1N4148'] : ['1k'];
  return kinds.flatMap((setting) => [
    setting,
    { ...setting, fit: 'open' as const },
    { ...setting, fit: 'bridged' as const },
    ...(spec.kind === 'pot' ? [] : seconds.map((piggyback) => ({ ...setting, piggyback }))),
  ]);
}

const positionsOf = (spec: PartSpec): readonly (string | undefined)[] =>
  spec.kind === 'switch' ? Object.keys(spec.positions) : [undefined];

/** Lines of a symbol that are not in its body and not on a straight lead from there to a pin. */
function strayLines(spec: PartSpec, ink: readonly Box[]): readonly Box[] {
  const { body: drawn, pins } = symbolShape(spec);
  const body = grown(drawn, HALF_LINE);
  const leads = Object.values(pins).map(({ at, away }) => leadBox(at, away, body));
  const rooms = [body, ...leads];
  return ink.filter((box) => {
    const outside = cutOff(box, body);
    return outside.some((piece) => !rooms.some((room) => contains(room, piece)));
  });
}

const grown = ({ left, top, right, bottom }: Box, by: number): Box => ({
  left: left - by,
  top: top - by,
  right: right + by,
  bottom: bottom + by,
});

/** From the pin to the body, as wide as the line of a jumper. */
function leadBox([x, y]: GridPoint, away: string, body: Box): Box {
  const half = 0.1 + SMALL;
  const lead = { left: x - half, top: y - half, right: x + half, bottom: y + half };
  if (away === 'left') return { ...lead, right: body.left };
  if (away === 'right') return { ...lead, left: body.right };
  return away === 'up' ? { ...lead, bottom: body.top } : { ...lead, top: body.bottom };
}

/** The pieces of a box that lie beyond the sides of another one. */
function cutOff(box: Box, { left, top, right, bottom }: Box): readonly Box[] {
  return [
    { ...box, right: Math.min(box.right, left) },
    { ...box, left: Math.max(box.left, right) },
    { ...box, bottom: Math.min(box.bottom, top) },
    { ...box, top: Math.max(box.top, bottom) },
  ].filter((piece) => piece.right - piece.left > SMALL && piece.bottom - piece.top > SMALL);
}

const contains = (room: Box, { left, top, right, bottom }: Box): boolean =>
  room.left <= left + SMALL &&
  room.top <= top + SMALL &&
  room.right >= right - SMALL &&
  room.bottom >= bottom - SMALL;

/** Whether a convex area and a box share area: no side of either has the other wholly beyond it. */
function touches(corners: readonly GridPoint[], box: Box): boolean {
  const boxCorners: GridPoint[] = [
    [box.left, box.top],
    [box.right, box.top],
    [box.right, box.bottom],
    [box.left, box.bottom],
  ];
  const normals = corners.map(([x, y], index): GridPoint => {
    const [nextX, nextY] = corners[(index + 1) % corners.length]!;
    return [nextY - y, x - nextX];
  });
  return [...normals, [1, 0] as GridPoint, [0, 1] as GridPoint].every(([nx, ny]) => {
    const along = (points: readonly GridPoint[]) => points.map(([x, y]) => x * nx + y * ny);
    const [one, other] = [along(corners), along(boxCorners)];
    return Math.max(...one) > Math.min(...other) + SMALL && Math.max(...other) > Math.min(...one) + SMALL;
  });
}

describe('a symbol on the schematic', () => {
  it.each(SPECS.map((spec) => [spec.kind, spec] as const))(
    'of a %s stays in its box, whatever is soldered there',
    (_, spec) => {
      const stray = settingsOf(spec).flatMap((setting) =>
        positionsOf(spec).flatMap((position) =>
          [0, 0.25, 0.5, 1].flatMap((rotation) => {
            const ink = inkBoxes(partSymbol(spec, setting, position, rotation));
            expect(ink.length).toBeGreaterThan(0);
            return strayLines(spec, ink).map((box) => `${JSON.stringify(setting)} ${JSON.stringify(box)}`);
          }),
        ),
      );
      expect(stray).toEqual([]);
    },
  );

  it('has no label over the area that is marked while it is chosen', () => {
    const covered = PARTS.flatMap(({ ref, spec, mark, labels }) =>
      labels
        .filter(({ what }) => !(spec.kind === 'opamp' && what === 'ref'))
        .filter(({ box }) => touches(mark, box))
        .map(({ what }) => `${what} of ${ref}`),
    );
    expect(covered).toEqual([]);
  });

  it('has no label under the sign of a warning', () => {
    // A switch has no limit that it could exceed.
    const covered = PARTS.filter(({ spec }) => spec.kind !== 'switch').flatMap(({ ref, body, labels }) =>
      labels.filter(({ box }) => overlap(box, signBox(body))).map(({ what }) => `${what} of ${ref}`),
    );
    expect(covered).toEqual([]);
  });
});

describe('a label on the schematic', () => {
  const texts = [
    ...[...typesOf('diode'), ...typesOf('opamp')].flatMap((type) => [type, `3x ${type} // ${type}`]),
    ...['4k7 // 470k', '1u electrolytic // 100n', 'not fitted', 'jumpered', 'WWWWWWWWWWWWWWWWWWWWW'],
    ...['WWWWWWWW (WWWWWWWW)', 'D1 (グリーンLED右)', 'VR1 (Ψ…−“)', 'R1 (gjpqy()@)'],
  ];

  it('is never wider than its box, whatever it says', () => {
    const wide = PARTS.flatMap(({ ref, labels }) =>
      labels.flatMap((spot) =>
        texts.flatMap((text) =>
          ['', 'A'].flatMap((letter) => {
            const { box } = drawnLabel(spot, text, letter);
            return contains(spot.box, box) ? [] : [`${ref}: ${text}`];
          }),
        ),
      ),
    );
    expect(wide).toEqual([]);
  });

  it('keeps all of an ordinary value, and of a designator with a name of a knob', () => {
    const part = placedPart('R1', { kind: 'resistor', value: '1k', at: [0, 0], role: '' });
    const [ref, value] = part.labels;
    expect(drawnLabel(ref!, 'R1', '').written).toBe('R1');
    for (const text of ['4k7', '1N4148', 'LED-red', 'jumpered', '4k7//10k'])
      expect(drawnLabel(value!, text, 'B').written).toBe(`B ${text}`);
  });
});
