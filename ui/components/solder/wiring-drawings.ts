import { css, html } from 'lit';
import { pinoutPicture } from '../../../engine/wiring/pinout-pictures.ts';
import type { Pinout } from '../../../engine/wiring/pinouts.ts';
import { boardText, type WireRow } from '../../../engine/wiring/wire-list.ts';
import type { Wiring } from '../../../engine/wiring/wiring.ts';
import { type DrawnPicture, svgDocument, wiringPicture } from '../../../engine/wiring/wiring-svg.ts';

/** The wires from the back, and the notes; with `wiringStyles`. */
export function wireDrawing(wiring: Wiring) {
  const wires = svgElement(wiringPicture(wiring), 'Wires off the board');
  return html`
    <div class="drawing" tabindex="0" role="group" aria-label="Drawing of the wires">${wires}</div>
    <ul class="notes">${wiring.notes.map((note) => html`<li>${note}</li>`)}</ul>
  `;
}

/** The pins of the active parts. */
export function pinDrawing(pinouts: readonly Pinout[]) {
  if (pinouts.length === 0) return html`<p class="soft">No part of this build has pins to be told apart.</p>`;
  const pins = svgElement(pinoutPicture(pinouts), 'Pins from above');
  return html`<div class="drawing" tabindex="0" role="group" aria-label="Drawing of the pins">${pins}</div>`;
}

/** It brings no styles: its lines have the colour of the text around it. */
function svgElement(picture: DrawnPicture, title: string): Element {
  const { documentElement } = new DOMParser().parseFromString(svgDocument(picture, title), 'image/svg+xml');
  return document.importNode(documentElement, true);
}

/** The wires in words, to be ticked off. */
export function wireTable(rows: readonly WireRow[]) {
  return html`<table>
      <thead><tr><th scope="col">From</th><th scope="col">To</th><th scope="col">Net</th><th scope="col">On the board at</th></tr></thead>
      <tbody>${rows.map(
        (row) => html`<tr class=${row.isOptional ? 'soft' : ''}>
          <td data-label="from">${row.from}</td><td data-label="to">${row.to}</td><td data-label="net">${row.net}</td><td data-label="on the board at">${boardText(row)}</td></tr>`,
      )}</tbody>
    </table>`;
}

/** On a narrow page the drawings keep a readable size and scroll; on paper they are as wide as it. */
export const wiringStyles = css`
  .head {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2) var(--gap-6);
    align-items: center;
    margin-bottom: var(--gap-2);
  }
  .head button {
    margin-left: auto;
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
