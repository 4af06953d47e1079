import { html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { Build } from '../../engine/builds/build.ts';
import { buildNotes, buildTitle } from '../../engine/builds/build-title.ts';
import { type ChainPlace, LONE, MOST_PEDALS } from '../../engine/builds/chain.ts';
import { chainTitle } from '../../engine/builds/chain-swaps.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Action } from '../state/bench-state.ts';
import { type Joining, joining } from '../state/chain-actions.ts';
import { CHAIN_PRESETS } from '../state/chain-presets.ts';
import { countIn, indexIn, isAlone } from '../state/chains.ts';
import { PRESETS } from '../state/presets.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { buildBarStyles } from './build-bar-styles.ts';
import { segmentStyles } from './segment-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { typed } from './typed.ts';

const JOININGS: readonly (readonly [Joining, string])[] = [
  ['instead', 'Replace pedal'],
  ['before', 'Add before'],
  ['after', 'Add after'],
];

/** One build of the bench: its title, and a menu of where it can come from and go to. */
@customElement('build-bar')
export class BuildBar extends BenchElement {
  @property() slotName: Slot = 'a';
  @property({ attribute: false }) build!: Build;
  /** Where it stands in the chain of its side. */
  @property({ attribute: false }) place: ChainPlace = LONE;
  /** What a build from the menu becomes; a chain is not to grow unasked, so that it replaces one when the menu opens. */
  @state() private joins: Joining = 'instead';
  @query('details') private menu!: HTMLDetailsElement;
  @query('#file') private fileInput!: HTMLInputElement;

  static override styles = [sharedStyles, segmentStyles, buildBarStyles];

  override connectedCallback(): void {
    super.connectedCallback();
    document.addEventListener('pointerdown', this.#onPointer);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    document.removeEventListener('pointerdown', this.#onPointer);
  }

  override focus(): void {
    this.menu.querySelector('summary')?.focus();
  }

  override render() {
    const slot = this.slotName;
    const letter = LETTER[slot];
    const notes = buildNotes(this.build);
    return html`
      <div class="bar" role="group" aria-label="Build ${letter}">
        <span class="letter ${slot}" aria-hidden="true">${letter}</span>
        ${isAlone(this.place) ? nothing : html`<span class="of small soft">pedal ${indexIn(this.place) + 1}</span>`}
        <input class="title" type="text" dir="auto" aria-label="Title of ${this.#name}" title=${notes} .value=${typed(buildTitle(this.build))}
          maxlength="100" @change=${(event: Event) => this.#rename(slot, controlValue(event).trim())} />
        <details @keydown=${this.#onKey} @focusout=${this.#onFocusOut} @toggle=${this.#onToggle}>
          <summary>Load or save<span class="visually-hidden"> build ${letter}</span></summary>
          ${this.#renderMenu(slot)}
        </details>
        <p class="soft small" title=${notes}>${notes}</p>
        <input id="file" type="file" hidden accept=".json,application/json,.csv,text/csv,.txt,text/plain" @change=${this.#open} />
      </div>
    `;
  }

  #renderMenu(slot: Slot) {
    const letter = LETTER[slot];
    const other: Slot = slot === 'a' ? 'b' : 'a';
    return html`
      <div class="menu" role="group" aria-label="Where build ${letter} comes from">
        ${this.#renderJoining()}
        ${[...CIRCUITS.values()].map(({ id, title }) => this.#renderPresets(slot, id, title))}
        ${this.#renderChains(slot)}
        <div class="files">
          <button @click=${() => this.#close({ type: 'copy', from: other, to: slot })}>Copy of ${LETTER[other]}</button>
          <button @click=${() => this.fileInput.click()}>Open a file…</button>
          <button @click=${() => this.#close({ type: 'save', slot })}>Save ${letter} as a file</button>
          <button @click=${() => this.#close({ type: 'share', slot })}>Link to ${letter}…</button>
          ${
            isAlone(this.place)
              ? nothing
              : html`<button @click=${() => this.#close({ type: 'save', slot, isPedal: true })}>Save pedal ${indexIn(this.place) + 1} as a file</button>`
          }
        </div>
      </div>
    `;
  }

  /** A side takes a few pedals; then a build can only replace one. */
  #renderJoining() {
    if (countIn(this.place) >= MOST_PEDALS) return nothing;
    const choice = (joins: Joining, text: string) => html`<label>
      <input type="radio" name="joins" .checked=${live(this.joins === joins)} @change=${() => this.#join(joins)} />${text}
    </label>`;
    return html`<div class="joining small" role="radiogroup" aria-label="What a build from this menu becomes">
      <span class="segments">${JOININGS.map(([joins, text]) => choice(joins, text))}</span>
    </div>`;
  }

  #join(joins: Joining): void {
    this.joins = joins;
  }

  #take(slot: Slot, build: Build): void {
    this.#close(joining(slot, this.place, build, this.joins));
  }

  get #name(): string {
    const letter = LETTER[this.slotName];
    return isAlone(this.place) ? `build ${letter}` : `pedal ${indexIn(this.place) + 1} of ${letter}`;
  }

  #renderPresets(slot: Slot, circuit: string, title: string) {
    const presets = PRESETS.filter(({ build }) => build.circuit.id === circuit);
    if (presets.length === 0) return nothing;
    return html`
      <h2>${title}</h2>
      <ul>
        ${presets.map(
          ({ name, build }) => html`<li>
            <button class="preset" data-preset=${name} @click=${() => this.#take(slot, build)}>
              ${build.title}<span class="small soft" title=${build.notes}>${build.notes}</span>
            </button>
          </li>`,
        )}
      </ul>
    `;
  }

  /** They replace every pedal of the side. */
  #renderChains(slot: Slot) {
    return html`
      <h2>Chains</h2>
      <ul>
        ${CHAIN_PRESETS.map(
          ({ name, title, chain }) => html`<li>
            <button class="preset" data-preset=${name} @click=${() => this.#close({ type: 'loadChain', slot, chain })}>
              ${title}<span class="small soft">${chainTitle(chain)}</span>
            </button>
          </li>`,
        )}
      </ul>
    `;
  }

  /** An empty title brings back the automatic title; typing the automatic title does not name the build. */
  #rename(slot: Slot, title: string): void {
    if (title !== buildTitle(this.build)) this.act({ type: 'rename', slot, title });
    this.requestUpdate();
  }

  /** Carries out the choice, and moves the focus back to the menu's button. */
  #close(action: Action): void {
    this.menu.open = false;
    this.menu.querySelector('summary')?.focus();
    this.act(action);
  }

  #onKey = (event: KeyboardEvent): void => {
    if (event.key !== 'Escape' || !this.menu.open) return;
    event.stopPropagation();
    this.menu.open = false;
    this.menu.querySelector('summary')?.focus();
  };

  /** The menu closes when the focus has gone on to something else, but not when the window has lost it. */
  #onFocusOut = ({ relatedTarget }: FocusEvent): void => {
    if (relatedTarget instanceof Node && !this.menu.contains(relatedTarget)) this.menu.open = false;
  };

  #onToggle = (): void => {
    if (!this.menu.open) this.joins = 'instead';
  };

  #onPointer = (event: PointerEvent): void => {
    if (!event.composedPath().includes(this.menu)) this.menu.open = false;
  };

  #open(): void {
    const file = this.fileInput.files?.[0];
    if (file) this.#close({ type: 'open', slot: this.slotName, file, joins: this.joins });
    this.fileInput.value = '';
  }
}
