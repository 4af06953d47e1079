import { html, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { type FaultTable, type Suspect, suspectsOf } from '../../../engine/analysis/build-faults.ts';
import { withoutMeter } from '../../../engine/analysis/meter-readings.ts';
import type { SuppliedBuild } from '../../../engine/analysis/supply-comparison.ts';
import { bandRead, type VoltageReport } from '../../../engine/analysis/voltage-report.ts';
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
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { tableStyles } from '../table-styles.ts';
import { partChoice } from './part-choice.ts';
import { stackedRows } from './stacked-rows.ts';
import { voltageStyles } from './voltage-styles.ts';

const NO_READINGS: Readonly<Record<Slot, ReadonlyMap<string, string>>> = { a: new Map(), b: new Map() };
/** Suspects that are named. */
const MOST_SUSPECTS = 5;

const TABLES = [
  ['nets', 'At the nets'],
  ['legs', 'At the legs'],
  ['supplies', 'With another supply'],
] as const;
type TableName = (typeof TABLES)[number][0];

/** How a reading stands to what sound boards give, with a mark that needs no colour. */
const VERDICTS = {
  fits: ['✓', 'fits'],
  low: ['▼', 'too low'],
  high: ['▲', 'too high'],
  unread: ['?', 'no number'],
} as const;
type Verdict = keyof typeof VERDICTS;

/** DC voltages as a multimeter reads them on the finished board, and what to look at where a reading is off. */
@customElement('voltage-panel')
export class VoltagePanel extends BenchElement {
  @property({ attribute: false }) build!: Build;
  /** Whose board is read. */
  @property() side: Slot = 'a';
  @property({ type: Number }) temperatureC!: number;
  @property({ attribute: false }) analyser: Analyser | undefined;
  @state() private table: TableName = 'nets';
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

  static override styles = [sharedStyles, tableStyles, segmentStyles, stackedRows, voltageStyles];

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
      <div class="head">
        <h2>What a multimeter reads</h2>
        ${partChoice('Where it is read', TABLES, this.table, (table) => {
          this.table = table;
        })}
        <label class="meter small">Meter’s input resistance
          <input type="text" .value=${live(formatValue(this.meterOhms, 'ohms'))} @change=${this.#onMeter} /></label>
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

  #renderReading(net: string, label: string, verdict: Verdict | undefined, why: string) {
    const [mark, word] = verdict ? VERDICTS[verdict] : [];
    return html`<td><input type="text" inputmode="decimal" autocomplete="off" aria-label=${label} aria-invalid=${verdict !== undefined && verdict !== 'fits'}
        .value=${live(this.#readings.get(net) ?? '')} @focus=${selectAll} @change=${(event: Event) => this.#read(net, controlValue(event))} /></td>
      <td class="verdict">${verdict === undefined ? nothing : html`<span class=${verdict === 'unread' ? 'high' : verdict}><span aria-hidden="true">${mark}</span> ${word}</span>`}
        ${why === '' ? nothing : html`<div class="small why">${why}</div>`}</td>`;
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

  /** Of what was read at a net; undefined where nothing was. */
  #verdictOf(net: string, report: VoltageReport, faults: FaultTable): Verdict | undefined {
    const text = this.#readings.get(net);
    // What was read on this build is not held against the figures of another.
    if (text === undefined || this.#isOld) return undefined;
    const typed = numberOf(text);
    const read = this.#unloaded(report).get(net);
    if (typed === undefined || read === undefined) return 'unread';
    if (suspectsOf(faults, new Map([[net, read]])).soundLargestMiss <= 1) return 'fits';
    const band = bandRead(report, net);
    const usual = band ? (band.low + band.high) / 2 : (report.fed[0]!.readsV.get(net) ?? 0);
    return typed < usual ? 'low' : 'high';
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

function isOff(verdict: Verdict | undefined): boolean {
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
