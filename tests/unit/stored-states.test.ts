import { describe, expect, it } from 'vitest';
import texts from '../fixtures/saved-state.json' with { type: 'json' };
import { damagedState } from '../reliability/stored-states.ts';

/** Whether the bench starts with them is tried by `tests/unit/reliability.test.ts`. */
describe('stored states that were damaged', () => {
  const seeds = Array.from({ length: 300 }, (_, index) => index);

  it('are the same for the same seed, of many kinds, and each one damaged', () => {
    const states = seeds.map((seed) => damagedState(texts, seed));
    expect(seeds.map((seed) => damagedState(texts, seed))).toEqual(states);
    const whats = states.map(({ what }) => what).join('\n');
    for (const kind of ['cut short', 'gone', 'another version', 'unknown circuit', 'parts.', 'midi'])
      expect(whats).toContain(kind);
    const same = states.filter((state) => JSON.stringify(state.texts) === JSON.stringify(texts));
    // A character may be changed into itself, and a text may take its own place.
    expect(same.length).toBeLessThan(10);
  });
});
