import { joinedOrder, orderRows, type PedalOrder, swapOrder } from '../../engine/analysis/order-list.ts';
import type { Chain } from '../../engine/builds/chain.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';
import { chainOf, pedalsOf, type Sides } from './chains.ts';

/** What a list is for: a side, or what has to be bought to make B out of A. */
export type OrderFor = Slot | 'swaps';

/** What the analyser is asked. Knobs are left out, so that turning one computes nothing again: ratings do not depend on them. */
export function orderQuery(state: BenchState, slot: Slot) {
  const { pedals } = chainOf(state, slot);
  const chain: Chain = {
    pedals: pedals.map((pedal) => ({ ...pedal, isOn: true, build: { ...pedal.build, knobs: {} } })),
  };
  return { kind: 'order', chain, temperatureC: state.temperatureC } as const;
}

/** The lists of a side without ratings, which need no computing. */
export function unratedOrders(sides: Sides, slot: Slot): readonly PedalOrder[] {
  return pedalsOf(sides, slot).map(({ build }) => ({ rows: orderRows(build) }));
}

/** The list of what was chosen. @returns A sentence where there is none. */
export function shownOrder(
  sides: Sides,
  orders: Readonly<Record<Slot, readonly PedalOrder[]>>,
  shown: OrderFor,
): PedalOrder | string {
  if (shown !== 'swaps') return together(orders[shown]);
  const [from, to] = [pedalsOf(sides, 'a'), pedalsOf(sides, 'b')];
  if (from.length !== to.length) return 'A and B have different numbers of pedals. Look at the list of each.';
  const swaps = orders.b.map((order, index) =>
    swapOrder(orders.a[index]!, order, [from[index]!.build, to[index]!.build]),
  );
  return together(swaps);
}

function together(orders: readonly PedalOrder[]): PedalOrder {
  return orders.length === 1 ? orders[0]! : joinedOrder(orders);
}
