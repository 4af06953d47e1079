import { html, nothing } from 'lit';
import { customElement } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { capacitorKindEffect, type KindEffect } from '../../engine/analysis/capacitor-kind-effect.ts';
import type { PartSetting } from '../../engine/builds/build.ts';
import {
  CAPACITOR_KIND_NAMES,
  CAPACITOR_KINDS,
  type CapacitorKind,
} from '../../engine/parts/capacitor-kinds.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import { controlValue, LETTER } from './bench-element.ts';
import { AUDIBLE_DB, PartEffectChoice } from './part-effect-choice.ts';

/** What a capacitor is made of, and what this changes in its place. */
@customElement('capacitor-kind')
export class CapacitorKindChoice extends PartEffectChoice<KindEffect> {
  protected computeEffect(): KindEffect | undefined {
    const { build, place, temperatureK, around } = this;
    return capacitorKindEffect(build, place, { temperatureK, around });
  }

  override render() {
    const kind = this.setting().dielectric;
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
    const effect = this.effect();
    if (!effect) return '';
    const { volts, farads, changeDb, hz } = effect;
    const has = `${quantityText(farads, 'F')} at ${quantityText(Math.abs(volts), 'V')} of DC`;
    return Math.abs(changeDb) < AUDIBLE_DB
      ? `${has}: changes the response by less than 0.1 dB.`
      : `${has}: changes the response by up to ${quantityText(changeDb, 'dB')}, at ${quantityText(hz, 'Hz')}.`;
  }

  /** Of the present value; undefined where no kind is chosen. */
  protected effectKey(): string | undefined {
    const { dielectric } = this.setting();
    return dielectric === undefined ? undefined : `${this.place} ${dielectric}`;
  }

  #choose(name: string): void {
    const { dielectric: _, ...rest } = this.setting();
    const kind = CAPACITOR_KIND_NAMES.find((each) => each === name);
    const detail: PartSetting = kind ? { ...rest, dielectric: kind } : rest;
    this.dispatchEvent(new CustomEvent('part-setting', { detail }));
  }
}
