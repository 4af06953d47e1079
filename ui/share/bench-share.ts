import { Refusal } from '../../engine/input/refusal.ts';
import { quoted } from '../../engine/input/shown-text.ts';
import { fileText } from '../build-files.ts';
import { sortDropped } from '../dropped-files.ts';
import type { BenchStore } from '../state/bench-store.ts';
import type { IncomingDialog } from './incoming-dialog.ts';
import { readIncoming } from './incoming-text.ts';
import { isShareLink, readShareLink } from './share-link.ts';

export interface ShareTargets {
  readonly store: BenchStore;
  readonly incoming: () => IncomingDialog | null;
  /** Whether nothing may change, as in a blind test or while names are hidden. */
  readonly isClosed: () => boolean;
}

const NOT_PASTED =
  'What you pasted is no link to a build, no build, no measured parts and no drawer. To paste into a field, click the field first.';

/** Builds that come in the page's address; and what is pasted: builds, measured parts, bags for the drawer. */
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
    this.#offer(() => readShareLink(href), 'a link');
  }

  #onPaste = (event: ClipboardEvent): void => {
    if (this.#targets.isClosed() || isTyping(event)) return;
    const text = event.clipboardData?.getData('text/plain') ?? '';
    if (isShareLink(text)) this.#offer(() => readShareLink(text), 'a link');
    else if (/^\s*[{[]/.test(text) || isTable(text)) this.#offer(async () => text, 'the clipboard');
    else if (text.trim() !== '') this.#refuse();
    else void this.#pasteFiles([...(event.clipboardData?.files ?? [])]);
  };

  async #pasteFiles(files: readonly File[]): Promise<void> {
    const { text } = await sortDropped(files);
    if (text) this.#offer(() => fileText(text), quoted(text.name));
    else if (files.length > 0) this.#refuse();
  }

  #refuse(): void {
    this.#targets.store.act({ type: 'refuse', ref: '', slot: undefined, message: NOT_PASTED });
  }

  #offer(read: () => Promise<string>, from: string): void {
    void this.#targets.incoming()?.offer(read, { from });
  }
}

/** One line may be a value that was meant for a field. */
function isTable(text: string): boolean {
  try {
    return /\S.*[\r\n]+.*\S/.test(text) && readIncoming(text).kind === 'drawer';
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
}

/** In a field a paste belongs to the field. */
function isTyping(event: ClipboardEvent): boolean {
  const [target] = event.composedPath();
  return target instanceof HTMLElement && target.matches('input, textarea, select, [contenteditable]');
}
