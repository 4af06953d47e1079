import type { DrawerItem } from '../builds/drawer.ts';
import { MOST_DRAWER_BYTES, readDrawer } from '../builds/drawer-file.ts';
import { Refusal } from '../input/refusal.ts';
import { quotedPath } from '../input/shown-text.ts';
import { CliError } from './cli-error.ts';
import { readAtMost, systemReason } from './input-file.ts';
import type { Options } from './options.ts';

/** What the file of --drawer holds; undefined without it. Lines that are not understood go to the error output. */
export function drawerOf({ drawer }: Options): readonly DrawerItem[] | undefined {
  if (drawer === undefined) return undefined;
  const { items, problems } = read(drawer);
  for (const problem of problems) process.stderr.write(`${quotedPath(drawer)}: ${problem}\n`);
  return items;
}

function read(path: string) {
  const text = textOf(path);
  try {
    return readDrawer(text);
  } catch (error) {
    if (error instanceof Refusal)
      throw new CliError(`--drawer ${quotedPath(path)}: ${error.message}.`, 'file');
    throw error;
  }
}

function textOf(path: string): string {
  try {
    return Buffer.from(readAtMost(path, MOST_DRAWER_BYTES)).toString('utf8');
  } catch (error) {
    throw new CliError(`--drawer: ${quotedPath(path)} cannot be read: ${systemReason(error)}.`, 'file');
  }
}
