import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import './capacitor-kind.ts';
import './diode-capacitance.ts';
import './group-picker.ts';
import './knob-matches.ts';
import './part-figures.ts';
import './part-pins.ts';
import { html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { BuildWarning } from '../../engine/analysis/build-warnings.ts';
import { type BuildPart, buildParts, type PartSetting, startingBuild } from '../../engine/builds/build.ts';
import { canBeUnfitted } from '../../engine/builds/canonical-setting.ts';
import { isPumpCapacitor } from '../../engine/builds/charge-pump.ts';
import { namedSetting, namesThere } from '../../engine/builds/measured-names.ts';
import { fitsPlace } from '../../engine/builds/measured-parts.ts';
import { refsText, settingsText } from '../../engine/builds/part-groups.ts';
import {
  isSameSetting,
  parseSettingText,
  settingText,
  withoutPiece,
  withType,
} from '../../engine/builds/part-setting.ts';
import { piecesIn, piecesOf } from '../../engine/builds/pieces.ts';
import { rotationOf } from '../../engine/builds/pot-tracks.ts';
import { hasType, quantityOf } from '../../engine/circuits/part-values.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { NOT_MODELLED } from '../../engine/parts/not-modelled.ts';
import { catalogueTypeOf, endText } from '../../engine/parts/part-types.ts';
import { isPassive } from '../../engine/parts/passive-piece.ts';
import { hasPieces, isPieceText, type Piece, pieceText, typeName } from '../../engine/parts/piece.ts';
import type { PreferredSeries } from '../../engine/units/preferred-numbers.ts';
import { POT_LAWS, type PotLaw, potTitle } from '../../engine/units/taper.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { type BenchState, SERIES_OFFERED } from '../state/bench-state.ts';
import { partChange, partRepeated, partReset } from '../state/chosen-parts.ts';
import { partBeside } from '../state/followed-part.ts';
import { lackingText, type OwnedInstead, offeredAt, ownedInstead, ownedLaws } from '../state/owned-parts.ts';
import { stepSetting } from '../state/part-steps.ts';
import { surroundings } from '../state/played-network.ts';
import { chosenRefs } from '../state/reach.ts';
import { slotsOfPart } from '../state/slots-of-part.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { partCardStyles } from './part-card-styles.ts';
import { potCurve } from './pot-curve.ts';
import { segmentStyles } from './segment-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { type OfferedType, offeredType, offeredTypes } from './type-figures.ts';
import { typed } from './typed.ts';
import { valueRange } from './value-range.ts';

const FITS = [
  ['fitted', undefined],
  ['not fitted', 'open'],
  ['jumpered', 'bridged'],
] as const;
const PIECES = [
  ['typical', undefined],
  ['low end of its spread', 'low'],
  ['high end of its spread', 'high'],
] as const;

/** The selected part: what it does, and its settings in A and B, to be changed. */
@customElement('part-card')
export class PartCard extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The state with the changes that are on their way to the screen. */
  @property({ attribute: false }) wanted: () => BenchState = () => this.state;
  /** Warnings of each build. */
  @property({ attribute: false }) warnings: Readonly<Record<Slot, readonly BuildWarning[]>> = {
    a: [],
    b: [],
  };
  /** Whether the details are unfolded; they stay so from part to part. */
  @state() private isUnfolded = false;

  static override styles = [sharedStyles, segmentStyles, partCardStyles];

  override render() {
    const { builds, selected, heard, series, refusal } = this.state;
    const part = buildParts(fittedCircuit(builds[heard])).find(({ ref }) => ref === selected);
    if (!part) return html`<p class="soft">Click a part to change it.</p>`;
    const slots = slotsOfPart(this.state, part.ref);
    return html`
      <div class="head">
        <header>
          <h3>${part.ref} <span class="soft">${part.stageTitle}</span></h3>
          ${part.kind === 'supply' ? nothing : this.#renderOffer(part, series)}
        </header>
        <p class="role">${part.role}</p>
        <group-picker .state=${this.state}></group-picker>
      </div>
      ${refusal?.ref === part.ref && refusal.slot === undefined ? html`<p class="problem small" role="alert">${refusal.message}</p>` : nothing}
      <div class="slots">
        ${slots.map((slot) => this.#renderSlot(part, slot, builds[slot].parts[part.ref] ?? {}))}
      </div>
      <details .open=${live(this.isUnfolded)} @toggle=${this.#onToggle}>
        <summary>${detailsOf(part)}</summary>
        <p class="role">${part.role}</p>
        <div class="slots">
          ${slots.map((slot) => this.#renderDetails(part, slot, builds[slot].parts[part.ref] ?? {}))}
        </div>
        ${canBeMeasured(part.kind) ? html`<button class="small" @click=${() => this.act({ type: 'measureParts', place: part.ref })}>Measured parts…</button>` : nothing}
        ${this.#renderAlias(part)}
      <p class="unknown small soft">Not in the model: ${NOT_MODELLED[part.kind].join(', ')}. Parts that differ only in this sound the same here.${quantityOf(part.kind) ? '' : ' Pins differ from maker to maker: check the datasheet of your part.'}</p>
      <p class="keys small soft">↑ ↓ change the value or type in ${LETTER[heard]}, ← → choose a part. In the list of parts, ↑ ↓ choose and ← → change.</p>
      </details>
    `;
  }

  #onToggle = (event: Event): void => {
    const details = event.target as HTMLDetailsElement;
    if (details.open && !this.isUnfolded) details.scrollIntoView({ block: 'nearest' });
    this.isUnfolded = details.open;
  };

  /** The builder's own name for the part. */
  #renderAlias({ ref }: BuildPart) {
    const { builds, heard } = this.state;
    const alias = builds[heard].aliases?.[ref] ?? '';
    return html`<label class="alias small soft">name on my board
      <input class="figures" type="text" maxlength="8" autocomplete="off" spellcheck="false" placeholder=${ref}
        aria-label="${ref}: name on my board" .value=${typed(alias)}
        @change=${(event: Event) => this.act({ type: 'alias', ref, alias: controlValue(event) })} /></label>`;
  }

  #renderDial(part: BuildPart, slot: Slot, setting: PartSetting, initial: PartSetting) {
    if (this.state.drawer.isOnly) return nothing;
    const range = setting.fit === undefined ? valueRange(part, initial, this.state.series) : undefined;
    if (!range) return nothing;
    const position = range.positionOf(setting);
    const turn = (event: Event) =>
      this.act(
        partChange(this.wanted(), slot, part.ref, range.settingAt(Number(controlValue(event)), setting), {
          drawn: this.state,
          isDialled: true,
        }),
      );
    return html`<input type="range" min="0" max=${range.steps} step="1" .value=${live(String(position))}
      style="--turn: ${position / range.steps}" aria-label="Dial of ${part.ref} in ${LETTER[slot]}" aria-valuetext=${settingText(setting)} @input=${turn} />`;
  }

  /** What the steps and menus of the card go through. */
  #renderOffer({ kind }: BuildPart, series: PreferredSeries) {
    if (this.state.drawer.isOnly) return html`<span class="small soft">only what you own</span>`;
    return quantityOf(kind) ? this.#renderSeries(series) : nothing;
  }

  #renderSeries(series: PreferredSeries) {
    return html`<label class="small soft">step by
      <select class="series" @change=${(event: Event) => this.act({ type: 'series', series: controlValue(event) as PreferredSeries })}>
        ${SERIES_OFFERED.map((each) => html`<option .selected=${live(each === series)}>${each}</option>`)}
      </select></label>`;
  }

  #renderSlot(part: BuildPart, slot: Slot, setting: PartSetting) {
    const { refusal } = this.state;
    const isRefused = refusal?.ref === part.ref && refusal.slot === slot;
    const refs = chosenRefs(this.state);
    const others = refs.filter((ref) => ref !== part.ref);
    const { parts } = this.state.builds[slot];
    const isMixed = others.some((ref) => !isSameSetting(parts[ref] ?? {}, setting));
    const start = startingBuild(this.state.builds[slot].circuit).parts;
    const initial = start[part.ref] ?? {};
    const isInitial = refs.every((ref) => isSameSetting(start[ref] ?? {}, parts[ref] ?? {}));
    return html`
      <div class="slot ${slot}" role="group" aria-label="${part.ref} in build ${LETTER[slot]}">
        ${this.#renderHeard(slot, settingsText(parts, refs))}
        ${isMixed ? html`<button @click=${() => this.act(partRepeated(this.wanted(), slot, part.ref))}>${refsText(others)} like ${part.ref}</button>` : nothing}
        ${quantityOf(part.kind) ? this.#renderValue(part, slot, setting) : this.#renderType(part, slot, setting)}
        ${this.warnings[slot].filter(({ ref }) => ref === part.ref).map(({ message }) => html`<p class="problem small">${message}</p>`)}
        ${this.#renderLacking(part, slot)}
        ${isRefused ? html`<p class="problem small" role="alert">${refusal.message}</p>` : nothing}
        ${this.#renderDial(part, slot, setting, initial)}
        ${part.kind === 'pot' ? this.#renderLaw(part, slot, setting) : nothing}
        ${part.kind === 'diode' ? this.#renderCount(part, slot, setting) : nothing}
        ${canBeUnfitted(part.kind) ? this.#renderFit(part, slot, setting) : nothing}
        <button class="back" ?disabled=${isInitial} @click=${() => this.act(partReset(this.wanted(), slot, part.ref))}>
          Back to ${settingsText(start, refs)}
        </button>
      </div>
    `;
  }

  /** While only what is owned is offered: what has to be bought here. */
  #renderLacking(part: BuildPart, slot: Slot) {
    const text = lackingText(this.state, slot, part.ref);
    if (text === undefined) return nothing;
    const instead = ownedInstead(this.state, slot, part.ref);
    return html`<p class="problem small">${text}</p>
      ${instead.length === 0 ? nothing : html`<p class="small">In the drawer: ${instead.map((each) => this.#renderInstead(part, slot, each))}</p>`}`;
  }

  /** At this place alone: the drawer may have no more of it. */
  #renderInstead({ ref }: BuildPart, slot: Slot, { text, setting }: OwnedInstead) {
    if (!setting) return html`${text} `;
    return html`<button class="small" @click=${() => this.act({ type: 'setPart', slot, ref, setting })}>${text}</button> `;
  }

  /** What is looked up or set up, not turned while playing. */
  #renderDetails(part: BuildPart, slot: Slot, setting: PartSetting) {
    const initial = startingBuild(this.state.builds[slot].circuit).parts[part.ref] ?? {};
    const beside = partBeside(this.state);
    return html`
      <div class="slot ${slot}" role="group" aria-label="Details of ${part.ref} in build ${LETTER[slot]}">
        ${this.#renderTypeDetails(part, slot, setting)}
        ${this.isUnfolded && setting.fit === undefined ? this.#renderEffectChoice(part, slot) : nothing}
        ${canBeUnfitted(part.kind) && part.kind !== 'pot' ? this.#renderSecond(part, slot, setting) : nothing}
        <part-figures .chosen=${part} .build=${this.state.builds[slot]} .initial=${initial} .temperatureK=${kelvinOf(this.state.temperatureC)} .slotName=${slot} .series=${this.state.series}
          .otherBuild=${beside ? this.state.builds[beside.slot] : undefined} .otherRef=${beside?.ref ?? ''}
          @part-setting=${(event: CustomEvent<PartSetting>) => this.#set(part, slot, event.detail)}></part-figures>
      </div>
    `;
  }

  /** Only one build is shown and heard: a change of the other is visible and audible after switching. */
  #renderHeard(slot: Slot, text: string) {
    const isHeard = slot === this.state.heard;
    const playing = isHeard
      ? html`<span class="small soft">playing</span>`
      : html`<button @click=${() => this.act({ type: 'hear', slot })} title="And show it on the schematic">Hear ${LETTER[slot]}</button>`;
    return html`<div class="heard"><span class="letter ${slot}">${LETTER[slot]}</span>
      <h4 class="figures">${text}</h4>${playing}</div>`;
  }

  #renderValue(part: BuildPart, slot: Slot, setting: PartSetting) {
    const letter = LETTER[slot];
    const names = this.state.measured.filter((each) => fitsPlace(each, part)).map(({ name }) => name);
    const step = (turn: number) => {
      const wanted = this.wanted();
      const next = stepSetting(
        part,
        wanted.builds[slot].parts[part.ref] ?? {},
        this.state.series,
        turn,
        offeredAt(wanted, slot, part),
      );
      if (next) this.act(partChange(wanted, slot, part.ref, next));
    };
    return html`
      <div class="row">
        <input class="figures" type="text" autocomplete="off" spellcheck="false" aria-label="Value of ${part.ref} in ${letter}" list=${names.length > 0 ? `names-${slot}` : nothing}
          .value=${typed(setting.value ?? '')} @change=${(event: Event) => this.#read(part, slot, setting, controlValue(event))}
          @keydown=${(event: KeyboardEvent) => this.#restore(event, setting.value ?? '')} />
        ${names.length === 0 ? nothing : html`<datalist id="names-${slot}">${names.map((name) => html`<option value=${name}></option>`)}</datalist>`}
        ${
          part.kind === 'supply'
            ? nothing
            : html`<button aria-label="Next smaller value of ${part.ref} in ${letter}" @click=${() => step(-1)}>−</button>
              <button aria-label="Next larger value of ${part.ref} in ${letter}" @click=${() => step(1)}>+</button>`
        }
      </div>
    `;
  }

  #renderType(part: BuildPart, slot: Slot, setting: PartSetting) {
    const { kind } = part;
    const { type: own = '' } = setting;
    if (!hasType(kind)) return nothing;
    const temperatureK = kelvinOf(this.state.temperatureC);
    const shown = isPieceText(own) ? own : catalogueTypeOf(own);
    const owned = offeredAt(this.state, slot, part);
    const types = offeredTypes(kind, temperatureK).filter(
      ({ type }) => !owned || type === shown || owned.includes(type),
    );
    const pieces = this.#pieces(setting)
      .filter((piece) => piece.kind === kind)
      .map((piece) => offeredType(kind, pieceText(piece), temperatureK));
    const options = (offered: readonly OfferedType[]) =>
      offered.map(
        ({ type, figure }) =>
          html`<option value=${type} .selected=${live(type === shown)}>${typeName(type)} · ${figure}</option>`,
      );
    return html`
      <select class="figures" aria-label="Type of ${part.ref} in ${LETTER[slot]}" .value=${live(shown)}
        @change=${(event: Event) => this.#set(part, slot, withType(setting, controlValue(event)))}>
        ${pieces.length > 0 ? html`<optgroup label="measured pieces">${options(pieces)}</optgroup>` : nothing}
        ${[...new Set(types.map(({ family }) => family))].map(
          (family) => html`<optgroup label=${family}>
            ${options(types.filter((type) => type.family === family))}
          </optgroup>`,
        )}
      </select>
    `;
  }

  #renderTypeDetails(part: BuildPart, slot: Slot, setting: PartSetting) {
    const { kind } = part;
    const { type: own = '' } = setting;
    if (!hasType(kind)) return nothing;
    const chosen = offeredType(kind, own, kelvinOf(this.state.temperatureC));
    return html`
      ${isPieceText(own) ? nothing : this.#renderEnd(part, slot, setting)}
      <p class="small soft figures-line">${chosen.figures}${chosen.status !== 'current' ? `; ${chosen.status}` : ''}</p>
      ${this.#renderPins(part, slot, setting)}
    `;
  }

  /** A typical part, or a piece at an end of the spread of its type. */
  #renderEnd(part: BuildPart, slot: Slot, setting: PartSetting) {
    const own = setting.type ?? '';
    const type = catalogueTypeOf(own);
    return html`<label class="field"><span class="small soft" title="Parts of one type differ from piece to piece">piece</span>
      <select aria-label="Piece of ${part.ref} in ${LETTER[slot]}" @change=${(event: Event) => this.#set(part, slot, withType(setting, controlValue(event)))}>
        ${PIECES.map(([title, end]) => {
          const text = end ? endText(type, end) : type;
          return html`<option value=${text} .selected=${live(text === own)}>${title}</option>`;
        })}
      </select></label>`;
  }

  /** What a builder can name at a part: the pieces that stand there, those of both builds, and those that are kept. */
  #pieces(setting: PartSetting): readonly Piece[] {
    const { builds, measured } = this.state;
    const kept = measured.filter((part): part is Piece => !isPassive(part));
    const all = [...piecesIn(setting), ...piecesOf(builds.a), ...piecesOf(builds.b), ...kept];
    return [...new Map(all.map((piece) => [pieceText(piece), piece])).values()];
  }

  /** Case and legs of what is put in, against what the circuit starts with. */
  #renderPins({ ref }: BuildPart, slot: Slot, { type, fit }: PartSetting) {
    const start = startingBuild(this.state.builds[slot].circuit).parts[ref]?.type;
    if (type === undefined || start === undefined || fit !== undefined) return nothing;
    return html`<part-pins .type=${type} .start=${start}></part-pins>`;
  }

  #renderLaw(part: BuildPart, slot: Slot, setting: PartSetting) {
    return html`<label class="field"><span class="small soft">taper</span>
      <select @change=${(event: Event) => this.#set(part, slot, { ...withoutPiece(setting), law: controlValue(event) as PotLaw })}>
        ${this.#offeredLaws(part, slot, setting).map((law) => html`<option value=${law} .selected=${live(law === setting.law)}>${potTitle(law)}</option>`)}
      </select></label>
      <div class="law-row">${potCurve(setting.law ?? 'linear', this.#rotation(part.ref, slot))}
        <knob-matches .state=${this.state} .place=${part.ref} .slotName=${slot}></knob-matches></div>`;
  }

  /** Tapers of the drawer, where only what is owned is offered, and the present one. */
  #offeredLaws(part: BuildPart, slot: Slot, setting: PartSetting): readonly PotLaw[] {
    const laws = ownedLaws(this.state, slot, part.ref);
    return laws
      ? POT_LAWS.filter((law) => law === (setting.law ?? 'linear') || laws.includes(law))
      : POT_LAWS;
  }

  /** Its effect takes up to a tenth of a second: it must not be computed while it cannot be seen. */
  #renderEffectChoice(part: BuildPart, slot: Slot) {
    if (part.kind === 'diode') return this.#renderCapacitance(part, slot);
    if (part.kind !== 'capacitor') return nothing;
    return isPumpCapacitor(this.state.builds[slot].circuit, part.ref)
      ? html`<p class="small soft">The kind makes no difference here: in the model, the pump capacitor only sets the output resistance of the converter.</p>`
      : this.#renderDielectric(part, slot);
  }

  #renderDielectric(part: BuildPart, slot: Slot) {
    return html`<capacitor-kind .place=${part.ref} .build=${this.state.builds[slot]} .temperatureK=${kelvinOf(this.state.temperatureC)} .around=${surroundings(this.state, slot)} .slotName=${slot}
      @part-setting=${(event: CustomEvent<PartSetting>) => this.#set(part, slot, event.detail)}></capacitor-kind>`;
  }

  #renderCapacitance(part: BuildPart, slot: Slot) {
    return html`<diode-capacitance .place=${part.ref} .build=${this.state.builds[slot]} .temperatureK=${kelvinOf(this.state.temperatureC)} .around=${surroundings(this.state, slot)} .slotName=${slot}
      @part-setting=${(event: CustomEvent<PartSetting>) => this.#set(part, slot, event.detail)}></diode-capacitance>`;
  }

  #rotation(ref: string, slot: Slot): number {
    const build = this.state.builds[slot];
    return rotationOf(build, build.circuit, ref);
  }

  #renderCount(part: BuildPart, slot: Slot, setting: PartSetting) {
    return html`<label class="field"><span class="small soft">in series</span>
      <select @change=${(event: Event) => this.#set(part, slot, { ...setting, count: Number(controlValue(event)) })}>
        ${[1, 2, 3, 4, 5, 6].map((count) => html`<option .selected=${live(count === (setting.count ?? 1))}>${count}</option>`)}
      </select></label>`;
  }

  #renderFit(part: BuildPart, slot: Slot, { fit, ...fitted }: PartSetting) {
    return html`<div class="segments" role="radiogroup" aria-label="Fit of ${part.ref} in ${LETTER[slot]}">
      ${FITS.map(
        ([name, value]) => html`<label>
          <input type="radio" name="fit-${slot}" .checked=${live(fit === value)}
            @change=${() => this.#set(part, slot, value ? { ...fitted, fit: value } : fitted)} />${name}</label>`,
      )}
    </div>`;
  }

  #renderSecond(part: BuildPart, slot: Slot, setting: PartSetting) {
    const { piggyback, ...single } = setting;
    const read = (event: Event) => {
      const text = controlValue(event).trim();
      if (text === '') this.#set(part, slot, single);
      else this.#read(part, slot, setting, `${settingText(single)} // ${text}`);
    };
    return html`<label class="field"><span class="small soft" title="A second part soldered in parallel">piggyback</span>
      <input class="figures" type="text" autocomplete="off" spellcheck="false" placeholder="none"
        aria-label="Piggyback part of ${part.ref} in ${LETTER[slot]}" .value=${typed(typeName(piggyback ?? ''))}
        @change=${read} @keydown=${(event: KeyboardEvent) => this.#restore(event, typeName(piggyback ?? ''))} /></label>`;
  }

  /** Escape restores the old text of the field. */
  #restore(event: KeyboardEvent, text: string): void {
    if (event.key !== 'Escape') return;
    (event.target as HTMLInputElement).value = text;
    this.act({ type: 'dismiss' });
  }

  /** A value, or the name of a measured part. */
  #read(part: BuildPart, slot: Slot, setting: PartSetting, text: string): void {
    try {
      this.#set(part, slot, parseSettingText(part, text, setting, this.#pieces(setting)));
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.#readName(part, slot, text, setting, error.message);
    }
  }

  /** A measured part is put at this place alone: there is one of it. @param problem Why the text is no value. */
  #readName({ ref, kind }: BuildPart, slot: Slot, text: string, current: PartSetting, problem: string): void {
    const { measured } = this.state;
    try {
      const setting = namedSetting({ ref, kind }, text, current, measured);
      if (setting) this.act({ type: 'setPart', slot, ref, setting });
      else
        this.act({
          type: 'refuse',
          ref,
          slot,
          message: `${problem}${mayBeName(text) ? namesThere({ kind }, measured) : ''}`,
        });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.act({ type: 'refuse', ref, slot, message: error.message });
    }
  }

  #set(part: BuildPart, slot: Slot, setting: PartSetting): void {
    this.act(partChange(this.wanted(), slot, part.ref, setting, { drawn: this.state }));
  }
}

/** Values begin with a digit, or a letter and a digit. */
function mayBeName(text: string): boolean {
  return /^\s*(?![a-z]?\d|[.,]\d)\S/i.test(text) || / no\. /i.test(text);
}

/** Whether parts of a kind are measured one by one. */
function canBeMeasured(kind: BuildPart['kind']): boolean {
  return hasPieces(kind) || isPassive({ kind });
}

/** What is behind the fold. */
function detailsOf({ kind }: BuildPart): string {
  if (kind === 'diode') return 'Details: pieces, capacitance, piggyback, pins, figures';
  if (hasType(kind)) return 'Details: pieces, case and pins, figures';
  if (kind === 'capacitor') return 'Details: made as, piggyback, figures';
  return `Details: ${kind === 'resistor' ? 'piggyback, ' : ''}figures, name on my board`;
}
