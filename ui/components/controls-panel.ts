import { css, html } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { type Build, circuitOf } from '../../engine/builds/build.ts';
import { switchPositions } from '../../engine/builds/build-file.ts';
import { clockText } from '../../engine/builds/swaps.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from '../state/bench-state.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { segmentStyles } from './segment-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** Knobs and switches of both builds, as clock positions on straight tracks. */
@customElement('controls-panel')
export class ControlsPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;

  static override styles = [
    sharedStyles,
    segmentStyles,
    css`
      header {
        display: flex;
        justify-content: space-between;
        align-items: baseline;
        gap: var(--gap-4);
        flex-wrap: wrap;
        margin-bottom: var(--gap-2);
      }
      .builds {
        display: grid;
        grid-template-columns: 1fr 1fr;
        gap: var(--gap-2) var(--gap-6);
      }
      .build {
        display: grid;
        gap: var(--gap-1);
        align-content: start;
      }
      .knob {
        display: grid;
        grid-template-columns: 2rem 4rem minmax(4rem, 1fr) 3.2rem;
        gap: var(--gap-2);
        align-items: center;
        min-height: 1.75rem;
      }
      .knob output {
        text-align: right;
      }
      .choice {
        display: grid;
        grid-template-columns: 6.5rem minmax(0, 1fr);
        gap: var(--gap-2);
        min-height: 1.75rem;
        align-items: center;
      }
      @media (max-width: 1150px) {
        .knob {
          grid-template-columns: 2rem 3.5rem minmax(3rem, 1fr) 3.2rem;
        }
        .choice {
          grid-template-columns: minmax(0, 1fr);
          gap: 0;
          margin-top: var(--gap-1);
        }
      }
      label.option {
        display: inline-flex;
        gap: var(--gap-2);
        align-items: center;
      }
      input[type='checkbox'] {
        accent-color: var(--ink);
        margin: 0;
      }
      input[type='number'] {
        width: 4rem;
        min-height: 1.75rem;
        font-variant-numeric: tabular-nums;
      }
      .of-a {
        --accent: var(--a);
      }
      .of-b {
        --accent: var(--b);
      }
      .build h3 {
        display: flex;
        gap: var(--gap-2);
        align-items: center;
        font-size: var(--size-small);
        font-weight: 600;
        overflow: hidden;
        white-space: nowrap;
      }
      @media (max-width: 700px) {
        .builds {
          grid-template-columns: 1fr;
        }
        .build.unheard {
          display: none;
        }
      }
    `,
  ];

  override render() {
    const { builds, isLinked } = this.state;
    const canLink = builds.a.circuit === builds.b.circuit;
    return html`
      <header>
        <h2>Controls</h2>
        <label class="option small">
          <input type="checkbox" .checked=${live(isLinked && canLink)} ?disabled=${!canLink}
            @change=${(event: Event) => this.act({ type: 'link', isLinked: (event.target as HTMLInputElement).checked })} />
          Turn the controls of A and B together
        </label>
        ${this.#renderTemperature()}
      </header>
      <div class="builds">${SLOTS.map((slot) => this.#renderBuild(slot, builds[slot]))}</div>
    `;
  }

  #renderTemperature() {
    const { lowest, highest } = TEMPERATURE_RANGE_C;
    return html`
      <label class="option small" title="Of the whole bench: diodes and transistors of both builds drift with it">
        Temperature
        <input type="number" min=${lowest} max=${highest} step="1" .value=${live(String(this.state.temperatureC))}
          aria-label="Temperature of the bench, degrees Celsius"
          @change=${(event: Event) => this.#setTemperature(event.target as HTMLInputElement)} />
        °C
      </label>
    `;
  }

  #setTemperature(field: HTMLInputElement): void {
    this.act({ type: 'temperature', celsius: field.valueAsNumber });
    // What was typed may be out of range or no number at all: the field shows what the bench is at.
    field.value = String(this.state.temperatureC);
  }

  #renderBuild(slot: Slot, build: Build) {
    const { knobs, switches, bypass } = circuitOf(build);
    const follows = (gang: (typeof knobs)[number]['gang']) =>
      gang && build.switches[gang.switch] === gang.position;
    return html`
      <div class="build of-${slot} ${this.state.heard === slot ? '' : 'unheard'}" role="group" aria-label="Controls of build ${LETTER[slot]}">
        <h3><span class="letter ${slot}">${LETTER[slot]}</span> ${build.title}</h3>
        ${knobs.map(({ ref, name, gang }) => (follows(gang) ? '' : this.#renderKnob(slot, ref, name, build.knobs[name] ?? 0)))}
        ${switches.map(({ ref, name }) => this.#renderSwitch(slot, build, ref, name))}
        ${this.#renderChoice(slot, 'bypass', 'bypass', bypass.kinds, build.bypass, (kind) =>
          this.act({ type: 'setBypass', slot, bypass: kind as Build['bypass'] }),
        )}
      </div>
    `;
  }

  #renderKnob(slot: Slot, ref: string, name: string, rotation: number) {
    const position = clockText(rotation);
    return html`
      <label class="knob">
        <span class="soft small figures">${ref.replace(/[A-Z]$/, '')}</span>
        <span>${name}</span>
        <input type="range" min="0" max="1" step="0.01" .value=${live(String(rotation))} style="--turn: ${rotation}"
          aria-label="${name} of build ${LETTER[slot]}" aria-valuetext="${position} o’clock"
          @input=${(event: Event) => this.act({ type: 'turnKnob', slot, name, rotation: Number(controlValue(event)) })} />
        <output class="figures small">${position}</output>
      </label>
    `;
  }

  #renderSwitch(slot: Slot, build: Build, ref: string, name: string) {
    const positions = switchPositions(circuitOf(build), name);
    return this.#renderChoice(slot, ref, name, positions, build.switches[name] ?? '', (position) =>
      this.act({ type: 'throwSwitch', slot, name, position }),
    );
  }

  #renderChoice(
    slot: Slot,
    id: string,
    name: string,
    options: readonly string[],
    chosen: string,
    choose: (option: string) => void,
  ) {
    return html`
      <div class="choice" role="radiogroup" aria-label="${name} of build ${LETTER[slot]}">
        <span>${name}</span>
        <span class="segments">${options.map(
          (option) => html`<label>
            <input type="radio" name="${id}-${slot}" .checked=${live(option === chosen)} @change=${() => choose(option)} />
            ${option}
          </label>`,
        )}</span>
      </div>
    `;
  }
}
