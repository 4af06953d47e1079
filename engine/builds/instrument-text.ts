import type { Instrument } from './instrument.ts';
import { clockText } from './swaps.ts';

type Controls = Pick<Instrument, 'volume' | 'tone'>;

export function isFullUp({ volume, tone }: Controls): boolean {
  return volume === 1 && tone === 1;
}

/** Where volume and tone of a guitar stand: "full up", "at 3:00 and 5:00". */
export function turnedText(controls: Controls): string {
  const { volume, tone } = controls;
  return isFullUp(controls) ? 'full up' : `at ${clockText(volume)} and ${clockText(tone)}`;
}
