import { css, html, nothing, type PropertyValues } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { refText } from '../../engine/builds/alias.ts';
import { type BuildPart, buildParts } from '../../engine/builds/build.ts';
import { type Counterparts, counterpartTexts } from '../../engine/builds/circuit-swaps.ts';
import { settingText } from '../../engine/builds/part-setting.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from '../state/bench-state.ts';
import { indexIn, pedalName } from '../state/chains.ts';
import { partChange } from '../state/chosen-parts.ts';
import { offeredAt } from '../state/owned-parts.ts';
import { stepSetting } from '../state/part-steps.ts';
import { BenchElement, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** The parts of the circuit by stage, with their settings in A and B. Arrow keys choose a part and change it. */
@customElement('parts-by-stage')
export class PartsByStage extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The state with what is still being prepared: a held key goes on from there. */
  @property({ attribute: false }) wanted!: () => BenchState;

  static override styles = [
    sharedStyles,
    css`
      :host {
        margin-top: var(--gap-4);
      }
      p + section,
      section + section {
        margin-top: var(--gap-4);
      }
      table {
        width: 100%;
        border-collapse: collapse;
        table-layout: fixed;
      }
      caption {
        text-align: left;
        font-weight: 600;
        padding-bottom: var(--gap-1);
      }
      th,
      td {
        padding: 0.2rem var(--gap-2);
        text-align: left;
        border-top: 1px solid var(--line);
        font-weight: inherit;
        vertical-align: baseline;
        overflow: hidden;
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      th,
      td {
        line-height: 1.35rem;
      }
      caption {
        font-size: var(--size);
      }
      .ref {
        width: 4.2rem;
      }
      .value {
        width: 10rem;
      }
      .mark {
        width: 3.4rem;
        padding-right: 0;
        font-size: var(--size-small);
        color: var(--ink);
      }
      tbody th.ref {
        font-weight: 600;
      }
      /* The stage's title stands in the head, over parts and roles, and stays in sight with the letters. */
      thead th {
        position: sticky;
        top: calc(-1 * var(--gap-4));
        z-index: 1;
        padding-top: var(--gap-1);
        padding-bottom: var(--gap-1);
        background: var(--paper);
        border-top: 0;
        box-shadow: inset 0 -1px var(--line-strong);
      }
      thead th.ref {
        z-index: 2;
        overflow: visible;
        font-size: var(--size);
        font-weight: 600;
        color: var(--ink);
      }
      caption {
        display: none;
      }
      .role {
        color: var(--ink-soft);
        font-size: var(--size-small);
      }
      tr.part {
        cursor: pointer;
      }
      tr.part:hover {
        background: var(--hover);
      }
      tr.part[aria-selected='true'] {
        background: var(--chosen);
      }
      tr.part[aria-selected='true'] .role {
        white-space: normal;
        color: var(--ink);
      }
      tr.swapped td.value {
        font-weight: 600;
      }
      tr.swapped td.value.a {
        box-shadow: inset 3px 0 var(--a);
      }
      tr.swapped td.value.b {
        box-shadow: inset 3px 0 var(--b);
      }
      tr:focus-visible {
        outline-offset: -2px;
      }
      .unfitted {
        font-style: italic;
      }
      .print {
        float: right;
        min-height: 1.75rem;
        font-size: var(--size-small);
      }
      /* On paper nothing can be pointed at to read the rest. */
      @media print {
        .print {
          display: none;
        }
        :host {
          display: block;
          overflow: visible;
        }
        .role {
          white-space: normal;
        }
        tr.part[aria-selected='true'] {
          background: none;
        }
        tr.part[aria-selected='true'] th.ref {
          box-shadow: none;
        }
        thead th {
          position: static;
          background: none;
          border-bottom: 1px solid #000;
          box-shadow: none;
        }
        tr {
          break-inside: avoid;
        }
      }
      tr.part[aria-selected='true'] th.ref {
        box-shadow: inset 3px 0 var(--ink);
      }
      @media (max-width: 740px) {
        .role,
        .stage {
          display: none;
        }
        caption {
          display: table-caption;
        }
        thead th {
          position: static;
        }
        .mark {
          width: 2.8rem;
          padding-left: 0;
        }
        .ref {
          width: 3.4rem;
        }
        .value {
          width: auto;
        }
      }
    `,
  ];

  override render() {
    const { builds, heard } = this.state;
    const isOneCircuit = isSameCircuit(builds.a.circuit, builds.b.circuit);
    const counterparts = isOneCircuit
      ? undefined
      : counterpartTexts(builds[heard], builds[heard === 'a' ? 'b' : 'a']);
    const circuit = fittedCircuit(builds[heard]);
    const parts = buildParts(circuit);
    return html`
      <button class="print small" @click=${() => window.print()}>Print</button>
      <button class="print small" @click=${() => this.act({ type: 'measureParts', place: undefined })}>Measured parts…</button>
      ${
        isOneCircuit
          ? ''
          : html`<p class="soft small">A and B are builds of two circuits: these are the parts of ${this.#nameOf(heard)}, which is heard, and those of ${this.#nameOf(heard === 'a' ? 'b' : 'a')} with the same job.</p>`
      }
      ${circuit.stages.map(({ id, title }) =>
        this.#renderStage(
          title,
          parts.filter(({ stageId }) => stageId === id),
          counterparts,
        ),
      )}
    `;
  }

  #nameOf(slot: Slot): string {
    const { places } = this.state;
    return pedalName(places, slot, indexIn(places[slot]));
  }

  #renderStage(title: string, parts: readonly BuildPart[], counterparts: Counterparts | undefined) {
    // Some have a footswitch only, which is no part to choose.
    if (parts.length === 0) return nothing;
    return html`
      <section>
        <table role="grid" aria-label="Parts of ${title}">
          <caption>${title}</caption>
          <thead>
            <tr class="small soft">
              <th class="ref" scope="col"><span class="stage">${title}</span></th>
              <th class="role" scope="col"><span class="visually-hidden">what it does</span></th>
              <th class="mark" scope="col"><span class="visually-hidden">swapped</span></th>
              ${SLOTS.map((slot) => html`<th class="value" scope="col"><span class="letter ${slot}">${LETTER[slot]}</span></th>`)}
            </tr>
          </thead>
          <tbody>${parts.map((part) => this.#renderPart(part, counterparts))}</tbody>
        </table>
      </section>
    `;
  }

  /** @param counterparts Of two circuits: what the other build has for the same jobs. */
  #renderPart(part: BuildPart, counterparts: Counterparts | undefined) {
    const { selected, builds, heard } = this.state;
    const settings = SLOTS.map((slot) =>
      counterparts && slot !== heard ? undefined : (builds[slot].parts[part.ref] ?? {}),
    );
    const other = counterparts?.get(part.ref);
    const texts = settings.map((setting) => (setting ? settingText(setting) : (other?.text ?? '–')));
    const isSwapped = counterparts ? other?.isAlike === false : texts[0] !== texts[1];
    const isSelected = part.ref === selected;
    return html`
      <tr class="part ${isSwapped ? 'swapped' : ''}" data-ref=${part.ref} tabindex=${isSelected ? 0 : -1}
        aria-selected=${isSelected} @click=${() => this.act({ type: 'select', ref: part.ref })}
        @keydown=${(event: KeyboardEvent) => this.#onKey(event, part)}>
        <th class="ref figures" scope="row">${refText(builds[this.state.heard], part.ref)}</th>
        <td class="role" title=${part.role}>${part.role}</td>
        <td class="mark">${isSwapped ? 'swap' : ''}</td>
        ${SLOTS.map(
          (slot, index) =>
            html`<td class="value figures ${slot} ${settings[index]?.fit ? 'unfitted' : ''}" title=${texts[index] ?? ''}>${texts[index]}</td>`,
        )}
      </tr>
    `;
  }

  #onKey(event: KeyboardEvent, part: BuildPart): void {
    const step = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (step !== undefined) {
      event.preventDefault();
      this.#walk(part.ref, step);
      return;
    }
    const turn = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (turn === undefined) return;
    event.preventDefault();
    const wanted = this.wanted();
    const { heard, builds, series } = wanted;
    const setting = stepSetting(
      part,
      builds[heard].parts[part.ref] ?? {},
      series,
      turn,
      offeredAt(wanted, heard, part),
    );
    if (setting) this.act(partChange(wanted, heard, part.ref, setting));
  }

  #walk(ref: string, step: number): void {
    const rows = [...this.renderRoot.querySelectorAll<HTMLElement>('tr.part')];
    const next = rows[rows.findIndex((row) => row.dataset['ref'] === ref) + step];
    if (next?.dataset['ref']) this.act({ type: 'select', ref: next.dataset['ref'] });
    next?.focus();
  }

  protected override updated(changed: PropertyValues): void {
    // After an arrow key, the focus moves to the newly selected row.
    if (changed.has('state') && this.shadowRoot?.activeElement?.matches('tr.part')) {
      this.renderRoot.querySelector<HTMLElement>(`tr[data-ref="${this.state.selected}"]`)?.focus();
    }
  }
}
