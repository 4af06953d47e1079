import type { PedalClipping } from '../analysis/excerpt.ts';
import type { Chain } from '../builds/chain.ts';

/** Clipping levels for --json: of a lone pedal its level, or null if it is off; of a chain a list with positions. */
export function clippingData({ pedals }: Chain, levels: readonly PedalClipping[]) {
  if (pedals.length > 1) return levels;
  const [lone] = levels;
  if (!lone) return null;
  const { pedal: _, ...level } = lone;
  return level;
}
