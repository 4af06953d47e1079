import { css, html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { settingText } from '../../../engine/builds/part-setting.ts';
import { clockText } from '../../../engine/builds/swaps.ts';
import { Refusal } from '../../../engine/input/refusal.ts';
import { oneLine, quoted } from '../../../engine/input/shown-text.ts';
import { formatValue, parseValue } from '../../../engine/units/value-code.ts';
import {
  neighbours,
  type SweepRange,
  type SweepSubject,
  startingRange,
  sweepAction,
  sweepOffer,
  sweepSubjects,
  sweepValue,
} from '../../ear/part-sweep.ts';
import type { Action, BenchState } from '../../state/bench-state.ts';
import type { Offered } from '../../state/owned-parts.ts';
import { BenchElement, controlValue, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { typed } from '../typed.ts';
import { panelStyles } from './panel-styles.ts';

/** Edits a second: each value is an edit of the build like any other. */
const STEPS_PER_SECOND = 10;
/** Number of values that may not be audible yet, since each is prepared first. */
const MOST_ON_THE_WAY = 4;
const DURATIONS_SECONDS = [5, 10, 20, 40] as const;

/** One part's value, or one knob, runs slowly up and down while the riff plays, until it is stopped where it is best. */
@customElement('sweep-panel')
export class SweepPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @state() private subject: SweepSubject | undefined;
  @state() private range: SweepRange = { from: 0, to: 1, seconds: 10 };
  @state() private isRunning = false;
  @state() private problem = '';
  #timer = 0;
  #elapsed = 0;
  /** Values of the drawer, found at the start: the other parts stay while it runs. */
  #offered: Offered;
  #lastMs = 0;
  /** The values that the sweep set last, the newest first, and the one before it; any other value means that the user has taken over. */
  #set: readonly string[] = [];

  static override styles = [
    sharedStyles,
    panelStyles,
    css`
      input.bound {
        width: 6rem;
      }
    `,
  ];

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#stop();
  }

  protected override willUpdate(): void {
    const subjects = sweepSubjects(this.state);
    if (this.subject && subjects.some((each) => keyOf(each) === keyOf(this.subject!))) {
      if (this.isRunning && !this.#set.includes(this.#text(this.subject))) this.#stop();
      return;
    }
    this.#stop();
    this.#choose(subjects[0]);
  }

  override render() {
    const subjects = sweepSubjects(this.state);
    const { subject } = this;
    return html`
      <h2>Sweep</h2>
      <p class="soft small">The chosen part runs slowly from low to high and back while the riff plays. Stop it where it is best.</p>
      ${subject ? this.#renderSweep(subject, subjects) : html`<p class="soft">${this.state.selected} has a type, not a value, and no knob: choose a part with a value above.</p>`}
      ${this.problem === '' ? nothing : html`<p class="problem small" role="alert">${this.problem}</p>`}
    `;
  }

  #renderSweep(subject: SweepSubject, subjects: readonly SweepSubject[]) {
    const { range, isRunning } = this;
    return html`
      <div class="row">
        <select aria-label="What is swept" ?disabled=${isRunning} @change=${(event: Event) => this.#choose(subjects[Number(controlValue(event))])}>
          ${subjects.map((each, index) => html`<option value=${index} .selected=${live(keyOf(each) === keyOf(subject))}>${titleOf(each)}</option>`)}
        </select>
        <span class="letter ${subject.slot}">${LETTER[subject.slot]}</span>
        <output class="figures" aria-live="off">${this.#text(subject)}</output>
      </div>
      <div class="row small">
        ${this.#renderBound('from', subject)} to ${this.#renderBound('to', subject)} in
        <select aria-label="Seconds one way" @change=${(event: Event) => this.#change({ seconds: Number(controlValue(event)) })}>
          ${DURATIONS_SECONDS.map((seconds) => html`<option value=${seconds} .selected=${live(seconds === range.seconds)}>${seconds} s</option>`)}
        </select>
      </div>
      <div class="row">
        <button aria-pressed=${isRunning} @click=${() => (isRunning ? this.#stop() : this.#start())}>${isRunning ? 'Stop here' : 'Sweep'}</button>
        ${isRunning ? nothing : this.#renderNeighbours(subject)}
      </div>
    `;
  }

  #renderBound(which: 'from' | 'to', subject: SweepSubject) {
    const value = this.range[which];
    const text = subject.kind === 'knob' ? clockText(value) : formatValue(value, subject.quantity);
    if (subject.kind === 'knob') return html`<span class="figures">${text}</span>`;
    return html`<input class="bound figures" type="text" ?disabled=${this.isRunning} aria-label="Sweep ${which}" .value=${typed(text)}
      @change=${(event: Event) => this.#readBound(which, subject, controlValue(event))} />`;
  }

  #renderNeighbours(subject: SweepSubject) {
    return neighbours(this.state, subject).map((action) =>
      action.type === 'setPart'
        ? html`<button class="figures" aria-pressed=${settingText(action.setting) === this.#text(subject)} @click=${() => this.act(action)}>${settingText(action.setting)}</button>`
        : nothing,
    );
  }

  #text(subject: SweepSubject): string {
    const { builds } = this.state;
    return subject.kind === 'knob'
      ? clockText(builds[subject.slot].knobs[subject.name] ?? 0)
      : settingText(builds[subject.slot].parts[subject.ref] ?? {});
  }

  #choose(subject: SweepSubject | undefined): void {
    this.subject = subject;
    this.problem = '';
    if (subject) this.#change(startingRange(this.state, subject));
  }

  #change(change: Partial<SweepRange>): void {
    this.range = { ...this.range, ...change };
  }

  #readBound(which: 'from' | 'to', subject: SweepSubject & { kind: 'part' }, text: string): void {
    try {
      const range = { ...this.range, [which]: parseValue(text, subject.quantity) };
      if (!(range.from > 0 && range.from < range.to))
        throw new Refusal(
          'value',
          `${quoted(text)} is out of order: the first value of a sweep must be below the second.`,
        );
      this.range = range;
      this.problem = '';
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.problem = oneLine(`${subject.ref}: ${error.message}`);
      this.requestUpdate();
    }
  }

  #start(): void {
    if (!this.subject) return;
    this.#offered = sweepOffer(this.state, this.subject);
    if (this.#offered?.length === 0) {
      this.problem = '“Only what I own” is on, and the drawer has nothing else for this place.';
      return;
    }
    this.problem = '';
    this.isRunning = true;
    this.#elapsed = 0;
    this.#lastMs = performance.now();
    this.#set = [this.#text(this.subject)];
    this.#timer = window.setInterval(() => this.#step(), 1000 / STEPS_PER_SECOND);
  }

  #stop(): void {
    window.clearInterval(this.#timer);
    this.isRunning = false;
  }

  #step(): void {
    const { subject } = this;
    if (!subject) return;
    const now = performance.now();
    this.#elapsed += (now - this.#lastMs) / 1000;
    this.#lastMs = now;
    const action = sweepAction(
      this.state,
      subject,
      sweepValue(subject, this.range, this.#elapsed),
      this.#offered,
    );
    const text = actionText(action);
    if (text === this.#set[0]) return;
    this.#set = [text, ...this.#set].slice(0, MOST_ON_THE_WAY);
    this.act(action);
  }
}

function actionText(action: Action): string {
  if (action.type === 'turnKnob') return clockText(action.rotation);
  return action.type === 'setPart' ? settingText(action.setting) : '';
}

const keyOf = (subject: SweepSubject): string =>
  subject.kind === 'knob' ? `${subject.slot} knob ${subject.name}` : `${subject.slot} ${subject.ref}`;

const titleOf = (subject: SweepSubject): string =>
  subject.kind === 'knob' ? `${subject.name} knob` : subject.ref;
