import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { dbuToVolts, voltsToDbu } from '../../engine/units/decibels.ts';
import type { AudioState } from '../audio/audio-session.ts';
import type { InputDevice } from '../audio/live-input.ts';
import type { Source } from '../audio/prepared-source.ts';
import { RECORDINGS } from '../audio/recordings.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import type { BenchState } from '../state/bench-state.ts';
import { BenchElement, controlValue } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';
import { typed } from './typed.ts';

/** Bottom and top of the level meter, dB of 1 V. */
const METER_RANGE_DB = [-60, 12] as const;

const RECORDED_VOLTS = 'Scaled to 0.3 V peak, like a single-coil. May include an amplifier.';

/** The source, its level, and how its volts are known. */
@customElement('input-panel')
export class InputPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) audio!: AudioState;
  @property({ attribute: false }) telemetry!: Telemetry;
  /** Clips of the input since they were cleared. */
  @property({ type: Number }) clips = 0;
  @property({ attribute: false }) inputs: readonly InputDevice[] = [];

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: grid;
        gap: var(--gap-1);
        align-content: start;
      }
      .row {
        display: flex;
        gap: var(--gap-2);
        align-items: center;
        flex-wrap: wrap;
      }
      .row > select:first-of-type {
        flex: 1;
        min-width: 9rem;
      }
      .meter {
        flex: 1;
        height: 0.55rem;
        min-width: 5rem;
        background: linear-gradient(to right, var(--ink-soft) var(--level), var(--line) var(--level));
      }
      .clipped {
        color: var(--warning);
        font-weight: 700;
      }
      .clipped + button {
        min-height: 1.5rem;
      }
      input[type='number'] {
        width: 5rem;
      }
      .assumption {
        overflow: hidden;
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      @media (max-width: 700px) {
        .assumption {
          display: none;
        }
      }
      .reading {
        min-width: 5.2rem;
      }
    `,
  ];

  override render() {
    const { source } = this.state;
    return html`
      <div class="row">
        <select aria-label="Input" @change=${this.#choose}>
          <optgroup label="Recordings">
            ${RECORDINGS.map(({ id, title }) => this.#option(`recording ${id}`, title))}
          </optgroup>
          ${this.#option('string', 'Plucked string, synthesised')}
          ${source.kind === 'file' ? this.#option('file', `File: ${source.file.name}`) : nothing}
          ${this.#option('choose-file', 'Own recording…')}
          ${this.#renderRiffs()}
          <optgroup label="Live instrument">
            ${this.inputs.length === 0 ? this.#option('live ', 'Open an input…') : nothing}
            ${this.inputs.map(({ id, label }) => this.#option(`live ${id}`, label))}
          </optgroup>
          ${this.#option('none', 'Nothing')}
        </select>
        ${source.kind === 'live' ? this.#renderChannel(source) : nothing}
        <input id="file" type="file" hidden accept="audio/*,.wav,.flac" @change=${this.#chooseFile} />
      </div>
      ${this.#renderMeter()} ${source.kind === 'live' || source.kind === 'file' ? this.#renderCalibration() : this.#renderAssumption()}
      ${this.#renderFacts()}
    `;
  }

  #renderRiffs() {
    const { riffs } = this.state.ear;
    if (riffs.length === 0) return nothing;
    return html`<optgroup label="Riff loops">${riffs.map(({ id, name }) => this.#option(`riff ${id}`, name))}</optgroup>`;
  }

  #option(value: string, text: string) {
    return html`<option value=${value} .selected=${live(value === this.#value())}>${text}</option>`;
  }

  #value(): string {
    const { source } = this.state;
    switch (source.kind) {
      case 'recording':
      case 'riff':
        return `${source.kind} ${source.id}`;
      case 'live':
        return this.inputs.some(({ id }) => id === source.deviceId) ? `live ${source.deviceId}` : 'live ';
      default:
        return source.kind;
    }
  }

  #renderChannel(source: Source & { kind: 'live' }) {
    return html`<select aria-label="Channel of the interface"
      @change=${(event: Event) => this.act({ type: 'source', source: { ...source, channel: controlValue(event) === '1' ? 1 : 0 } })}>
      <option value="0" .selected=${live(source.channel === 0)}>channel 1</option>
      <option value="1" .selected=${live(source.channel === 1)}>channel 2</option>
    </select>`;
  }

  #renderMeter() {
    const { inputPeakV } = this.telemetry;
    const decibels = 20 * Math.log10(Math.max(inputPeakV, 1e-6));
    const [low, high] = METER_RANGE_DB;
    const share = Math.min(1, Math.max(0, (decibels - low) / (high - low)));
    return html`
      <div class="row small">
        <span class="meter" style="--level: ${(100 * share).toFixed(1)}%" role="meter" aria-label="Input level, peak volts"
          aria-valuemin="0" aria-valuemax="4" aria-valuenow=${inputPeakV.toFixed(3)}></span>
        <span class="figures reading">${inputPeakV.toFixed(3)} V pk</span>
        ${this.clips > 0 ? this.#renderClips() : nothing}
      </div>
    `;
  }

  #renderClips() {
    return html`<span class="clipped" title="The interface was driven to full scale: turn its gain down">clipped ${this.clips}×</span>
      <button class="small" aria-label="Clear the count of clips" @click=${() => this.act({ type: 'clearClips' })}>Clear</button>`;
  }

  #renderAssumption() {
    return this.state.source.kind === 'recording'
      ? html`<p class="assumption small soft" title=${RECORDED_VOLTS}>${RECORDED_VOLTS}</p>`
      : nothing;
  }

  #renderCalibration() {
    const { volts, isMeasured } = this.state.calibration;
    const set = (value: number) => {
      if (value > 0 && value < 1000)
        this.act({ type: 'calibrate', calibration: { volts: value, isMeasured: true } });
      else
        this.act({
          type: 'refuse',
          ref: '',
          slot: undefined,
          message: '“Interface clips at” needs a number of volts between 0 and 1000.',
        });
    };
    // Full scale as peak volts; dBu is the level of the sine that reaches it.
    const dbu = voltsToDbu(volts / Math.SQRT2);
    return html`
      <div class="row small">
        <label>Interface clips at
          <input type="number" step="any" min="0" .value=${typed(volts.toPrecision(4))} @change=${(event: Event) => set(Number(controlValue(event)))} /> V pk</label>
        <label>or <input type="number" step="any" .value=${typed(dbu.toFixed(1))}
          @change=${(event: Event) => set(Math.SQRT2 * dbuToVolts(Number(controlValue(event))))} /> dBu</label>
        <button @click=${() => this.act({ type: 'guideCalibration' })}>Measure…</button>
        ${this.#renderKept()}
        ${isMeasured ? nothing : html`<strong class="problem" title="Enter the maximum input level from the interface’s manual, or measure it">not calibrated: volts are a guess</strong>`}
      </div>
    `;
  }

  /** Gain positions that were measured before. */
  #renderKept() {
    const { calibrations, calibration } = this.state;
    if (calibrations.length === 0) return nothing;
    const choose = (event: Event) => {
      const kept = calibrations.find(({ position }) => position === controlValue(event));
      if (kept) this.act({ type: 'calibrate', calibration: { volts: kept.volts, isMeasured: true } });
    };
    return html`<select aria-label="Measured gain position" @change=${choose}>
      <option value="">gain position…</option>
      ${calibrations.map(({ position, volts }) => html`<option value=${position} .selected=${live(volts === calibration.volts)}>${position}</option>`)}
    </select>`;
  }

  #renderFacts() {
    const { input } = this.audio;
    if (!input) return nothing;
    const kept =
      input.keptOn.length > 0
        ? html`<span class="problem">The browser kept on: ${input.keptOn.join(', ')}.</span>`
        : 'No processing by the browser.';
    return html`<p class="small soft">${input.label}${input.sampleRateHz ? `, ${input.sampleRateHz} Hz` : ''}${input.channelCount ? `, ${input.channelCount} channel${input.channelCount > 1 ? 's' : ''}` : ''}. ${kept}</p>`;
  }

  #choose(event: Event): void {
    const [kind, id = ''] = controlValue(event).split(/ (.*)/, 2);
    if (kind === 'choose-file') {
      this.renderRoot.querySelector<HTMLInputElement>('#file')?.click();
      this.requestUpdate();
      (event.target as HTMLSelectElement).value = this.#value();
      return;
    }
    const source = this.#sourceOf(kind ?? '', id);
    if (source) this.act({ type: 'source', source });
  }

  #sourceOf(kind: string, id: string): Source | undefined {
    switch (kind) {
      case 'recording':
      case 'riff':
        return { kind, id };
      case 'string':
      case 'none':
        return { kind };
      case 'live':
        return { kind, deviceId: id, channel: 0 };
      default:
        return undefined;
    }
  }

  #chooseFile(event: Event): void {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    if (file) this.act({ type: 'source', source: { kind: 'file', file } });
    input.value = '';
  }
}
