import { css, html, nothing } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import { dialPlaces, dialTitle } from '../hands/dials.ts';
import { FIXED_KEYS } from '../hands/fixed-keys.ts';
import { HAND_ACTION_IDS, HAND_ACTIONS, type HandActionId } from '../hands/hand-actions.ts';
import { type DialTarget, type HandTarget, isDial } from '../hands/hand-bindings.ts';
import type { HandConflict, HandDesk } from '../hands/hand-desk.ts';
import type { Learned, LearningState } from '../hands/hand-learner.ts';
import { keyText } from '../hands/keys.ts';
import type { MidiDesk } from '../midi/midi-desk.ts';
import { controlText } from '../midi/midi-messages.ts';
import type { BenchState } from '../state/bench-state.ts';
import { BenchElement, controlValue } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

const STEP_TEXT: Readonly<Record<LearningState['step'], string>> = {
  press: 'Press it briefly.',
  'let go': 'Let it go. If this text stays, press it once more.',
  'press briefly': 'Press it briefly once more.',
  'press again': 'Wait a second, then press it again.',
  hold: 'Wait a second, then press it again and hold it.',
  turn: 'Turn the knob.',
};

/** All actions with their keys and MIDI controls; each is learned by pressing it. */
@customElement('hands-dialog')
export class HandsDialog extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) hands!: HandDesk;
  @property({ attribute: false }) midi!: MidiDesk;
  @query('dialog') private dialog!: HTMLDialogElement;
  #place: DialTarget | undefined;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      dialog {
        width: min(46rem, 94vw);
      }
      .top,
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
        justify-content: space-between;
      }
      .row {
        justify-content: flex-start;
      }
      h3 {
        margin: var(--gap-4) 0 var(--gap-1);
      }
      ul {
        list-style: none;
      }
      li {
        display: grid;
        grid-template-columns: minmax(9rem, 1fr) minmax(0, 1fr) auto;
        gap: var(--gap-1) var(--gap-3);
        align-items: center;
        padding: var(--gap-1) 0;
        border-top: 1px solid var(--line);
      }
      li > .row:last-child {
        grid-column: 1 / -1;
      }
      .chip {
        display: inline-flex;
        align-items: center;
        gap: var(--gap-1);
        padding-left: var(--gap-2);
        border: 1px solid var(--line);
        border-radius: var(--radius);
      }
      .chip button {
        min-width: 2rem;
        border: 0;
        background: none;
      }
      .places {
        flex: 1;
        min-width: 10rem;
      }
      dl {
        display: grid;
        grid-template-columns: auto 1fr;
        gap: var(--gap-1) var(--gap-4);
        margin: 0 0 var(--gap-4);
      }
      dd {
        margin: 0;
      }
      @media (pointer: coarse) {
        button,
        .chip button {
          min-width: 2.75rem;
          min-height: 2.75rem;
        }
      }
      @media (max-width: 740px) {
        li {
          grid-template-columns: minmax(0, 1fr) auto;
        }
        li > .chips {
          grid-row: 2;
          grid-column: 1 / -1;
        }
      }
    `,
  ];

  open(): void {
    this.dialog.showModal();
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.hands.addEventListener('change', this.#redraw);
    this.midi.addEventListener('change', this.#redraw);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.hands.removeEventListener('change', this.#redraw);
    this.midi.removeEventListener('change', this.#redraw);
  }

  override render() {
    const isOf = (isBlind: boolean) => (id: HandActionId) => (HAND_ACTIONS[id].when === 'blind') === isBlind;
    return html`<dialog aria-labelledby="title" @close=${() => this.hands.stopLearning()}>
      <div class="top">
        <h2 id="title">Keys, foot switches, MIDI</h2>
        <button autofocus @click=${() => this.dialog.close()}>Close</button>
      </div>
      <p class="small soft">Press Learn, then the key, foot switch or MIDI button. Most foot switches with a USB plug act as a key.
        One foot switch is enough: press for A or B, press twice for the next candidate, hold to record or stop.</p>
      ${this.#renderMidi()}
      <ul>${HAND_ACTION_IDS.filter(isOf(false)).map((id) => this.#renderAction(id))}</ul>
      <h3>In a blind test</h3>
      <ul>${HAND_ACTION_IDS.filter(isOf(true)).map((id) => this.#renderAction(id))}</ul>
      ${this.#renderDials()}
      <h3>Other keys</h3>
      <dl class="small">${FIXED_KEYS.map(({ text, does }) => html`<dt class="figures">${text}</dt><dd>${does}</dd>`)}</dl>
      <button @click=${() => this.hands.resetKeys()}>Reset keys to standard</button>
    </dialog>`;
  }

  #renderMidi() {
    const { isOpen, devices, problem } = this.midi.state;
    if (problem !== undefined)
      return html`<p class="problem small" role="alert">${problem}</p>${this.#renderUse()}`;
    if (!isOpen) return this.#renderUse();
    return html`<p class="small" role="status">${devices.length === 0 ? 'No MIDI device is connected.' : `MIDI: ${devices.join(', ')}.`}</p>`;
  }

  #renderUse() {
    return html`<p class="row small"><button @click=${() => void this.midi.open()}>Use MIDI</button>
      <span class="soft">The browser asks if this page may use MIDI devices.</span></p>`;
  }

  #renderAction(id: HandActionId) {
    const { label, does } = HAND_ACTIONS[id];
    const { keys, midi } = this.hands.state.bindings;
    const key = keys[id];
    const control = midi[id];
    return html`<li>
      <span>${label}<br /><span class="small soft">${does}</span></span>
      <span class="row chips">
        ${key ? this.#renderChip(keyText(key.key), label, () => this.hands.forgetKey(id)) : nothing}
        ${control ? this.#renderChip(controlText(control), label, () => this.hands.forgetMidi(id)) : nothing}
      </span>
      ${this.#renderLearn(id, label)}${this.#renderProgress(id)}
    </li>`;
  }

  #renderChip(text: string, title: string, forget: () => void) {
    return html`<span class="chip small"><span class="figures">${text}</span><button aria-label="Forget ${text} for ${title}"
      title="Forget" @click=${forget}>×</button></span>`;
  }

  #renderLearn(target: HandTarget, title: string) {
    const isLearning = this.hands.state.learning?.target === target;
    return html`<button aria-pressed=${isLearning} aria-label="Learn ${title}" @click=${() => this.#learn(target)}>Learn</button>`;
  }

  /** What to do while a target is learned, whose the control was, and what it cannot do. */
  #renderProgress(target: HandTarget) {
    const { learning, conflict, note } = this.hands.state;
    if (conflict?.target === target)
      return html`<span class="row small" role="alert"><span class="problem">${controlOf(conflict.learned)} is for “${titleOf(conflict.holder)}”.</span>
        <button @click=${() => this.hands.resolve(true)}>Use it here</button>
        <button @click=${() => this.hands.resolve(false)}>Leave it there</button></span>`;
    const text =
      learning?.target === target ? STEP_TEXT[learning.step] : note?.target === target ? note.text : '';
    return text === '' ? nothing : html`<strong class="row small" role="status">${text}</strong>`;
  }

  /** MIDI knobs: those that are learned, also for another circuit, and a menu of places. */
  #renderDials() {
    const { midi } = this.hands.state.bindings;
    const bound = (Object.keys(midi) as HandTarget[]).filter(isDial);
    const groups = dialPlaces(this.state.builds[this.state.heard]);
    const place = this.#place ?? groups[0]?.[1][0]?.target;
    const rows = place === undefined || bound.includes(place) ? bound : [...bound, place];
    return html`<h3>MIDI knobs</h3>
      <p class="small soft">A knob turns what plays: a control of the pedal, a part from a tenth to ten times its value along the
        series, a type along its list, or a taper.</p>
      <p class="row"><select class="places" aria-label="What the knob turns" @change=${(event: Event) => this.#choose(controlValue(event))}>
        ${groups.map(
          ([group, places]) =>
            html`<optgroup label=${group}>${places.map(
              ({ target, title }) =>
                html`<option value=${target} ?selected=${target === place}>${title}</option>`,
            )}</optgroup>`,
        )}
      </select></p>
      <ul>${rows.map((target) => this.#renderDial(target))}</ul>`;
  }

  #renderDial(target: DialTarget) {
    const title = dialTitle(target);
    const control = this.hands.state.bindings.midi[target];
    return html`<li>
      <span>${title}</span>
      <span class="row chips">${control ? this.#renderChip(controlText(control), title, () => this.hands.forgetMidi(target)) : nothing}</span>
      ${this.#renderLearn(target, title)}${this.#renderProgress(target)}
    </li>`;
  }

  #choose(place: string): void {
    this.#place = place as DialTarget;
    this.requestUpdate();
  }

  #learn(target: HandTarget): void {
    if (this.hands.state.learning?.target === target) {
      this.hands.stopLearning();
      return;
    }
    this.hands.learn(target);
    if (isDial(target)) void this.midi.open();
  }

  readonly #redraw = (): void => this.requestUpdate();
}

function controlOf({ control }: Learned): string {
  return 'key' in control ? keyText(control.key) : controlText(control.midi);
}

function titleOf(target: HandConflict['holder']): string {
  if (typeof target === 'object') return target.does;
  return isDial(target) ? dialTitle(target) : HAND_ACTIONS[target].label;
}
