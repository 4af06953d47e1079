import { html } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { LONGEST_CABLE_METRES } from '../../../engine/builds/instrument.ts';
import { NEXT_INPUTS, type NextInput, type OutputLoad } from '../../../engine/builds/output-load.ts';
import { quantityText } from '../../../engine/units/quantity-text.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { typed } from '../typed.ts';
import { panelStyles } from './panel-styles.ts';

const INPUTS = Object.keys(NEXT_INPUTS) as readonly NextInput[];

/** Cable and next input after the pedal, as parts at its output. */
@customElement('output-load-panel')
export class OutputLoadPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;

  static override styles = [sharedStyles, panelStyles];

  override render() {
    const { isOn, load } = this.state.after;
    return html`
      <h3>After the pedal</h3>
      <label class="option"><input type="checkbox" .checked=${live(isOn)}
        @change=${(event: Event) => this.#act({ isOn: (event.target as HTMLInputElement).checked })} />
        Add a cable and the next input</label>
      <p class="soft small">They load the pedal’s output. With true bypass they also load the pickup while the pedal is off.</p>
      <fieldset ?disabled=${!isOn}>
        <label class="field small"><span>cable</span>
          <input type="number" min="0" max=${LONGEST_CABLE_METRES} step="0.5" aria-label="Cable after the pedal, metres"
            .value=${typed(String(load.cableMetres))} @change=${this.#readCable} /><span>m</span></label>
        <label class="field small"><span>into</span>
          <select aria-label="Next input" @change=${(event: Event) => this.#change({ input: controlValue(event) as NextInput })}>
            ${INPUTS.map((name) => html`<option value=${name} .selected=${live(name === load.input)}>${NEXT_INPUTS[name].title}, ${quantityText(NEXT_INPUTS[name].ohms, 'Ω')}</option>`)}
          </select></label>
      </fieldset>
    `;
  }

  #readCable = (event: Event): void => {
    const field = event.target as HTMLInputElement;
    const metres = field.valueAsNumber;
    if (metres >= 0 && metres <= LONGEST_CABLE_METRES) this.#change({ cableMetres: metres });
    // The typed text may be out of range or not a number: the field shows the valid value.
    field.value = String(this.state.after.load.cableMetres);
  };

  #change(change: Partial<OutputLoad>): void {
    this.#act({ load: { ...this.state.after.load, ...change } });
  }

  #act(change: Partial<BenchState['after']>): void {
    this.act({ type: 'after', after: { ...this.state.after, ...change } });
  }
}
