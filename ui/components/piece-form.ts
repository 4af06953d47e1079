import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { typeForwardVoltage } from '../../engine/parts/diode-curve.ts';
import { diodeEntry } from '../../engine/parts/part-types.ts';
import {
  FORWARD_POINTS,
  MOST_NAME_CHARACTERS,
  type Piece,
  type PieceKind,
} from '../../engine/parts/piece.ts';
import { type FitMiss, fitMisses, fitWarnings, hasReversePoint } from '../../engine/parts/piece-fit.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import { BenchElement } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { type PieceEntry, type PieceFields, pieceEntryOf } from './piece-entry.ts';
import { sharedStyles } from './shared-styles.ts';

/** Rows of points that are shown at first; a fourth tells whether they are those of one junction. */
const FIRST_ROWS = 4;
/** Currents at which the form shows what the type has, A. */
const EXAMPLE_CURRENTS_A = [1e-5, 1e-4, 1e-3];

/** Types what a builder has measured of one part, and shows the error of its fit at once. Emits "piece" with the piece. */
@customElement('piece-form')
export class PieceForm extends BenchElement {
  @property({ attribute: false }) kind: PieceKind = 'diode';
  /** Types of the kind that a piece can be like, and the one that stands there. */
  @property({ attribute: false }) types: readonly string[] = [];
  @property({ attribute: false }) like = '';
  /** That there are already. */
  @property({ attribute: false }) pieces: readonly Piece[] = [];
  @state() private fields: PieceFields = {};
  @state() private rows = FIRST_ROWS;
  /** A closed form is empty: it would fit the piece again at each drawing of the card. */
  @state() private isOpen = false;
  @query('dialog') private dialog!: HTMLDialogElement;
  @query('form') private form!: HTMLFormElement;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      :host {
        display: contents;
      }
      form {
        display: grid;
        gap: var(--gap-2);
      }
      label {
        display: grid;
        grid-template-columns: 9rem minmax(0, 1fr);
        gap: var(--gap-2);
        align-items: center;
      }
      fieldset {
        margin: 0;
        padding: 0;
        border: 0;
        display: grid;
        gap: var(--gap-1);
        min-width: 0;
      }
      .point {
        display: grid;
        grid-template-columns: 9rem minmax(0, 1fr) minmax(0, 1fr);
        gap: var(--gap-2);
        align-items: center;
      }
      input,
      select {
        min-width: 0;
        width: 100%;
      }
      table {
        border-collapse: collapse;
        font-size: var(--size-small);
      }
      td,
      th {
        padding: 0 var(--gap-4) 0 0;
        text-align: right;
        font-weight: 400;
      }
      td:first-child,
      th:first-child {
        text-align: left;
      }
      .result {
        min-height: 8rem;
      }
      .end {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        justify-content: flex-end;
      }
      @media (max-width: 30rem) {
        label,
        .point {
          grid-template-columns: 5.5rem minmax(0, 1fr) minmax(0, 1fr);
        }
        label > :last-child {
          grid-column: 2 / -1;
        }
      }
    `,
  ];

  async open(): Promise<void> {
    this.fields = {};
    this.rows = FIRST_ROWS;
    this.isOpen = true;
    // The dialog puts the focus into its first field, which must be there.
    await this.updateComplete;
    this.dialog.showModal();
  }

  override render() {
    return html`<dialog aria-labelledby="title" @close=${this.#empty}>${this.isOpen ? this.#renderForm() : nothing}</dialog>`;
  }

