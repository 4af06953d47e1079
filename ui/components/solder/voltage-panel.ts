import { html, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import {
  READING_VERDICTS,
  type ReadingVerdict,
  readingsWithoutMeter,
  readingVerdict,
  type TypedReadings,
  voltsRead,
} from '../../../engine/analysis/board-readings.ts';
import { type FaultTable, type Suspect, suspectsOf } from '../../../engine/analysis/build-faults.ts';
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
import { caseText } from '../../../engine/parts/footprint.ts';
import { formatValue, parseValue } from '../../../engine/units/value-code.ts';
import type { Slot } from '../../../worklets/bench-messages.ts';
import type { Analyser } from '../../plots/analyser.ts';
import type { MeteredBuild } from '../../plots/plot-analysis.ts';
import type { Board, BoardReadings } from '../../state/board-readings.ts';
import { BenchElement, controlValue, LETTER } from '../bench-element.ts';
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { tableStyles } from '../table-styles.ts';
import { partChoice } from './part-choice.ts';
import { stackedRows } from './stacked-rows.ts';
import { voltageStyles } from './voltage-styles.ts';

/** Suspects that are named. */
const MOST_SUSPECTS = 5;

const TABLES = [
  ['nets', 'At the nets'],
  ['legs', 'At the legs'],
  ['supplies', 'With another supply'],
] as const;
type TableName = (typeof TABLES)[number][0];

/** DC voltages as a multimeter reads them on the finished board, and what to look at where a reading is off. */
@customElement('voltage-panel')
export class VoltagePanel extends BenchElement {
  @property({ attribute: false }) build!: Build;
  /** Whose board is read. */
  @property() side: Slot = 'a';
  /** Which pedal of its chain. */
  @property({ type: Number }) index = 0;
  /** What was read on the boards; a text that is no number stays as it was typed. */
  @property({ attribute: false }) boards!: BoardReadings;
  @property({ type: Number }) temperatureC!: number;
  @property({ attribute: false }) analyser: Analyser | undefined;
  @state() private table: TableName = 'nets';
  @state() private metered: { readonly build: Build; readonly result: MeteredBuild } | undefined;
  /** Why there are no figures; why a reading or the meter is not taken. */
  @state() private refusal = '';
  @state() private readingProblem = '';
  @state() private meterProblem = '';
  #asked: object = {};

  static override styles = [sharedStyles, tableStyles, segmentStyles, stackedRows, voltageStyles];

  protected override willUpdate(changed: PropertyValues): void {
    if (changed.has('build') || changed.has('side')) this.readingProblem = '';
    if (changed.has('build') || changed.has('temperatureC') || changed.has('analyser')) void this.#measure();
  }

  async #measure(): Promise<void> {
    if (!this.analyser) return;
    const { build, temperatureC } = this;
    const { meterOhms } = this.boards;
    const query = { kind: 'meter', build, temperatureC, meterOhms } as const;
    this.#asked = query;
    const answer = await this.analyser.ask('meter', query);
    if (!answer || this.#asked !== query) return;
    this.metered = answer.kind === 'result' ? { build, result: answer.result } : undefined;
    this.refusal = answer.kind === 'refused' ? answer.message : '';
  }

  override render() {
    return html`
      <div class="head">
        <h2>What a multimeter reads</h2>
        ${partChoice('Where it is read', TABLES, this.table, (table) => {
          this.table = table;
        })}
        <label class="meter small">Meter’s input resistance
          <input type="text" .value=${live(formatValue(this.boards.meterOhms, 'ohms'))} @change=${this.#onMeter} /></label>
      </div>
      ${[this.refusal, this.meterProblem, this.readingProblem].map((problem) => (problem === '' ? nothing : html`<p class="problem" role="alert">${problem}</p>`))}
      ${this.#isOld ? html`<p class="soft small" role="status">Computing…</p>` : nothing}
      ${this.metered ? this.#renderMetered(this.metered.build, this.metered.result) : nothing}
    `;
  }

  /** Whether the figures are still those of an earlier build. */
  get #isOld(): boolean {
    return this.refusal === '' && this.metered?.build !== this.build;
  }

  #renderMetered(build: Build, { report, faults, supplied }: MeteredBuild) {
    return html`<div class="work ${this.#isOld ? 'old' : ''}">
      <div class="scroll" role="region" aria-label="Readings" tabindex="0" @keydown=${this.#onFieldKey}>${
        this.table === 'nets'
          ? this.#renderNets(report, faults)
          : this.table === 'legs'
            ? this.#renderLegs(build, report, faults)
            : renderSupplies(supplied)
      }</div>
      <div class="side" role="region" aria-label="Suspects and notes" tabindex="0">
        <div class="diagnosis">${this.#isOld ? nothing : this.#renderSuspects(report, faults)}</div>
        ${notes(report)}
      </div>
    </div>`;
  }

  #renderNets(report: VoltageReport, faults: FaultTable) {
    const { fed } = report;
    return html`<table>
      <thead><tr>
        <th scope="col">Net</th>${this.#readingHeads()}
        ${fed.map(({ condition }) => html`<th scope="col" class="volts">${condition}</th>`)}
        <th scope="col" class="volts" title="With an adapter, on boards with other pieces of the same parts">95 % of boards</th>
        <th scope="col" class="explain">If it is too low</th><th scope="col" class="explain">If it is too high</th>
      </tr></thead>
      <tbody>${netRows(report, faults).map(({ net, reads, band, tooLow, tooHigh }) => {
        const verdict = this.#verdictOf(net, report, faults);
        const why = verdict === 'low' ? tooLow : verdict === 'high' ? tooHigh : '';
        return html`<tr class=${isOff(verdict) ? 'off' : ''}>
          <th scope="row">${net}</th>
          ${this.#renderReading(net, `You read at ${net}, volts`, verdict, why)}
          ${fed.map(({ condition }, index) => html`<td class="volts figures ${condition}" data-label=${condition}>${reads[index]}</td>`)}
          <td class="volts figures small" data-label="95 % of boards">${band}</td><td class="small explain">${tooLow}</td><td class="small explain">${tooHigh}</td>
        </tr>`;
      })}</tbody></table>`;
  }

  /** A leg is read for its net: other legs of that net show the same. */
  #renderLegs(build: Build, report: VoltageReport, faults: FaultTable) {
    const { fed, volts } = report;
    const columns = 4 + fed.length;
    return html`<table>
      <thead><tr><th scope="col">Leg</th><th scope="col">Net</th>${this.#readingHeads()}
        ${fed.map(({ condition }) => html`<th scope="col" class="volts">${condition}</th>`)}</tr></thead>
      ${legRows(build, fed).map(
        (part) => html`<tbody>
        <tr class="part"><th scope="rowgroup" colspan=${columns}>${partHead(part)}</th></tr>
        ${part.legs.map(({ leg, net, reads }) => {
          const verdict = this.#verdictOf(net, report, faults);
          return html`<tr class="leg ${isOff(verdict) ? 'off' : ''}">
            <th scope="row">${leg}</th><td data-label="net">${net}</td>
            ${volts.has(net) ? this.#renderReading(net, `You read at ${part.ref} leg ${leg}, net ${net}, volts`, verdict, '') : html`<td></td><td></td>`}
            ${fed.map(({ condition }, index) => html`<td class="volts figures ${condition}" data-label=${condition}>${reads[index]}</td>`)}</tr>`;
        })}
      </tbody>`,
      )}
    </table>`;
  }

  #readingHeads() {
    return html`<th scope="col">You read on ${LETTER[this.side]}, V</th><th scope="col">Verdict</th>`;
  }

  #renderReading(net: string, label: string, verdict: ReadingVerdict | undefined, why: string) {
    const { mark, word } = verdict ? READING_VERDICTS[verdict] : { mark: '', word: '' };
    return html`<td><input type="text" inputmode="decimal" autocomplete="off" aria-label=${label} aria-invalid=${verdict !== undefined && verdict !== 'fits'}
        .value=${live(this.#readings.get(net) ?? '')} @focus=${selectAll} @change=${(event: Event) => this.#read(net, controlValue(event))} /></td>
      <td class="verdict">${verdict === undefined ? nothing : html`<span class=${verdict === 'unread' ? 'high' : verdict}><span aria-hidden="true">${mark}</span> ${word}</span>`}
        ${why === '' ? nothing : html`<div class="small why">${why}</div>`}</td>`;
  }

  #renderSuspects(report: VoltageReport, faults: FaultTable) {
    const readings = readingsWithoutMeter(this.#readings, report);
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

  get #board(): Board {
    return { slot: this.side, index: this.index, circuit: this.build.circuit };
  }

  get #readings(): TypedReadings {
    return this.boards.of(this.#board);
  }

  /** What was read on this build is not held against the figures of another. */
  #verdictOf(net: string, report: VoltageReport, faults: FaultTable): ReadingVerdict | undefined {
    return this.#isOld ? undefined : readingVerdict(net, this.#readings, report, faults);
  }

  /** One hand holds the probe: Enter and the arrows go to the next field, or with Shift back. */
  #onFieldKey = (event: KeyboardEvent): void => {
    const steps: Readonly<Record<string, number>> = {
      Enter: event.shiftKey ? -1 : 1,
      ArrowDown: 1,
      ArrowUp: -1,
    };
    const step = event.isComposing ? undefined : steps[event.key];
    if (step === undefined || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    const fields = [...this.renderRoot.querySelectorAll<HTMLInputElement>('td input')];
    const next = fields[fields.indexOf(event.target) + step];
    if (next) next.focus();
    // The last field is taken too.
    else event.target.dispatchEvent(new Event('change'));
  };

  #read(net: string, text: string): void {
    this.boards.take(this.#board, net, text);
    this.readingProblem =
      text.trim() === '' || voltsRead(text) !== undefined
        ? ''
        : `${net}: “${text.slice(0, 20)}” is no number of volts, such as 4.45.`;
    this.requestUpdate();
  }

  #onMeter = (event: Event): void => {
    const text = controlValue(event);
    const ohms = ohmsOf(text);
    const isTaken = ohms >= METER_OHMS.least && ohms <= METER_OHMS.most;
    if (isTaken) {
      this.boards.meterOhms = ohms;
      void this.#measure();
    }
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

