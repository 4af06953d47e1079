import texts from '../../fixtures/saved-state.json' with { type: 'json' };
import { BenchBrowser } from '../bench-browser.ts';
import type { Kind } from '../kind.ts';
import { damagedState } from '../stored-states.ts';

const browser = new BenchBrowser();

/** Damaged stored data of the browser: the bench opens, and never the page that replaces it after a failure. */
export const kind: Kind = {
  name: 'page: damaged stored states',
  figure: { name: 'longest without an answer', unit: 's', most: 2 },
  share: 1 / 3,
  attempt: async (seed) => {
    const { what, texts: damaged } = damagedState(texts, seed);
    const { fault, figure } = await browser.attempt({
      texts: damaged,
      use: async (page) => {
        const sentence = page.locator('.rescue [role="alert"]');
        if ((await sentence.count()) > 0) throw new Error((await sentence.textContent()) ?? '');
      },
    });
    return { fault: fault === undefined ? undefined : `${what}: ${fault}`, figure };
  },
  end: () => browser.end(),
};