  #renderForm() {
    const entry = pieceEntryOf(this.kind, { like: this.like, ...this.fields }, this.pieces);
    return html`
      <form @input=${this.#read} @submit=${(event: Event) => this.#put(event, entry)}>
        <h2 id="title">Add a measured piece</h2>
        <label>name <input name="name" type="text" autocomplete="off" maxlength=${MOST_NAME_CHARACTERS} placeholder="my ${this.like}" /></label>
        <label>like <select name="like">
          ${this.types.map((type) => html`<option ?selected=${type === this.like}>${type}</option>`)}
        </select></label>
        <p class="small soft">What you do not measure is taken from that type. Measure at room temperature.</p>
        ${this.kind === 'diode' ? this.#renderDiode() : nothing}
        ${this.kind === 'npn' || this.kind === 'pnp' ? this.#renderBipolar() : nothing}
        ${this.kind === 'nJfet' || this.kind === 'pJfet' ? this.#renderJfet() : nothing}
        <div class="result" role="status">${this.#renderEntry(entry)}</div>
        <div class="end">
          <button type="button" @click=${() => this.dialog.close()}>Cancel</button>
          <button ?disabled=${!entry.piece}>Put it in</button>
        </div>
      </form>
    `;
  }

  #renderDiode() {
    const entry = diodeEntry(this.fields['like'] ?? this.like);
    const examples = EXAMPLE_CURRENTS_A.map((currentA) => [
      quantityText(currentA, 'A'),
      quantityText(typeForwardVoltage(entry, currentA, NOMINAL_TEMPERATURE_K), 'V'),
    ]);
    return html`<fieldset><legend class="small soft">${FORWARD_POINTS.least} to ${FORWARD_POINTS.most} forward points, from the smallest current up</legend>
        ${Array.from({ length: this.rows }, (_, index) => this.#renderPoint(`${index}`, `point ${index + 1}`, examples[index]))}
        ${
          this.rows < FORWARD_POINTS.most
            ? html`<button type="button" @click=${() => this.rows++}>Add a point</button>`
            : nothing
        }
      </fieldset>
      ${hasReversePoint(this.fields['like'] ?? this.like) ? this.#renderReverse() : nothing}`;
  }

  #renderReverse() {
    return html`<fieldset><legend class="small soft">reverse current, if you can measure it</legend>
      ${this.#renderPoint('reverse', 'reverse', ['1.1 µA', '1.5 V'])}</fieldset>`;
  }

  #renderPoint(name: string, title: string, [current = '', voltage = '']: readonly string[] = []) {
    return html`<div class="point" role="group" aria-label=${title}><span>${title}</span>
      ${field(`${name} current`, `Current, ${title}`, current)}
      ${field(`${name} voltage`, `Voltage, ${title}`, voltage)}</div>`;
  }

  #renderBipolar() {
    return html`<label>current gain ${field('gain', 'Current gain', '350')}</label>
      <label>at collector current ${field('collector', 'Collector current', '1 mA')}</label>
      <label>leakage, base open ${field('leakage', 'Leakage with the base open, if it was measured', 'not measured')}</label>
      <p class="small soft">Germanium: 9 V, and 2k2 from the collector to the battery. Base open: leakage = volts across 2k2 ÷ 2200 Ω.
        Then 2M2 from the base to the same end of the battery: collector current = volts across 2k2 ÷ 2200 Ω,
        current gain = collector current ÷ 4 µA. The fit takes the leakage off: β = (collector current − leakage) ÷ base current.</p>`;
  }

  #renderJfet() {
    return html`<label>drain current, gate at source ${field('idss', 'Drain current with the gate at the source', '0.6 mA')}</label>
      <label>cutoff voltage ${field('cutoff', 'Gate voltage at cutoff', '0.7 V')}</label>`;
  }

  #renderEntry(entry: PieceEntry) {
    if (!entry.piece)
      return html`<p class=${entry.isMissing ? 'small soft' : 'small problem'}>${entry.problem}</p>`;
    return html`<table>
        <thead><tr><th scope="col">fit at 27 °C</th><th scope="col">measured</th><th scope="col">fit</th><th scope="col">off</th></tr></thead>
        <tbody>${fitMisses(entry.piece).map(missRow)}</tbody>
      </table>
      ${fitWarnings(entry.piece).map((text) => html`<p class="small problem">${text}</p>`)}`;
  }

  #empty(): void {
    this.isOpen = false;
  }

  #read(): void {
    const entries = [...new FormData(this.form)].map(([name, value]) => [name, String(value)] as const);
    this.fields = Object.fromEntries(entries);
  }

  #put(event: Event, { piece }: PieceEntry): void {
    event.preventDefault();
    if (!piece) return;
    this.dispatchEvent(new CustomEvent<Piece>('piece', { detail: piece }));
    this.dialog.close();
  }
}

function field(name: string, label: string, example: string) {
  return html`<input name=${name} class="figures" type="text" autocomplete="off" spellcheck="false" aria-label=${label} placeholder=${example} />`;
}

function missRow({ of, measured, fitted, unit }: FitMiss) {
  const shown = (value: number) =>
    unit === '' ? value.toFixed(0) : value === 0 ? `0 ${unit}` : quantityText(value, unit);
  return html`<tr><td>${of}</td><td class="figures">${shown(measured)}</td><td class="figures">${shown(fitted)}</td>
    <td class="figures">${offText(measured, fitted, unit)}</td></tr>`;
}

function offText(measured: number, fitted: number, unit: FitMiss['unit']): string {
  const off = unit === 'V' ? 1000 * (fitted - measured) : 100 * (fitted / measured - 1);
  if (!Number.isFinite(off)) return '';
  const text = Math.abs(off).toFixed(1);
  const sign = text === '0.0' ? '' : off < 0 ? '−' : '+';
  return `${sign}${text} ${unit === 'V' ? 'mV' : '%'}`;
}
