import { orderList, partsList, partsListCsv, partsListsCsv } from '../builds/parts-list.ts';
import { readChain } from './chain-options.ts';
import type { Options } from './options.ts';
import { printJson } from './output.ts';

/** The parts list of a build as CSV or JSON; of a chain that of every pedal, and one of all to order. */
export function partsCommand(options: Options): void {
  const lists = readChain(options).pedals.map(({ build }) => partsList(build));
  const [rows] = lists;
  const isLone = lists.length === 1;
  if (options.json) printJson(isLone ? rows : { pedals: lists, order: orderList(lists) });
  else process.stdout.write(isLone ? partsListCsv(rows!) : partsListsCsv(lists));
}
