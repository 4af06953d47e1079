import './riff-waveform.ts';
import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { SwitchEvery } from '../../../worklets/bench-messages.ts';
import type { Telemetry } from '../../audio/telemetry.ts';
import { COUNT_IN_BEATS } from '../../ear/riff-desk.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { type EarCommand, type Riff, riffSeconds } from '../../state/ear-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { typed } from '../typed.ts';
import { panelStyles } from './panel-styles.ts';

const INTERVALS: readonly (readonly [every: SwitchEvery, text: string])[] = [
  ['off', 'by hand'],
  ['pass', 'every loop'],
  [2, 'every 2 s'],
  [5, 'every 5 s'],
  [10, 'every 10 s'],
];

/** Records a phrase and plays it in a loop into both builds. */
@customElement('riff-panel')
export class RiffPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) telemetry!: Telemetry;
  @property() theme = '';
  /** The key of the foot switch, as it is printed. */
  @property() footKey = 'Space';

  static override styles = [
    sharedStyles,
    segmentStyles,
    panelStyles,
    css`
      .beats {
        display: flex;
        gap: var(--gap-1);
      }
      .beat {
        width: 1.6rem;
        height: 1.6rem;
        border: 2px solid var(--line-strong);
        border-radius: 50%;
        text-align: center;
        line-height: 1.35rem;
        font-size: var(--size-small);
      }
      .beat.now {
        background: var(--ink);
        border-color: var(--ink);
        color: var(--paper);
      }
      ul.riffs {
        list-style: none;
        display: grid;
        gap: var(--gap-1);
      }
      ul.riffs li {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
        padding-top: var(--gap-1);
        border-top: 1px solid var(--line);
      }
      ul.riffs input {
        flex: 1 1 8rem;
        min-width: 6rem;
      }
      input.tempo {
        width: 4.5rem;
      }
      button.capturing {
        border-color: var(--warning);
        color: var(--warning);
        font-weight: 600;
      }
    `,
  ];

  override render() {
    const { ear, source } = this.state;
    const playing = source.kind === 'riff' ? ear.riffs.find(({ id }) => id === source.id) : undefined;
    return html`
      <h2>Riff loop</h2>
      <p class="soft small">A phrase, recorded dry as it comes from the guitar, plays in a loop into both builds: you hear every
        swap on the same notes.</p>
      ${this.#renderCapture()}
      ${playing ? this.#renderRound(playing) : nothing}
      ${ear.riffs.length > 0 ? html`<ul class="riffs">${ear.riffs.map((riff) => this.#renderRiff(riff, riff === playing))}</ul>` : nothing}
      ${this.#renderSwitching()}
    `;
  }

  #renderCapture() {
    const { ear, source } = this.state;
    const { capture, tempoBpm, hasCountIn } = ear;
    const isLive = source.kind === 'live';
    const words = { idle: 'Record a riff', armed: 'Begin', counting: 'Start now', capturing: 'End' }[capture];
    return html`
      <div class="row">
        <button class=${capture} ?disabled=${!isLive && capture === 'idle'} @click=${() => this.#do({ do: 'pressCapture' })}>${words}</button>
        ${capture === 'idle' ? nothing : html`<button @click=${() => this.#do({ do: 'cancelCapture' })}>Cancel</button>`}
        ${capture === 'idle' ? this.#renderTempo(tempoBpm, hasCountIn) : this.#renderBeats()}
      </div>
      <p class="small soft" role="status">${this.#captureText(isLive)}</p>
      <div class="row small">
        <button ?disabled=${source.kind === 'live' || source.kind === 'riff' || source.kind === 'none'} @click=${() => this.#do({ do: 'keepSource' })}>Make a riff of what plays</button>
        <button @click=${() => this.renderRoot.querySelector<HTMLInputElement>('#file')?.click()}>Own recording…</button>
        <input id="file" type="file" hidden accept="audio/*,.wav,.flac" @change=${this.#addFile} />
      </div>
    `;
  }

  #renderTempo(tempoBpm: number, hasCountIn: boolean) {
    return html`
      <label class="option small"><input type="checkbox" .checked=${live(hasCountIn)}
        @change=${(event: Event) => this.act({ type: 'ear', change: { hasCountIn: (event.target as HTMLInputElement).checked } })} /> count-in ${COUNT_IN_BEATS} beats,</label>
      <label class="small"><input class="tempo" type="number" min="40" max="240" step="1" aria-label="Tempo, beats a minute" .value=${typed(String(tempoBpm))}
        @change=${(event: Event) => this.#setTempo(Number(controlValue(event)))} /> bpm</label>`;
  }

  #setTempo(typed: number): void {
    const tempoBpm = Math.min(240, Math.max(40, Math.round(typed) || 90));
    this.act({ type: 'ear', change: { tempoBpm } });
    this.requestUpdate();
  }

  #renderBeats() {
    const { beats } = this.state.ear;
    const now = beats === 0 ? 0 : ((beats - 1) % COUNT_IN_BEATS) + 1;
    return html`<span class="beats" aria-hidden="true">
      ${[1, 2, 3, 4].map((beat) => html`<span class="beat ${beat === now ? 'now' : ''}">${beat}</span>`)}
    </span>`;
  }

  /** The running seconds are not read out. */
  #captureText(isLive: boolean) {
    const { capture } = this.state.ear;
    if (capture === 'armed') return `Ready: ${this.footKey} or a foot switch begins, and ends.`;
    if (capture === 'counting')
      return `Start after ${COUNT_IN_BEATS}. To start now, press ${this.footKey} or a foot switch.`;
    if (capture === 'capturing')
      return html`Recording<span aria-hidden="true">, ${this.telemetry.capturedSeconds.toFixed(1)} of at most 60 s</span>. ${this.footKey} ends it.`;
    return isLive ? '' : 'To record, choose a live instrument as the input below.';
  }

  #renderRound(riff: Riff) {
    return html`
      <riff-waveform .riff=${riff} .share=${this.telemetry.riffShare} .theme=${this.theme}></riff-waveform>
      <p class="small soft">Loop of <span class="figures">${riffSeconds(riff).toFixed(2)} s</span>, number
        <span class="figures">${this.telemetry.riffPasses + 1}</span>. Drag its ends, or move them with the arrow keys.
        ${riff.clips > 0 ? html`<strong class="problem">The interface clipped ${riff.clips}× while it was recorded.</strong>` : nothing}</p>
    `;
  }

  #renderRiff(riff: Riff, isPlaying: boolean) {
    const { id, name } = riff;
    return html`<li>
      <button aria-pressed=${isPlaying} aria-label="Play ${name}" @click=${() => this.#do({ do: 'playRiff', id })}>Play</button>
      <input type="text" dir="auto" aria-label="Name of the riff" .value=${typed(name)} @change=${(event: Event) => this.#rename(id, controlValue(event))} />
      <span class="figures small">${riffSeconds(riff).toFixed(1)} s</span>
      <button class="small" aria-label="Save ${name} as WAV" title="The dry loop; a sample of 1 is 1 V" @click=${() => this.#do({ do: 'saveRiff', id })}>WAV</button>
      <button class="small" aria-label="Remove ${name}" @click=${() => this.#do({ do: 'removeRiff', id })}>Remove</button>
    </li>`;
  }

  #rename(id: string, typed: string): void {
    const name = typed.trim();
    if (name !== '') this.#do({ do: 'renameRiff', id, name });
    this.requestUpdate();
  }

  #renderSwitching() {
    const { switchEvery } = this.state.ear;
    return html`
      <fieldset>
        <legend class="small">Switch A/B</legend>
        <div class="segments">
          ${INTERVALS.map(
            ([
              each,
              text,
            ]) => html`<label><input type="radio" name="every" .checked=${live(each === switchEvery)}
              ?disabled=${each === 'pass' && this.state.source.kind !== 'riff'}
              @change=${() => this.act({ type: 'ear', change: { switchEvery: each } })} />${text}</label>`,
          )}
        </div>
      </fieldset>
    `;
  }

  #addFile(event: Event): void {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    if (file) this.#do({ do: 'addFile', file });
    input.value = '';
  }

  #do(command: EarCommand): void {
    this.act({ type: 'earCommand', command });
  }
}
