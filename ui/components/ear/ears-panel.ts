import { css, html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { weeklyAllowanceSeconds } from '../../../engine/analysis/exposure.ts';
import type { EarDose } from '../../ear/ear-exposure.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { panelStyles } from './panel-styles.ts';

/** Levels below this are not shown. */
const QUIET_DBA = 40;

/** Level at the ear, if the headphones' data and the volts are known. */
@customElement('ears-panel')
export class EarsPanel extends BenchElement {
  @property({ attribute: false }) dose!: EarDose;
  /** The tone for the multimeter sounds. */
  @property({ type: Boolean }) isPlaying = false;
  /** Changes with every reading, so that the level is redrawn. */
  @property({ type: Number }) moment = 0;
  @state() private per: 'volt' | 'milliwatt' = 'milliwatt';
  @state() private problem = '';

  static override styles = [
    sharedStyles,
    panelStyles,
    css`
      .field {
        display: grid;
        grid-template-columns: minmax(0, 1fr) minmax(4rem, 6rem) auto;
        gap: var(--gap-2);
        align-items: center;
      }
    `,
  ];

  override render() {
    return html`
      <h2>Ears</h2>
      <p class="soft small">Loud sound damages hearing for good, and an overdrive makes quiet playing loud. Take pauses, and
        turn down before you plug in.</p>
      ${this.dose.calibration ? this.#renderLevel() : this.#renderForm()}
    `;
  }

  #renderLevel() {
    const { exposure } = this.dose;
    if (!exposure) return nothing;
    const { levelDba, dose } = exposure;
    const isHeard = levelDba > QUIET_DBA;
    const hours = weeklyAllowanceSeconds(levelDba) / 3600;
    const time = hours >= 1 ? `${hours.toFixed(0)} hours` : `${Math.max(1, hours * 60).toFixed(0)} minutes`;
    return html`
      <p class="figures">${isHeard ? `about ${levelDba.toFixed(0)} dB(A)` : `below ${QUIET_DBA} dB(A)`}</p>
      <p class="small">${isHeard && hours < 168 ? `At this level the weekly limit is reached in ${time}. ` : ''}Used since the
        page was opened: ${(100 * dose).toFixed(dose < 0.1 ? 1 : 0)} % of it.</p>
      <p class="soft small">An estimate after WHO/ITU-T H.870, 80 dB(A) for 40 hours a week, from your headphones’ data and
        your measured volts. The fit on the ear changes it by several dB.</p>
      <div class="row small"><button @click=${this.#forget}>Other headphones</button></div>
    `;
  }

  #renderForm() {
    return html`
      <p class="small soft">With your headphones’ sensitivity and the volts at their plug, the bench estimates the level at
        your ear. Without both it shows none.</p>
      <label class="field small">sensitivity, dB SPL at
        <input id="decibels" type="number" step="0.1" aria-label="Sensitivity in dB SPL" />
        <select aria-label="Sensitivity is given at" @change=${(event: Event) => {
          this.per = controlValue(event) as 'volt' | 'milliwatt';
        }}><option value="milliwatt">1 mW</option><option value="volt">1 V</option></select></label>
      ${
        this.per === 'milliwatt'
          ? html`<label class="field small">impedance <input id="ohms" type="number" min="1" step="1" aria-label="Impedance in ohms" /> Ω</label>`
          : nothing
      }
      <label class="field small">volts at the plug, tone playing, headphones plugged in but off your ears
        <input id="volts" type="number" min="0" step="0.001" aria-label="RMS volts with the tone" /> V RMS</label>
      <div class="row small">
        <button aria-pressed=${this.isPlaying} @click=${this.#playTone}>${this.isPlaying ? 'Stop the tone' : 'Play the tone'}</button>
        <button @click=${this.#take}>Use these values</button>
      </div>
      ${this.problem === '' ? nothing : html`<p class="problem small" role="alert">${this.problem}</p>`}
    `;
  }

  #number(id: string): number {
    return this.renderRoot.querySelector<HTMLInputElement>(`#${id}`)?.valueAsNumber ?? Number.NaN;
  }

  #playTone = (): void => {
    this.act({ type: 'tone', isPlaying: !this.isPlaying });
  };

  #take = (): void => {
    const decibels = this.#number('decibels');
    const impedanceOhms = this.per === 'milliwatt' ? this.#number('ohms') : 0;
    const toneV = this.#number('volts');
    if (!(decibels > 50 && decibels < 150))
      this.problem = 'A sensitivity lies between 50 and 150 dB SPL; see the data sheet.';
    else if (this.per === 'milliwatt' && !(impedanceOhms > 0))
      this.problem = 'The impedance is missing: 1 mW into how many ohms?';
    else if (!(toneV > 0 && toneV < 20))
      this.problem = 'The volts are missing: measure them at the plug while the tone plays.';
    else {
      this.problem = '';
      if (this.isPlaying) this.#playTone();
      this.dose.calibrate({ sensitivity: { decibels, per: this.per, impedanceOhms }, toneV });
      this.requestUpdate();
    }
  };

  #forget = (): void => {
    this.dose.calibrate(undefined);
    this.requestUpdate();
  };
}
