import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { type NetGroup, netsByStage } from '../../../engine/builds/probe-nets.ts';
import { type Circuit, isSameCircuit } from '../../../engine/circuits/circuit.ts';
import { fittedCircuit } from '../../../engine/circuits/fitted-circuit.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';

/** Menu of the probe's nets by stage, and the gain of the probe. */
@customElement('probe-menu')
export class ProbeMenu extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) gainA = Number.NEGATIVE_INFINITY;
  @property({ attribute: false }) gainB = Number.NEGATIVE_INFINITY;

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: var(--gap-1) var(--gap-2);
        min-width: 0;
      }
      label {
        display: inline-flex;
        gap: var(--gap-2);
        align-items: center;
        min-width: 0;
      }
      select,
      button {
        min-height: 1.75rem;
        font-size: var(--size-small);
      }
      .on {
        border-color: var(--ink);
        font-weight: 600;
      }
    `,
  ];

  override render() {
    const { probe } = this.state;
    return html`
      <label class="small">Probe
        <select class=${probe === undefined ? '' : 'on'} @change=${this.#onChoice}>
          <option value="" ?selected=${probe === undefined}>on the output</option>
          ${this.#groups().map(
            ({ title, nets }) => html`<optgroup label=${title}>
              ${nets.map((net) => html`<option value=${net} ?selected=${net === probe}>${net}</option>`)}
            </optgroup>`,
          )}
        </select>
      </label>
      ${probe === undefined ? nothing : this.#renderHeard()}
    `;
  }

  #renderHeard() {
    return html`
      <button @click=${() => this.act({ type: 'probe', net: undefined })} title="Escape">Back to the output</button>
      <span class="small soft figures" title="The probed net is heard without its bias and as loud as the output, by this gain">
        heard at A ${gainText(this.gainA)}, B ${gainText(this.gainB)}
      </span>
    `;
  }

  /** The nets of A's circuit, then those that only B's has. */
  #groups(): readonly NetGroup[] {
    const { a, b } = this.state.builds;
    const [circuitA, circuitB] = [fittedCircuit(a), fittedCircuit(b)];
    const groups = groupsOf(circuitA);
    if (isSameCircuit(circuitA, circuitB)) return groups;
    const known = new Set(groups.flatMap(({ nets }) => nets));
    const others = groupsOf(circuitB)
      .map(({ title, nets }) => ({ title: `${title} (B)`, nets: nets.filter((net) => !known.has(net)) }))
      .filter(({ nets }) => nets.length > 0);
    return [...groups, ...others];
  }

  #onChoice = (event: Event): void => {
    this.act({ type: 'probe', net: controlValue(event) || undefined });
  };
}

/** Nets of a circuit; found once for each, since the menu is drawn far more often. */
const knownGroups = new WeakMap<Circuit, readonly NetGroup[]>();

function groupsOf(circuit: Circuit): readonly NetGroup[] {
  const known = knownGroups.get(circuit);
  if (known) return known;
  const groups = netsByStage(circuit);
  knownGroups.set(circuit, groups);
  return groups;
}

function gainText(gainDb: number): string {
  if (!Number.isFinite(gainDb)) return '…';
  return `${gainDb < 0 ? '−' : '+'}${Math.abs(gainDb).toFixed(1)} dB`;
}
