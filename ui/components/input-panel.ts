import { css, html, nothing, type PropertyValues } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { AudioState } from '../audio/audio-state.ts';
import { GainWatch, gainAdviceText } from '../audio/gain-advice.ts';
import { type KeptDevice, keptDevice, unlistedInputs } from '../audio/kept-devices.ts';
import type { InputDevice } from '../audio/live-input.ts';
import type { Source } from '../audio/prepared-source.ts';
import { RECORDINGS } from '../audio/recordings.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import type { BenchState } from '../state/bench-state.ts';
import { BenchElement, controlValue } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** Bottom and top of the level meter, dB of 1 V. */
const METER_RANGE_DB = [-60, 12] as const;
/** Peaks of hard strokes on common pickups, single-coil to hot humbucker; common practice, no source. */
const USUAL_PEAKS_V = { least: 0.1, most: 1 } as const;

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
  readonly #gain = new GainWatch();
  #advice = '';
  /** The live input of the last visit. */
  #last: KeptDevice | undefined;

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: grid;
        grid-template-columns: minmax(0, 1fr);
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
        position: relative;
        flex: 1;
        height: 0.75rem;
        min-width: 5rem;
        background: linear-gradient(to right, var(--ink-soft) var(--level), var(--line) var(--level));
      }
      .usual,
      .limit {
        position: absolute;
        inset: 0 auto 0 var(--from);
      }
      .usual {
        width: var(--span);
        border: 1px solid var(--ink);
        border-width: 0 1px 2px;
      }
      .limit {
        width: 3px;
        background: var(--warning);
      }
      .lamp {
        min-height: 1.25rem;
        padding: 0 var(--gap-1);
        color: var(--ink-soft);
        white-space: nowrap;
      }
      .lamp.clipped {
        border-color: var(--warning);
        background: var(--warning);
        color: var(--paper);
        font-weight: 700;
      }
      .reading {
        min-width: 5.2rem;
      }
      /* One line, so that nothing moves when something is said. */
      .level,
      .words {
        flex-wrap: nowrap;
        min-height: 1.75rem;
      }
      .words > span {
        min-width: 0;
        overflow: hidden;
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      .words .advice {
        flex: 1;
      }
      .words button {
        flex: none;
        min-height: 1.75rem;
      }
      /* Where there is no room for both, what to do goes before what the volts stand on. */
      @media (max-width: 1200px) {
        .words:has(.advice:not(:empty)) .assumption {
          display: none;
        }
      }
      @media (min-width: 741px) and (max-height: 860px) {
        .level {
          min-height: 1.25rem;
        }
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
            ${this.#renderUnlisted()}
            ${this.inputs.map(({ id, label }) => this.#option(`live ${id}`, label))}
          </optgroup>
          ${this.#option('none', 'Nothing')}
        </select>
        ${source.kind === 'live' ? this.#renderChannel(source) : nothing}
        <input id="file" type="file" hidden accept="audio/*,.wav,.flac" @change=${this.#chooseFile} />
      </div>
      ${this.#renderMeter()} ${this.#renderWords()}
    `;
  }

  #renderUnlisted() {
    const { source } = this.state;
    const chosenId = source.kind === 'live' ? source.deviceId : undefined;
    return unlistedInputs(this.inputs, chosenId, this.#last).map(({ id, label }) =>
      this.#option(`live ${id}`, label),
    );
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
        return `live ${source.deviceId}`;
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

  protected override willUpdate(changed: PropertyValues<this>): void {
    const { source, calibration } = this.state;
    // Not in every frame: storage may be slow.
    if (changed.has('inputs')) this.#last = keptDevice('input-device');
    const before = changed.get('state');
    if (before && before.source !== source) this.#gain.clear();
    if (source.kind !== 'live' || !changed.has('telemetry')) return;
    const advice = this.#gain.add(this.telemetry.inputPeakV / calibration.volts, performance.now());
    this.#advice = advice ? gainAdviceText(advice) : '';
  }

  #renderMeter() {
    const { inputPeakV } = this.telemetry;
    const { source, calibration } = this.state;
    const { least, most } = USUAL_PEAKS_V;
    const hasLimit = source.kind === 'live' || source.kind === 'file';
    return html`
      <div class="row small level">
        <span class="meter" style="--level: ${percent(shareOf(inputPeakV))}" role="meter" aria-label="Input level, peak volts"
          aria-valuemin="0" aria-valuemax="4" aria-valuenow=${inputPeakV.toFixed(3)} title="Frame: where the peaks of most pickups are, ${least} to ${most} V. Red line: the interface clips.">
          <span class="usual" style="--from: ${percent(shareOf(least))}; --span: ${percent(shareOf(most) - shareOf(least))}"></span>
          ${hasLimit ? html`<span class="limit" style="--from: ${percent(shareOf(calibration.volts))}"></span>` : nothing}
        </span>
        <span class="figures reading">${inputPeakV.toFixed(3)} V pk</span>
        ${this.#renderLamp()}
      </div>
    `;
  }

  /** Always there, so that nothing moves when it lights; a press puts it out. */
  #renderLamp() {
    return this.clips > 0
      ? html`<button class="lamp clipped" aria-label="clipped ${this.clips}×: clear the count" title="The interface was driven to full scale: turn its gain down. Click to clear."
        @click=${() => this.act({ type: 'clearClips' })}>clipped ${this.clips}×</button>`
      : html`<button class="lamp" disabled>no clips</button>`;
  }

  /** What the volts stand on, and what to do about the level or the browser. */
  #renderWords() {
    const { source } = this.state;
    const isScaled = source.kind === 'live' || source.kind === 'file';
    const kept = this.audio.input?.keptOn ?? [];
    const problem = kept.length > 0 ? `The browser kept on: ${kept.join(', ')}.` : '';
    const advice = source.kind === 'live' ? problem || this.#advice : '';
    return html`<div class="row small words">
      ${this.#renderAssumption()}
      <span class="advice ${problem === '' ? '' : 'problem'}" role="status" title=${advice}>${advice}</span>
      ${isScaled ? html`<button @click=${() => this.act({ type: 'guideCalibration' })}>Calibrate…</button>` : nothing}
    </div>`;
  }

  #renderAssumption() {
    const { source, calibration } = this.state;
    if (source.kind === 'recording')
      return html`<span class="assumption soft" title=${RECORDED_VOLTS}>${RECORDED_VOLTS}</span>`;
    if (source.kind !== 'live' && source.kind !== 'file') return nothing;
    const { volts, isMeasured } = calibration;
    return html`<span class="assumption" title="Interface clips at ${volts.toPrecision(3)} V peak">Clips at
      <span class="figures">${volts.toPrecision(3)} V</span>${isMeasured ? nothing : html`, <strong class="problem">a guess</strong>`}</span>`;
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

/** Place of a voltage on the meter, 0 to 1. */
function shareOf(volts: number): number {
  const decibels = 20 * Math.log10(Math.max(volts, 1e-6));
  const [low, high] = METER_RANGE_DB;
  return Math.min(1, Math.max(0, (decibels - low) / (high - low)));
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)}%`;
}
