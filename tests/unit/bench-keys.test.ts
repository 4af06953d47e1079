import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { BenchKeys, type KeyTargets } from '../../ui/bench-keys.ts';
import { startedStore } from '../started-bench.ts';

let page: EventTarget;
beforeEach(() => {
  page = new EventTarget();
  vi.stubGlobal('window', page);
  vi.stubGlobal('Element', class {});
});
afterEach(() => vi.unstubAllGlobals());

function send(type: string, init: Partial<KeyboardEvent>): void {
  const modifiers = { ctrlKey: false, metaKey: false, altKey: false, shiftKey: false, repeat: false };
  page.dispatchEvent(Object.assign(new Event(type, { cancelable: true }), { code: '' }, modifiers, init));
}

it('lets a key up whatever is held besides: otherwise it would become a long press', () => {
  const presses: (readonly [id: string, isDown: boolean])[] = [];
  const hands = {
    actionOf: (key: string) => (key === ' ' ? 'foot' : key === '?' ? 'keys' : undefined),
    isStandard: () => false,
    learnKey: () => false,
    pressKey: (id: string, isDown: boolean) => void presses.push([id, isDown]),
  };
  const store = startedStore();
  new BenchKeys({
    store,
    act: (action) => store.act(action),
    hands: hands as unknown as KeyTargets['hands'],
    pressBlind: () => false,
    isBlind: () => false,
  }).connect();
  send('keydown', { key: ' ', code: 'Space' });
  send('keyup', { key: ' ', code: 'Space', ctrlKey: true });
  send('keydown', { key: '?', code: 'Slash', shiftKey: true });
  send('keyup', { key: '/', code: 'Slash' });
  expect(presses).toEqual([
    ['foot', true],
    ['foot', false],
    ['keys', true],
    ['keys', false],
  ]);
});
