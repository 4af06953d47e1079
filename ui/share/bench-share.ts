import { sortDropped } from '../dropped-files.ts';
import type { IncomingBuild } from './incoming-build.ts';
import { isShareLink, readShareLink } from './share-link.ts';

export interface ShareTargets {
  readonly incoming: () => IncomingBuild | null;
  /** Whether nothing may change, as in a blind test or while names are hidden. */
  readonly isClosed: () => boolean;
}

/** Builds that come in the page's address or are pasted. */
export class BenchShare {
  readonly #targets: ShareTargets;

  constructor(targets: ShareTargets) {
    this.#targets = targets;
  }

  connect(): void {
    window.addEventListener('hashchange', this.#onHash);
    document.addEventListener('paste', this.#onPaste);
  }

  disconnect(): void {
    window.removeEventListener('hashchange', this.#onHash);
    document.removeEventListener('paste', this.#onPaste);
  }

  #onHash = (): void => this.readAddress();

  /** To be called once the page is drawn. The build leaves the address, so that a reload does not ask again. */
  readAddress(): void {
    const { href } = location;
    if (!isShareLink(href) || this.#targets.isClosed()) return;
    history.replaceState(history.state, '', href.replace(/#.*$/s, ''));
    this.#offer(() => readShareLink(href));
  }

  #onPaste = (event: ClipboardEvent): void => {
    if (this.#targets.isClosed() || isTyping(event)) return;
    const text = event.clipboardData?.getData('text/plain') ?? '';
    if (isShareLink(text)) this.#offer(() => readShareLink(text));
    else if (/^\s*\{/.test(text)) this.#offer(async () => text);
    else void this.#pasteFiles([...(event.clipboardData?.files ?? [])]);
  };

  async #pasteFiles(files: readonly File[]): Promise<void> {
    const { build } = await sortDropped(files);
    if (build) this.#offer(() => build.text());
  }

  #offer(read: () => Promise<string>): void {
    void this.#targets.incoming()?.offer(read);
  }
}

/** In a field a paste belongs to the field. */
function isTyping(event: ClipboardEvent): boolean {
  const [target] = event.composedPath();
  return target instanceof HTMLElement && target.matches('input, textarea, select, [contenteditable]');
}
