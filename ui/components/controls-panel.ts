import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { repeat } from 'lit/directives/repeat.js';
import type { Unity } from '../../engine/analysis/unity.ts';
import { pairedControls } from '../../engine/builds/control-pairs.ts';
import { switchPositions } from '../../engine/builds/control-positions.ts';
import { FIT_WORDS } from '../../engine/builds/part-setting.ts';
import { clockText } from '../../engine/builds/swaps.ts';
import { type Circuit, isSameCircuit, type KnobSpec } from '../../engine/circuits/circuit.ts';
import type { Fit } from '../../engine/circuits/part-spec.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from '../state/bench-state.ts';
import { indexIn, isAlone } from '../state/chains.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { segmentStyles } from './segment-styles.ts';
import { sharedStyles } from './shared-styles.ts';

interface Choice {
  readonly slot: Slot;
  readonly id: string;
  readonly name: string;
  readonly options: readonly string[];
}

/** Knobs and switches of both builds, as clock positions on straight tracks. */
@customElement('controls-panel')
export class ControlsPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Where each build's output is as loud as its bypass, once it is known. */
  @property({ attribute: false }) unity: Readonly<Record<Slot, Unity | undefined>> = {
    a: undefined,
    b: undefined,
  };

  @property({ attribute: false }) isFindingUnity: Readonly<Record<Slot, boolean>> = { a: false, b: false };

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
      .controls {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2) var(--gap-4);
      }
      .control {
        flex: 1 1 9.5rem;
        max-width: 16rem;
      }
      .control h3 {
        font-size: var(--size-small);
        font-weight: 600;
      }
      .control.choices {
        flex: 0 0 auto;
        max-width: 100%;
      }
      .line {
        display: grid;
        grid-template-columns: auto minmax(3rem, 1fr);
        gap: var(--gap-2);
        align-items: center;
        min-height: 1.625rem;
      }
      .knob {
        grid-template-columns: auto minmax(3rem, 1fr) minmax(2.8rem, auto);
      }
      .line {
        position: relative;
      }
      /* The track begins behind the letter and ends ahead of the clock position; the thumb is 10 px wide. */
      .unity {
        position: absolute;
        left: calc(1.4rem + var(--gap-2));
        right: calc(2.8rem + var(--gap-2));
        bottom: 0.05rem;
        height: 0.4rem;
        pointer-events: none;
      }
      .unity::after {
        content: '';
        position: absolute;
        left: calc(5px + (100% - 10px) * var(--at) - 4px);
        border: 4px solid transparent;
        border-bottom: 6px solid var(--ink);
        border-top: 0;
      }
      .unity.never::after {
        border-bottom-color: var(--line-strong);
      }
      /* Goes along the track while its place is looked for, if that takes a while. */
      .unity.finding::after {
        border-bottom-color: var(--line-strong);
        opacity: 0;
        animation: finding 1.6s ease-in-out 1s infinite alternate;
      }
      @keyframes finding {
        from {
          left: 1px;
          opacity: 1;
        }
        to {
          left: calc(100% - 9px);
          opacity: 1;
        }
      }
      @media (prefers-reduced-motion: reduce) {
        .unity.finding::after {
          animation: none;
        }
      }
      .knob output {
        text-align: right;
      }
      label.option {
        gap: var(--gap-2);
      }
      .of-a {
        --accent: var(--a);
      }
      .of-b {
        --accent: var(--b);
      }
      /* Narrow or low windows have room for the build that is heard. */
      @media (max-width: 740px), (max-height: 860px) {
        .unheard {
          display: none;
        }
      }
      @media (max-width: 740px) {
        .control {
          flex-basis: 100%;
          max-width: none;
        }
      }
      /* A low window: what stands in the heading follows the controls. */
      @media (min-width: 741px) and (max-height: 860px) {
        :host {
          display: flex;
          flex-wrap: wrap;
          gap: 0 var(--gap-4);
          align-items: center;
        }
        header,
        .controls {
          display: contents;
        }
        header h2 {
          position: absolute;
          clip-path: inset(50%);
        }
        header label {
          order: 1;
        }
        .control {
          display: flex;
          gap: var(--gap-2);
          align-items: center;
        }
        .control h3 {
          white-space: nowrap;
        }
        .control .knob {
          flex: 1;
        }
      }
    `,
  ];

  override render() {
    const { builds, heard, isLinked } = this.state;
    const { circuit } = builds[heard];
    const other = builds[heard === 'a' ? 'b' : 'a'].circuit;
    const isOneCircuit = isSameCircuit(circuit, other);
    const slots: readonly Slot[] = isOneCircuit ? SLOTS : [heard];
    const shared = isOneCircuit ? '' : sharedControls(circuit, other);
    const canLink = isOneCircuit || shared !== '';
    const { knobs, switches } = circuit;
    return html`
      <header>
        <h2>Controls</h2>
        <label class="option small" title=${shared === '' ? 'Knobs and switches' : `Knobs and switches: ${shared}`}>
          <input type="checkbox" .checked=${live(isLinked && canLink)} ?disabled=${!canLink}
            @change=${(event: Event) => this.act({ type: 'link', isLinked: (event.target as HTMLInputElement).checked })} />
          Turn A and B together
        </label>
      </header>
      <div class="controls">
        ${knobs.map((knob) => this.#renderKnobs(slots, knob))}
        ${repeat(
          switches,
          // A radio button that changes its name while it is checked would uncheck those of its new name.
          ({ ref }) => `${circuit.id} ${ref}`,
          ({ ref, name }) => this.#renderSwitches(slots, ref, name),
        )}
      </div>
    `;
  }

  #renderKnobs(slots: readonly Slot[], { ref, name, gang }: KnobSpec) {
    const { builds } = this.state;
    const turned = slots.filter((slot) => !gang || builds[slot].switches[gang.switch] !== gang.position);
    if (turned.length === 0) return nothing;
    return html`<div class="control" role="group" aria-label=${name}>
      <h3><span class="soft figures">${ref}</span> ${name}</h3>
      ${turned.map((slot) => this.#renderKnob(slot, name, builds[slot].parts[ref]?.fit))}
    </div>`;
  }

  /** @param fit Of its potentiometer: a knob has no effect if it is not fitted or jumpered. */
  #renderKnob(slot: Slot, name: string, fit: Fit | undefined) {
    const rotation = this.state.builds[slot].knobs[name] ?? 0;
    const position = clockText(rotation);
    const unity = this.#unityAt(slot, name);
    return html`
      <label class="line knob ${this.#look(slot)}" title=${unity ? this.#unityText(slot, unity) : nothing}>
        <span class="letter ${slot}">${LETTER[slot]}</span>
        ${unity ? this.#renderUnity(slot, unity) : this.#renderFinding(slot, name)}
        <input type="range" min="0" max="1" step="0.01" ?disabled=${fit !== undefined} .value=${live(String(rotation))} style="--turn: ${rotation}"
          aria-label="${name} of build ${LETTER[slot]}" aria-valuetext="${position} o’clock"
          @input=${(event: Event) => this.act({ type: 'turnKnob', slot, name, rotation: Number(controlValue(event)) })} />
        <output class="figures small">${fit ? FIT_WORDS[fit] : position}</output>
      </label>
    `;
  }

  #unityAt(slot: Slot, knob: string): Unity | undefined {
    return knob === this.state.builds[slot].circuit.roles.level ? this.unity[slot] : undefined;
  }

  /** A mark under the level knob's track, where the build is as loud as its bypass. */
  #renderUnity(slot: Slot, unity: Unity) {
    const { rotation } = unity;
    return html`<span class="unity ${rotation === undefined ? 'never' : ''}" style="--at: ${rotation ?? 1}"
      role="img" aria-label="Unity of build ${LETTER[slot]}: ${this.#unityText(slot, unity)}"></span>`;
  }

  #renderFinding(slot: Slot, knob: string) {
    if (!this.isFindingUnity[slot] || knob !== this.state.builds[slot].circuit.roles.level) return nothing;
    return html`<span class="unity finding" role="img" aria-label="Unity of build ${LETTER[slot]}: being computed"></span>`;
  }

  /** A pedal of a chain is bypassed alone: the others are heard in both cases. */
  #unityText(slot: Slot, unity: Unity): string {
    const place = this.state.places[slot];
    return isAlone(place) ? unityText(unity) : chainUnityText(unity, indexIn(place) + 1);
  }

  #look(slot: Slot): string {
    return `of-${slot} ${this.state.heard === slot ? '' : 'unheard'}`;
  }

  #renderSwitches(slots: readonly Slot[], ref: string, name: string) {
    const { builds } = this.state;
    const choices = slots.map((slot) =>
      this.#renderChoice(
        { slot, id: ref, name, options: switchPositions(builds[slot].circuit, name) },
        builds[slot].switches[name] ?? '',
        (position) => this.act({ type: 'throwSwitch', slot, name, position }),
      ),
    );
    return this.#renderChoices(slots, `${ref} ${name}`, choices);
  }

  #renderChoices(slots: readonly Slot[], title: string, choices: readonly unknown[]) {
    return html`<div class="control choices"><h3>${title}</h3>
      ${slots.map((slot, index) => html`<div class="line ${this.#look(slot)}"><span class="letter ${slot}">${LETTER[slot]}</span>${choices[index]}</div>`)}
    </div>`;
  }

  #renderChoice({ slot, id, name, options }: Choice, chosen: string, choose: (option: string) => void) {
    return html`
      <span class="segments" role="radiogroup" aria-label="${name} of build ${LETTER[slot]}">${options.map(
        (option) => html`<label>
          <input type="radio" name="${id}-${slot}" .checked=${live(option === chosen)} @change=${() => choose(option)} />
          ${option}
        </label>`,
      )}</span>
    `;
  }
}

/** Controls of two circuits that turn together: "gain, tone with treble, output". */
function sharedControls(circuit: Circuit, other: Circuit): string {
  return pairedControls(circuit, other)
    .map(([name, paired]) => (name === paired ? name : `${name} with ${paired}`))
    .join(', ');
}

function unityText({ rotation, headroomDb }: Unity): string {
  return rotation === undefined
    ? `${(-headroomDb).toFixed(1)} dB quieter than the bypass even at full`
    : `as loud as the bypass at ${clockText(rotation)}`;
}

function chainUnityText({ rotation, headroomDb }: Unity, pedal: number): string {
  return rotation === undefined
    ? `the chain is ${(-headroomDb).toFixed(1)} dB quieter than with pedal ${pedal} bypassed, even at full`
    : `the chain is as loud as with pedal ${pedal} bypassed at ${clockText(rotation)}`;
}
