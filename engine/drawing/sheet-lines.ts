import type { GridPoint } from '../circuits/part-spec.ts';
import { moved } from './geometry.ts';
import type { Flag } from './stage-drawing.ts';
import type { RoutedNet } from './wire-router.ts';

/** The lines of a net as the path of an SVG, in grid steps. */
export function wirePath({ segments }: Pick<RoutedNet, 'segments'>): string {
  return segments.map(([[x, y], [toX, toY]]) => `M${x} ${y}L${toX} ${toY}`).join('');
}

/** A flag as it is drawn: ground by its symbol, any other net by a bar with its name. */
export interface FlagLines {
  /** From the net to the bar. */
  readonly lead: string;
  /** All of its lines. */
  readonly path: string;
  /** Absent at ground. */
  readonly name?: { readonly at: GridPoint; readonly anchor: 'start' | 'middle' | 'end' };
}

export function flagLines({ port, at: [x, y], away }: Flag): FlagLines {
  const [dx, dy] = moved([0, 0], away);
  const lead = `M${x} ${y}L${x + dx} ${y + dy}`;
  if (port === 'ground') {
    const [gx, gy] = [x + dx, y + dy];
    return {
      lead,
      path: `${lead}M${gx - 0.75} ${gy}H${gx + 0.75}M${gx - 0.45} ${gy + 0.35}H${gx + 0.45}M${gx - 0.15} ${gy + 0.7}H${gx + 0.15}`,
    };
  }
  const bar = dx === 0 ? `M${x - 0.6} ${y + dy}H${x + 0.6}` : `M${x + dx} ${y - 0.45}V${y + 0.45}`;
  const name = (
    {
      left: { at: [x - 1.35, y + 0.35], anchor: 'end' },
      right: { at: [x + 1.35, y + 0.35], anchor: 'start' },
      up: { at: [x, y - 1.35], anchor: 'middle' },
      down: { at: [x, y + 2.1], anchor: 'middle' },
    } as const
  )[away];
  return { lead, path: `${lead}${bar}`, name };
}
