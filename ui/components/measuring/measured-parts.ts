import { html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { guard } from 'lit/directives/guard.js';
import { keyed } from 'lit/directives/keyed.js';
import { buildParts } from '../../../engine/builds/build.ts';
import { type MeasuredPart, numberedName } from '../../../engine/builds/measured-parts.ts';
import { piecesOf } from '../../../engine/builds/pieces.ts';
import { fittedCircuit } from '../../../engine/circuits/fitted-circuit.ts';
import { KIND_NAMES } from '../../../engine/circuits/part-values.ts';
import { catalogueTypeOf } from '../../../engine/parts/part-types.ts';
import { hasPieces, MOST_NAME_CHARACTERS, type PieceKind } from '../../../engine/parts/piece.ts';
import { likeTypes } from '../../../engine/parts/piece-fit.ts';
import { fitPlot } from '../../measuring/fit-plot.ts';
import {
  type Fields,
  type MeasuredEntry,
  type MeasuredKind,
  type Method,
  measuredEntryOf,
} from '../../measuring/measured-entry.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { dialogStyles } from '../dialog-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { fitCurve } from './fit-curve.ts';
import { METHODS, measureFields } from './measure-fields.ts';
import { measureGuide } from './measure-guide.ts';
import './measured-list.ts';
import { measuredResult } from './measured-result.ts';
import { measuredStyles } from './measured-styles.ts';

const KINDS: readonly MeasuredKind[] = [
  ...(['diode', 'npn', 'pnp', 'nJfet', 'pJfet'] as const),
  ...(['pot', 'resistor', 'capacitor'] as const),
];

/** Measures parts one by one, keeps them by number, pairs them and puts them at a place. */
@customElement('measured-parts')
export class MeasuredParts extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @state() private kind: MeasuredKind = 'diode';
  @state() private method: Method = 'battery';
  @state() private like = '';
  @state() private fields: Fields = {};
  /** A closed dialog is empty: it would fit the part again at each drawing of the bench. */
  @state() private isOpen = false;
  #place = '';
  @query('dialog') private dialog!: HTMLDialogElement;
  @query('form') private form!: HTMLFormElement;

  static override styles = [sharedStyles, dialogStyles, measuredStyles];

  /** @param ref Part of the circuit for which is measured; its kind, and the type that stands there. */
  async open(ref: string | undefined): Promise<void> {
    const { builds, heard } = this.state;
    const part = buildParts(fittedCircuit(builds[heard])).find((each) => each.ref === ref);
    const kind = KINDS.find((each) => each === part?.kind);
    this.isOpen = true;
    this.#place = ref ?? '';
    if (kind) this.#measure(kind, builds[heard].parts[ref!]?.type);
    else if (this.like === '') this.#measure('diode');
    await this.updateComplete;
    this.#read();
    this.dialog.showModal();
  }

  override render() {
    return html`<dialog aria-labelledby="measured-title" @close=${this.#empty}>${this.isOpen ? this.#renderOpen() : nothing}</dialog>`;
  }

  #renderOpen() {
    const taken = this.#taken();
    const asked = { kind: this.kind, method: this.method, fields: this.fields };
    const entry = measuredEntryOf(asked, taken);
    return html`<div class="head"><h2 id="measured-title">Measured parts</h2>
        <button @click=${() => this.dialog.close()}>Close</button></div>
      <div class="columns">
        <form @input=${this.#read} @change=${this.#read} @submit=${(event: Event) => this.#keep(event, entry)}>
          ${this.#renderChoice(taken)}
          ${keyed(`${this.kind} ${this.method}`, measureFields(this.kind, this.method, this.like))}
          <div class="result" role="status">${guard([JSON.stringify(asked), this.state.measured], () => this.#renderEntry(entry))}</div>
          <div class="end"><button ?disabled=${!entry.part}>Keep this part</button></div>
        </form>
        <div>
          ${guard([this.kind, this.method], () => measureGuide(this.kind, this.method))}
          <measured-list .state=${this.state} .kind=${this.kind} .place=${this.#place}></measured-list>
        </div>
      </div>`;
  }

  #renderChoice(taken: readonly MeasuredPart[]) {
    const methods = METHODS[this.kind];
    const choose = (event: Event) => this.#measure(controlValue(event) as MeasuredKind);
    return html`<label class="row"><span>part</span><select name="kind" @change=${choose}>
        ${KINDS.map((kind) => html`<option value=${kind} ?selected=${kind === this.kind}>${KIND_NAMES[kind]}</option>`)}
      </select></label>
      ${keyed(this.kind, this.#renderLike())}
      <label class="row"><span>name</span><input name="name" type="text" autocomplete="off" maxlength=${MOST_NAME_CHARACTERS}
        placeholder=${this.#nextName(taken)} /></label>
      ${
        methods
          ? html`<label class="row"><span>measured with</span><select name="method" @change=${(event: Event) => (this.method = controlValue(event) as Method)}>
              ${methods.map(([method, title]) => html`<option value=${method} ?selected=${method === this.method}>${title}</option>`)}
            </select></label>`
          : nothing
      }`;
  }

  /** The type gives what is not measured; of a value it is what is printed on the part. */
  #renderLike() {
    const { kind } = this;
    if (!hasPieces(kind))
      return html`<label class="row"><span>printed value</span><input name="like" type="text" autocomplete="off" spellcheck="false" maxlength="12" placeholder=${kind === 'capacitor' ? '47n' : kind === 'pot' ? '100k' : '10k'} data-stays /></label>`;
    return html`<label class="row"><span>sold as, or like</span><select name="like">
        ${likeTypes(kind).map((type) => html`<option ?selected=${type === this.like}>${type}</option>`)}
      </select></label>`;
  }

  #nextName(taken: readonly MeasuredPart[]): string {
    const like = this.fields['like']?.trim() || this.like;
    return like === '' ? 'its number' : numberedName(taken, like);
  }

  #renderEntry(entry: MeasuredEntry) {
    if (!entry.part)
      return html`<p class=${entry.isMissing ? 'small soft' : 'small problem'}>${entry.problem}</p>`;
    const plot = fitPlot(entry.part);
    return html`${measuredResult(entry.part)}
      ${plot ? html`${fitCurve(plot)}<p class="small soft">Points: measured. Line: model.${plot.typical.length > 0 ? ` Dashed: typical ${entry.part.like}.` : ''}</p>` : nothing}`;
  }

  /** Parts whose names are taken: the kept ones, and pieces that came with the builds. */
  #taken(): readonly MeasuredPart[] {
    const { measured, builds } = this.state;
    const names = new Set(measured.map(({ name }) => name));
    const others = [...piecesOf(builds.a), ...piecesOf(builds.b)].filter(({ name }) => !names.has(name));
    return [...measured, ...new Map(others.map((piece) => [piece.name, piece])).values()];
  }

  /** Another kind, with a type to begin with. */
  #measure(kind: MeasuredKind, type = ''): void {
    this.kind = kind;
    this.method = METHODS[kind]?.[0]?.[0] ?? 'battery';
    const types = hasPieces(kind) ? likeTypes(kind as PieceKind) : [];
    const own = type === '' ? '' : catalogueTypeOf(type);
    this.like = types.includes(own) ? own : (types[0] ?? '');
    this.fields = { like: this.like };
  }

  /** After the fields of another kind or method are there. */
  #read = async (): Promise<void> => {
    await this.updateComplete;
    if (!this.isOpen) return;
    const entries = [...new FormData(this.form)].map(([name, value]) => [name, String(value)] as const);
    this.fields = Object.fromEntries(entries);
    if (hasPieces(this.kind)) this.like = this.fields['like'] ?? this.like;
  };

  /** The next part of a bag is measured with the same battery, meter and resistors. */
  #keep(event: Event, { part }: MeasuredEntry): void {
    event.preventDefault();
    if (!part) return;
    this.act({ type: 'keepMeasured', parts: [...this.state.measured, part] });
    for (const input of this.form.querySelectorAll('input'))
      if (!input.hasAttribute('data-stays')) input.value = '';
    void this.#read();
    this.form
      .querySelector<HTMLInputElement>('input[name$="volts"], input[name="value"], input[name="ends"]')
      ?.focus();
  }

  #empty(): void {
    this.isOpen = false;
  }
}
