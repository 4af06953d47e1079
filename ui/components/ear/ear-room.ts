import { fittedCircuit } from '../../../engine/circuits/fitted-circuit.ts';
import '../group-picker.ts';
import './blind-panel.ts';
import './candidates-panel.ts';
import './difference-panel.ts';
import './ears-panel.ts';
import './excerpt-panel.ts';
import './rank-panel.ts';
import './riff-panel.ts';
import './speaker-panel.ts';
import './sweep-panel.ts';
import { css, html } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { buildParts } from '../../../engine/builds/build.ts';
import type { AudioSession } from '../../audio/audio-session.ts';
import type { AudioState } from '../../audio/audio-state.ts';
import type { Telemetry } from '../../audio/telemetry.ts';
import type { EarDose } from '../../ear/ear-exposure.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { isHiding } from '../../state/candidate-run.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { roomStyles } from '../room-styles.ts';
import { sharedStyles } from '../shared-styles.ts';

/** The view for deciding by ear: riff loop, sweep, blind test, difference, excerpts. */
@customElement('ear-room')
export class EarRoom extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) audio!: AudioState;
  @property({ attribute: false }) telemetry!: Telemetry;
  @property() theme = '';
  /** The key of the foot switch, as it is printed. */
  @property() footKey = 'Space';
  @property({ attribute: false }) dose!: EarDose;
  @property({ attribute: false }) session!: AudioSession;
  /** Whether the warnings of the solver belong to what plays now. */
  @property({ attribute: false }) isSolverChecked = false;
  /** Computes the loudness of build B of a state in advance. */
  @property({ attribute: false }) prepareB!: (state: BenchState) => Promise<number>;

  static override styles = [
    sharedStyles,
    roomStyles,
    css`
      .sheets,
      .part,
      group-picker {
        max-width: 110rem;
        margin: 0 auto;
        padding: var(--gap-4) var(--room-side) 0;
      }
      .sheets {
        columns: 25rem;
        column-gap: var(--gap-4);
        padding-bottom: var(--gap-4);
      }
      section {
        break-inside: avoid;
        margin-bottom: var(--gap-4);
      }
      details[open] {
        display: grid;
        gap: var(--gap-4);
      }
      summary {
        min-height: 1.75rem;
        cursor: pointer;
      }
      .wide {
        column-span: all;
        margin-top: var(--gap-4);
      }
      .part {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
      }
      group-picker {
        padding-top: var(--gap-1);
      }
    `,
  ];

  override render() {
    const { ear } = this.state;
    if (ear.blindTest) return html`<main class="sheets">${this.#renderBlind()}</main>`;
    // With hidden names nothing is shown that could tell them.
    if (isHiding(ear))
      return html`<main class="sheets">${this.#renderCandidates()} ${this.#renderBlind()}</main>`;
    return this.#renderAll();
  }

  #renderBlind() {
    return html`<section><blind-panel .state=${this.state} .isSolverChecked=${this.isSolverChecked}></blind-panel></section>`;
  }

  #renderCandidates() {
    return html`<section @blind-test=${this.#showBlind}>
      <candidates-panel .state=${this.state} .prepareB=${this.prepareB}></candidates-panel>
    </section>`;
  }

  /** The part for candidates, sweep and ranking, since this view has no schematic. */
  #renderPart() {
    const { selected, builds, heard } = this.state;
    return html`<label class="part small">Part to compare
      <select @change=${(event: Event) => this.act({ type: 'select', ref: controlValue(event) })}>
        ${buildParts(fittedCircuit(builds[heard])).map(
          ({ ref, role }) =>
            html`<option value=${ref} .selected=${live(ref === selected)}>${ref}, ${role}</option>`,
        )}
      </select></label>
      <group-picker .state=${this.state}></group-picker>`;
  }

  /** In the order of the work. */
  #renderAll() {
    return html`
      ${this.#renderPart()}
      <main class="sheets">
        <section><riff-panel .state=${this.state} .telemetry=${this.telemetry} .theme=${this.theme} .footKey=${this.footKey}></riff-panel></section>
        ${this.#renderCandidates()}
        ${this.#renderBlind()}
        <section><difference-panel .state=${this.state} .session=${this.session} .telemetry=${this.telemetry}></difference-panel></section>
        <section><excerpt-panel .state=${this.state} .session=${this.session}></excerpt-panel></section>
        <section><sweep-panel .state=${this.state}></sweep-panel></section>
        ${this.#renderDrawer()}
        <section class="wide"><rank-panel .state=${this.state} .session=${this.session}></rank-panel></section>
      </main>
    `;
  }

  /** What is set up once. Folded, it says what is set. */
  #renderDrawer() {
    const { hasStandIn, speaker } = this.state;
    const speakerText = hasStandIn ? `speaker ${speaker ? speaker.name : 'built in'}` : 'speaker filter off';
    const earsText = this.dose.calibration ? 'level at the ear known' : 'level at the ear not known';
    return html`<section><details>
      <summary class="small">Set up once: ${speakerText}, ${earsText}</summary>
      <speaker-panel .state=${this.state}></speaker-panel>
      <ears-panel .dose=${this.dose} .isPlaying=${this.audio.playsTone} .moment=${performance.now()}></ears-panel>
    </details></section>`;
  }

  readonly #showBlind = (): void => {
    this.renderRoot.querySelector('blind-panel')?.scrollIntoView({ block: 'nearest' });
  };
}
