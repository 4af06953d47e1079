import { describe, expect, it } from 'vitest';
import { tryKind } from '../reliability/kind.ts';
import { allKinds } from '../reliability/reliability.ts';

/** `npm run reliability` tries many more, from any seed. */
const SHORT = { seed: 1, count: 60 };

const kinds = await allKinds('alone');

describe('hostile inputs', () => {
  for (const kind of kinds) {
    it(`are accepted or refused in a sentence: ${kind.name}`, { timeout: 300_000 }, async () => {
      const { tried, faults } = await tryKind(kind, SHORT);
      expect(tried).toBeGreaterThan(0);
      expect(faults).toEqual([]);
    });
  }

  it('that fail otherwise are counted as faults, and so are those that take too long', async () => {
    const figure = { name: 'slowest', unit: 's', most: 1 };
    const result = await tryKind(
      {
        name: 'three of four',
        figure,
        attempt: (seed) => {
          if (seed === 11) throw new Error('thrown');
          return { fault: seed === 12 ? 'said' : undefined, figure: seed === 13 ? 2 : 0 };
        },
      },
      { seed: 10, count: 4 },
    );
    expect(result).toMatchObject({ tried: 4, passed: 1, worst: { value: 2 } });
    expect(result.faults.map(({ seed }) => seed)).toEqual([11, 12, 13]);
  });
});
