import { svg, type TemplateResult } from 'lit';
import type { Box } from '../../../engine/drawing/geometry.ts';

/** Size of the sign of a warning, as a share of the path that is drawn. */
const SIGN_SCALE = 0.6;

/** At the upper left corner, where symbols have the least of their lines. */
export function warningSign(body: Box): TemplateResult<2> {
  return svg`<g class="sign" aria-hidden="true" transform="translate(${body.left} ${signY(body)}) scale(${SIGN_SCALE})">
    <path d="M0 -1.1L1.05 0.7H-1.05Z" /><text y="0.5" text-anchor="middle">!</text></g>`;
}

/** What that sign covers. */
export function signBox(body: Box): Box {
  const half = 1.05 * SIGN_SCALE;
  const y = signY(body);
  return {
    left: body.left - half,
    top: y - 1.1 * SIGN_SCALE,
    right: body.left + half,
    bottom: y + 0.7 * SIGN_SCALE,
  };
}

/** Below a designator that stands above the symbol, or above one that stands beside it. */
function signY({ left, top, right, bottom }: Box): number {
  const isSlim = right - left < Math.min(3, bottom - top);
  return isSlim ? top - 0.1 : top + 0.6;
}
