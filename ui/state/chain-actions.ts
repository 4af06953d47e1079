import type { Build } from '../../engine/builds/build.ts';
import { copyOf } from '../../engine/builds/build-title.ts';
import {
  type Chain,
  type ChainPedal,
  type ChainPlace,
  MOST_PEDALS,
  USUAL_PATCH_METRES,
} from '../../engine/builds/chain.ts';
import { LONGEST_CABLE_METRES } from '../../engine/builds/instrument.ts';
import { piecesOf, withPieces } from '../../engine/builds/pieces.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { countIn, indexIn, lookingAt, pedalsOf, type Sides, withPedals } from './chains.ts';

/** What a person can do to a chain; pedals are counted from 0. */
export type ChainAction =
  /** Shows another pedal on the sheet: no change of the sound. */
  | { readonly type: 'look'; readonly slot: Slot; readonly index: number }
  /** The new pedal stands at the index, and is looked at. */
  | { readonly type: 'addPedal'; readonly slot: Slot; readonly index: number; readonly build: Build }
  | { readonly type: 'removePedal'; readonly slot: Slot; readonly index: number }
  | { readonly type: 'movePedal'; readonly slot: Slot; readonly from: number; readonly to: number }
  | {
      readonly type: 'switchPedal';
      readonly slot: Slot;
      readonly index: number;
      readonly isOn: boolean;
    }
  /** The cable after a pedal. */
  | { readonly type: 'patchCable'; readonly slot: Slot; readonly index: number; readonly metres: number }
  /** The pedal at the index is looked at, by default the first. */
  | { readonly type: 'loadChain'; readonly slot: Slot; readonly chain: Chain; readonly index?: number }
  /** Both sides at once; the pedals at the index are looked at. */
  | { readonly type: 'loadBoth'; readonly chains: Readonly<Record<Slot, Chain>>; readonly index: number }
  | { readonly type: 'copy'; readonly from: Slot; readonly to: Slot }
  | { readonly type: 'exchange' };

/** What a build becomes that is taken from a menu or a file: the pedal that is looked at, or one beside it. */
export type Joining = 'instead' | 'before' | 'after';

export function joining(
  slot: Slot,
  place: ChainPlace,
  build: Build,
  how: Joining,
): { readonly type: 'load'; readonly slot: Slot; readonly build: Build } | ChainAction {
  // A full chain was made full while the menu was open, or by the last choice.
  if (how === 'instead' || countIn(place) >= MOST_PEDALS) return { type: 'load', slot, build };
  return { type: 'addPedal', slot, index: indexIn(place) + (how === 'after' ? 1 : 0), build };
}

const TYPES: ReadonlySet<string> = new Set<ChainAction['type']>([
  'look',
  'addPedal',
  'removePedal',
  'movePedal',
  'switchPedal',
  'patchCable',
  'loadChain',
  'loadBoth',
  'copy',
  'exchange',
]);

export function isChainAction(action: { readonly type: string }): action is ChainAction {
  return TYPES.has(action.type);
}

