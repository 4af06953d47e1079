import { html, nothing } from 'lit';
import type { Build } from '../../engine/builds/build.ts';
import { buildTitle } from '../../engine/builds/build-title.ts';
import { type PartsListRow, partsList } from '../../engine/builds/parts-list.ts';
import { clockText } from '../../engine/builds/swaps.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Builds } from '../state/bench-state.ts';
import { LETTER } from './bench-element.ts';

/** What stands on paper above the table of parts: title, knobs and switches, and what to order, of each build. */
export function printedLists(builds: Builds, slots: readonly Slot[]) {
  return html`<div class="printed">${slots.map((slot) => printedBuild(slot, builds[slot]))}</div>`;
}

function printedBuild(slot: Slot, build: Build) {
  const rows = partsList(build);
  const kinds = [...new Set(rows.map(({ kind }) => kind))];
  return html`<section>
    <h2><span class="letter ${slot}">${LETTER[slot]}</span> <bdi>${buildTitle(build)}</bdi></h2>
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
