import { css, html } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { Build } from '../../engine/builds/build.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { PRESETS } from '../state/presets.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** One build of the bench: its title, where it comes from, and where it can go. */
@customElement('build-bar')
export class BuildBar extends BenchElement {
  @property() slotName: Slot = 'a';
  @property({ attribute: false }) build!: Build;

  static override styles = [
    sharedStyles,
    css`
      .bar {
        display: grid;
        grid-template-columns: auto minmax(0, 1fr);
        gap: var(--gap-1) var(--gap-2);
        align-items: center;
      }
      .title {
        width: 100%;
        font-size: var(--size-large);
        font-weight: 600;
        background: transparent;
        border-color: transparent;
        padding: 0 var(--gap-1);
      }
      .title:hover,
      .title:focus {
        border-color: var(--line-strong);
      }
      .tools {
        grid-column: 2;
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-1);
      }
      .tools > * {
        min-height: 1.75rem;
        font-size: var(--size-small);
      }
      select {
        width: 8.5rem;
      }
      p {
        grid-column: 2;
        padding-left: var(--gap-1);
      }
      @media (max-width: 700px) {
        .tools,
        p {
          grid-column: 1 / -1;
        }
      }
    `,
  ];

  override render() {
    const slot = this.slotName;
    const letter = LETTER[slot];
    const other: Slot = slot === 'a' ? 'b' : 'a';
    return html`
      <div class="bar" role="group" aria-label="Build ${letter}">
        <span class="letter ${slot}" aria-hidden="true">${letter}</span>
        <input class="title" type="text" aria-label="Title of build ${letter}" .value=${live(this.build.title)}
          @change=${(event: Event) => this.act({ type: 'rename', slot, title: controlValue(event) })} />
        <div class="tools">
        <select aria-label="Start build ${letter} from" @change=${this.#load}>
          <option value="">Start from…</option>
          ${[...CIRCUITS.values()].map(
            ({ id, title }) => html`<optgroup label=${title}>
              ${PRESETS.filter(({ build }) => build.circuit === id).map(
                ({ name, build }) => html`<option value=${name}>${build.title}</option>`,
              )}
            </optgroup>`,
          )}
        </select>
        <button @click=${() => this.act({ type: 'copy', from: other, to: slot })}
          title="Make ${letter} the same as ${LETTER[other]}">Copy ${LETTER[other]} here</button>
        <button @click=${() => this.renderRoot.querySelector<HTMLInputElement>('#file')?.click()}>Open</button>
        <input id="file" type="file" hidden accept=".json,application/json" @change=${this.#open} />
        <button @click=${() => this.act({ type: 'save', slot })}>Save</button>
        </div>
        <p class="soft small">${this.build.notes}</p>
      </div>
    `;
  }

  #load(event: Event): void {
    const name = controlValue(event);
    const preset = PRESETS.find((candidate) => candidate.name === name);
    if (preset) this.act({ type: 'load', slot: this.slotName, build: preset.build });
    (event.target as HTMLSelectElement).value = '';
  }

  #open(event: Event): void {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    if (file) this.act({ type: 'open', slot: this.slotName, file });
    input.value = '';
  }
}
