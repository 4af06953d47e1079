import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { MOST_DRAWER_ITEMS, withItems } from '../../engine/builds/drawer.ts';
import { mergedParts } from '../../engine/builds/measured-parts.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { saveSide } from '../build-files.ts';
import { BenchElement, LETTER } from '../components/bench-element.ts';
import { dialogStyles } from '../components/dialog-styles.ts';
import { sharedStyles } from '../components/shared-styles.ts';
import type { BenchState } from '../state/bench-state.ts';
import { joining } from '../state/chain-actions.ts';
import { type IncomingText, readIncoming } from './incoming-text.ts';
import { bagsView, chainView, incomingTitle, partsView, sidesView } from './incoming-views.ts';

/** Where a text comes from. */
export interface IncomingFrom {
  /** "a link", "the clipboard", or the name of a file in quotes. */
  readonly from: string;
  /** The side that was meant. */
  readonly slot?: Slot;
  /** What else is to be said, in a sentence. */
  readonly note?: string;
}

/** A build, chain, list of measured parts or drawer from outside: shown first, and put nowhere until somebody says where. */
@customElement('incoming-dialog')
export class IncomingDialog extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @state() private offered: IncomingText | undefined;
  @state() private where: IncomingFrom = { from: '' };
  @state() private problem = '';
  @query('dialog') private dialog!: HTMLDialogElement;
  #read: (() => Promise<string>) | undefined;
  /** Something was read and is not shown yet. */
  #isComing = false;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      dialog {
        width: min(36rem, 92vw);
        max-height: 88vh;
      }
      h3 {
        margin-top: var(--gap-3);
      }
      p,
      ul {
        margin: var(--gap-2) 0;
        text-wrap: pretty;
        overflow-wrap: anywhere;
      }
      li {
        margin-left: 1.2rem;
      }
      .sides {
        margin-top: var(--gap-3);
        padding-top: var(--gap-2);
        border-top: 1px solid var(--line);
      }
      .primary {
        font-weight: 600;
        border-color: var(--ink);
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        justify-content: flex-end;
        margin-top: var(--gap-4);
      }
    `,
  ];

  /** Shows what a text holds, or why it is refused. @param read Fails with a Refusal where the text cannot be had. */
  async offer(read: () => Promise<string>, where: IncomingFrom): Promise<void> {
    this.#clear();
    this.#read = read;
    try {
      const text = await read();
      // What came meanwhile is newer.
      if (this.#read !== read) return;
      this.offered = readIncoming(text);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      if (this.#read !== read) return;
      this.problem = error.message;
    }
    await this.#show(where);
  }

  /** Shows what was read already. */
  async offerRead(offered: IncomingText, where: IncomingFrom): Promise<void> {
    this.#clear();
    this.#read = undefined;
    this.offered = offered;
    await this.#show(where);
  }

  override render() {
    const { offered, problem, where } = this;
    return html`
      <dialog aria-labelledby="title" @close=${this.#onClose}>
        <h2 id="title">${offered ? incomingTitle(offered) : 'Nothing taken'} from <bdi>${where.from}</bdi></h2>
        ${problem === '' ? nothing : html`<p class="problem" role="alert">It is not taken: ${problem}</p>`}
        ${offered ? this.#renderOffered(offered) : nothing}
        ${where.note === undefined ? nothing : html`<p class="small problem">${where.note}</p>`}
        <div class="row">
          ${offered ? this.#renderTaking(offered) : nothing}
          <button autofocus @click=${() => this.dialog.close()}>${offered ? 'Leave it' : 'Close'}</button>
        </div>
      </dialog>
    `;
  }

  #renderOffered(offered: IncomingText) {
    switch (offered.kind) {
      case 'chain':
        return html`${chainView(offered.chain)}
          ${sidesView(this.state, offered.chain, (slot) => saveSide(this.state, slot, false))}`;
      case 'measured':
        return partsView(
          offered,
          mergedParts(this.state.measured, offered.parts),
          this.state.measured.length,
        );
      case 'drawer':
        return bagsView(offered, this.state.drawer.items.length, this.#drawerItems(offered.items).length);
    }
  }

  #renderTaking(offered: IncomingText) {
    if (offered.kind === 'chain') {
      const { slot: meant } = this.where;
      return SLOTS.map(
        (slot) =>
          html`<button class=${slot === meant ? 'primary' : ''} @click=${() => this.#put(slot, offered)}>Put on ${LETTER[slot]}</button>`,
      );
    }
    if (offered.kind === 'measured')
      return html`<button class="primary" @click=${() => this.#keep(offered)}>Add to the measured parts</button>`;
    const isRoom = this.#drawerItems(offered.items).length <= MOST_DRAWER_ITEMS;
    return html`<button class="primary" ?disabled=${!isRoom} @click=${() => this.#fill(offered)}>Add to the drawer</button>`;
  }

  #put(slot: Slot, { chain }: Extract<IncomingText, { readonly kind: 'chain' }>): void {
    const [first, ...others] = chain.pedals;
    this.dialog.close();
    if (others.length > 0) this.act({ type: 'loadChain', slot, chain });
    else this.act(joining(slot, this.state.places[slot], first!.build, 'instead'));
  }

  #keep({ parts }: Extract<IncomingText, { readonly kind: 'measured' }>): void {
    this.dialog.close();
    this.act({ type: 'keepMeasured', parts: mergedParts(this.state.measured, parts).parts });
  }

  #fill({ items }: Extract<IncomingText, { readonly kind: 'drawer' }>): void {
    this.dialog.close();
    this.act({ type: 'drawer', drawer: { ...this.state.drawer, items: this.#drawerItems(items) } });
  }

  #drawerItems(items: Extract<IncomingText, { readonly kind: 'drawer' }>['items']) {
    return withItems(this.state.drawer.items, items);
  }

  /** The side that was meant has the keyboard, so that Enter puts the build there. */
  async #show(where: IncomingFrom): Promise<void> {
    this.where = where;
    this.#isComing = true;
    await this.updateComplete;
    this.#isComing = false;
    // The page may have been closed meanwhile.
    if (!this.isConnected) return;
    if (!this.dialog.open) this.dialog.showModal();
    this.renderRoot.querySelector<HTMLElement>('.primary')?.focus();
  }

  /** The event comes after the dialog was closed: something else may be there already. */
  #onClose = (): void => {
    if (!this.#isComing && !this.dialog.open) this.#clear();
  };

  #clear(): void {
    this.offered = undefined;
    this.problem = '';
  }
}
