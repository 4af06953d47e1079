import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { caseText, type Footprint } from '../../engine/parts/footprint.ts';
import { actionText, footprintChange, footprintOf } from '../../engine/parts/footprint-change.ts';
import { typeName } from '../../engine/parts/piece.ts';
import { BenchElement } from './bench-element.ts';
import { footprintDrawing } from './footprint-drawing.ts';
import { sharedStyles } from './shared-styles.ts';

/** Case and legs of a type, beside those of the starting part if that is another one. */
@customElement('part-pins')
export class PartPins extends BenchElement {
  @property() type = '';
  /** Type of the starting part. */
  @property() start = '';

  static override styles = [
    sharedStyles,
    css`
      :host {
        font-size: var(--size-small);
      }
      .drawings {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-1) var(--gap-2);
        align-items: end;
      }
      figure {
        margin: 0;
      }
      figcaption {
        color: var(--ink-soft);
      }
      .footprint {
        display: block;
        max-width: 100%;
      }
      .footprint line,
      .footprint .body {
        fill: none;
        stroke: var(--ink);
        stroke-width: 1.5;
      }
      .footprint .mark,
      .footprint text {
        fill: var(--ink);
      }
      .footprint .leg {
        font: 600 11px var(--figures);
      }
      .footprint .pin {
        font: 8.5px var(--figures);
      }
    `,
  ];

  override render() {
    const now = footprintOf(this.type);
    if (!now) return html`<p class="soft">Pins not known: look at its datasheet.</p>`;
    const isSwapped = this.type !== this.start;
    const before = isSwapped ? footprintOf(this.start) : undefined;
    return html`
      <div class="drawings">
        ${before ? drawn(before, typeName(this.start), 'was') : nothing}
        ${drawn(now, typeName(this.type), before ? 'now' : '')}
      </div>
      ${isSwapped && now.legs ? this.#renderChange() : nothing}
      <p class="soft">${caseText(now)}.${now.legs ? ` Source: ${now.source}.` : ''}</p>
      ${now.notes.map((note) => html`<p>${note}</p>`)}
    `;
  }

  #renderChange() {
    const change = footprintChange(this.start, this.type);
    return html`<p class=${change.fits ? '' : 'problem'}>${actionText(change)}</p>`;
  }
}

function drawn(footprint: Footprint, type: string, when: string) {
  return html`<figure>${footprintDrawing(footprint, type)}${when === '' ? nothing : html`<figcaption>${when} ${type}</figcaption>`}</figure>`;
}
