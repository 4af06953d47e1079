import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { AudioState } from '../audio/audio-state.ts';
import { playedDelay } from '../audio/delay-verdict.ts';
import { dropoutsText } from '../audio/dropouts.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import { rateSentence, rateWord } from '../rate/live-rate.ts';
import { type BenchState, OUTPUT_RANGE_DB } from '../state/bench-state.ts';
import { BenchElement, controlValue } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** Sound on or off, output level, speaker filter, and delay. */
@customElement('output-panel')
export class OutputPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) audio!: AudioState;
  @property({ attribute: false }) telemetry!: Telemetry;

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
        gap: var(--gap-3);
        align-items: center;
        flex-wrap: wrap;
      }
      .listen {
        min-width: 7rem;
        min-height: 2.4rem;
        font-weight: 600;
      }
      label.level {
        flex: 1;
        min-width: 9rem;
        display: grid;
        grid-template-columns: 1fr 4rem;
        gap: var(--gap-2);
        align-items: center;
      }
      :host([data-rest]) .listen,
      :host([data-brief]) :is(label, .facts) {
        display: none;
      }
      @media (max-width: 740px) {
        .row {
          gap: var(--gap-2);
        }
        .listen,
        label.level {
          width: 100%;
        }
      }
      /* One line each, so that nothing moves when sound starts; the tip has the whole of it. */
      .numbers {
        min-height: 1.4em;
        overflow: hidden;
        font-variant-numeric: tabular-nums;
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      @media (max-width: 1500px) {
        .detail {
          display: none;
        }
      }
      @media (min-width: 741px) and (max-height: 860px) {
        .row {
          gap: var(--gap-2);
        }
        .listen {
          min-width: 5rem;
          min-height: 2.1rem;
        }
        label.level {
          min-width: 6rem;
          grid-template-columns: 1fr 3.2rem;
        }
      }
      .facts {
        display: grid;
        grid-template-columns: minmax(0, 1fr) auto;
        gap: var(--gap-2);
        align-items: start;
      }
    `,
  ];

  override render() {
    const { isListening, outputDb, hasStandIn } = this.state;
    return html`
      <div class="row">
        <button class="listen" aria-pressed=${isListening} @click=${() => this.act({ type: 'listen', isListening: !isListening })}>
          ${isListening ? 'Mute' : 'Listen'}
        </button>
        <label class="level"><span class="visually-hidden">Output level</span>
          <input type="range" min=${OUTPUT_RANGE_DB.lowest} max=${OUTPUT_RANGE_DB.highest} step="1" .value=${live(String(outputDb))} style="--turn: ${(outputDb + 60) / 66}" aria-label="Output level" aria-valuetext="${outputDb} dB"
            @input=${(event: Event) => this.act({ type: 'output', db: Number(controlValue(event)) })} />
          <span class="figures small">${outputDb} dB</span></label>
        <label class="option small" title="A small amplifier and speaker: 75 Hz to 4.8 kHz, a lift at 2.8 kHz. Without it an overdrive in headphones is fizzy.">
          <input type="checkbox" .checked=${live(hasStandIn)}
            @change=${(event: Event) => this.act({ type: 'standIn', hasStandIn: (event.target as HTMLInputElement).checked })} />
          speaker filter</label>
      </div>
      <div class="facts">
        <div>
          <p class="small soft numbers" role="status" @pointerenter=${tellWhole}>${this.#latencyText()}</p>
          <p class="small soft numbers" @pointerenter=${tellWhole}>${this.#troubleText()}${this.#limiterText()}${this.#loadText()}</p>
        </div>
        ${this.state.ear.blindTest ? nothing : html`<button class="small" @click=${() => this.act({ type: 'soundSettings' })}>Sound…</button>`}
      </div>
    `;
  }

  #latencyText() {
    const { isRunning, latency, usesFallback } = this.audio;
    if (!isRunning) return this.state.isListening ? 'Sound is starting…' : 'Sound is off.';
    const { ms, isMeasured, verdict } = playedDelay(this.audio);
    const isLong = verdict === 'too long';
    const left = latency.outputMs === undefined ? 'output and interface' : 'interface';
    return html`${usesFallback ? html`<strong class="problem">High latency: this browser has no AudioWorklet.</strong> ` : nothing}Delay
      ${isMeasured ? '' : 'at least '}${ms.toFixed(1)} ms${verdict === undefined ? nothing : html`: <span class=${isLong ? 'problem' : ''}>${verdict}${isLong ? ', see Sound…' : ''}</span>`}${
        isMeasured ? ', measured' : html`<span class="detail">, ${left} not included</span>`
      }`;
  }

  #loadText() {
    const { isRunning, sampleRateHz, rate } = this.audio;
    // During a blind test telemetry does not change, so the load is not shown.
    if (!isRunning || this.state.ear.blindTest) return '';
    return html`${this.#timeText()}, <span class="detail">${sampleRateHz} Hz, oversampling </span><span
      title=${rateSentence(rate)}>${rate.factor}×<span class="detail"> (${rateWord(rate)})</span></span>`;
  }

  /** During dropouts the load means little: other programs may take the time. */
  #timeText() {
    const { dropouts, problems } = this.audio;
    const count = dropouts.count === 0 ? '' : dropoutsText(dropouts.count);
    if (problems.dropouts !== undefined && count !== '') return html`<span class="problem">${count}</span>`;
    const load = `Load ${Math.round(100 * this.telemetry.load)} %`;
    return count === ''
      ? load
      : html`${load}, <span title="The times are listed under Sound…">${count}</span>`;
  }

  #limiterText() {
    const { limiterReductionDb } = this.telemetry;
    return limiterReductionDb < -0.1
      ? html`<span class="problem">limiter ${limiterReductionDb.toFixed(1)} dB</span> · `
      : '';
  }

  #troubleText() {
    const { failures, resets } = this.telemetry;
    if (failures + resets === 0) return '';
    return html`<span class="problem">solver: ${failures} samples not converged, ${resets} resets</span> · `;
  }
}

/** Gives a line that may be cut off its whole text as a tip. */
function tellWhole({ currentTarget }: Event): void {
  const line = currentTarget as HTMLElement;
  line.title = (line.textContent ?? '').replace(/\s+/g, ' ').trim();
}
