import { joinedOrder, type PedalOrder, pedalOrders, swapOrder } from '../analysis/order-list.ts';
import { stockColumns, stockedRows } from '../analysis/order-stock.ts';
import { orderCsv, ordersCsv } from '../analysis/order-table.ts';
import type { Chain } from '../builds/chain.ts';
import { readChain, readOther } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { drawerOf } from './drawer-option.ts';
import { type Options, temperatureOf } from './options.ts';
import { printJson } from './output.ts';

/** What to order for a build as CSV or JSON; of a chain that of every pedal, and one of all; with --against the swaps alone. */
export function partsCommand(options: Options): void {
  const orders = ordersOf(options);
  const lists = orders.map(({ rows }) => rows);
  const isLone = lists.length === 1;
  for (const [index, { unrated }] of orders.entries())
    if (unrated !== undefined) process.stderr.write(`${isLone ? '' : `Pedal ${index + 1}: `}${unrated}\n`);
  const all = isLone ? lists[0]! : joinedOrder(orders).rows;
  const items = drawerOf(options);
  const stocked = items && stockedRows(all, items);
  const order = stocked ?? all;
  const further = stocked && stockColumns(stocked);
  if (options.json) printJson(isLone ? order : { pedals: lists, order });
  else process.stdout.write(isLone ? orderCsv(order, further) : ordersCsv(lists, order, further));
}

function ordersOf(options: Options): readonly PedalOrder[] {
  const temperatureK = temperatureOf(options);
  const chain = readChain(options);
  const other = readOther(options);
  const own = pedalOrders(chain, temperatureK);
  if (!other) return own;
  checkPedals(chain, other);
  return pedalOrders(other, temperatureK).map((order, position) =>
    swapOrder(own[position]!, order, [chain.pedals[position]!.build, other.pedals[position]!.build]),
  );
}

/** Pedals are compared in pairs. */
function checkPedals({ pedals }: Chain, { pedals: others }: Chain): void {
  if (pedals.length !== others.length)
    throw new CliError(
      `--against has ${others.length} pedals and --build ${pedals.length}: give as many with --against-then.`,
    );
}
