import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { CLIPPING_LEVEL_NOTE } from '../../../engine/analysis/clipping-level.ts';
import { isReachable } from '../../../engine/analysis/meter-readings.ts';
import { type CauseShare, sharesToShow } from '../../../engine/analysis/spread-causes.ts';
import type { SpreadReport } from '../../../engine/analysis/spread-report.ts';
import type { Band } from '../../../engine/analysis/spread-summary.ts';
import {
  clippingKindsText,
  extremesText,
  failedText,
  hasExtremes,
  measureText,
  notVariedText,
  SPREAD_NOTE,
  shareDone,
  swapTexts,
  TONE_NOTE,
  timeText,
} from '../../../engine/analysis/spread-text.ts';
import type { Build } from '../../../engine/builds/build.ts';
import { partsSetText } from '../../../engine/builds/parts-set.ts';
import { TEMPERATURE_RANGE_C } from '../../../engine/network/temperature.ts';
import { quantityText } from '../../../engine/units/quantity-text.ts';
import { SLOTS, type Slot } from '../../../worklets/bench-messages.ts';
import type { SpreadDesk } from '../../plots/spread-desk.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { chainOf, indexIn, pedalsOf } from '../../state/chains.ts';
import { BenchElement, controlValue, LETTER } from '../bench-element.ts';
import { dialogStyles } from '../dialog-styles.ts';
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';

const RESISTORS = [1, 2, 5, 10] as const;
const CAPACITORS = [5, 10, 20] as const;
/** Temperatures to begin with, °C: a cold rehearsal room, and a stage in summer; common practice, no source. */
const USUAL_RANGE = { lowC: 10, highC: 40 };
const SHOWN_CAUSES = 6;

