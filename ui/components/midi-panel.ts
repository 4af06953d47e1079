import { css, html, nothing } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import { controlText, type MidiTarget } from '../midi/midi-bindings.ts';
import type { MidiDesk } from '../midi/midi-desk.ts';
import type { BenchState } from '../state/bench-state.ts';
import { BenchElement } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** Foot switch and controllers: each is learned by moving it. */
@customElement('midi-panel')
export class MidiPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) desk!: MidiDesk;
  @query('dialog') private dialog!: HTMLDialogElement;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      ul {
        list-style: none;
        margin: var(--gap-4) 0;
      }
      li {
        display: grid;
        grid-template-columns: minmax(6rem, 1fr) minmax(0, 1.4fr) auto auto;
        gap: var(--gap-2);
        align-items: center;
        padding: var(--gap-1) 0;
        border-top: 1px solid var(--line);
      }
    `,
  ];

  open(): void {
    this.dialog.showModal();
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.desk.addEventListener('change', this.#redraw);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.desk.removeEventListener('change', this.#redraw);
  }

  override render() {
    const { devices, isOpen, problem } = this.desk.state;
    const { builds, heard } = this.state;
    const knobs = builds[heard].circuit.knobs.map(({ name }): [MidiTarget, string] => [
      `knob ${name}`,
      `${name} knob`,
    ]);
    return html`<dialog aria-labelledby="title" @close=${() => this.desk.stopLearning()}>
      <h2 id="title">Foot switch and controllers</h2>
      <p class="small soft">Press Learn, then the switch or knob of your MIDI device. A switch that a computer takes for a
        keyboard needs no learning if it sends the space bar. Knobs turn what is heard.</p>
      <ul>${[['toggle', 'A and B'] as [MidiTarget, string], ...knobs].map(([target, title]) => this.#renderTarget(target, title))}</ul>
      ${problem === undefined ? nothing : html`<p class="problem small" role="alert">${problem}</p>`}
      ${isOpen ? html`<p class="small soft">${devices.length === 0 ? 'No MIDI device is connected.' : `Listening to ${devices.join(', ')}.`}</p>` : nothing}
      <button autofocus @click=${() => this.dialog.close()}>Close</button>
    </dialog>`;
  }

  #renderTarget(target: MidiTarget, title: string) {
    const { bindings, learning } = this.desk.state;
    const control = bindings[target];
    const text = learning === target ? 'move it now' : control ? controlText(control) : 'none';
    return html`<li><span>${title}</span><span class="small soft" role="status">${text}</span>
      <button aria-pressed=${learning === target} aria-label="Learn ${title}" @click=${() => this.#learn(target)}>Learn</button>
      <button aria-label="Forget ${title}" ?disabled=${!control} @click=${() => this.desk.forget(target)}>Forget</button></li>`;
  }

  #learn(target: MidiTarget): void {
    if (this.desk.state.learning === target) this.desk.stopLearning();
    else void this.desk.learn(target);
  }

  readonly #redraw = (): void => this.requestUpdate();
}
