import { partsList, partsListCsv } from '../builds/parts-list.ts';
import { type Options, readBuild } from './options.ts';
import { printJson } from './output.ts';

/** The parts list of a build, as CSV or JSON. */
export function partsCommand(options: Options): void {
  const rows = partsList(readBuild(options));
  if (options.json) printJson(rows);
  else process.stdout.write(partsListCsv(rows));
}
