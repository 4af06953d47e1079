import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { guard } from 'lit/directives/guard.js';
import { type BuildPart, buildParts, type PartSetting } from '../../../engine/builds/build.ts';
import {
  fitsPlace,
  type MeasuredPart,
  mergedParts,
  parseMeasured,
  serialiseMeasured,
  settingWith,
} from '../../../engine/builds/measured-parts.ts';
import { settingText } from '../../../engine/builds/part-setting.ts';
import { fittedCircuit } from '../../../engine/circuits/fitted-circuit.ts';
import { NOMINAL_TEMPERATURE_K } from '../../../engine/devices/physics.ts';
import { MOST_BUILD_BYTES } from '../../../engine/input/limits.ts';
import { Refusal } from '../../../engine/input/refusal.ts';
import { oneLine, quoted } from '../../../engine/input/shown-text.ts';
import { isPassive, passiveSetting, valueMiss } from '../../../engine/parts/passive-piece.ts';
import { pieceText } from '../../../engine/parts/piece.ts';
import { distanceText, distanceTitle, piecePairs } from '../../../engine/parts/piece-distance.ts';
import { SLOTS, type Slot } from '../../../worklets/bench-messages.ts';
import { offerDownload } from '../../ear/download.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { forgetUnread, unreadMeasured } from '../../state/kept-measured.ts';
import { BenchElement, controlValue, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { offeredType } from '../type-figures.ts';

/** The kept parts of a kind: which two are nearest, and each at a place of A or B. */
@customElement('measured-list')
export class MeasuredList extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) kind: MeasuredPart['kind'] = 'diode';
  /** Reference designator of the place at which a part is put. */
  @property({ attribute: false }) place = '';
  @state() private removed: MeasuredPart | undefined;
  /** What became of a file. */
  @state() private told = '';

  /** Text of an earlier visit whose parts could not all be read. */
  @state() private unread = unreadMeasured();
  @query('input[type="file"]') private fileInput!: HTMLInputElement;

  static override styles = [
    sharedStyles,
    css`
      ul {
        list-style: none;
        max-height: 16rem;
        overflow: auto;
      }
      li {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-1) var(--gap-2);
        align-items: center;
        padding: var(--gap-1) 0;
        border-top: 1px solid var(--line);
      }
      li .name {
        flex: 1 1 8rem;
        min-width: 0;
      }
      .bar {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
        margin: var(--gap-1) 0;
      }
      h3 {
        margin: var(--gap-3) 0 var(--gap-1);
      }
      li button {
        min-height: 1.75rem;
      }
    `,
  ];

  override render() {
    const { measured, refusal } = this.state;
    const own = measured.filter(({ kind }) => kind === this.kind);
    return html`<h3>Kept parts</h3>
      ${own.length === 0 ? html`<p class="small soft">None of this kind yet.</p>` : this.#renderList(own)}
      ${guard([measured, this.kind], () => this.#renderPairs(own))}
      ${refusal ? html`<p class="small problem" role="alert">${refusal.message}</p>` : nothing}
      ${this.removed ? this.#renderRemoved(this.removed) : nothing}
      <div class="bar small">
        <button ?disabled=${measured.length === 0} @click=${this.#save}>Save all as file</button>
        <button @click=${() => this.fileInput.click()}>Add from a file…</button>
        <input type="file" hidden accept=".json,application/json" @change=${this.#open} />
      </div>
      ${this.unread === undefined ? nothing : this.#renderUnread(this.unread)}
      <p class="small" role="status">${this.told}</p>`;
  }

  #renderList(own: readonly MeasuredPart[]) {
    const places = this.#places();
    return html`<label class="bar small">put at <select aria-label="Place" .value=${this.#chosenPlace(places)} @change=${(event: Event) => (this.place = controlValue(event))}>
        ${places.map((ref) => html`<option ?selected=${ref === this.#chosenPlace(places)}>${ref}</option>`)}
      </select></label>
      <ul>${own.map((part) => this.#renderPart(part, this.#chosenPlace(places)))}</ul>`;
  }

  #renderPart(part: MeasuredPart, ref: string) {
    const at = this.#standsAt(part);
    return html`<li><span class="name">${part.name} <span class="small soft figures">${figureOf(part)}${at === '' ? '' : `; ${at}`}</span></span>
      ${SLOTS.map((slot) => this.#renderPut(part, ref, slot))}
      <button class="small" aria-label="Remove ${part.name}" @click=${() => this.#remove(part)}>Remove</button></li>`;
  }

  #renderPut(part: MeasuredPart, ref: string, slot: Slot) {
    const place = this.#partAt(slot, ref);
    const put = () =>
      this.act({
        type: 'setPart',
        slot,
        ref,
        setting: settingWith(part, this.state.builds[slot].parts[ref] ?? {}),
      });
    return html`<button class="small" ?disabled=${!place || !fitsPlace(part, place)} aria-label="Put ${part.name} at ${ref} in ${LETTER[slot]}" @click=${put}>
      to <span class="letter ${slot}">${LETTER[slot]}</span></button>`;
  }

  /** Reference designators of the kind in either build. */
  #places(): readonly string[] {
    const refs = SLOTS.flatMap((slot) =>
      this.#partsOf(slot)
        .filter((place) => fitsPlace(this, place))
        .map(({ ref }) => ref),
    );
    return [...new Set(refs)];
  }

  #chosenPlace(places: readonly string[]): string {
    return places.includes(this.place) ? this.place : (places[0] ?? '');
  }

  #partsOf(slot: Slot): readonly BuildPart[] {
    return buildParts(fittedCircuit(this.state.builds[slot]));
  }

  #partAt(slot: Slot, ref: string): BuildPart | undefined {
    return this.#partsOf(slot).find((part) => part.ref === ref);
  }

  /** "A: D1, D2": a part that was measured once can stand at one place only, which the builder sees here. */
  #standsAt(part: MeasuredPart): string {
    const { value } = isPassive(part) ? passiveSetting(part) : {};
    const isIt = isPassive(part)
      ? (setting: PartSetting) => setting.piece === part.name && setting.value === value
      : ({ type }: PartSetting) => type === pieceText(part);
    const texts = SLOTS.flatMap((slot) => {
      const refs = Object.entries(this.state.builds[slot].parts).filter(([, setting]) => isIt(setting));
      return refs.length === 0 ? [] : [`${LETTER[slot]}: ${refs.map(([ref]) => ref).join(', ')}`];
    });
    return texts.join('; ');
  }

  #renderPairs(own: readonly MeasuredPart[]) {
    const pairs = piecePairs(own);
    const text = ({ one, other, distance }: (typeof pairs)[number]) =>
      `${one.name} and ${other.name}, ${distanceText(this.kind, distance)}`;
    if (pairs.length === 0) return nothing;
    const farthest = pairs.length > 1 ? ` Most unlike: ${text(pairs.at(-1)!)}.` : '';
    return html`<p class="small pairs">Nearest: ${text(pairs[0]!)}.${farthest} <span class="soft">(${distanceTitle(this.kind)})</span></p>`;
  }

  #renderRemoved(part: MeasuredPart) {
    const back = () => {
      this.act({ type: 'keepMeasured', parts: mergedParts(this.state.measured, [part]).parts });
      this.removed = undefined;
    };
    return html`<p class="small" role="status">${part.name} was removed. <button class="small" @click=${back}>Put back</button></p>`;
  }

  #renderUnread(text: string) {
    const save = () =>
      offerDownload(new Blob([text], { type: 'application/json' }), 'measured parts unread', 'json');
    const drop = () => {
      forgetUnread();
      this.unread = undefined;
    };
    return html`<p class="small problem">Not all measured parts of an earlier visit could be read.
      <button class="small" @click=${save}>Save them as file</button> <button class="small" @click=${drop}>Drop them</button></p>`;
  }

  #remove(part: MeasuredPart): void {
    this.act({ type: 'keepMeasured', parts: this.state.measured.filter((each) => each !== part) });
    this.removed = part;
  }

  #save = (): void => {
    const file = new Blob([serialiseMeasured(this.state.measured)], { type: 'application/json' });
    offerDownload(file, 'measured parts', 'json');
  };

  #open = async (event: Event): Promise<void> => {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    if (!file) return;
    this.told = await this.#added(file);
    input.value = '';
  };

  /** Adds the parts of a file. @returns What became of it, in one line. */
  async #added(file: File): Promise<string> {
    try {
      if (file.size > MOST_BUILD_BYTES)
        throw new Refusal('file', 'it is too large for a file of measured parts.');
      const { parts, problems } = parseMeasured(await file.text());
      const { parts: all, problems: merging } = mergedParts(this.state.measured, parts);
      const count = all.length - this.state.measured.length;
      this.act({ type: 'keepMeasured', parts: all });
      return oneLine(
        [`${count} of ${parts.length + problems.length} parts were added.`, ...problems, ...merging].join(
          ' ',
        ),
      );
    } catch (error) {
      if (error instanceof Refusal || error instanceof DOMException)
        return oneLine(`${quoted(file.name)} was not opened: ${error.message}`);
      throw error;
    }
  }
}

/** What distinguishes a part at a glance. */
function figureOf(part: MeasuredPart): string {
  if (!isPassive(part)) return offeredType(part.kind, pieceText(part), NOMINAL_TEMPERATURE_K).figure;
  const miss = valueMiss(part);
  const off = miss === undefined ? '' : `, ${(100 * miss).toFixed(1).replace('-', '−')} %`;
  return `${settingText(passiveSetting(part))}${off}`;
}
