import type { ClipleadBench } from '../../ui/bench.ts';
import { isOfDropouts, noticeBar } from './opened-bench.ts';

export type Page = Window & typeof globalThis;

/** A separate page in which the bench was opened, with its uncaught errors. */
export interface OpenedFrame {
  readonly page: Page;
  readonly errors: readonly string[];
  readonly bench: () => ClipleadBench | null;
  /** The sentence of the page that replaces the bench after a failure; undefined if there is none. */
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
 * Opens a page of the same origin, breaks what a test wants to break before any of its scripts run, and starts the
 * built bench: this is one script, while the development server has hundreds.
 *
 * @param start A module script's text, if it replaces the main page's script.
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

/** Messages at the top of the bench, but those about dropouts. */
export function notices({ bench }: OpenedFrame): string[] {
  const lines = noticeBar(bench())?.querySelectorAll('.notice.problem p') ?? [];
  return [...lines]
    .map(({ textContent }) => (textContent ?? '').trim())
    .filter((text) => !isOfDropouts(text));
}
