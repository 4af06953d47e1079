import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { type KnobMatch, matchedRotation } from '../../engine/analysis/knob-match.ts';
import { isSameSetting } from '../../engine/builds/part-setting.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from '../state/bench-state.ts';
import { surroundings } from '../state/played-network.ts';
import { BenchElement, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

const MATCHES = [
  ['position', 'same position'],
  ['track', 'same resistance ratio'],
  ['sound', 'closest sound'],
] as const;

/** If the other build has another potentiometer: ways to set the knob to the same effect. */
@customElement('knob-matches')
export class KnobMatches extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Reference designator of the potentiometer. */
  @property() place = '';
  @property() slotName: Slot = 'a';

  static override styles = [
    sharedStyles,
    css`
      .matches {
        display: grid;
        gap: 2px;
      }
      .matches button {
        min-height: 1.6rem;
        font-size: var(--size-small);
        padding: 0 var(--gap-1);
      }
    `,
  ];

  override render() {
    const { place, slotName: slot } = this;
    const other: Slot = slot === 'a' ? 'b' : 'a';
    const { builds } = this.state;
    const knob = builds[slot].circuit.knobs.find((each) => each.ref === place);
    if (!knob || !isSameCircuit(builds[other].circuit, builds[slot].circuit)) return nothing;
    if (isSameSetting(builds[other].parts[place] ?? {}, builds[slot].parts[place] ?? {})) return nothing;
    return html`<div class="matches" role="group" aria-label="Set ${knob.name} of ${LETTER[slot]} to that of ${LETTER[other]}">
      <span class="small soft">set the knob to ${LETTER[other]}’s:</span>
      ${MATCHES.map(([match, title]) => html`<button @click=${() => this.#match(knob.name, match)}>${title}</button>`)}
    </div>`;
  }

  #match(name: string, match: KnobMatch): void {
    const { slotName: slot } = this;
    const { builds, temperatureC, selected } = this.state;
    const conditions = { temperatureK: kelvinOf(temperatureC), around: surroundings(this.state, slot) };
    try {
      const pair = [builds[slot === 'a' ? 'b' : 'a'], builds[slot]] as const;
      const rotation = matchedRotation(pair, name, match, conditions);
      this.act({ type: 'turnKnob', slot, name, rotation, isAlone: true });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.act({ type: 'refuse', ref: selected, slot, message: error.message });
    }
  }
}
