import { html } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import type { Build } from '../../engine/builds/build.ts';
import { buildNotes, buildTitle } from '../../engine/builds/build-title.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Action } from '../state/bench-state.ts';
import { PRESETS } from '../state/presets.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { buildBarStyles } from './build-bar-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { typed } from './typed.ts';

/** One build of the bench: its title, and a menu of where it can come from and go to. */
@customElement('build-bar')
export class BuildBar extends BenchElement {
  @property() slotName: Slot = 'a';
  @property({ attribute: false }) build!: Build;
  @query('details') private menu!: HTMLDetailsElement;
  @query('#file') private fileInput!: HTMLInputElement;

  static override styles = [sharedStyles, buildBarStyles];

  override connectedCallback(): void {
    super.connectedCallback();
    document.addEventListener('pointerdown', this.#onPointer);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    document.removeEventListener('pointerdown', this.#onPointer);
  }

  override render() {
    const slot = this.slotName;
    const letter = LETTER[slot];
    const notes = buildNotes(this.build);
    return html`
      <div class="bar" role="group" aria-label="Build ${letter}">
        <span class="letter ${slot}" aria-hidden="true">${letter}</span>
        <input class="title" type="text" dir="auto" aria-label="Title of build ${letter}" title=${notes} .value=${typed(buildTitle(this.build))}
          maxlength="100" @change=${(event: Event) => this.#rename(slot, controlValue(event).trim())} />
        <details @keydown=${this.#onKey} @focusout=${this.#onFocusOut}>
          <summary>Load or save<span class="visually-hidden"> build ${letter}</span></summary>
          ${this.#renderMenu(slot)}
        </details>
        <p class="soft small" title=${notes}>${notes}</p>
        <input id="file" type="file" hidden accept=".json,application/json" @change=${this.#open} />
      </div>
    `;
  }

  #renderMenu(slot: Slot) {
    const letter = LETTER[slot];
    const other: Slot = slot === 'a' ? 'b' : 'a';
    return html`
      <div class="menu" role="group" aria-label="Where build ${letter} comes from">
        ${[...CIRCUITS.values()].map(({ id, title }) => this.#renderPresets(slot, id, title))}
        <div class="files">
          <button @click=${() => this.#close({ type: 'copy', from: other, to: slot })}>Copy of ${LETTER[other]}</button>
          <button @click=${() => this.fileInput.click()}>Open a file…</button>
          <button @click=${() => this.#close({ type: 'save', slot })}>Save ${letter} as a file</button>
        </div>
      </div>
    `;
  }

  #renderPresets(slot: Slot, circuit: string, title: string) {
    return html`
      <h2>${title}</h2>
      <ul>
        ${PRESETS.filter(({ build }) => build.circuit.id === circuit).map(
          ({ name, build }) => html`<li>
            <button class="preset" data-preset=${name} @click=${() => this.#close({ type: 'load', slot, build })}>
              ${build.title}<span class="small soft" title=${build.notes}>${build.notes}</span>
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

  #onPointer = (event: PointerEvent): void => {
    if (!event.composedPath().includes(this.menu)) this.menu.open = false;
  };

  #open(): void {
    const file = this.fileInput.files?.[0];
    if (file) this.#close({ type: 'open', slot: this.slotName, file });
    this.fileInput.value = '';
  }
}
