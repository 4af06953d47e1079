import { type Drawer, EMPTY_DRAWER } from '../../engine/builds/drawer.ts';
import { drawerCsv, readDrawer } from '../../engine/builds/drawer-file.ts';
import { readJson } from '../../engine/input/json.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { keptTexts } from '../storage/kept-texts.ts';
import { fieldOf } from './kept-settings.ts';

const NAME = 'drawer';

/** The stored drawer, without damaged lines; empty if there is none. */
export function loadDrawer(): Drawer {
  const kept = readJson(keptTexts.read(NAME) ?? '');
  const csv = fieldOf(kept, 'csv');
  if (typeof csv !== 'string') return EMPTY_DRAWER;
  try {
    return { items: readDrawer(csv).items, isOnly: fieldOf(kept, 'isOnly') === true };
  } catch (error) {
    if (error instanceof Refusal) return EMPTY_DRAWER;
    throw error;
  }
}

let saved: Drawer | undefined;

/** Stores the drawer as its file has it; if the browser stores nothing, it lasts for this visit. */
export function saveDrawer(drawer: Drawer): void {
  if (drawer === saved || (saved === undefined && drawer === EMPTY_DRAWER)) return;
  saved = drawer;
  keptTexts.keep(NAME, JSON.stringify({ csv: drawerCsv(drawer.items), isOnly: drawer.isOnly }));
}
