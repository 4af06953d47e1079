import { fittedCircuit } from '../../../engine/circuits/fitted-circuit.ts';
import '../group-picker.ts';
import './blind-panel.ts';
import './difference-panel.ts';
import './ears-panel.ts';
import './excerpt-panel.ts';
import './rank-panel.ts';
import './riff-panel.ts';
import './speaker-panel.ts';
import './sweep-panel.ts';
import { css, html, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { buildParts } from '../../../engine/builds/build.ts';
import type { AudioSession, AudioState } from '../../audio/audio-session.ts';
import type { Telemetry } from '../../audio/telemetry.ts';
import type { EarDose } from '../../ear/ear-exposure.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';

/** The view for deciding by ear: riff loop, sweep, blind test, difference, excerpts. */
@customElement('ear-room')
export class EarRoom extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) audio!: AudioState;
  @property({ attribute: false }) telemetry!: Telemetry;
  @property() theme = '';
  @property({ attribute: false }) dose!: EarDose;
  @property({ attribute: false }) session!: AudioSession;
  /** Whether the warnings of the solver belong to what plays now. */
  @property({ attribute: false }) isSolverChecked = false;

  static override styles = [
    sharedStyles,
    css`
      :host {
        flex: 1;
        min-height: 0;
        overflow-y: auto;
        scrollbar-width: thin;
        scrollbar-color: var(--track) transparent;
      }
      .sheets {
        columns: 25rem;
        column-gap: var(--gap-4);
        max-width: 110rem;
        margin: 0 auto;
        padding: var(--gap-4) var(--gap-6);
      }
      section {
        break-inside: avoid;
        margin-bottom: var(--gap-4);
        background: var(--sheet);
        border: 1px solid var(--line);
        border-radius: var(--radius);
        padding: var(--gap-4);
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
        max-width: 110rem;
        margin: 0 auto;
        padding: var(--gap-4) var(--gap-6) 0;
      }
      group-picker {
        max-width: 110rem;
        margin: 0 auto;
        padding: var(--gap-1) var(--gap-6) 0;
      }
      @media (max-width: 1150px) {
        .sheets {
          padding: var(--gap-4);
        }
        .part {
          padding: var(--gap-4) var(--gap-4) 0;
        }
        group-picker {
          padding: var(--gap-1) var(--gap-4) 0;
        }
      }
    `,
  ];

  override render() {
    const { blindTest } = this.state.ear;
    const blind = html`<section><blind-panel .state=${this.state} .isSolverChecked=${this.isSolverChecked}></blind-panel></section>`;
    // During a test nothing else is shown.
    return blindTest ? html`<main class="sheets">${blind}</main>` : this.#renderAll(blind);
  }

  /** The part to sweep and rank, since this view has no schematic. */
  #renderPart() {
    const { selected, builds, heard } = this.state;
    return html`<label class="part small">Part to sweep and to rank
      <select @change=${(event: Event) => this.act({ type: 'select', ref: controlValue(event) })}>
        ${buildParts(fittedCircuit(builds[heard])).map(
          ({ ref, role }) =>
            html`<option value=${ref} .selected=${live(ref === selected)}>${ref}, ${role}</option>`,
        )}
      </select></label>
      <group-picker .state=${this.state}></group-picker>`;
  }

  #renderAll(blind: TemplateResult) {
    return html`
      ${this.#renderPart()}
      <main class="sheets">
        <section><riff-panel .state=${this.state} .telemetry=${this.telemetry} .theme=${this.theme}></riff-panel></section>
        <section><sweep-panel .state=${this.state}></sweep-panel></section>
        ${blind}
        <section><difference-panel .state=${this.state} .session=${this.session} .telemetry=${this.telemetry}></difference-panel></section>
        <section><excerpt-panel .state=${this.state} .session=${this.session}></excerpt-panel></section>
        <section><speaker-panel .state=${this.state}></speaker-panel></section>
        <section><ears-panel .dose=${this.dose} .isPlaying=${this.audio.playsTone} .moment=${performance.now()}></ears-panel></section>
        <section class="wide"><rank-panel .state=${this.state} .session=${this.session}></rank-panel></section>
      </main>
    `;
  }
}
