import { type Drawer, EMPTY_DRAWER } from '../../engine/builds/drawer.ts';
import { drawerCsv, readDrawer } from '../../engine/builds/drawer-file.ts';
import { readJson } from '../../engine/input/json.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { keptTexts } from '../storage/kept-texts.ts';
import { fieldOf } from './kept-settings.ts';

const NAME = 'drawer';
/** What could not be read is put here before the sound bags are stored over it. */
const UNREAD_NAME = 'drawer-unread';

/** The stored drawer, with the bags that are sound; empty if there is none. */
export function loadDrawer(): Drawer {
  const text = keptTexts.read(NAME);
  if (text === undefined) return EMPTY_DRAWER;
  const kept = readJson(text);
  const csv = fieldOf(kept, 'csv');
  if (typeof csv !== 'string') return putAside(text);
  try {
    const { items, problems } = readDrawer(csv);
    if (problems.length > 0) putAside(csv);
    return { items, isOnly: items.length > 0 && fieldOf(kept, 'isOnly') === true };
  } catch (error) {
    if (error instanceof Refusal) return putAside(csv);
    throw error;
  }
}

function putAside(text: string): Drawer {
  keptTexts.keep(UNREAD_NAME, text);
  return EMPTY_DRAWER;
}

/** The text of a visit whose bags could not all be read; undefined if there is none. */
export function unreadDrawer(): string | undefined {
  return keptTexts.read(UNREAD_NAME);
}

export function forgetUnreadDrawer(): void {
  keptTexts.keep(UNREAD_NAME, undefined);
}

let saved: Drawer | undefined;

/** Stores the drawer as its file has it; if the browser stores nothing, it lasts for this visit. */
export function saveDrawer(drawer: Drawer): void {
  if (drawer === saved || (saved === undefined && drawer === EMPTY_DRAWER)) return;
  saved = drawer;
  keptTexts.keep(NAME, JSON.stringify({ csv: drawerCsv(drawer.items), isOnly: drawer.isOnly }));
}
