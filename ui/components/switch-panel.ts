import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { SLOTS } from '../../worklets/bench-messages.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import { MATCH_TOLERANCE_DB, matchErrorDb, matchSeconds } from '../ear/level-check.ts';
import { COUNT_IN_BEATS } from '../ear/riff-desk.ts';
import type { BenchState, LevelMatch } from '../state/bench-state.ts';
import { isHiding } from '../state/candidate-run.ts';
import type { CaptureStage, EarState } from '../state/ear-state.ts';
import { isMatchFresh } from '../state/matched-sound.ts';
import { BenchElement, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** What the key of the foot switch does: it also records riffs, in either view. */
const FOOT_TEXT: Readonly<Record<CaptureStage, string>> = {
  idle: 'switches.',
  armed: 'begins the riff.',
  counting: 'begins the riff.',
  capturing: 'ends the riff.',
};

const CAPTURE_TITLES: Readonly<Record<CaptureStage, string>> = {
  idle: '',
  armed: 'Ready to record',
  counting: 'Count-in',
  capturing: 'Recording',
};

/** Which build is heard, whether the pedal is on, and how their levels are matched. */
@customElement('switch-panel')
export class SwitchPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The state with what is still being prepared: a second press goes on from there. */
  @property({ attribute: false }) wanted!: () => BenchState;
  @property({ attribute: false }) telemetry!: Telemetry;
  /** The key of the foot switch, as it is printed. */
  @property() footKey = 'Space';
  /** Length of the loop; undefined for a live input. */
  @property({ attribute: false }) roundSeconds: number | undefined;

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: grid;
        gap: var(--gap-1);
        align-content: start;
        justify-items: center;
      }
      p {
        min-height: 1.4em;
        text-align: center;
        text-wrap: balance;
      }
      label {
        white-space: nowrap;
      }
      .row button,
      button.off {
        min-height: 1.75rem;
        font-size: var(--size-small);
      }
      button.off {
        min-height: 0;
        padding: 0;
        background: none;
        border: 0;
        text-decoration: underline;
      }
      .pair {
        display: grid;
        grid-template-columns: 1fr 1fr;
        gap: 2px;
        width: 100%;
        max-width: 16rem;
      }
      .pair button {
        min-height: 2.75rem;
        font-size: 1.5rem;
        font-weight: 600;
        border-width: 2px;
      }
      .pair button[aria-pressed='true'].a:not(:disabled) {
        background: var(--a);
        border-color: var(--a);
        color: var(--on-a);
      }
      .pair button[aria-pressed='true'].b:not(:disabled) {
        background: var(--b);
        border-color: var(--b);
        color: var(--on-b);
      }
      :host([data-rest]) .pair,
      :host([data-brief]) :is(.row, p) {
        display: none;
      }
      @media (max-width: 740px) {
        .keys {
          display: none;
        }
        .pair button {
          min-height: 2.6rem;
        }
      }
      @media (min-width: 741px) and (max-height: 860px) {
        .pair button {
          min-height: 2.1rem;
          font-size: var(--size-large);
        }
        .keys {
          display: none;
        }
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        justify-content: center;
        align-items: center;
      }
    `,
  ];

  override render() {
    const { heard, isBypassed, match } = this.state;
    return html`
      <div class="pair" role="group" aria-label="Build that is heard">
        ${SLOTS.map(
          (
            slot,
          ) => html`<button class=${slot} aria-pressed=${slot === heard} aria-label="Hear build ${LETTER[slot]}"
            @click=${() => this.act({ type: 'hear', slot })}>${LETTER[slot]}</button>`,
        )}
      </div>
      <div class="row small">
        <button aria-pressed=${isBypassed} @click=${() => this.act({ type: 'bypass', isBypassed: !this.wanted().isBypassed })}
          title="Both builds switched off, as their bypass is built">Bypass</button>
        <label class="option" title="Each swap is computed on what plays before you hear it, and set as loud as the other build. Off: each build is as loud as it is soldered.">
          <input type="checkbox" .checked=${live(match.isAutomatic)} @change=${(event: Event) => this.#switchMatch(event)} />match levels</label>
        <label class="option" title="Matches the levels all the time. This hides touch and compression: a build that compresses is made louder.">
          <input type="checkbox" .checked=${live(match.isFollowing)} @change=${(event: Event) => this.#follow(event)} />keep matching while I play</label>
      </div>
      ${
        this.state.ear.capture === 'idle'
          ? html`<p class="small soft"><span class="keys">${this.footKey} ${FOOT_TEXT.idle} </span><span role="status">${this.#matchText(match)}</span></p>`
          : this.#renderCapture(this.state.ear)
      }
    `;
  }

  /** A riff is recorded by foot in any view, so this is where the player sees it. Beats and seconds are not read out. */
  #renderCapture({ capture, beats }: EarState) {
    const figure = {
      idle: '',
      armed: '',
      counting: `${Math.max(1, beats)} of ${COUNT_IN_BEATS}`,
      capturing: `${this.telemetry.capturedSeconds.toFixed(0)} s`,
    }[capture];
    return html`<p class="small"><strong class="problem" role="status">${CAPTURE_TITLES[capture]}</strong>
      <span class="figures" aria-hidden="true">${figure}</span> <span class="soft">${this.footKey} ${FOOT_TEXT[capture]}</span></p>`;
  }

  /** What the last match has done, or why there is none; running seconds are not read out. It says "matched" only of what plays now. */
  #matchText(match: LevelMatch) {
    const { sound, isMeasuring, isFollowing, isAutomatic, problem } = match;
    const seconds = matchSeconds(this.roundSeconds);
    if (isMeasuring)
      return html`Measuring loudness<span aria-hidden="true">, ${Math.min(seconds, this.telemetry.measuredSeconds).toFixed(0)} of ${seconds.toFixed(0)} s</span>.`;
    const isFresh = isMatchFresh(this.state);
    if (isFollowing && !isFresh) return `Levels are matched after ${seconds.toFixed(0)} s without a change.`;
    if (!sound && !isAutomatic) return `As soldered: levels are not matched. ${this.#differenceText()}`;
    if (!isFresh) return this.state.isListening ? 'Matching…' : 'Levels are matched when it plays.';
    if (problem !== undefined) return html`<span class="problem">${problem}</span>`;
    return html`${this.#gainText(match)} ${this.#errorText()}`;
  }

  #gainText({ adjusted, db, isByNotes }: LevelMatch): string {
    const by = isByNotes ? ' (with plucked notes: play a little, then swap)' : '';
    // How loud a hidden candidate is might tell which it is.
    const figure = isHiding(this.state.ear) ? '' : `: ${signedDb(db[adjusted])}`;
    return `${LETTER[adjusted]} matched${figure}${by}.`;
  }

  /** How loud the builds are as they are, once enough has played to know. */
  #differenceText(): string {
    if (this.state.isBypassed) return '';
    const difference = matchErrorDb(this.state.match, this.telemetry, this.roundSeconds);
    if (difference === undefined) return '';
    if (Math.abs(difference) < MATCH_TOLERANCE_DB) return 'Both are equally loud.';
    return `${difference > 0 ? 'A' : 'B'} is louder by ${Math.abs(difference).toFixed(1)} dB.`;
  }

  /** Shows the error of the match, if it is too large. */
  #errorText() {
    // While bypassed, the match does not apply.
    if (this.state.isBypassed) return nothing;
    const error = matchErrorDb(this.state.match, this.telemetry, this.roundSeconds);
    if (error === undefined || Math.abs(error) <= MATCH_TOLERANCE_DB) return nothing;
    const louder = error > 0 ? 'A' : 'B';
    return html`<span class="problem">${louder} is louder by ${Math.abs(error).toFixed(1)} dB.</span>
      <button class="off" title="Measures the loudness of both while it plays, over whole loops" @click=${() => this.#measure()}>Match again</button>`;
  }

  #measure(): void {
    this.act({ type: 'match', match: { ...this.state.match, isMeasuring: true } });
  }

  #follow(event: Event): void {
    const isFollowing = (event.target as HTMLInputElement).checked;
    this.act({ type: 'match', match: { ...this.state.match, isFollowing } });
  }

  /** Switched off, each build is as loud as it is soldered: loudness is part of a mod. */
  #switchMatch(event: Event): void {
    const isAutomatic = (event.target as HTMLInputElement).checked;
    const db = { a: 0, b: 0 };
    const off = { ...this.state.match, db, sound: undefined, isMeasuring: false, problem: undefined };
    this.act({ type: 'match', match: { ...off, isAutomatic } });
  }
}

function signedDb(db: number): string {
  const figure = Math.abs(db).toFixed(1);
  const sign = figure === '0.0' ? '' : db > 0 ? '+' : '−';
  return `${sign}${figure} dB`;
}