function suspectItem({ fault, largestMiss }: Suspect) {
  return html`<li>${fault.text}${largestMiss > 1 ? html` <span class="soft small">(does not explain every reading)</span>` : nothing}</li>`;
}

function isOff(verdict: ReadingVerdict | undefined): boolean {
  return verdict === 'low' || verdict === 'high';
}

function selectAll({ target }: Event): void {
  (target as HTMLInputElement).select();
}

function partHead({ ref, type, footprint, unknown }: PartRows) {
  return html`<strong>${ref}</strong> ${type}${footprint ? html` <span class="small soft">${caseText(footprint)}</span>` : nothing}${unknown === undefined ? nothing : html` <span class="soft">${unknown}</span>`}`;
}

function notes(report: VoltageReport) {
  return html`<div class="notes small">
    <p><strong>Careful.</strong> A slipping probe shorts legs: clip the black lead to ground and use one hand. Unplug the
      supply before you touch a part. Do not connect more volts than the weakest part stands. An adapter must be made for
      the job and certified where you live; never open one. If you are not sure, ask somebody who is trained for it.</p>
    ${supplyTexts(report).map((text) => html`<p>${text}</p>`)}
    ${batteryProblems(report).map((text) => html`<p class="problem">${text}</p>`)}
    <p class="soft">Black lead at ground, nothing played, DC volts. Enter goes to the next field. R4.2 is the net at end 2 of R4.
      A meter’s input resistance is 10M for most digital meters; a pointer meter has 20k for each volt of its range.</p>
  </div>`;
}

function renderSupplies(supplied: readonly SuppliedBuild[]) {
  const { supplies, rows, problems } = supplyTable(supplied);
  return html`${problems.map((text) => html`<p class="problem small">${text}</p>`)}
    <table>
      <thead><tr><th scope="col">Net</th>${supplies.map((text) => html`<th scope="col" class="volts">${text}</th>`)}</tr></thead>
      <tbody>${rows.map(([net, ...reads]) => html`<tr><th scope="row">${net}</th>${reads.map((text, index) => html`<td class="volts figures" data-label=${supplies[index]}>${text}</td>`)}</tr>`)}</tbody>
    </table>`;
}
