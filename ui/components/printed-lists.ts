import { html, nothing } from 'lit';
import type { Build } from '../../engine/builds/build.ts';
import { buildTitle } from '../../engine/builds/build-title.ts';
import type { ChainPedal } from '../../engine/builds/chain.ts';
import { type PartsListRow, partsList } from '../../engine/builds/parts-list.ts';
import { clockText } from '../../engine/builds/swaps.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { allPedals, isAlone, type Sides } from '../state/chains.ts';
import { LETTER } from './bench-element.ts';

/** What stands on paper above the table of parts: title, knobs and switches, and what to order, of each pedal. */
export function printedLists(sides: Sides) {
  return html`<div class="printed">${allPedals(sides).map(({ slot, index, pedal }) =>
    printedPedal(slot, pedal, isAlone(sides.places[slot]) ? '' : `Pedal ${index + 1}: `),
  )}</div>`;
}

function printedPedal(slot: Slot, { build, isOn }: ChainPedal, name: string) {
  const rows = partsList(build);
  const kinds = [...new Set(rows.map(({ kind }) => kind))];
  return html`<section>
    <h2><span class="letter ${slot}">${LETTER[slot]}</span> ${name}<bdi>${buildTitle(build)}</bdi>${isOn ? '' : ' (off)'}</h2>
    <p>${controlsText(build)}</p>
    <table class="order">
      ${kinds.map((kind) =>
        printedKind(
          kind,
          rows.filter((row) => row.kind === kind),
        ),
      )}
    </table>
  </section>`;
}

function printedKind(kind: string, rows: readonly PartsListRow[]) {
  return html`<tbody>${rows.map(
    ({ value, quantity, refs, pins }, index) => html`<tr>
      ${index === 0 ? html`<th scope="rowgroup" rowspan=${rows.length}>${kind}</th>` : nothing}
      <td class="figures count">${quantity} ×</td><td class="figures what">${value}</td><td class="places">${refs.join(', ')}</td><td>${pins}</td>
    </tr>`,
  )}</tbody>`;
}

/** Positions as they are on the bench: "gain 1:00, tone 12:00, clipping symmetric, true bypass". */
function controlsText({ circuit, knobs, switches, bypass }: Build): string {
  return [
    ...circuit.knobs
      .filter(({ gang }) => !gang || switches[gang.switch] !== gang.position)
      .map(({ name }) => `${name} ${clockText(knobs[name] ?? 0)}`),
    ...circuit.switches.map(({ name }) => `${name} ${switches[name] ?? ''}`),
    `${bypass} bypass`,
  ].join(', ');
}
