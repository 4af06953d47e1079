import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import {
  capacitanceRangeEffect,
  type RangeConditions,
  SPEAKER_HZ,
} from '../../engine/analysis/capacitance-range-effect.ts';
import type { ResponseChange } from '../../engine/analysis/response-change.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import type { Surroundings } from '../../engine/builds/surroundings.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { CAPACITANCE_ENDS, capacitanceRange } from '../../engine/parts/diode-capacitance.ts';
import { diodeEntry } from '../../engine/parts/part-types.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { LaterValues } from '../later-values.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** A smaller change of the response is not heard, dB. */
const AUDIBLE_DB = 0.1;

/** Where in its range the capacitance of an LED is, and what low against high changes in its place; nothing for other diodes. */
@customElement('diode-capacitance')
export class DiodeCapacitanceChoice extends BenchElement {
  /** Reference designator of the diode. */
  @property() place = '';
  @property({ attribute: false }) build!: Build;
  /** Of the bench, K. */
  @property({ type: Number }) temperatureK!: number;
  @property({ attribute: false, hasChanged: isOther }) around!: Surroundings;
  @property() slotName: Slot = 'a';
  readonly #effect = new LaterValues<ResponseChange | undefined>(this);

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
    const hasRange = capacitanceRange(this.#setting().type!) !== undefined;
    this.#effect.want(
      hasRange ? [[this.#key(), () => effectOf(build, place, { temperatureK, around })]] : [],
    );
  }

  override render() {
    const { type = '', capacitance } = this.#setting();
    const range = capacitanceRange(type);
    if (!range) return nothing;
    const usual = diodeEntry(type).data.zeroBiasCapacitanceF;
    const options = [
      { end: undefined, title: 'usual', farads: usual },
      { end: 'low', title: 'low', farads: range.lowF },
      { end: 'high', title: 'high', farads: range.highF },
    ] as const;
    return html`
      <label><span class="soft">capacitance</span>
        <select aria-label="Capacitance of ${this.place} in ${LETTER[this.slotName]}" @change=${(event: Event) => this.#choose(controlValue(event))}>
          ${options.map(({ end, title, farads }) => html`<option value=${end ?? ''} .selected=${live(end === capacitance)}>${quantityText(farads, 'F')}, ${title}</option>`)}
        </select></label>
      <p>${this.#effectText()}</p>
      <p class="soft">Without voltage. Source of the range: ${range.source}.</p>
    `;
  }

  #effectText(): string {
    const effect = this.#effect.get(this.#key());
    if (!effect) return '';
    const { changeDb } = effect;
    const below = quantityText(SPEAKER_HZ, 'Hz');
    return Math.abs(changeDb) < AUDIBLE_DB
      ? `High instead of low changes a quiet signal below ${below} by less than 0.1 dB.`
      : `High instead of low changes a quiet signal below ${below} by up to ${quantityText(changeDb, 'dB')}; where the LED clips, by less.`;
  }

  #key(): string {
    return `${this.place} ${this.#setting().type}`;
  }

  #setting(): PartSetting {
    return this.build.parts[this.place] ?? {};
  }

  #choose(name: string): void {
    const { capacitance: _, ...rest } = this.#setting();
    const end = CAPACITANCE_ENDS.find((each) => each === name);
    const detail: PartSetting = end ? { ...rest, capacitance: end } : rest;
    this.dispatchEvent(new CustomEvent('part-setting', { detail }));
  }
}

/** The same surroundings are another object after each change of the bench. */
function isOther(one: unknown, before: unknown): boolean {
  return JSON.stringify(one) !== JSON.stringify(before);
}

/** Undefined where the build has no solution, which is said where it was swapped. */
function effectOf(build: Build, ref: string, conditions: RangeConditions): ResponseChange | undefined {
  try {
    return capacitanceRangeEffect(build, ref, conditions);
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}
