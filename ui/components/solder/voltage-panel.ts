import { css, html, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { type FaultTable, type Suspect, suspectsOf } from '../../../engine/analysis/build-faults.ts';
import { withoutMeter } from '../../../engine/analysis/meter-readings.ts';
import type { SuppliedBuild } from '../../../engine/analysis/supply-comparison.ts';
import type { VoltageReport } from '../../../engine/analysis/voltage-report.ts';
import {
  batteryProblems,
  legRows,
  netRows,
  type PartRows,
  supplyTable,
  supplyTexts,
} from '../../../engine/analysis/voltage-rows.ts';
import type { Build } from '../../../engine/builds/build.ts';
import { METER_OHMS } from '../../../engine/input/limits.ts';
import { USUAL_METER_OHMS } from '../../../engine/parts/battery-measurement.ts';
import { caseText } from '../../../engine/parts/footprint.ts';
import { formatValue, parseValue } from '../../../engine/units/value-code.ts';
import type { Slot } from '../../../worklets/bench-messages.ts';
import type { Analyser } from '../../plots/analyser.ts';
import type { MeteredBuild } from '../../plots/plot-analysis.ts';
import { BenchElement, controlValue, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { tableStyles } from '../table-styles.ts';

const NO_READINGS: Readonly<Record<Slot, ReadonlyMap<string, string>>> = { a: new Map(), b: new Map() };
/** Suspects above the table. */
const MOST_SUSPECTS = 5;

/** DC voltages as a multimeter reads them on the finished board, and what to look at where a reading is off. */
@customElement('voltage-panel')
export class VoltagePanel extends BenchElement {
  @property({ attribute: false }) build!: Build;
  /** Whose board is read. */
  @property() side: Slot = 'a';
  @property({ type: Number }) temperatureC!: number;
  @property({ attribute: false }) analyser: Analyser | undefined;
  @state() private meterOhms = USUAL_METER_OHMS;
  /** What was read on the boards, V, by net; a text that is no number stays as it was typed. */
  @state() private readings: Readonly<Record<Slot, ReadonlyMap<string, string>>> = NO_READINGS;
  @state() private metered: { readonly build: Build; readonly result: MeteredBuild } | undefined;
  /** Why there are no figures; why a reading or the meter is not taken. */
  @state() private refusal = '';
  @state() private readingProblem = '';
  @state() private meterProblem = '';
  #asked: object = {};
  /** Circuits whose boards were read. */
  readonly #circuits: Partial<Record<Slot, Build['circuit']>> = {};

  static override styles = [
    sharedStyles,
    tableStyles,
    css`
      h3 {
        margin: var(--gap-4) 0 var(--gap-1);
      }
      p {
        margin: var(--gap-1) 0;
        text-wrap: pretty;
      }
      .scroll {
        overflow-x: auto;
        scrollbar-width: thin;
      }
      th,
      td {
        vertical-align: baseline;
      }
      .volts {
        text-align: right;
        white-space: nowrap;
      }
      th[scope='row'] {
        white-space: nowrap;
      }
      td input[type='text'] {
        width: 4.5rem;
        min-height: 1.6rem;
      }
      .old {
        color: var(--ink-soft);
      }
      .off th[scope='row'],
      .off .volts.adapter {
        font-weight: 600;
        color: var(--warning);
      }
      .meter input {
        width: 5rem;
      }
      td[rowspan] {
        width: 18rem;
      }
      @media (max-width: 740px) {
        .hint {
          display: none;
        }
        td[rowspan] {
          width: auto;
        }
      }
      ol {
        margin: var(--gap-1) 0;
        padding-left: 1.5rem;
      }
      @media print {
        td input[type='text'] {
          border-color: #000;
        }
      }
    `,
  ];

  protected override willUpdate(changed: PropertyValues): void {
    // Another circuit is another board.
    if (this.#circuits[this.side] !== this.build.circuit) {
      this.#circuits[this.side] = this.build.circuit;
      this.readings = { ...this.readings, [this.side]: new Map() };
      this.readingProblem = '';
    }
    if (
      changed.has('build') ||
      changed.has('temperatureC') ||
      changed.has('analyser') ||
      changed.has('meterOhms')
    )
      void this.#measure();
  }

  async #measure(): Promise<void> {
    if (!this.analyser) return;
    const { build, temperatureC, meterOhms } = this;
    const query = { kind: 'meter', build, temperatureC, meterOhms } as const;
    this.#asked = query;
    const answer = await this.analyser.ask('meter', query);
    if (!answer || this.#asked !== query) return;
    this.metered = answer.kind === 'result' ? { build, result: answer.result } : undefined;
    this.refusal = answer.kind === 'refused' ? answer.message : '';
  }

  override render() {
    return html`
      <h2>What a multimeter reads</h2>
      <p class="small">Black lead at ground, nothing played, DC volts. <label class="meter">Meter’s input resistance
        <input type="text" .value=${live(formatValue(this.meterOhms, 'ohms'))} @change=${this.#onMeter} /></label>
        <span class="soft">10M for most digital meters; a pointer meter has 20k for each volt of its range. R4.2 is the net at end 2 of R4.</span></p>
      ${[this.refusal, this.meterProblem, this.readingProblem].map((problem) => (problem === '' ? nothing : html`<p class="problem" role="alert">${problem}</p>`))}
      ${this.#isOld ? html`<p class="soft small" role="status">Computing…</p>` : nothing}
      ${this.metered ? html`<div class=${this.#isOld ? 'old' : ''}>${this.#renderMetered(this.metered.build, this.metered.result)}</div>` : nothing}
    `;
  }

  /** Whether the figures are still those of an earlier build. */
  get #isOld(): boolean {
    return this.refusal === '' && this.metered?.build !== this.build;
  }

  #renderMetered(build: Build, { report, faults, supplied }: MeteredBuild) {
    return html`
      ${this.#renderSuspects(report, faults)}
      ${this.#renderNets(report, faults)}
      ${supplyTexts(report).map((text) => html`<p>${text}</p>`)}
      ${batteryProblems(report).map((text) => html`<p class="problem">${text}</p>`)}
      ${renderLegs(build, report)}
      ${renderSupplies(supplied)}
      <p class="small"><strong>Careful.</strong> A slipping probe shorts legs: clip the black lead to ground and use one hand. Unplug the
        supply before you touch a part. Do not connect more volts than the weakest part stands. An adapter must be made for
        the job and certified where you live; never open one. If you are not sure, ask somebody who is trained for it.</p>
    `;
  }

  #renderNets(report: VoltageReport, faults: FaultTable) {
    const { fed } = report;
    return html`<div class="scroll" role="region" aria-label="Readings at the nets" tabindex="0"><table>
      <thead><tr>
        <th scope="col">Net</th><th scope="col">You read on ${LETTER[this.side]}, V</th>
        ${fed.map(({ condition }) => html`<th scope="col" class="volts">${condition}</th>`)}
        <th scope="col" class="volts" title="With an adapter, on boards with other pieces of the same parts">95 % of boards</th>
        <th scope="col" class="hint">If it is too low</th><th scope="col" class="hint">If it is too high</th>
      </tr></thead>
      <tbody>${netRows(report, faults).map(
        ({ net, reads, band, tooLow, tooHigh }) => html`<tr class=${this.#isOff(net, faults) ? 'off' : ''}>
          <th scope="row">${net}</th>
          <td><input type="text" inputmode="decimal" aria-label="You read at ${net}, volts" .value=${live(this.#readings.get(net) ?? '')}
            @change=${(event: Event) => this.#read(net, controlValue(event))} /></td>
          ${fed.map(({ condition }, index) => html`<td class="volts figures ${condition}">${reads[index]}</td>`)}
          <td class="volts figures small">${band}</td><td class="small hint">${tooLow}</td><td class="small hint">${tooHigh}</td>
        </tr>`,
      )}</tbody></table></div>`;
  }

  #renderSuspects(report: VoltageReport, faults: FaultTable) {
    const readings = this.#unloaded(report);
    if (readings.size === 0)
      return html`<p class="soft small">Type what you read with an adapter, and the likeliest mistakes come here.</p>`;
    const { soundLargestMiss, areLeadsSwapped, suspects } = suspectsOf(faults, readings);
    if (areLeadsSwapped)
      return html`<p role="status">Leads swapped? A sound board has these volts with the other sign: red lead at the net, black lead at ground.</p>`;
    if (soundLargestMiss <= 1)
      return html`<p role="status">${readings.size === 1 ? 'This reading is' : 'These readings are'} what a sound board gives.</p>`;
    return html`<div role="status"><h3>Suspects, the likeliest first</h3><ol>${suspects.slice(0, MOST_SUSPECTS).map(suspectItem)}</ol>
      <p class="small soft">One mistake at a time; a damaged chip and two mistakes at once are not in the list.</p></div>`;
  }

  /** The readings that are numbers, without what the meter takes. */
  #unloaded({ fed, volts }: VoltageReport): ReadonlyMap<string, number> {
    const typed = [...this.#readings].flatMap(([net, text]) => {
      const read = numberOf(text);
      return read === undefined ? [] : [[net, read] as const];
    });
    return withoutMeter(new Map(typed), volts, fed[0]!.readsV);
  }

  /** Of the board of the side that is shown. */
  get #readings(): ReadonlyMap<string, string> {
    return this.readings[this.side];
  }

  #isOff(net: string, faults: FaultTable): boolean {
    const report = this.metered?.result.report;
    const read = report && this.#unloaded(report).get(net);
    return read !== undefined && suspectsOf(faults, new Map([[net, read]])).soundLargestMiss > 1;
  }

  #read(net: string, text: string): void {
    const readings = new Map(this.#readings);
    if (text.trim() === '') readings.delete(net);
    else readings.set(net, text.trim());
    this.readings = { ...this.readings, [this.side]: readings };
    this.readingProblem =
      text.trim() === '' || numberOf(text) !== undefined
        ? ''
        : `${net}: “${text.slice(0, 20)}” is no number of volts, such as 4.45.`;
  }

  #onMeter = (event: Event): void => {
    const text = controlValue(event);
    const ohms = ohmsOf(text);
    const isTaken = ohms >= METER_OHMS.least && ohms <= METER_OHMS.most;
    if (isTaken) this.meterOhms = ohms;
    this.meterProblem = isTaken
      ? ''
      : `“${text.slice(0, 20)}” is no input resistance of a meter, such as 10M, 1M or 200k.`;
    this.requestUpdate();
  };
}

function ohmsOf(text: string): number {
  try {
    return parseValue(text, 'ohms');
  } catch {
    return Number.NaN;
  }
}

/** A decimal comma is as good as a point. */
function numberOf(text: string): number | undefined {
  const value = Number(text.replace(',', '.').replace('−', '-').replace(/\s*V$/i, ''));
  return text.trim() !== '' && Number.isFinite(value) ? value : undefined;
}

function suspectItem({ fault, largestMiss }: Suspect) {
  return html`<li>${fault.text}${largestMiss > 1 ? html` <span class="soft small">(does not explain every reading)</span>` : nothing}</li>`;
}

function renderLegs(build: Build, { fed }: VoltageReport) {
  return html`<h3>At the legs</h3>
    <div class="scroll" role="region" aria-label="Readings at the legs" tabindex="0"><table>
      <thead><tr><th scope="col">Part</th><th scope="col">Leg</th><th scope="col">Net</th>
        ${fed.map(({ condition }) => html`<th scope="col" class="volts">${condition}</th>`)}</tr></thead>
      ${legRows(build, fed).map((part) => html`<tbody>${renderPart(part, fed.length)}</tbody>`)}
    </table></div>`;
}

function renderPart({ ref, type, footprint, legs, unknown }: PartRows, conditions: number) {
  const head = html`<strong>${ref}</strong> ${type}${footprint ? html`<br /><span class="small soft">${caseText(footprint)}</span>` : nothing}`;
  if (unknown !== undefined)
    return html`<tr><td>${head}</td><td class="soft" colspan=${2 + conditions}>${unknown}</td></tr>`;
  return legs.map(
    ({ leg, net, reads }, index) => html`<tr>
      ${index === 0 ? html`<td rowspan=${legs.length}>${head}</td>` : nothing}
      <th scope="row">${leg}</th><td>${net}</td>
      ${reads.map((text) => html`<td class="volts figures">${text}</td>`)}</tr>`,
  );
}

function renderSupplies(supplied: readonly SuppliedBuild[]) {
  const { supplies, rows, problems } = supplyTable(supplied);
  return html`<h3>With another supply</h3>
    ${problems.map((text) => html`<p class="problem small">${text}</p>`)}
    <div class="scroll" role="region" aria-label="Readings with other supplies" tabindex="0"><table>
      <thead><tr><th scope="col">Net</th>${supplies.map((text) => html`<th scope="col" class="volts">${text}</th>`)}</tr></thead>
      <tbody>${rows.map(([net, ...reads]) => html`<tr><th scope="row">${net}</th>${reads.map((text) => html`<td class="volts figures">${text}</td>`)}</tr>`)}</tbody>
    </table></div>`;
}
