import type { StockedRow } from '../../engine/analysis/order-stock.ts';
import { boardParts } from '../../engine/builds/board-parts.ts';
import type { OfferedPair } from '../../engine/builds/value-pairs.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState, PartsChange } from './bench-state.ts';
import { indexIn, isAlone } from './chains.ts';
import { settingOfPair } from './owned-parts.ts';

/** What becomes of an offered pair: the change that puts it into the build, or what to do by hand. */
export interface PairUse {
  readonly change?: PartsChange;
  /** What a press does, "at C5, C6 as piggyback", or a sentence where there is no change. */
  readonly text: string;
}

/** How a pair of a line is used. The places that lack a part are the last ones of the line; the pairs follow each other there. */
export function pairUse(state: BenchState, slot: Slot, row: StockedRow, pair: OfferedPair): PairUse {
  const before = row.pairs.slice(0, row.pairs.indexOf(pair)).reduce((sum, { count }) => sum + count, 0);
  const from = row.quantity - row.buy + before;
  const names = row.refs.slice(from, from + pair.count);
  const places = names.join(', ');
  const refs = names.map((name) => refOf(state, slot, name));
  if (names.length === 0) return { text: 'It stands off the board: solder it there.' };
  if (refs.includes(undefined)) return { text: `${places}: look at that pedal to put this in.` };
  const { parts } = state.builds[slot];
  const settings = refs.map(
    (ref) => [ref!, settingOfPair(row.need!, parts[ref!] ?? {}, pair).setting] as const,
  );
  if (refs.some((ref) => parts[ref!]?.piggyback !== undefined))
    return { text: `${places}: two parts stand there already, and a build has no third.` };
  const [first, ...others] = settings;
  if (first![1] === undefined) return { text: `${places}: solder both in series; the build stays as it is.` };
  return {
    text: `at ${places} as ${pair.wiring === 'parallel' ? 'piggyback' : first![1].value}`,
    change: {
      type: 'setPart',
      slot,
      ref: first![0],
      setting: first![1],
      ...(others.length > 0 && {
        others: Object.fromEntries(others.map(([ref, setting]) => [ref, setting!])),
      }),
    },
  };
}

/** Designator of a place that the list names; undefined for a pedal that is not looked at. */
function refOf(state: BenchState, slot: Slot, name: string): string | undefined {
  const place = state.places[slot];
  const prefix = isAlone(place) ? '' : `${indexIn(place) + 1}:`;
  if (!name.startsWith(prefix)) return undefined;
  const bare = name.slice(prefix.length);
  return boardParts(state.builds[slot]).find((part) => part.place === bare)?.ref;
}
