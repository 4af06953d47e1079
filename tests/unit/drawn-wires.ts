import type { GridPoint } from '../../engine/circuits/part-spec.ts';
import type { Box } from '../../engine/drawing/geometry.ts';
import { textWidth } from '../../engine/drawing/text-width.ts';

/** What a wiring drawing shows, read from its SVG alone. Places in pixels. */
export interface DrawnLug {
  readonly part: string;
  readonly kind: string;
  readonly lug: string;
  readonly pin: string | undefined;
  readonly net: string | undefined;
  readonly at: GridPoint;
}

/** The drawing that was read last, with its elements: tests read one many times. */
let last = { svg: '', lugs: [] as readonly DrawnLug[] };

/** @returns Attributes of all elements of a name that have a class. */
function elements(svg: string, name: string, ownClass: string): readonly ReadonlyMap<string, string>[] {
  return [...svg.matchAll(new RegExp(`<${name}\\b([^>]*?)/?>`, 'g'))]
    .map(
      ([, rest]) =>
        new Map([...rest!.matchAll(/([\w-]+)="([^"]*)"/g)].map(([, key, value]) => [key!, value!] as const)),
    )
    .filter((each) => each.get('class') === ownClass);
}

export function lugsOf(svg: string): readonly DrawnLug[] {
  if (last.svg === svg) return last.lugs;
  const lugs = elements(svg, 'circle', 'lug').map((each) => ({
    part: each.get('data-part')!,
    kind: each.get('data-kind')!,
    lug: each.get('data-lug')!,
    pin: each.get('data-pin'),
    net: each.get('data-net'),
    at: [Number(each.get('cx')), Number(each.get('cy'))] as const,
  }));
  last = { svg, lugs };
  return lugs;
}

/** Legs of the pinouts, in the order of the footprint; places within each part's own cell. */
export function legsIn(svg: string): readonly Omit<DrawnLug, 'kind'>[] {
  return elements(svg, 'circle', 'leg').map((each) => ({
    part: each.get('data-part')!,
    lug: each.get('data-lug')!,
    pin: each.get('data-pin'),
    net: each.get('data-net'),
    at: [Number(each.get('cx')), Number(each.get('cy'))] as const,
  }));
}

/** Corners of every wire. */
export function wiresOf(svg: string): readonly (readonly GridPoint[])[] {
  return elements(svg, 'path', 'wire').map((each) =>
    [...each.get('d')!.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)]),
  );
}

/** Boxes of all texts, by the widths of the typeface. */
export function textBoxes(svg: string): readonly { readonly text: string; readonly box: Box }[] {
  return [...svg.matchAll(/<text ([^>]*)>([^<]*)<\/text>/g)].map(([, rest, text]) => {
    const of = (key: string) => new RegExp(`\\b${key}="([^"]*)"`).exec(rest!)?.[1];
    const size = Number(of('font-size'));
    const width = size * textWidth(text!, of('font-weight') === '600' ? 600 : 400);
    const x = Number(of('x'));
    const left = x - ({ start: 0, middle: width / 2, end: width }[of('text-anchor')!] ?? 0);
    const y = Number(of('y'));
    return { text: text!, box: { left, right: left + width, top: y - 0.72 * size, bottom: y + 0.2 * size } };
  });
}

/** Sets of names that wires and contacts join. */
export class Joined {
  readonly #parent = new Map<string, string>();

  of(name: string): string {
    const next = this.#parent.get(name);
    return next === undefined ? name : this.of(next);
  }

  join(one: string, other: string): void {
    const [a, b] = [this.of(one), this.of(other)];
    if (a !== b) this.#parent.set(a, b);
  }
}
