import { describe, expect, it } from 'vitest';
import texts from '../fixtures/saved-state.json' with { type: 'json' };
import { damagedState } from '../reliability/stored-states.ts';

/** `tests/unit/reliability.test.ts` tests whether the bench starts with them. */
describe('stored states that were damaged', () => {
  const seeds = Array.from({ length: 300 }, (_, index) => index);

  it('are the same for the same seed, of many kinds, and all damaged', () => {
    const states = seeds.map((seed) => damagedState(texts, seed));
    expect(seeds.map((seed) => damagedState(texts, seed))).toEqual(states);
    const whats = states.map(({ what }) => what).join('\n');
    for (const kind of ['cut short', 'gone', 'another version', 'unknown circuit', 'parts.', 'midi'])
      expect(whats).toContain(kind);
    const same = states.filter((state) => JSON.stringify(state.texts) === JSON.stringify(texts));
    // A character may be replaced by the same one, and a text may replace itself.
    expect(same.length).toBeLessThan(10);
  });
});
