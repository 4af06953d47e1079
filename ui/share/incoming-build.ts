import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { type Build, buildParts, startingBuild } from '../../engine/builds/build.ts';
import { buildNotes, buildTitle } from '../../engine/builds/build-title.ts';
import type { Chain } from '../../engine/builds/chain.ts';
import { parseChainFile, type TitledChain } from '../../engine/builds/chain-file.ts';
import { swapsBetween, swapText } from '../../engine/builds/swaps.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { BenchElement, LETTER } from '../components/bench-element.ts';
import { dialogStyles } from '../components/dialog-styles.ts';
import { sharedStyles } from '../components/shared-styles.ts';
import type { BenchState } from '../state/bench-state.ts';
import { joining } from '../state/chain-actions.ts';
import { withStarts } from '../state/chain-presets.ts';
import { sideTitle } from '../state/chains.ts';

/** Swaps that are told; the rest is counted. */
const TOLD_SWAPS = 8;

/** A build or chain from a link or the clipboard: shown first, and put nowhere until somebody says where. */
@customElement('incoming-build')
export class IncomingBuild extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @state() private offered: TitledChain | undefined;
  @state() private problem = '';
  @query('dialog') private dialog!: HTMLDialogElement;
  #read: (() => Promise<string>) | undefined;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      dialog {
        width: min(36rem, 92vw);
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
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        justify-content: flex-end;
        margin-top: var(--gap-4);
      }
    `,
  ];

  /** Shows what a file text holds, or why it is refused. @param read Fails with a Refusal where the text cannot be had. */
  async offer(read: () => Promise<string>): Promise<void> {
    this.#clear();
    this.#read = read;
    try {
      const text = await read();
      // What came meanwhile is newer.
      if (this.#read !== read) return;
      this.offered = withStarts(parseChainFile(text));
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.problem = error.message;
    }
    if (!this.dialog.open) this.dialog.showModal();
  }

  override render() {
    const { offered } = this;
    return html`
      <dialog aria-labelledby="title" @close=${() => this.#clear()}>
        <h2 id="title">A build from a link or the clipboard</h2>
        ${this.problem === '' ? nothing : html`<p class="problem" role="alert">It is not taken: ${this.problem}</p>`}
        ${offered ? this.#renderChain(offered.chain) : nothing}
        <div class="row">
          ${offered ? SLOTS.map((slot) => html`<button @click=${() => this.#take(slot, offered.chain)}>Put on ${LETTER[slot]}</button>`) : nothing}
          <button autofocus @click=${() => this.dialog.close()}>${offered ? 'Leave it' : 'Close'}</button>
        </div>
      </dialog>
    `;
  }

  #renderChain({ pedals }: Chain) {
    return html`
      ${pedals.map(({ build }, index) => pedalText(build, pedals.length > 1 ? `Pedal ${index + 1}: ` : ''))}
      <p class="small soft">A now has “<bdi>${sideTitle(this.state, 'a')}</bdi>”, B “<bdi>${sideTitle(this.state, 'b')}</bdi>”. What is
        replaced comes back with Undo. Only somebody whom you trust knows whether its notes are true.</p>
    `;
  }

  #take(slot: Slot, chain: Chain): void {
    const [first, ...others] = chain.pedals;
    this.dialog.close();
    if (others.length > 0) this.act({ type: 'loadChain', slot, chain });
    else this.act(joining(slot, this.state.places[slot], first!.build, 'instead'));
  }

  #clear(): void {
    this.offered = undefined;
    this.problem = '';
  }
}

function pedalText(build: Build, before: string) {
  const { circuit } = build;
  const start = startingBuild(circuit);
  const swaps = swapsBetween(start, build);
  const isOwn = !CIRCUITS.has(circuit.id);
  const notes = buildNotes(build);
  return html`
    <h3>${before}<bdi>${buildTitle(build)}</bdi></h3>
    <p class="small soft">${isOwn ? 'A circuit of its own: ' : 'Circuit: '}<bdi>${circuit.title}</bdi>, ${buildParts(circuit).length} parts.</p>
    ${notes === '' ? nothing : html`<p class="small"><bdi>${notes}</bdi></p>`}
    ${
      swaps.length === 0
        ? html`<p class="small">All parts as in the circuit.</p>`
        : html`<ul class="small">${swaps.slice(0, TOLD_SWAPS).map((swap) => html`<li>${swapText(build, swap)}</li>`)}
            ${swaps.length > TOLD_SWAPS ? html`<li>and ${swaps.length - TOLD_SWAPS} more</li>` : nothing}</ul>`
    }
  `;
}