/** Both sides after an action; the same object where it changes nothing, as at an end. */
export function afterChainAction(sides: Sides, action: ChainAction): Sides {
  switch (action.type) {
    case 'look':
      return lookingAt(sides, action.slot, action.index);
    case 'addPedal':
      return withAdded(sides, action);
    case 'removePedal':
      return withRemoved(sides, action.slot, action.index);
    case 'movePedal':
      return withMoved(sides, action);
    case 'switchPedal': {
      const { isOn } = action;
      return withPedal(sides, action, (pedal) => (pedal.isOn === isOn ? pedal : { ...pedal, isOn }));
    }
    case 'patchCable': {
      const cableMetres = Math.min(LONGEST_CABLE_METRES, Math.max(0, action.metres));
      return withPedal(sides, action, (pedal) =>
        pedal.cableMetres === cableMetres ? pedal : { ...pedal, cableMetres },
      );
    }
    case 'loadChain': {
      const pedals = keepingPieces(sides, action.slot, action.chain.pedals.slice(0, MOST_PEDALS));
      const index = action.index ?? 0;
      return pedals[index] ? withPedals(sides, action.slot, pedals, index) : sides;
    }
    case 'loadBoth': {
      const { chains, index } = action;
      return SLOTS.reduce<Sides>(
        (loaded, slot) => afterChainAction(loaded, { type: 'loadChain', slot, chain: chains[slot], index }),
        sides,
      );
    }
    case 'copy': {
      const copies = pedalsOf(sides, action.from).map((pedal) => ({ ...pedal, build: copyOf(pedal.build) }));
      const pedals = keepingPieces(sides, action.to, copies);
      return withPedals(sides, action.to, pedals, indexIn(sides.places[action.from]));
    }
    case 'exchange': {
      const { builds, places } = sides;
      return { builds: { a: builds.b, b: builds.a }, places: { a: places.b, b: places.a } };
    }
  }
}

function withAdded(
  sides: Sides,
  { slot, index, build }: Extract<ChainAction, { readonly type: 'addPedal' }>,
): Sides {
  const pedals = pedalsOf(sides, slot);
  if (pedals.length >= MOST_PEDALS) return sides;
  const cableMetres = USUAL_PATCH_METRES;
  // A pedal alone has no patch cable.
  const present = pedals.length === 1 ? pedals.map((pedal) => ({ ...pedal, cableMetres })) : pedals;
  const added = keepingPieces(sides, slot, [{ build, isOn: true, cableMetres }]);
  return withPedals(sides, slot, spliced(present, index, 0, ...added), index);
}

/** What the builder has measured stays on the list, whatever pedals a side gets. */
function keepingPieces(sides: Sides, slot: Slot, pedals: readonly ChainPedal[]): readonly ChainPedal[] {
  const pieces = pedalsOf(sides, slot).flatMap(({ build }) => piecesOf(build));
  return pedals.map((pedal) => ({ ...pedal, build: withPieces(pedal.build, pieces) }));
}

/** The last pedal of a side stays. */
function withRemoved(sides: Sides, slot: Slot, index: number): Sides {
  const pedals = pedalsOf(sides, slot);
  if (pedals.length === 1 || !pedals[index]) return sides;
  const looked = indexIn(sides.places[slot]);
  const left = spliced(pedals, index, 1);
  const next = Math.min(index < looked ? looked - 1 : looked, left.length - 1);
  const [shown] = keepingPieces(sides, slot, [left[next]!]);
  return withPedals(sides, slot, spliced(left, next, 1, shown!), next);
}

/** The pedal that is looked at stays so. */
function withMoved(
  sides: Sides,
  { slot, from, to }: Extract<ChainAction, { readonly type: 'movePedal' }>,
): Sides {
  const pedals = pedalsOf(sides, slot);
  const moved = pedals[from];
  if (!moved || !pedals[to] || from === to) return sides;
  const looked = pedals[indexIn(sides.places[slot])]!;
  const order = spliced(spliced(pedals, from, 1), to, 0, moved);
  return withPedals(sides, slot, order, order.indexOf(looked));
}

function withPedal(
  sides: Sides,
  { slot, index }: { readonly slot: Slot; readonly index: number },
  change: (pedal: ChainPedal) => ChainPedal,
): Sides {
  const pedals = pedalsOf(sides, slot);
  const before = pedals[index];
  const after = before && change(before);
  // The switch of a pedal alone is the bypass of the bench.
  if (!after || after === before || pedals.length === 1) return sides;
  return withPedals(sides, slot, spliced(pedals, index, 1, after), indexIn(sides.places[slot]));
}

/** A copy of the list with some of it replaced. */
function spliced(
  pedals: readonly ChainPedal[],
  start: number,
  count: number,
  ...added: readonly ChainPedal[]
): readonly ChainPedal[] {
  return [...pedals.slice(0, start), ...added, ...pedals.slice(start + count)];
}
