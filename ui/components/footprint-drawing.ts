import { nothing, type SVGTemplateResult, svg } from 'lit';
import { type Footprint, footprintText } from '../../engine/parts/footprint.ts';

/** What is seen of a drawing, in its own units: from the left, from the top, wide, high. */
const SEEN: Readonly<Record<Footprint['outline'], readonly [number, number, number, number]>> = {
  axial: [14, 12, 92, 46],
  LED: [34, 2, 52, 71],
  flat: [28, 2, 64, 57],
  can: [4, 4, 112, 62],
  dip: [0, 4, 120, 64],
  surface: [0, 4, 120, 64],
};
/** More height where the ends of a diode stand under the legs. */
const END_ROW = 14;
const MIDDLE = 60;
/** Middle of a chip. */
const CHIP_Y = 36;
/** Longest name of a leg that has room beside a chip, characters. */
const ROOM = 7;
const SHORT: Readonly<Record<string, string>> = { 'not connected': 'NC', 'balance, comp': 'bal' };

/** Case and legs of a part, as simple lines. */
export function footprintDrawing(footprint: Footprint, type: string): SVGTemplateResult {
  const [left, top, wide, high] = SEEN[footprint.outline];
  const seen = [left, top, wide, footprint.outline === 'flat' && footprint.ends ? high + END_ROW : high];
  return svg`<svg class="footprint" viewBox=${seen.join(' ')} width=${seen[2]} height=${seen[3]} role="img" aria-label="${type}, ${footprintText(footprint)}">
    ${DRAWINGS[footprint.outline](footprint)}</svg>`;
}

/** From below, clockwise from the mark at the left: directions from the middle. */
const CAN_LEGS = [
  [-1, -1],
  [1, -1],
  [1, 1],
] as const;

const DRAWINGS: Readonly<Record<Footprint['outline'], (footprint: Footprint) => SVGTemplateResult>> = {
  axial: ({ legs }) => svg`
    <line x1="14" y1="28" x2="106" y2="28" />
    <rect class="body" x="36" y="17" width="48" height="22" rx="4" />
    ${legs ? svg`<rect class="mark" x="71" y="17" width="6" height="22" />` : label(MIDDLE, 32, '?')}
    ${legs ? [label(20, 54, legs[0]!), label(100, 54, legs[1]!)] : nothing}`,
  LED: ({ legs }) => svg`
    <path class="body" d="M42 34 V22 a18 18 0 0 1 36 0 V34 z" />
    <rect class="body" x="39" y="34" width="39" height="5" />
    <line x1="51" y1="39" x2="51" y2="60" /><line x1="69" y1="39" x2="69" y2="50" />
    ${[label(51, 71, legs![0]!), label(69, 61, legs![1]!)]}`,
  flat: (footprint) => svg`
    <path class="body" d="M36 6 H84 V30 H36 z" />
    ${[0, 1, 2].map((leg) => {
      const x = 44 + 16 * leg;
      return svg`<line x1=${x} y1="30" x2=${x} y2="44" />
        ${label(x, 56, footprint.legs?.[leg] ?? '?')}${label(x, 69, endOf(footprint, leg), true)}`;
    })}`,
  can: (footprint) => svg`
    <circle class="body" cx=${MIDDLE} cy="34" r="22" />
    <rect class="mark" x=${MIDDLE - 28} y="30" width="7" height="8" />
    ${CAN_LEGS.map(([right, down], leg) => {
      const name = [footprint.legs?.[leg] ?? '?', endOf(footprint, leg)].join(' ').trim();
      return svg`<circle class="mark" cx=${MIDDLE + 9 * right} cy=${34 + 9 * down} r="2.2" />
        <text x=${MIDDLE + 20 * right} y=${38 + 21 * down} class="leg" text-anchor=${right < 0 ? 'end' : 'start'}>${name}</text>`;
    })}`,
  dip: chip,
  surface: chip,
};

/** Pins count down on the left and up on the right. */
function chip({ legs = [] }: Footprint): SVGTemplateResult {
  const rows = Math.ceil(legs.length / 2);
  const pitch = 15;
  const top = CHIP_Y - (pitch * rows) / 2;
  return svg`
    <rect class="body" x="44" y=${top} width="32" height=${pitch * rows} />
    ${rows === 4 ? svg`<path class="body" d="M55 ${top} a5 5 0 0 0 10 0" />` : nothing}
    ${legs.map((leg, index) => {
      const isLeft = index < rows;
      const y = top + pitch * ((isLeft ? index : legs.length - 1 - index) + 0.5);
      const name = SHORT[leg] ?? leg;
      const [x, anchor] = isLeft ? [36, 'end'] : [84, 'start'];
      return svg`<line x1=${isLeft ? 38 : 76} y1=${y} x2=${isLeft ? 44 : 82} y2=${y} />
        <text x=${isLeft ? 47 : 73} y=${y + 3} class="pin" text-anchor=${isLeft ? 'start' : 'end'}>${index + 1}</text>
        <text x=${x} y=${y + 3} class="pin" text-anchor=${anchor}>${name.length > ROOM ? '' : name}</text>`;
    })}`;
}

/** "A" or "K" of a leg, where a transistor is wired as a diode. */
function endOf({ legs, ends }: Footprint, leg: number): string {
  const name = legs?.[leg];
  if (!ends || name === undefined) return '';
  if (ends.anode.includes(name)) return '(A)';
  return ends.cathode.includes(name) ? '(K)' : '';
}

function label(x: number, y: number, text: string, isSmall = false): SVGTemplateResult {
  return svg`<text x=${x} y=${y} class=${isSmall ? 'pin' : 'leg'} text-anchor="middle">${text}</text>`;
}
