import { svg } from 'lit';
import { type PotLaw, potTitle, trackFraction } from '../../engine/units/taper.ts';

const POINTS = 40;
const SIZE = 100;

/** A potentiometer's taper as a curve, wiper's share of the track over rotation, with where the knob stands. */
export function potCurve(law: PotLaw, rotation: number) {
  const place = (x: number) => `${x * SIZE},${(1 - trackFraction(law, x)) * SIZE}`;
  const path = Array.from({ length: POINTS + 1 }, (_, index) => place(index / POINTS)).join(' ');
  const [x, y] = place(rotation).split(',');
  return svg`<svg class="law" viewBox="-6 -6 112 112" role="img"
      aria-label="Taper ${potTitle(law)}: at ${Math.round(rotation * 100)} % of the rotation ${Math.round(trackFraction(law, rotation) * 100)} % of the track">
    <path class="frame" d="M0 0V100H100" /><path class="grid" d="M0 50H100M50 0V100" />
    <polyline points=${path} /><circle cx=${x!} cy=${y!} r="5" /></svg>`;
}
