import { css, html } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import {
  type Instrument,
  LONGEST_CABLE_METRES,
  PICKUPS,
  type PickupName,
} from '../../../engine/builds/instrument.ts';
import { clockText } from '../../../engine/builds/swaps.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { typed } from '../typed.ts';
import { panelStyles } from './panel-styles.ts';

const NAMES = Object.keys(PICKUPS) as readonly PickupName[];

/** Pickup, controls and cable before the pedal: as parts for recordings, as a correction for a live guitar. */
@customElement('guitar-panel')
export class GuitarPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;

  static override styles = [
    sharedStyles,
    panelStyles,
    css`
      .field output {
        text-align: right;
      }
    `,
  ];

  override render() {
    const { guitar, source } = this.state;
    const isLive = source.kind === 'live';
    return html`
      <h3>Before the pedal</h3>
      <label class="option"><input type="checkbox" .checked=${live(guitar.isOn)}
        @change=${(event: Event) => this.act({ type: 'guitar', guitar: { ...guitar, isOn: (event.target as HTMLInputElement).checked } })} />
        ${isLive ? 'Correct for the interface’s input' : 'Add pickup and cable'}</label>
      <p class="soft small">${
        isLive
          ? 'An interface loads the pickup with 1 MΩ, a pedal with less. This makes the live sound what it would be at the pedal. It is right for a guitar that is plugged straight into the interface.'
          : 'For the plucked string and for recordings made through a buffer. A recording of a guitar that was plugged straight in has pickup and cable in it.'
      }</p>
      <fieldset ?disabled=${!guitar.isOn}>
        <label class="field small"><span>pickup</span>
          <select aria-label="Pickup" @change=${(event: Event) => this.#change({ pickup: controlValue(event) as PickupName })}>
            ${NAMES.map((name) => html`<option value=${name} .selected=${live(name === guitar.instrument.pickup)}>${PICKUPS[name].title}, ${PICKUPS[name].henries} H</option>`)}
          </select></label>
        ${(['volume', 'tone'] as const).map((name) => this.#renderTurn(name, guitar.instrument[name]))}
        <label class="field small"><span>cable</span>
          <input type="number" min="0" max=${LONGEST_CABLE_METRES} step="0.5" aria-label="Cable, metres" .value=${typed(String(guitar.instrument.cableMetres))}
            @change=${this.#readCable} /><span>m</span></label>
      </fieldset>
    `;
  }

  #renderTurn(name: 'volume' | 'tone', rotation: number) {
    const position = clockText(rotation);
    return html`<label class="field small"><span>${name}</span>
      <input type="range" min="0" max="1" step="0.05" .value=${live(String(rotation))} style="--turn: ${rotation}"
        aria-label="Guitar ${name}" aria-valuetext="${position} o’clock" @input=${(event: Event) => this.#change({ [name]: Number(controlValue(event)) })} />
      <output class="figures">${position}</output></label>`;
  }

  #readCable = (event: Event): void => {
    const field = event.target as HTMLInputElement;
    const metres = field.valueAsNumber;
    if (metres >= 0 && metres <= LONGEST_CABLE_METRES) this.#change({ cableMetres: metres });
    // The typed text may be out of range or not a number: the field shows the valid value.
    field.value = String(this.state.guitar.instrument.cableMetres);
  };

  #change(change: Partial<Instrument>): void {
    const { guitar } = this.state;
    this.act({ type: 'guitar', guitar: { ...guitar, instrument: { ...guitar.instrument, ...change } } });
  }
}
