import './round-trip-panel.ts';
import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { AudioState } from '../audio/audio-state.ts';
import { delayRemedies, delaySentences, playedDelay } from '../audio/delay-verdict.ts';
import { dropoutsText } from '../audio/dropouts.ts';
import { canChooseOutput, type KeptDevice, listOutputs } from '../audio/kept-devices.ts';
import { LIVE_FACTORS, type RateChoice, rateSentence } from '../rate/live-rate.ts';
import type { BenchState } from '../state/bench-state.ts';
import { BenchElement, controlValue } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

const CHOICES: readonly (readonly [choice: RateChoice, title: string])[] = [
  ['measured', 'automatic'],
  ...[...LIVE_FACTORS].reverse().map((factor) => [factor, `${factor}×`] as const),
];

/** Oversampling and delay of the sound. */
@customElement('sound-settings')
export class SoundSettings extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) audio!: AudioState;
  @state() private outputs: readonly KeptDevice[] = [];
  @query('dialog') private dialog!: HTMLDialogElement;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      section {
        display: grid;
        grid-template-columns: minmax(0, 1fr);
        gap: var(--gap-2);
        margin: var(--gap-3) 0 var(--gap-6);
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
      }
      select {
        max-width: 100%;
      }
      h3,
      .log {
        margin: 0;
      }
      .log {
        padding-left: var(--gap-4);
        font-variant-numeric: tabular-nums;
      }
    `,
  ];

  open(): void {
    this.dialog.showModal();
    void listOutputs().then((outputs) => {
      this.outputs = outputs;
    });
  }

  override render() {
    return html`<dialog aria-labelledby="title">
      <h2 id="title">Sound</h2>
      ${this.#renderOutput()}
      ${this.#renderRate()}
      ${this.#renderDropouts()}
      ${this.#renderDelay()}
      <section><round-trip-panel .state=${this.state} .audio=${this.audio}></round-trip-panel></section>
      <button @click=${() => this.dialog.close()}>Close</button>
    </dialog>`;
  }

  #renderOutput() {
    const { output } = this.audio;
    if (!canChooseOutput()) return html`<p class="small">This browser plays to the system’s output only.</p>`;
    const isListed = output === undefined || this.outputs.some(({ id }) => id === output.id);
    const missing = this.outputs.length === 0 ? '' : ', not connected';
    const listed = isListed
      ? this.outputs
      : [...this.outputs, { ...output, label: `${output.label}${missing}` }];
    return html`<section>
      <label class="row">Output
        <select @change=${(event: Event) => this.#chooseOutput(controlValue(event))}>
          <option value="" .selected=${live(output === undefined)}>system default</option>
          ${listed.map(({ id, label }) => html`<option value=${id} .selected=${live(id === output?.id)}>${label}</option>`)}
        </select></label>
      ${listed.length === 0 ? html`<p class="small soft">To list the outputs, the browser needs the permission for an input first.</p>` : nothing}
    </section>`;
  }

  #chooseOutput(id: string): void {
    this.act({ type: 'outputDevice', device: this.outputs.find((each) => each.id === id) });
  }

  #renderDelay() {
    if (!this.audio.isRunning) return nothing;
    const { verdict } = playedDelay(this.audio);
    return html`<section aria-labelledby="delay">
      <h3 id="delay">Delay</h3>
      <p>${delaySentences(this.audio)}</p>
      ${verdict === 'good' ? nothing : html`<p class="small">To make it shorter:</p><ul class="log small">${delayRemedies(navigator).map((text) => html`<li>${text}</li>`)}</ul>`}
    </section>`;
  }

  #renderDropouts() {
    const { count, log } = this.audio.dropouts;
    return html`<section aria-labelledby="dropouts">
      <h3 id="dropouts">Dropouts</h3>
      <p class="small">Gaps in the sound, where this machine had too little time.</p>
      ${
        count === 0
          ? html`<p>None since this page was opened.</p>`
          : html`<p>${dropoutsText(count)} since this page was opened, the last ones:</p>
            <ul class="log">${log.map(({ atMs, count: together, factor }) => html`<li>${clockText(atMs)}: ${dropoutsText(together)} at ${factor}×</li>`)}</ul>`
      }
    </section>`;
  }

  #renderRate() {
    const { rateChoice } = this.state;
    const { rate, isRunning, usesFallback } = this.audio;
    const isMeasured = rateChoice === 'measured';
    return html`<section>
      <p class="small">Each build is computed at a multiple of the sound card’s rate. A higher multiple is more exact; each doubling takes twice the time.</p>
      <div class="row">
        <label class="row">Oversampling
          <select @change=${(event: Event) => this.act({ type: 'rate', choice: choiceOf(controlValue(event)) })}>
            ${CHOICES.map(([choice, title]) => html`<option value=${choice} .selected=${live(choice === rateChoice)}>${title}</option>`)}
          </select></label>
        <button ?disabled=${!isMeasured || !isRunning || usesFallback} @click=${() => this.act({ type: 'measureRate' })}>Measure again</button>
      </div>
      <p role="status">${rateSentence(rate)}${isMeasured && !isRunning && !usesFallback ? ' It is measured when sound is started.' : ''}</p>
    </section>`;
  }
}

function clockText(ms: number): string {
  return new Date(ms).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit', second: '2-digit' });
}

function choiceOf(value: string): RateChoice {
  return LIVE_FACTORS.find((factor) => String(factor) === value) ?? 'measured';
}
