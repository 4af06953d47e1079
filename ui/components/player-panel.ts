import { css, html, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { type BuildPart, buildParts } from '../../engine/builds/build.ts';
import { refsText, settingsText } from '../../engine/builds/part-groups.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import type { BenchState } from '../state/bench-state.ts';
import { partChange } from '../state/chosen-parts.ts';
import { offeredAt } from '../state/owned-parts.ts';
import { stepSetting } from '../state/part-steps.ts';
import { chosenRefs } from '../state/reach.ts';
import { slotsOfPart } from '../state/slots-of-part.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

const RECORD_WORDS = {
  idle: 'Record a riff',
  armed: 'Begin',
  counting: 'Start now',
  capturing: 'End',
} as const;

/** What a phone shows while somebody plays: the chosen part, steps through its values or types, recording. */
@customElement('player-panel')
export class PlayerPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The state with what is still being prepared: a second press goes on from there. */
  @property({ attribute: false }) wanted: () => BenchState = () => this.state;
  @property({ attribute: false }) telemetry!: Telemetry;
  /** Whether a recording has ended since the page was opened. */
  @state() private hasRecorded = false;

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: grid;
        gap: var(--gap-2);
      }
      select {
        width: 100%;
        font-weight: 600;
      }
      .step {
        display: grid;
        grid-template-columns: auto 3rem minmax(0, 1fr) 3rem;
        gap: var(--gap-2);
        align-items: center;
      }
      .step output {
        overflow-wrap: anywhere;
        text-align: center;
        font-weight: 600;
      }
      .step button {
        font-size: 1.25rem;
      }
      .record {
        display: flex;
        gap: var(--gap-2);
        align-items: center;
      }
      .capturing {
        border-color: var(--warning);
        color: var(--warning);
        font-weight: 600;
      }
    `,
  ];

  override render() {
    const { builds, heard, selected } = this.state;
    const parts = buildParts(fittedCircuit(builds[heard]));
    const part = parts.find(({ ref }) => ref === selected);
    return html`
      <select aria-label="Part" @change=${(event: Event) => this.act({ type: 'select', ref: controlValue(event) })}>
        ${parts.map(({ ref, stageTitle }) => html`<option value=${ref} .selected=${live(ref === selected)}>${ref}, ${stageTitle}</option>`)}
      </select>
      ${part ? this.#renderPart(part) : nothing}
      ${this.#renderRecord()}
    `;
  }

  #renderPart(part: BuildPart) {
    const refs = chosenRefs(this.state);
    return html`
      ${refs.length > 1 ? html`<p class="small soft">${refsText(refs)} change together.</p>` : nothing}
      ${slotsOfPart(this.state, part.ref).map((slot) => this.#renderSteps(part, slot, refs))}
    `;
  }

  #renderSteps(part: BuildPart, slot: Slot, refs: readonly string[]) {
    const text = settingsText(this.state.builds[slot].parts, refs);
    const button = (turn: number, sign: string, which: string) => html`<button
      aria-label="${which} value or type of ${part.ref} in ${LETTER[slot]}" @click=${() => this.#step(part, slot, turn)}>${sign}</button>`;
    return html`<div class="step" role="group" aria-label="${part.ref} in build ${LETTER[slot]}">
      <span class="letter ${slot}">${LETTER[slot]}</span>
      ${button(-1, '‹', 'Previous')}<output class="figures">${text}</output>${button(1, '›', 'Next')}
    </div>`;
  }

  #step(part: BuildPart, slot: Slot, turn: number): void {
    const wanted = this.wanted();
    const setting = stepSetting(
      part,
      wanted.builds[slot].parts[part.ref] ?? {},
      wanted.series,
      turn,
      offeredAt(wanted, slot, part),
    );
    if (setting) this.act(partChange(wanted, slot, part.ref, setting));
  }

  #renderRecord() {
    const { source, ear } = this.state;
    const { capture } = ear;
    const isLive = source.kind === 'live';
    const press = () => this.act({ type: 'earCommand', command: { do: 'pressCapture' } });
    return html`<div class="record">
      <button class=${capture} ?disabled=${!isLive && capture === 'idle'} @click=${press}>${RECORD_WORDS[capture]}</button>
      <span class="small soft" role="status">${this.#renderRecorded(isLive)}</span>
    </div>`;
  }

  /** Read out when it begins and ends; the running seconds are only to be seen. */
  #renderRecorded(isLive: boolean) {
    if (this.state.ear.capture === 'capturing')
      return html`Recording <span aria-hidden="true">${this.telemetry.capturedSeconds.toFixed(0)} of at most 60 s</span>`;
    if (this.hasRecorded) return 'Recording ended.';
    return isLive ? '' : 'Needs a live instrument: choose it under Sound.';
  }

  protected override willUpdate(changed: PropertyValues): void {
    const before = (changed.get('state') as BenchState | undefined)?.ear.capture;
    const now = this.state.ear.capture;
    if (now !== 'idle') this.hasRecorded = false;
    else if (before === 'capturing') this.hasRecorded = true;
  }
}
