import { describe, expect, it, vi } from 'vitest';
import { KeptTexts } from '../../ui/storage/kept-texts.ts';
import { stubStorage } from './kept-storage.ts';

const FULL = new DOMException('no room', 'QuotaExceededError');

/** What is kept, and every change of whether it is. */
function keeper() {
  const texts = new KeptTexts();
  const told: string[] = [];
  texts.addEventListener('change', () => told.push(texts.keeping));
  return { texts, told };
}

describe('texts that outlast the visit', () => {
  it('are written under the bench’s own name, read back and forgotten', () => {
    const storage = stubStorage();
    const { texts, told } = keeper();
    texts.keep('bench', 'one');
    expect([...storage.texts]).toEqual([['cliplead-bench', 'one']]);
    expect(texts.read('bench')).toBe('one');
    texts.keep('bench', undefined);
    expect(storage.texts.size).toBe(0);
    expect(texts.read('bench')).toBeUndefined();
    expect([texts.keeping, told]).toEqual(['kept', []]);
  });

  it('are said not to be kept while storage is full, and are kept once there is room', () => {
    const storage = stubStorage({ 'cliplead-bench': 'old' });
    const { texts, told } = keeper();
    storage.trouble = FULL;
    texts.keep('bench', 'new');
    expect([texts.keeping, texts.read('bench')]).toEqual(['full', 'new']);
    expect(storage.texts.get('cliplead-bench')).toBe('old');
    storage.trouble = undefined;
    texts.keep('theme', 'dark');
    expect(Object.fromEntries(storage.texts)).toEqual({ 'cliplead-bench': 'new', 'cliplead-theme': 'dark' });
    expect(told).toEqual(['full', 'kept']);
  });

  it('are said not to be kept where site data is blocked, before anything is to be kept', () => {
    vi.stubGlobal('localStorage', {
      getItem: () => {
        throw new DOMException('denied', 'SecurityError');
      },
    });
    const { texts, told } = keeper();
    texts.check();
    expect(told).toEqual(['forbidden']);
    expect(texts.read('bench')).toBeUndefined();
    expect(() => texts.keep('bench', 'text')).not.toThrow();
  });

  it('are said not to be kept in a browser without storage', () => {
    vi.stubGlobal('localStorage', undefined);
    const { texts } = keeper();
    texts.check();
    expect(texts.keeping).toBe('forbidden');
  });

  it('wait while another tab may be keeping its own, and are dropped by none', () => {
    const storage = stubStorage({ 'cliplead-bench': 'of the other tab' });
    const { texts, told } = keeper();
    texts.claimed('asking');
    texts.keep('bench', 'of this tab');
    expect([texts.keeping, storage.texts.get('cliplead-bench')]).toEqual(['kept', 'of the other tab']);
    texts.claimed('elsewhere');
    expect(storage.texts.get('cliplead-bench')).toBe('of the other tab');
    texts.claimed('mine');
    expect(storage.texts.get('cliplead-bench')).toBe('of this tab');
    expect(told).toEqual(['elsewhere', 'kept']);
  });
});
