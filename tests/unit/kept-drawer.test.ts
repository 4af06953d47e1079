import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { forgetUnreadDrawer, loadDrawer, saveDrawer, unreadDrawer } from '../../ui/state/kept-drawer.ts';
import { type FakeStorage, stubStorage } from './kept-storage.ts';

const NAME = 'cliplead-drawer';
let storage: FakeStorage;

describe('the drawer in the browser', () => {
  beforeEach(() => {
    storage = stubStorage();
  });
  afterEach(() => vi.unstubAllGlobals());

  it('that is damaged is put aside before the sound bags are stored over it', () => {
    const csv = 'count,value,kind\n5,10k,resistor\n2,nonsense,resistor\n';
    storage.texts.set(NAME, JSON.stringify({ csv, isOnly: true }));
    const drawer = loadDrawer();
    expect(drawer).toEqual({ items: [{ kind: 'resistor', value: '10k', count: 5 }], isOnly: true });
    saveDrawer(drawer);
    expect(storage.texts.get(NAME)).not.toContain('nonsense');
    expect(unreadDrawer()).toBe(csv);
    forgetUnreadDrawer();
    storage.texts.set(NAME, 'no file');
    expect(loadDrawer().items).toEqual([]);
    expect(unreadDrawer()).toBe('no file');
  });
});
