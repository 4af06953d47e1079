import './ear/guitar-panel.ts';
import './ear/output-load-panel.ts';
import { css, html, nothing } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { type Pops, popPeakText, popSurroundingsText, popText } from '../../engine/analysis/pop.ts';
import { type Build, buildParts } from '../../engine/builds/build.ts';
import { parseSettingText, settingText } from '../../engine/builds/part-setting.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from '../state/bench-state.ts';
import { indexIn, isAlone } from '../state/chains.ts';
import { partChange } from '../state/chosen-parts.ts';
import { conditionsText } from '../state/conditions-text.ts';
import { surroundings } from '../state/played-network.ts';
import { BenchElement, LETTER } from './bench-element.ts';
import { segmentStyles } from './segment-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { typed } from './typed.ts';

/** What is around the builds: temperature, supply, bypass wiring, what comes before and after. Folded, it is one line. */
@customElement('conditions-panel')
export class ConditionsPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The state with the changes that are on their way to the screen. */
  @property({ attribute: false }) wanted: () => BenchState = () => this.state;
  /** What the footswitch of each build does, once it is known. */
  @property({ attribute: false }) pops: Readonly<Record<Slot, Pops | undefined>> = {
    a: undefined,
    b: undefined,
  };
  @query('details') private details!: HTMLDetailsElement;

  static override styles = [
    sharedStyles,
    segmentStyles,
    css`
      :host {
        min-width: 0;
      }
      summary {
        display: flex;
        gap: var(--gap-2);
        align-items: center;
        min-height: 1.75rem;
        font-size: var(--size-small);
        cursor: pointer;
        list-style: none;
      }
      summary::-webkit-details-marker {
        display: none;
      }
      summary::before {
        content: '';
        flex: none;
        width: 0.4em;
        height: 0.4em;
        margin: 0 0.2em;
        border: solid;
        border-width: 1.5px 1.5px 0 0;
        rotate: 45deg;
      }
      details[open] summary::before {
        rotate: -45deg;
      }
      summary strong {
        font-weight: 600;
      }
      .line {
        min-width: 0;
        overflow: hidden;
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      /*
       * Over the sheet, which stays where it is: the builds can be switched while this is open. Its place is the bench's,
       * above the line that this stands in and not wider than that.
       */
      .body {
        position: absolute;
        z-index: 4;
        bottom: 100%;
        left: 0;
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(100%, 19rem), 1fr));
        gap: var(--gap-3) var(--gap-6);
        width: min(46rem, 100%);
        max-height: min(30rem, calc(100dvh - 15rem));
        overflow-y: auto;
        padding: var(--gap-4);
        background: var(--sheet);
        border: 1px solid var(--line-strong);
        border-radius: var(--radius);
        box-shadow: var(--shadow);
      }
      .body > div {
        display: grid;
        gap: var(--gap-3);
        align-content: start;
        min-width: 0;
      }
      h3 {
        font-size: var(--size-small);
        font-weight: 600;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-1) var(--gap-2);
        align-items: center;
        min-height: 1.75rem;
      }
      .row + .row {
        margin-top: var(--gap-1);
      }
      input[type='number'],
      input[type='text'] {
        width: 4.5rem;
        min-height: 1.75rem;
        font-variant-numeric: tabular-nums;
      }
      .of-a {
        --accent: var(--a);
      }
      .of-b {
        --accent: var(--b);
      }
      /* What stands above and below is higher there. */
      @media (pointer: coarse) and (min-width: 741px) {
        .body {
          max-height: min(30rem, calc(100dvh - 24rem));
        }
      }
      /* On a phone it has a page with room below it. */
      @media (max-width: 740px) {
        .body {
          position: static;
          width: auto;
          max-height: none;
          box-shadow: none;
        }
      }
    `,
  ];

  override render() {
    const texts = conditionsText(this.state);
    return html`
      <details @keydown=${this.#onKey}>
        <summary><strong>Conditions</strong><span class="line soft" title=${texts.join(', ')}>${texts.join(' · ')}</span></summary>
        <div class="body" role="group" aria-label="Conditions">
          <div>
            ${this.#renderTemperature()}
            <div role="group" aria-labelledby="supply"><h3 id="supply">Supply</h3>${SLOTS.map((slot) => this.#renderSupply(slot))}</div>
            <div><h3>Bypass</h3>${SLOTS.map((slot) => this.#renderBypass(slot))}</div>
          </div>
          <div>
            <guitar-panel .state=${this.state}></guitar-panel>
            <output-load-panel .state=${this.state}></output-load-panel>
          </div>
        </div>
      </details>
    `;
  }

  #renderTemperature() {
    const { lowest, highest } = TEMPERATURE_RANGE_C;
    return html`<label class="row" title="Diodes and transistors of both builds change with it">
      <h3>Temperature</h3>
      <input type="number" min=${lowest} max=${highest} step="1" .value=${typed(String(this.state.temperatureC))}
        aria-label="Temperature of the bench, degrees Celsius"
        @change=${(event: Event) => this.#setTemperature(event.target as HTMLInputElement)} />
      °C
    </label>`;
  }

  #setTemperature(field: HTMLInputElement): void {
    const { lowest, highest } = TEMPERATURE_RANGE_C;
    const celsius = field.valueAsNumber;
    if (celsius >= lowest && celsius <= highest) {
      this.act({ type: 'temperature', celsius });
      return;
    }
    this.#refuse('', undefined, `"${field.value}" °C is out of range. Choose ${lowest} to ${highest} °C.`);
    field.value = String(this.state.temperatureC);
  }

  #renderSupply(slot: Slot) {
    const build = this.state.builds[slot];
    const ref = build.circuit.roles.supply;
    const text = settingText(build.parts[ref] ?? {});
    return html`<label class="row">
      <span class="letter ${slot}">${LETTER[slot]}</span>${this.#pedal(slot)}
      <input type="text" class="figures" autocomplete="off" spellcheck="false" aria-label="Supply of ${this.#name(slot)}, volts"
        .value=${typed(text)} @change=${(event: Event) => this.#setSupply(slot, ref, event.target as HTMLInputElement)} />
      <span class="small soft figures">${ref}</span>
    </label>`;
  }

  /** In a chain, which pedal of it. */
  #pedal(slot: Slot) {
    const place = this.state.places[slot];
    return isAlone(place) ? nothing : html`<span class="small soft">pedal ${indexIn(place) + 1}</span>`;
  }

  #name(slot: Slot): string {
    const place = this.state.places[slot];
    return isAlone(place) ? `build ${LETTER[slot]}` : `pedal ${indexIn(place) + 1} of ${LETTER[slot]}`;
  }

  #setSupply(slot: Slot, ref: string, field: HTMLInputElement): void {
    const build = this.state.builds[slot];
    const part = buildParts(build.circuit).find((each) => each.ref === ref);
    const before = build.parts[ref] ?? {};
    if (!part) return;
    try {
      const setting = parseSettingText(part, field.value, before);
      this.act(partChange(this.wanted(), slot, ref, setting, { drawn: this.state }));
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.#refuse(ref, slot, error.message);
      field.value = settingText(before);
    }
  }

  #refuse(ref: string, slot: Slot | undefined, message: string): void {
    this.act({ type: 'refuse', ref, slot, message });
  }

  #renderBypass(slot: Slot) {
    const { bypass, circuit } = this.state.builds[slot];
    return html`<div class="row of-${slot}">
      <span class="letter ${slot}">${LETTER[slot]}</span>${this.#pedal(slot)}
      <span class="segments" role="radiogroup" aria-label="Bypass of ${this.#name(slot)}">${circuit.bypass.kinds.map(
        (kind) => html`<label>
          <input type="radio" name="bypass-${slot}" .checked=${live(kind === bypass)} @change=${() => this.#setBypass(slot, kind)} />
          ${kind}
        </label>`,
      )}</span>
      ${this.#renderPops(slot)}
    </div>`;
  }

  #setBypass(slot: Slot, bypass: Build['bypass']): void {
    this.act({ type: 'setBypass', slot, bypass });
  }

  /** The louder pop of the two directions; both are in the tip. */
  #renderPops(slot: Slot) {
    const pops = this.pops[slot];
    if (!pops) return nothing;
    const louder = pops.on.peakV > pops.bypassed.peakV ? pops.on : pops.bypassed;
    return html`<output class="figures small" aria-label="Pop of the footswitch of ${this.#name(slot)}"
      title="Footswitch, nothing played: effect on ${popText(pops.on)}; bypassed ${popText(pops.bypassed)}. Capacitors leak as much as their data sheets allow. ${popSurroundingsText(surroundings(this.state, slot))}">pop ${popPeakText(louder)}</output>`;
  }

  #onKey = (event: KeyboardEvent): void => {
    if (event.key !== 'Escape' || !this.details.open) return;
    event.stopPropagation();
    this.details.open = false;
    this.details.querySelector('summary')?.focus();
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'conditions-panel': ConditionsPanel;
  }
}