/** How far builds with other parts of the same values differ, and which parts cause it. */
@customElement('spread-dialog')
export class SpreadDialog extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) desk!: SpreadDesk;
  @state() private slotChosen: Slot = 'a';
  @query('dialog') private dialog!: HTMLDialogElement;

  static override styles = [
    sharedStyles,
    segmentStyles,
    dialogStyles,
    css`
      dialog {
        width: min(48rem, 94vw);
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2) var(--gap-4);
        align-items: center;
        margin: var(--gap-2) 0;
      }
      .top {
        justify-content: space-between;
        margin-top: 0;
      }
      h3 {
        margin: var(--gap-4) 0 var(--gap-1);
      }
      .row label {
        display: inline-flex;
        flex-wrap: wrap;
        gap: var(--gap-1) var(--gap-2);
        align-items: center;
      }
      .segments label {
        display: block;
      }
      input[type='number'] {
        width: 4.5rem;
      }
      progress {
        width: 100%;
        accent-color: var(--ink);
      }
      .scroll {
        overflow-x: auto;
      }
      table {
        border-collapse: collapse;
        width: 100%;
        font-size: var(--size-small);
        font-variant-numeric: tabular-nums;
      }
      th,
      td {
        padding: 0.15rem var(--gap-2) 0.15rem 0;
        text-align: right;
        white-space: nowrap;
        font-weight: 400;
        border-top: 1px solid var(--line);
      }
      thead th {
        border-top: 0;
      }
      th:first-child,
      th:last-child,
      td:last-child {
        text-align: left;
      }
      tbody td:last-child {
        padding-left: var(--gap-2);
        white-space: normal;
      }
      .causes {
        display: grid;
        grid-template-columns: 3rem auto minmax(0, 1fr);
        gap: 0 var(--gap-3);
        margin: 0;
        padding: 0;
        list-style: none;
        font-size: var(--size-small);
      }
      .causes li {
        display: grid;
        grid-column: 1 / -1;
        grid-template-columns: subgrid;
      }
      .causes .share {
        text-align: right;
        font-variant-numeric: tabular-nums;
      }
    `,
  ];

  /** @param slot The side to begin with. */
  open(slot: Slot): void {
    this.slotChosen = slot;
    this.desk.prepare(this.state, slot);
    this.dialog.showModal();
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.desk.addEventListener('change', this.#redraw);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.desk.removeEventListener('change', this.#redraw);
    this.desk.cancel();
    this.desk.release();
  }

  readonly #redraw = (): void => this.requestUpdate();

  override render() {
    const report = this.desk.reportOf(this.state, this.slotChosen);
    return html`<dialog aria-labelledby="title" @close=${() => this.desk.release()}>
      <div class="row top"><h2 id="title">Spread</h2><button autofocus @click=${() => this.dialog.close()}>Close</button></div>
      <p class="small soft">10,000 builds with other parts of the same values and types: how far they differ, and which parts cause it.
        Drawn behind the response at the output and, for a test tone of 1 kHz, behind the clipping curve: where 500 of them begin to clip, if most of them do.
        Waveform, harmonics and levels have no bands, since every build would have to be played for them.</p>
      ${this.#renderChoices()}
      ${this.#renderRun(report)}
      ${report?.summary ? this.#renderReport(report) : nothing}
      <details class="small"><summary>How it is computed</summary><p>${SPREAD_NOTE}</p>${report ? html`<p>${notVariedText(report.plan.settings)}</p>` : nothing}<p>${TONE_NOTE}</p><p>${CLIPPING_LEVEL_NOTE}</p></details>
    </dialog>`;
  }

  #renderChoices() {
    const { tolerances, range } = this.desk.choice;
    const { resistor, capacitor } = tolerances;
    return html`<div class="row">
      <div class="segments" role="radiogroup" aria-label="Build">
        ${SLOTS.map(
          (slot) => html`<label><input type="radio" name="slot" .checked=${live(this.slotChosen === slot)}
            @change=${() => this.#chooseSlot(slot)} />${LETTER[slot]}</label>`,
        )}
      </div>
      <label>Resistors <select @change=${(event: Event) => this.#chooseTolerance('resistor', controlValue(event))}>
        ${RESISTORS.map((percent) => this.#option(percent, percent === 1 ? '' : `${percent}`, resistor, `±${percent} %`))}
      </select></label>
      <label>Film and ceramic capacitors <select @change=${(event: Event) => this.#chooseTolerance('capacitor', controlValue(event))}>
        ${this.#option(0, '', capacitor, 'usual for their kind')}
        ${CAPACITORS.map((percent) => this.#option(percent, `${percent}`, capacitor, `±${percent} %`))}
      </select></label>
      <label><input type="checkbox" .checked=${live(range !== undefined)} @change=${this.#toggleRange} />Temperature range</label>
      ${range ? html`${this.#renderCelsius('lowC', 'from')}${this.#renderCelsius('highC', 'to')}` : nothing}
    </div>`;
  }

  #option(percent: number, value: string, chosen: number | undefined, text: string) {
    const isChosen = value === '' ? chosen === undefined : chosen === percent / 100;
    return html`<option value=${value} .selected=${live(isChosen)}>${text}</option>`;
  }

  #renderCelsius(end: 'lowC' | 'highC', word: string) {
    const { lowest, highest } = TEMPERATURE_RANGE_C;
    return html`<label>${word} <input type="number" min=${lowest} max=${highest} step="1"
      .value=${live(`${this.desk.choice.range?.[end] ?? ''}`)} @change=${(event: Event) => this.#setCelsius(end, event)} /> °C</label>`;
  }

  #renderRun(report: SpreadReport | undefined) {
    const { isRunning, problem } = this.desk;
    return html`<div class="row">
      ${
        isRunning
          ? html`<button @click=${() => this.desk.cancel()}>Cancel</button>`
          : html`<button class="primary" @click=${() => void this.desk.run(this.state, this.slotChosen)}>Compute ${LETTER[this.slotChosen]}</button>`
      }
      <span class="small" role="status">${report ? timeText(report) : ''}</span>
    </div>
    ${isRunning && report ? html`<progress max="1" .value=${shareDone(report)} aria-label="Progress"></progress>` : nothing}
    ${problem === '' ? nothing : html`<p class="problem" role="alert">${LETTER[this.slotChosen]}: ${problem}</p>`}
    ${this.#renderSet()}`;
  }

  /** The set that is soldered now, with the way back. */
  #renderSet() {
    const slot = this.slotChosen;
    const sets = pedalsOf(this.state, slot).flatMap(({ build }) => build.partsSet ?? []);
    if (sets.length === 0) return nothing;
    return html`<p class="row small">${LETTER[slot]} has ${partsSetText(sets[0]!)}.
      <button @click=${this.#takePrinted}>Use the values as printed</button></p>`;
  }

  #renderReport(report: SpreadReport) {
    const { summary } = report;
    if (!summary) return nothing;
    const failed = failedText(report);
    const other = this.slotChosen === 'a' ? 'b' : 'a';
    const verdict = swapTexts(report, `the swap to ${LETTER[other]}`);
    return html`
      ${failed === '' ? nothing : html`<p>${failed}</p>`}
      <h3>What causes it</h3>
      <p>${measureText('tone', summary.toneCauses)} ${measureText('level', summary.level.causes)}</p>
      ${this.#renderCauses(sharesToShow(summary.toneCauses))}
      ${verdict.length === 0 ? nothing : html`<h3>From ${LETTER[this.slotChosen]} to ${LETTER[other]}</h3>${verdict.map((text) => html`<p>${text}</p>`)}`}
      ${this.#renderExtremes(report)}
      <h3>Figures</h3>
      ${this.#renderTable(report)}
    `;
  }

  #renderCauses(shares: readonly CauseShare[]) {
    return html`<ul class="causes" aria-label="Parts that cause the spread of the tone">${shares
      .slice(0, SHOWN_CAUSES)
      .map(
        ({ label, text, share }) =>
          html`<li><span class="share">${Math.round(100 * share)} %</span><span>${label}</span><span class="soft">${text}</span></li>`,
      )}</ul>`;
  }

  #renderExtremes(report: SpreadReport) {
    if (!hasExtremes(report) || report.seconds === undefined) return nothing;
    const { range } = this.desk.choice;
    return html`<h3>Hear it</h3>
      <p>${extremesText(report)}${range ? ' Both play at the temperature of the bench.' : ''}</p>
      <div class="row"><button @click=${() => this.#hear(report)}>Hear the two most different</button>
        <span class="small soft">They replace A and B. Undo brings yours back.</span></div>`;
  }

  #renderTable(report: SpreadReport) {
    const { summary, clipping } = report;
    const kinds = clippingKindsText(report);
    if (!summary) return nothing;
    const decibels = (value: number) => `${value.toFixed(1).replace('-', '−')} dB`;
    const volts = (value: number) => `${value.toFixed(3).replace('-', '−')} V`;
    const causedBy = ({ causes }: { readonly causes: typeof summary.toneCauses }) =>
      causes.measure.labels.join(', ');
    return html`<div class="scroll"><table>
      <thead><tr><th scope="col">figure</th><th scope="col">printed</th><th scope="col">middle half</th><th scope="col">middle 95 %</th><th scope="col">caused by</th></tr></thead>
      <tbody>
        ${row('Gain at 1 kHz', summary.level, decibels, causedBy(summary.level))}
        ${clipping?.band ? row(`Clips from (${clipping.found} builds)`, clipping.band, (value) => quantityText(value, 'V'), '') : nothing}
        ${summary.supplies.map((each) => row(`Current of ${each.name}`, each, (value) => quantityText(value, 'A'), causedBy(each)))}
        ${summary.nets
          .filter(({ name }) => isReachable(name))
          .map((net) => row(net.name, net, volts, causedBy(net)))}
      </tbody>
    </table></div>
    ${kinds === '' ? nothing : html`<p class="small">${kinds}</p>`}`;
  }

  #chooseSlot(slot: Slot): void {
    this.slotChosen = slot;
  }

  #chooseTolerance(kind: 'resistor' | 'capacitor', value: string): void {
    const { [kind]: _, ...others } = this.desk.choice.tolerances;
    const tolerances = value === '' ? others : { ...others, [kind]: Number(value) / 100 };
    this.desk.choose({ ...this.desk.choice, tolerances });
  }

  #toggleRange = (): void => {
    const { range } = this.desk.choice;
    this.desk.choose({ ...this.desk.choice, range: range ? undefined : USUAL_RANGE });
  };

  /** The other end follows where the range would run backwards. */
  #setCelsius(end: 'lowC' | 'highC', event: Event): void {
    const { range = USUAL_RANGE } = this.desk.choice;
    const { lowest, highest } = TEMPERATURE_RANGE_C;
    const typed = (event.target as HTMLInputElement).valueAsNumber;
    const celsius = Number.isFinite(typed) ? Math.min(highest, Math.max(lowest, typed)) : range[end];
    const other = end === 'lowC' ? 'highC' : 'lowC';
    const isBackwards = end === 'lowC' ? celsius > range.highC : celsius < range.lowC;
    const changed = { ...range, [end]: celsius, ...(isBackwards && { [other]: celsius }) };
    this.desk.choose({ ...this.desk.choice, range: changed });
  }

  #hear({ summary }: SpreadReport): void {
    const [first, second] = summary!.extremes!.numbers;
    const slot = this.slotChosen;
    const chains = {
      a: this.desk.chainOfSet(this.state, slot, first),
      b: this.desk.chainOfSet(this.state, slot, second),
    };
    this.act({ type: 'loadBoth', chains, index: indexIn(this.state.places[slot]) });
    this.dialog.close();
  }

  #takePrinted = (): void => {
    const slot = this.slotChosen;
    const printed = ({ partsSet: _, ...build }: Build): Build => build;
    const pedals = chainOf(this.state, slot).pedals.map((pedal) => ({
      ...pedal,
      build: printed(pedal.build),
    }));
    this.act({ type: 'loadChain', slot, chain: { pedals }, index: indexIn(this.state.places[slot]) });
  };
}

function row(name: string, band: Band, text: (value: number) => string, causes: string) {
  const from = (low: number, high: number) => {
    const [one, other] = [text(low), text(high)];
    return one === other ? one : `${one} to ${other}`;
  };
  const printed = Number.isFinite(band.printed) ? text(band.printed) : '';
  return html`<tr><th scope="row">${name}</th><td>${printed}</td><td>${from(band.lower, band.upper)}</td>
    <td>${from(band.low, band.high)}</td><td>${causes}</td></tr>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'spread-dialog': SpreadDialog;
  }
}
