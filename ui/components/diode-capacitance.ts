import { html, nothing } from 'lit';
import { customElement } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { capacitanceRangeEffect, SPEAKER_HZ } from '../../engine/analysis/capacitance-range-effect.ts';
import type { ResponseChange } from '../../engine/analysis/response-change.ts';
import type { PartSetting } from '../../engine/builds/build.ts';
import { CAPACITANCE_ENDS, capacitanceRange } from '../../engine/parts/diode-capacitance.ts';
import { diodeEntry } from '../../engine/parts/part-types.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import { controlValue, LETTER } from './bench-element.ts';
import { AUDIBLE_DB, PartEffectChoice } from './part-effect-choice.ts';

/** Where in its range the capacitance of an LED is, and what low against high changes in its place; nothing for other diodes. */
@customElement('diode-capacitance')
export class DiodeCapacitanceChoice extends PartEffectChoice<ResponseChange> {
  protected computeEffect(): ResponseChange {
    const { build, place, temperatureK, around } = this;
    return capacitanceRangeEffect(build, place, { temperatureK, around });
  }

  override render() {
    const { type = '', capacitance } = this.setting();
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
      <p class="soft">At 0 V. Source of the range: ${range.source}.</p>
    `;
  }

  #effectText(): string {
    const effect = this.effect();
    if (!effect) return '';
    const { changeDb } = effect;
    const below = quantityText(SPEAKER_HZ, 'Hz');
    return Math.abs(changeDb) < AUDIBLE_DB
      ? `High instead of low changes a quiet signal below ${below} by less than 0.1 dB.`
      : `High instead of low changes a quiet signal below ${below} by up to ${quantityText(changeDb, 'dB')}; where the LED clips, by less.`;
  }

  protected effectKey(): string | undefined {
    const { type = '' } = this.setting();
    return capacitanceRange(type) === undefined ? undefined : `${this.place} ${type}`;
  }

  #choose(name: string): void {
    const { capacitance: _, ...rest } = this.setting();
    const end = CAPACITANCE_ENDS.find((each) => each === name);
    const detail: PartSetting = end ? { ...rest, capacitance: end } : rest;
    this.dispatchEvent(new CustomEvent('part-setting', { detail }));
  }
}
