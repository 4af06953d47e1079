import { describe, expect, it, vi } from 'vitest';
import { KeptTexts } from '../../ui/storage/kept-texts.ts';
import { stubStorage } from './kept-storage.ts';

const FULL = new DOMException('no room', 'QuotaExceededError');

/** The stored texts, and every change of whether they can be stored. */
function keeper() {
  const texts = new KeptTexts();
  const told: string[] = [];
  texts.addEventListener('change', () => told.push(texts.keeping));
  return { texts, told };
}

describe('texts that are kept for the next visit', () => {
  it('are written with the bench’s own prefix, read back and removed', () => {
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

  it('are reported as not kept while storage is full, and are kept again once there is room', () => {
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

  it('are reported as not kept where site data is blocked, before anything needs to be kept', () => {
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

  it('are reported as not kept in a browser without storage', () => {
    vi.stubGlobal('localStorage', undefined);
    const { texts } = keeper();
    texts.check();
    expect(texts.keeping).toBe('forbidden');
  });

  it('wait while another tab may write its own, and no tab loses them', () => {
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
