import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { buildTitle } from '../../engine/builds/build-title.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { Builds } from '../state/bench-state.ts';
import { LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** The side of the window that a place in it belongs to: A is left, B is right. */
export function slotAt(clientX: number): Slot {
  return clientX < window.innerWidth / 2 ? 'a' : 'b';
}

/**
 * Covers the window while a file is dragged over it, and shows where A and B are. It is only a picture: the
 * window's listener reads the files.
 */
@customElement('drop-zones')
export class DropZones extends LitElement {
  @property({ attribute: false }) builds!: Builds;
  /** The side that the file is over; undefined while none is dragged. */
  @property({ reflect: true }) over: Slot | undefined;

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: none;
        position: fixed;
        inset: 0;
        width: auto;
        height: auto;
        margin: 0;
        padding: var(--gap-6);
        border: 0;
        grid-template: minmax(0, 1fr) auto / 1fr 1fr;
        gap: var(--gap-4);
        background: color-mix(in srgb, var(--paper) 80%, transparent);
        pointer-events: none;
        z-index: 10;
      }
      :host([over]) {
        display: grid;
      }
      .zone {
        --accent: var(--a);
        display: grid;
        gap: var(--gap-2);
        place-content: center;
        justify-items: center;
        min-width: 0;
        padding: var(--gap-4);
        text-align: center;
        background: var(--sheet);
        border: 3px dashed var(--accent);
        border-radius: var(--radius);
      }
      .zone.b {
        --accent: var(--b);
      }
      .zone.over {
        background: var(--chosen);
        border-style: solid;
      }
      .zone .letter {
        font-size: 2rem;
      }
      .zone p {
        max-width: 100%;
        overflow-wrap: anywhere;
      }
      h2 {
        font-size: var(--size-large);
        letter-spacing: 0;
        color: var(--ink);
      }
      .input {
        grid-column: 1 / -1;
        padding: var(--gap-2) var(--gap-4);
        text-align: center;
        background: var(--sheet);
        border: 1px solid var(--line-strong);
        border-radius: var(--radius);
      }
    `,
  ];

  override connectedCallback(): void {
    super.connectedCallback();
    // Only a picture for dragging; files can also be opened from the menus.
    this.ariaHidden = 'true';
    // Above an open dialog too, where the browser has popovers.
    this.popover = 'manual';
  }

  protected override updated(changed: PropertyValues): void {
    if (changed.has('over')) this.togglePopover?.(this.over !== undefined);
  }

  override render() {
    if (this.over === undefined) return nothing;
    return html`
      ${SLOTS.map((slot) => this.#renderZone(slot))}
      <p class="input">Measured parts and a drawer are shown first too. A recording becomes the input.</p>
    `;
  }

  #renderZone(slot: Slot) {
    return html`<div class="zone ${slot} ${slot === this.over ? 'over' : ''}">
      <span class="letter ${slot}">${LETTER[slot]}</span>
      <h2>Drop a build or chain here</h2>
      <p class="small soft">It is shown first. ${LETTER[slot]} now: “<bdi>${buildTitle(this.builds[slot])}</bdi>”.</p>
    </div>`;
  }
}
