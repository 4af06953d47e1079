import type { Page } from 'playwright-core';
import { BenchBrowser } from '../bench-browser.ts';
import type { Kind } from '../kind.ts';

/** A failure in a browser, and the page's message about it. */
interface Fault {
  readonly what: string;
  readonly spoil: () => void;
  /** An action that makes the failure visible. */
  readonly provoke?: (page: Page) => Promise<void>;
  readonly sentence: string;
  /** An action after the message; the message must then disappear. */
  readonly mend?: (page: Page) => Promise<void>;
}

const browser = new BenchBrowser();

/** Browsers in which something fails: the page opens, and says in a sentence what is missing. */
export const kind: Kind = {
  name: 'page: what fails in a browser',
  figure: { name: 'longest without an answer', unit: 's', most: 2 },
  share: 0.06,
  attempt: async (seed) => {
    const fault = FAULTS[seed % FAULTS.length]!;
    const { fault: why, figure } = await browser.attempt({
      spoil: fault.spoil,
      use: (page) => isSaid(page, fault),
    });
    return { fault: why === undefined ? undefined : `${fault.what}: ${why}`, figure };
  },
  end: () => browser.end(),
};

async function isSaid(page: Page, { provoke, sentence, mend }: Fault): Promise<void> {
  await provoke?.(page);
  const line = page.getByText(sentence).first();
  await line.waitFor();
  if (!mend) return;
  await mend(page);
  await line.waitFor({ state: 'hidden' });
}

/** The page's own objects: every context that it opened, and the bench. */
type Inside = typeof globalThis & { readonly contexts: AudioContext[] };
type Bench = Element & { readonly session: { readonly state: { readonly isRunning: boolean } } };

async function listen(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Listen', exact: true }).click();
}

/** Presses Listen until sound runs: before that the page itself resumes a suspended context. */
async function play(page: Page): Promise<void> {
  await listen(page);
  await page.waitForFunction(() => {
    const bench = document.querySelector('cliplead-bench') as Bench | null;
    return bench?.session.state.isRunning === true;
  });
}

/** Plays, and then changes the context as a browser does by itself. */
async function playUntil(page: Page, end: 'suspend' | 'close'): Promise<void> {
  await play(page);
  await page.evaluate((how) => (globalThis as Inside).contexts.at(-1)?.[how](), end);
}

/** Runs in the page: records every context that it opens. */
function noteContexts(): void {
  const contexts: AudioContext[] = [];
  const Native = AudioContext;
  Object.assign(globalThis, {
    contexts,
    AudioContext: class extends Native {
      constructor(options?: AudioContextOptions) {
        super(options);
        contexts.push(this);
      }
    },
  });
}

const FAULTS: readonly Fault[] = [
  {
    what: 'storage is blocked',
    spoil: () => {
      for (const name of ['localStorage', 'sessionStorage', 'indexedDB'])
        Object.defineProperty(globalThis, name, {
          get: () => {
            throw new DOMException('denied', 'SecurityError');
          },
        });
    },
    sentence: 'cookies or site data are blocked. Save builds as files.',
  },
  {
    what: 'storage is full',
    spoil: () => {
      Storage.prototype.setItem = () => {
        throw new DOMException('full', 'QuotaExceededError');
      };
    },
    sentence: 'storage is full: changes are not stored. Save builds as files.',
  },
  {
    what: 'there is no database',
    spoil: () => Object.defineProperty(globalThis, 'indexedDB', { value: undefined }),
    sentence: 'Riffs of earlier visits cannot be read',
  },
  {
    what: 'there are no workers',
    spoil: () => Reflect.deleteProperty(globalThis, 'Worker'),
    sentence: 'There are no plots and no warnings: this browser runs no workers.',
  },
  {
    what: 'there is no WebAssembly',
    spoil: () => Reflect.deleteProperty(globalThis, 'WebAssembly'),
    sentence: 'This browser has no WebAssembly',
  },
  {
    what: 'no context can be had',
    spoil: () => {
      const refuse = () => {
        throw new DOMException('no device', 'NotSupportedError');
      };
      Object.assign(globalThis, {
        AudioContext: class {
          constructor() {
            refuse();
          }
        },
      });
    },
    provoke: listen,
    sentence: 'Sound could not be started (no device). Press Listen to try again.',
  },
  {
    what: 'the context is suspended',
    spoil: noteContexts,
    provoke: (page) => playUntil(page, 'suspend'),
    sentence: 'The browser has paused the sound. Press Listen to go on.',
    mend: play,
  },
  {
    what: 'the context is closed',
    spoil: noteContexts,
    provoke: (page) => playUntil(page, 'close'),
    sentence: 'The sound output was closed. Press Listen to open it again.',
    mend: play,
  },
];
