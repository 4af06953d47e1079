import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import {
  capacitorKindEffect,
  type KindConditions,
  type KindEffect,
} from '../../engine/analysis/capacitor-kind-effect.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import type { Surroundings } from '../../engine/builds/surroundings.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import {
  CAPACITOR_KIND_NAMES,
  CAPACITOR_KINDS,
  type CapacitorKind,
} from '../../engine/parts/capacitor-kinds.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { LaterValues } from '../later-values.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** A smaller change of the response is not heard, dB. */
const AUDIBLE_DB = 0.1;

/** What a capacitor is made of, and what this changes in its place. */
@customElement('capacitor-kind')
export class CapacitorKindChoice extends BenchElement {
  /** Reference designator of the capacitor. */
  @property() place = '';
  @property({ attribute: false }) build!: Build;
  /** Of the bench, K. */
  @property({ type: Number }) temperatureK!: number;
  @property({ attribute: false, hasChanged: isOther }) around!: Surroundings;
  @property() slotName: Slot = 'a';
  readonly #effect = new LaterValues<KindEffect | undefined>(this);

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: grid;
        gap: var(--gap-1);
        font-size: var(--size-small);
      }
      label {
        display: grid;
        grid-template-columns: auto minmax(0, 1fr);
        gap: var(--gap-2);
        align-items: center;
      }
    `,
  ];

  protected override willUpdate(changed: Map<PropertyKey, unknown>): void {
    const decides = ['place', 'build', 'temperatureK', 'around'];
    if (!decides.some((name) => changed.has(name))) return;
    const { build, place, temperatureK, around } = this;
    const key = this.#key();
    this.#effect.want(
      key === undefined ? [] : [[key, () => effectOf(build, place, { temperatureK, around })]],
    );
  }

  override render() {
    const kind = this.#setting().dielectric;
    return html`
      <label><span class="soft">made as</span>
        <select aria-label="${this.place} in ${LETTER[this.slotName]}: made as" @change=${(event: Event) => this.#choose(controlValue(event))}>
          <option value="" .selected=${live(kind === undefined)}>ideal capacitor</option>
          ${CAPACITOR_KIND_NAMES.map((name) => html`<option value=${name} .selected=${live(name === kind)}>${CAPACITOR_KINDS[name].title}</option>`)}
        </select></label>
      ${kind === undefined ? nothing : this.#renderEffect(kind)}
    `;
  }

  #renderEffect(kind: CapacitorKind) {
    const { says, source } = CAPACITOR_KINDS[kind];
    return html`<p>${this.#effectText()}</p>
      <p class="soft">${says} Source: ${source}.</p>`;
  }

  #effectText(): string {
    const effect = this.#effect.get(this.#key() ?? '');
    if (!effect) return '';
    const { volts, farads, changeDb, hz } = effect;
    const has = `${quantityText(farads, 'F')} at ${quantityText(Math.abs(volts), 'V')} of DC`;
    return Math.abs(changeDb) < AUDIBLE_DB
      ? `${has}: changes the response by less than 0.1 dB.`
      : `${has}: changes the response by up to ${quantityText(changeDb, 'dB')}, at ${quantityText(hz, 'Hz')}.`;
  }

  /** Of the present value; undefined where no kind is chosen. */
  #key(): string | undefined {
    const { dielectric } = this.#setting();
    return dielectric === undefined ? undefined : `${this.place} ${dielectric}`;
  }

  #setting(): PartSetting {
    return this.build.parts[this.place] ?? {};
  }

  #choose(name: string): void {
    const { dielectric: _, ...rest } = this.#setting();
    const kind = CAPACITOR_KIND_NAMES.find((each) => each === name);
    const detail: PartSetting = kind ? { ...rest, dielectric: kind } : rest;
    this.dispatchEvent(new CustomEvent('part-setting', { detail }));
  }
}

/** The same surroundings are another object after each change of the bench. */
function isOther(one: unknown, before: unknown): boolean {
  return JSON.stringify(one) !== JSON.stringify(before);
}

/** Undefined where the build has no solution, which is said where it was swapped. */
function effectOf(build: Build, ref: string, conditions: KindConditions): KindEffect | undefined {
  try {
    return capacitorKindEffect(build, ref, conditions);
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}
