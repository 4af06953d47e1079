import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { dbuToVolts, voltsToDbu } from '../../engine/units/decibels.ts';
import type { AudioState } from '../audio/audio-state.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import type { BenchState } from '../state/bench-state.ts';
import { fullScaleVolts } from '../state/kept-calibrations.ts';
import { BenchElement, controlValue } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { typed } from './typed.ts';

const STILL_MUTED = 'Still muted: remove the cable between output and input, then press Listen.';

const REFUSED_VOLTS = '“Interface clips at” needs a number of volts between 0 and 1000.';

/** Says or measures what the interface's full scale is in volts: a tone out, a multimeter, a cable back in. */
@customElement('calibration-guide')
export class CalibrationGuide extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) audio!: AudioState;
  @property({ attribute: false }) telemetry!: Telemetry;
  @state() private meterVolts = 0;
  @state() private position = '';
  @query('dialog') private dialog!: HTMLDialogElement;
  #wasListening = false;
  #hasPlayed = false;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      dialog {
        width: min(38rem, 92vw);
      }
      li {
        margin: 0 0 var(--gap-3) 1.2rem;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
      }
      h3 {
        margin: var(--gap-4) 0 var(--gap-2);
      }
      p {
        margin: var(--gap-2) 0;
      }
      .end {
        justify-content: flex-end;
      }
      input {
        width: 8rem;
      }
    `,
  ];

  /** Shows the guide; the builds are muted, since the tone would go through them in a loop. */
  open(): void {
    this.#wasListening = this.state.isListening;
    this.#hasPlayed = false;
    this.act({ type: 'listen', isListening: false });
    this.dialog.showModal();
  }

  override render() {
    const returned = this.telemetry.inputRmsV / this.state.calibration.volts;
    const isLive = this.state.source.kind === 'live';
    const volts = isLive ? fullScaleVolts(this.meterVolts, returned) : undefined;
    return html`
      <dialog aria-labelledby="calibration" @close=${this.#onClose}>
        <h2 id="calibration">At how many volts does the interface clip?</h2>
        <p>${this.#inputText()}The builds are muted while this is open.</p>
        ${this.#renderKnown()}
        <h3>Or measure it</h3>
        <p><strong class="problem">Take the headphones off your ears and unplug them: the tone is loud.</strong></p>
        <ol>
          <li>Set the interface’s input gain where you play, and connect
            an output of the interface to a multimeter on AC volts.</li>
          <li><span class="row"><button aria-pressed=${this.audio.playsTone} @click=${this.#toggleTone}>${this.audio.playsTone ? 'Stop the tone' : 'Play 150 Hz'}</button>
            and turn the output up until the meter reads about half a volt.</span></li>
          <li><label>The meter reads
            <input type="number" min="0" step="any" aria-label="Reading of the multimeter, volts RMS"
              @input=${(event: Event) => (this.meterVolts = Number(controlValue(event)))} /> V RMS</label></li>
          <li>Leave the level as it is and move the cable to the interface’s input. ${isLive ? nothing : html`<strong class="problem">Choose that input as live instrument first.</strong>`}
            <span role="status">${isLive ? html`It comes back at <span class="figures">${(100 * returned).toFixed(1)} %</span> of full scale${this.#levelAdvice(returned)}` : nothing}</span></li>
          <li><label>Name of this gain position
            <input type="text" .value=${this.position} placeholder="gain at 10 o’clock"
              @input=${(event: Event) => (this.position = controlValue(event))} /></label></li>
        </ol>
        <div class="row end">
          <span>${volts === undefined ? 'Not measured yet.' : html`It clips at <strong class="figures">${volts.toFixed(3)} V</strong> peak.`}</span>
          <button @click=${() => this.dialog.close()}>Close</button>
          <button ?disabled=${volts === undefined || this.position.trim() === ''} @click=${() => this.#keep(volts)}>Keep</button>
        </div>
      </dialog>
    `;
  }

  /** What the browser says of the open input. */
  #inputText(): string {
    const { input } = this.audio;
    if (!input) return '';
    const { label, sampleRateHz, channelCount, keptOn } = input;
    const rate = sampleRateHz ? `, ${sampleRateHz} Hz` : '';
    const channels = channelCount ? `, ${channelCount} channel${channelCount > 1 ? 's' : ''}` : '';
    const kept =
      keptOn.length > 0 ? `The browser kept on: ${keptOn.join(', ')}` : 'No processing by the browser';
    return `${label}${rate}${channels}. ${kept}. `;
  }

  #renderKnown() {
    const { volts, isMeasured } = this.state.calibration;
    // Full scale as peak volts; dBu is the level of the sine that reaches it.
    const dbu = voltsToDbu(volts / Math.SQRT2);
    return html`
      <div class="row">
        <label>Interface clips at
          <input type="number" step="any" min="0" .value=${typed(volts.toPrecision(4))} @change=${(event: Event) => this.#set(Number(controlValue(event)))} /> V pk</label>
        <label>or <input type="number" step="any" .value=${typed(dbu.toFixed(1))}
          @change=${(event: Event) => this.#set(Math.SQRT2 * dbuToVolts(Number(controlValue(event))))} /> dBu</label>
        ${this.#renderKept()}
      </div>
      <p class="small">${isMeasured ? nothing : html`<strong class="problem">Not calibrated: volts are a guess.</strong> `}The
        manual of the interface gives its maximum input level in dBu.</p>
    `;
  }

  #set(volts: number): void {
    if (volts > 0 && volts < 1000) this.act({ type: 'calibrate', calibration: { volts, isMeasured: true } });
    else this.act({ type: 'refuse', ref: '', slot: undefined, message: REFUSED_VOLTS });
  }

  /** Gain positions that were measured before. */
  #renderKept() {
    const { calibrations, calibration } = this.state;
    if (calibrations.length === 0) return nothing;
    const choose = (event: Event) => {
      const kept = calibrations.find(({ position }) => position === controlValue(event));
      if (kept) this.#set(kept.volts);
    };
    return html`<select aria-label="Measured gain position" @change=${choose}>
      <option value="">gain position…</option>
      ${calibrations.map(({ position, volts }) => html`<option value=${position} .selected=${live(volts === calibration.volts)}>${position}</option>`)}
    </select>`;
  }

  #levelAdvice(returned: number): string {
    if (returned < 0.02) return ': too little to measure, raise the tone.';
    return returned > 0.69 ? ': at full scale, lower the tone and read the meter again.' : '.';
  }

  #toggleTone(): void {
    this.#hasPlayed = true;
    this.act({ type: 'tone', isPlaying: !this.audio.playsTone });
  }

  #keep(volts: number | undefined): void {
    if (volts === undefined) return;
    this.act({ type: 'keepCalibration', kept: { position: this.position.trim(), volts } });
    this.dialog.close();
  }

  /** Listens again, unless a cable may connect output and input: that would howl. */
  #onClose(): void {
    this.act({ type: 'tone', isPlaying: false });
    if (!this.#wasListening) return;
    const mayHowl = this.#hasPlayed && this.state.source.kind === 'live';
    if (mayHowl) this.act({ type: 'refuse', ref: '', slot: undefined, message: STILL_MUTED });
    else this.act({ type: 'listen', isListening: true });
  }
}
