import { GROUND_NET } from '../circuits/circuit-nets.ts';
import type { GridPoint } from '../circuits/part-spec.ts';
import { boardPicture, itemPicture } from './item-pictures.ts';
import { escaped, type Picture, px, textBox, textElement } from './picture.ts';
import { wirePaths } from './wire-paths.ts';
import { lugName, type Wiring, type WiringItem, type WiringWire } from './wiring.ts';
import { BOARD } from './wiring-of-build.ts';
import { BOARD_X, FAR, type WiringPlaces, wiringPlaces } from './wiring-places.ts';

/** Right of the column of jacks and battery. */
const FAR_WIDTH = 14;
const LUG_RADIUS = 0.45;
const DASHES = ' stroke-dasharray="4 3"';

/** A drawing as the elements of an SVG, and its size in pixels. */
export interface DrawnPicture {
  readonly width: number;
  readonly height: number;
  readonly elements: string;
}

/** The picture of what is wired off the board. Every lug says its part, number, pin and net; every wire is one path. */
export function wiringPicture(wiring: Wiring): DrawnPicture {
  const places = wiringPlaces(wiring);
  const board = wiring.items.find(({ ref }) => ref === BOARD)!;
  const items = wiring.items.filter((item) => item !== board);
  const drawn = items.map((item) => [item, itemPicture(item, places)] as const);
  const base = boardPicture(board, places, BOARD_X);
  const pictures = [base, ...drawn.map(([, picture]) => picture)];
  const taken = pictures.flatMap(({ bodies, texts }) => [...bodies, ...texts.map(textBox)]);
  const paths = wirePaths(wiring.wires, places, taken);
  const elements = [
    group(base, ''),
    ...drawn.map(([item, picture]) => group(picture, item.isOptional ? DASHES : '')),
    ...wiring.wires.map((wire) => wireElement(wire, paths.get(wire)!)),
    ...wiring.items.flatMap((item) => item.lugs.map((lug) => lugElement(item, lug, places))),
    ...pictures.flatMap(({ texts }) => texts.map(textElement)),
  ];
  const lowest = Math.max(
    places.bottom,
    ...[...paths.values()].flat().map(([, y]) => y),
    ...taken.map(({ bottom }) => bottom),
  );
  return {
    width: 10 * (places.edge + FAR + FAR_WIDTH),
    height: 10 * Math.ceil(lowest + 2),
    elements: elements.join('\n'),
  };
}

const group = ({ shapes }: Picture, more: string): string => `<g class="part"${more}>${shapes}</g>`;

function wireElement({ from, to, net, isOptional }: WiringWire, path: readonly GridPoint[]): string {
  const d = path.map(([x, y], index) => `${index === 0 ? 'M' : 'L'}${px(x)} ${px(y)}`).join('');
  const isGround = net === GROUND_NET;
  const dashes = isOptional ? DASHES : '';
  return `<path class="wire" stroke-width="${isGround ? 2.2 : 1.6}"${dashes} data-from="${escaped(from)}" data-to="${escaped(to)}" data-net="${escaped(net)}" d="${d}"/>`;
}

function lugElement(item: WiringItem, lug: WiringItem['lugs'][number], { at }: WiringPlaces): string {
  const [x, y] = at.get(lugName(item, lug))!;
  const pin = lug.pin === undefined ? '' : ` data-pin="${escaped(lug.pin)}"`;
  const net = lug.net === undefined ? '' : ` data-net="${escaped(lug.net)}"`;
  const fill = item.kind === 'board' ? 'none' : 'currentColor';
  return `<circle class="lug" data-part="${escaped(item.ref)}" data-kind="${item.kind}" data-lug="${escaped(lug.lug)}"${pin}${net} cx="${px(x)}" cy="${px(y)}" r="${px(LUG_RADIUS)}" fill="${fill}"/>`;
}

/** A whole SVG document of a drawing: black lines, no styles, so that any page and any printer can have it. */
export function svgDocument({ width, height, elements }: DrawnPicture, title: string): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" fill="none" stroke="currentColor" stroke-width="1.4" stroke-linecap="round" stroke-linejoin="round" font-family="'IBM Plex Sans', 'Source Sans Pro', 'Helvetica Neue', Arial, sans-serif" role="img">
<title>${escaped(title)}</title>
${elements.replaceAll('<text ', '<text fill="currentColor" stroke="none" ')}
</svg>
`;
}
