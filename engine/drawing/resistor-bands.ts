import type { BandColour } from '../units/colour-bands.ts';

/** Colours as they look on a resistor; the same in both themes and on paper. */
const COLOURS: Readonly<Record<BandColour, string>> = {
  pink: '#f7a8c4',
  silver: '#b9bdc1',
  gold: '#c9a227',
  black: '#111111',
  brown: '#7a4a1e',
  red: '#d0281e',
  orange: '#f07d13',
  yellow: '#f3d21b',
  green: '#2f8f3a',
  blue: '#2456b8',
  violet: '#7d3ca8',
  grey: '#8a8a8a',
  white: '#ffffff',
};
const [WIDTH, HEIGHT, BAND] = [56, 14, 4];

/** An SVG of a resistor with its bands, from the left; the last one stands apart. Its text names them. */
export function resistorPicture(bands: readonly BandColour[]): string {
  const text = `${bands.length} bands: ${bands.join(' ')}`;
  const last = bands.length - 1;
  const at = (index: number) => (index === last ? WIDTH - 13 : 9 + index * 7);
  const drawn = bands.map(
    (colour, index) =>
      `<rect data-colour="${colour}" x="${at(index)}" y="1" width="${BAND}" height="${HEIGHT - 2}" fill="${COLOURS[colour]}"></rect>`,
  );
  // Filled shapes, since printers leave backgrounds out.
  return `<svg class="bands" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}" role="img" aria-label="${text}"><title>${text}</title>
    <line x1="0" x2="${WIDTH}" y1="${HEIGHT / 2}" y2="${HEIGHT / 2}" stroke="#8a8a8a" stroke-width="1.5"></line>
    <rect x="5" y="0.5" width="${WIDTH - 10}" height="${HEIGHT - 1}" rx="4" fill="#e8d7b0" stroke="#7b6f55"></rect>
    ${drawn.join('')}</svg>`;
}
