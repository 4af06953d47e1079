import type { OversamplingFactor } from '../../engine/audio/oversampler.ts';

/** Gaps in the sound that came together. */
export interface DropoutEntry {
  /** When the last of them was seen, ms since 1970. */
  readonly atMs: number;
  readonly count: number;
  /** What the circuits were oversampled by. */
  readonly factor: OversamplingFactor;
}

/** Gaps in the sound during this visit. */
export interface Dropouts {
  readonly count: number;
  /** The newest first. */
  readonly log: readonly DropoutEntry[];
}

export const NO_DROPOUTS: Dropouts = { count: 0, log: [] };

const LONGEST_LOG = 8;
/** Gaps closer together than this share one line. */
const TOGETHER_MS = 10_000;

/** @param count How many have come. */
export function withDropouts({ count: before, log }: Dropouts, entry: DropoutEntry): Dropouts {
  const [newest, ...older] = log;
  const isTogether =
    newest !== undefined && newest.factor === entry.factor && entry.atMs - newest.atMs < TOGETHER_MS;
  const entries = isTogether
    ? [{ ...entry, count: newest.count + entry.count }, ...older]
    : [entry, ...log].slice(0, LONGEST_LOG);
  return { count: before + entry.count, log: entries };
}

/** "1 dropout", "12 dropouts". */
export function dropoutsText(count: number): string {
  return `${count} dropout${count === 1 ? '' : 's'}`;
}
