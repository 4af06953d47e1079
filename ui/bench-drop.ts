import { quoted } from '../engine/input/shown-text.ts';
import type { Slot } from '../worklets/bench-messages.ts';
import type { Source } from './audio/prepared-source.ts';
import { fileText, notOpened } from './build-files.ts';
import { type DropZones, slotAt } from './components/drop-zones.ts';
import { leftText, sortDropped } from './dropped-files.ts';
import type { IncomingDialog } from './share/incoming-dialog.ts';
import { readIncoming } from './share/incoming-text.ts';
import type { BenchStore } from './state/bench-store.ts';

export interface DropTargets {
  readonly store: BenchStore;
  readonly zones: () => DropZones | null;
  readonly incoming: () => IncomingDialog | null;
  readonly useSource: (source: Source) => void;
  /** Whether nothing may change, as in a blind test or while names are hidden: files are not accepted then. */
  readonly isClosed: () => boolean;
}

/** Files that are dragged over the window: a build is offered to the side it is dropped on, a recording goes to the input. */
export class BenchDrop {
  readonly #targets: DropTargets;

  constructor(targets: DropTargets) {
    this.#targets = targets;
  }

  connect(): void {
    window.addEventListener('dragenter', this.#onDrag);
    window.addEventListener('dragover', this.#onDrag);
    window.addEventListener('dragleave', this.#onLeave);
    window.addEventListener('drop', this.#onDrop);
    window.addEventListener('pointermove', this.#onMove);
  }

  disconnect(): void {
    window.removeEventListener('dragenter', this.#onDrag);
    window.removeEventListener('dragover', this.#onDrag);
    window.removeEventListener('dragleave', this.#onLeave);
    window.removeEventListener('drop', this.#onDrop);
    window.removeEventListener('pointermove', this.#onMove);
  }

  #onDrag = (event: DragEvent): void => {
    if (!hasFiles(event)) return;
    // Otherwise the browser would open the file instead of the bench.
    event.preventDefault();
    const isTaken = !this.#targets.isClosed();
    if (event.dataTransfer) event.dataTransfer.dropEffect = isTaken ? 'copy' : 'none';
    this.#show(isTaken ? slotAt(event.clientX) : undefined);
  };

  /** Within the window the drag leaves one element for another; out of it, for none. */
  #onLeave = ({ relatedTarget }: DragEvent): void => {
    if (relatedTarget === null) this.#show(undefined);
  };

  /** The mouse only moves without a drag, so a drag that ended without an event is over. */
  #onMove = (): void => this.#show(undefined);

  #onDrop = (event: DragEvent): void => {
    if (!hasFiles(event)) return;
    event.preventDefault();
    this.#show(undefined);
    if (!this.#targets.isClosed()) {
      void this.#take([...(event.dataTransfer?.files ?? [])], slotAt(event.clientX));
    }
  };

  #show(over: Slot | undefined): void {
    const zones = this.#targets.zones();
    if (zones) zones.over = over;
  }

  async #take(files: readonly File[], slot: Slot): Promise<void> {
    const { useSource } = this.#targets;
    const { text, recording, left } = await sortDropped(files);
    const note = leftText(left);
    const isShown = text && (await this.#offer(text, slot, note));
    if (!isShown && note !== undefined) this.#tell(slot, note);
    if (recording) useSource({ kind: 'file', file: recording });
  }

  #tell(slot: Slot, message: string): void {
    this.#targets.store.act({ type: 'refuse', ref: '', slot, message });
  }

  /** Shows what a file holds, or says why it cannot be used. @param note On the other files. @returns Whether both were told. */
  async #offer(file: File, slot: Slot, note: string | undefined): Promise<boolean> {
    try {
      const offered = readIncoming(await fileText(file));
      // A blind test may have begun meanwhile.
      if (this.#targets.isClosed()) return false;
      await this.#targets
        .incoming()
        ?.offerRead(offered, { from: quoted(file.name), slot, ...(note !== undefined && { note }) });
    } catch (error) {
      this.#tell(slot, [notOpened(file, error), ...(note === undefined ? [] : [note])].join(' '));
    }
    return true;
  }
}

/** Dragged text and pictures of the page itself are left to the browser. */
function hasFiles({ dataTransfer }: DragEvent): boolean {
  return dataTransfer?.types.includes('Files') ?? false;
}
