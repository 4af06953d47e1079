import { css, html, nothing } from 'lit';
import { pinoutPicture } from '../../../engine/wiring/pinout-pictures.ts';
import type { Pinout } from '../../../engine/wiring/pinouts.ts';
import { boardText, type WireRow } from '../../../engine/wiring/wire-list.ts';
import type { Wiring } from '../../../engine/wiring/wiring.ts';
import { type DrawnPicture, svgDocument, wiringPicture } from '../../../engine/wiring/wiring-svg.ts';

/** Both drawings and the notes, for the page and for paper; with `wiringStyles`. */
export function wiringDrawings(wiring: Wiring, pinouts: readonly Pinout[]) {
  const wires = svgElement(wiringPicture(wiring), 'Wires off the board');
  const pins = svgElement(pinoutPicture(pinouts), 'Pins from above');
  return html`
    <h3>From the back</h3>
    <div class="drawing" tabindex="0" role="group" aria-label="Drawing of the wires">${wires}</div>
    <ul class="notes">${wiring.notes.map((note) => html`<li>${note}</li>`)}</ul>
    ${
      pinouts.length === 0
        ? nothing
        : html`<h3>Pins from above</h3>
          <div class="drawing" tabindex="0" role="group" aria-label="Drawing of the pins">${pins}</div>`
    }
  `;
}

/** It brings no styles: its lines have the colour of the text around it. */
function svgElement(picture: DrawnPicture, title: string): Element {
  const { documentElement } = new DOMParser().parseFromString(svgDocument(picture, title), 'image/svg+xml');
  return document.importNode(documentElement, true);
}

/** The wires in words, to be ticked off. */
export function wireTable(rows: readonly WireRow[]) {
  return html`<details>
    <summary>Wires, one by one</summary>
    <table>
      <thead><tr><th scope="col">From</th><th scope="col">To</th><th scope="col">Net</th><th scope="col">On the board at</th></tr></thead>
      <tbody>${rows.map(
        (row) => html`<tr class=${row.isOptional ? 'soft' : ''}>
          <td>${row.from}</td><td>${row.to}</td><td>${row.net}</td><td>${boardText(row)}</td></tr>`,
      )}</tbody>
    </table>
  </details>`;
}

/** On a narrow page the drawings keep a readable size and scroll; on paper they are as wide as it. */
export const wiringStyles = css`
  .head {
    display: flex;
    gap: var(--gap-3);
    align-items: baseline;
    justify-content: space-between;
  }
  h3 {
    margin: var(--gap-4) 0 var(--gap-1);
  }
  .drawing {
    overflow-x: auto;
    scrollbar-width: thin;
  }
  .drawing svg {
    display: block;
    min-width: 50rem;
    max-width: 100%;
    height: auto;
    color: var(--ink);
  }
  .notes {
    margin: var(--gap-2) 0;
    padding-left: 1.2rem;
    font-size: var(--size-small);
  }
  .notes li {
    margin: var(--gap-1) 0;
    text-wrap: pretty;
  }
  summary {
    cursor: pointer;
  }
  table {
    font-size: var(--size-small);
  }
  @media print {
    .drawing {
      overflow: visible;
      break-inside: avoid;
    }
    .drawing svg {
      min-width: 0;
      color: #000;
    }
  }
`;
