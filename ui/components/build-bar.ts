import { css, html } from 'lit';
import { customElement, property } from 'lit/decorators.js';
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
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: var(--gap-2);
      }
      .title {
        flex: 1 1 9rem;
        min-width: 7rem;
        font-weight: 600;
        background: transparent;
        border-color: transparent;
      }
      .title:hover,
      .title:focus {
        border-color: var(--line-strong);
      }
      select {
        width: 9.5rem;
      }
      p {
        margin-top: var(--gap-1);
        padding-left: 2.2rem;
        min-height: 2.8em;
      }
      @media (max-width: 700px) {
        p {
          padding-left: 0;
          min-height: 0;
        }
        .title {
          flex-basis: calc(100% - 3rem);
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
        <input class="title" type="text" aria-label="Title of build ${letter}" .value=${this.build.title}
          @change=${(event: Event) => this.act({ type: 'rename', slot, title: controlValue(event) })} />
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
