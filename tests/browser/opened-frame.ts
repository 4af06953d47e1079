import type { ClipleadBench } from '../../ui/bench.ts';

export type Page = Window & typeof globalThis;

/** A page of its own in which the bench was opened, and what went wrong there without being caught. */
export interface OpenedFrame {
  readonly page: Page;
  readonly errors: readonly string[];
  readonly bench: () => ClipleadBench | null;
  /** The sentence of the page that stands in for the bench; undefined where there is none. */
  readonly sentence: () => string | undefined;
}

/** Script and style sheets of the built main page. */
const built = fetch('/site/index.html').then(async (response) => {
  const { head } = new DOMParser().parseFromString(await response.text(), 'text/html');
  const there = (address: string | null | undefined) =>
    new URL(address ?? '', `${location.origin}/site/`).href;
  return {
    script: there(head.querySelector('script[src]')?.getAttribute('src')),
    sheets: [...head.querySelectorAll('link[rel="stylesheet"]')].map((link) =>
      there(link.getAttribute('href')),
    ),
  };
});

/**
 * Opens a page of the same origin, breaks what is to be broken before any of its scripts, and starts the built bench:
 * that is one script, where the development server has hundreds.
 *
 * @param start A module script's text, where not the main page's script is to be run.
 */
export async function openFrame(
  spoil: (page: Page) => void = () => {},
  start?: string,
): Promise<OpenedFrame> {
  const { script: address, sheets } = await built;
  const frame = document.createElement('iframe');
  Object.assign(frame, { width: '1280', height: '800' });
  // A page of this origin that has no policy of its own.
  frame.srcdoc = '<!doctype html><html lang="en"><body></body></html>';
  await new Promise((resolve) => {
    frame.addEventListener('load', resolve, { once: true });
    document.body.append(frame);
  });
  const page = frame.contentWindow as Page;
  const errors: string[] = [];
  page.addEventListener('error', ({ message }) => errors.push(message));
  page.addEventListener('unhandledrejection', ({ reason }) => errors.push(String(reason)));
  spoil(page);
  page.document.body.innerHTML = '<cliplead-bench></cliplead-bench>';
  const script = page.document.createElement('script');
  script.type = 'module';
  for (const href of sheets) {
    const link = Object.assign(page.document.createElement('link'), { rel: 'stylesheet', href });
    page.document.head.append(link);
  }
  if (start === undefined) script.src = address;
  else script.textContent = start;
  page.document.head.append(script);
  return {
    page,
    errors,
    bench: () => page.document.querySelector<ClipleadBench>('cliplead-bench'),
    sentence: () => page.document.querySelector('.rescue [role="alert"]')?.textContent ?? undefined,
  };
}

export function removeFrames(): void {
  for (const frame of document.querySelectorAll('iframe')) frame.remove();
}

/** Whether the bench is on the page with its schematic. */
export function isDrawn({ bench }: OpenedFrame): boolean {
  const schematic = bench()?.shadowRoot?.querySelector('build-schematic');
  return schematic?.shadowRoot?.querySelector('svg') != null;
}

/** Lines that stand above the bench. */
export function notices({ bench }: OpenedFrame): string[] {
  const lines = bench()?.shadowRoot?.querySelectorAll('.notice.problem p') ?? [];
  return [...lines].map(({ textContent }) => (textContent ?? '').trim());
}
