import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { refText } from '../../engine/builds/alias.ts';
import { buildTitle, copyOf, withTitle } from '../../engine/builds/build-title.ts';
import {
  figureOfSwap,
  type MovedFigure,
  movedText,
  type Swap,
  swapsBetween,
  withSwap,
} from '../../engine/builds/swaps.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { LaterValues } from '../later-values.ts';
import type { Action, BenchState } from '../state/bench-state.ts';
import { BenchElement } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** Every difference between A and B, with buttons to remove it on either side. */
@customElement('swap-list')
export class SwapList extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  readonly #moved = new LaterValues<MovedFigure | undefined>(this);
  /** What the figures were computed from. */
  #shown: readonly unknown[] = [];

  static override styles = [
    sharedStyles,
    css`
      ul {
        list-style: none;
      }
      li {
        display: grid;
        grid-template-columns: minmax(3rem, auto) 1fr auto auto auto;
        gap: var(--gap-2);
        align-items: center;
        padding: var(--gap-1) 0;
        border-top: 1px solid var(--line);
      }
      @media (max-width: 700px) {
        li {
          grid-template-columns: auto auto auto 1fr;
        }
        .ref,
        .words {
          grid-column: 1 / -1;
        }
      }
      h2 {
        margin-bottom: var(--gap-1);
      }
      .moved {
        display: block;
      }
      button {
        min-height: 1.6rem;
        padding: 0 var(--gap-1);
        font-size: var(--size-small);
      }
    `,
  ];

  protected override willUpdate(): void {
    const { builds, temperatureC } = this.state;
    const shown = [builds.a, builds.b, temperatureC];
    if (shown.every((each, index) => each === this.#shown[index])) return;
    this.#shown = shown;
    const { a, b } = builds;
    this.#moved.want(
      swapsBetween(a, b).map((swap) => [
        keyOf(swap),
        () => figureOfSwap([a, b], swap, kelvinOf(temperatureC)),
      ]),
    );
  }

  override render() {
    const { a, b } = this.state.builds;
    const swaps = swapsBetween(a, b);
    return html`
      <h2>A and B differ in</h2>
      ${
        !isSameCircuit(a.circuit, b.circuit)
          ? html`<p class="soft">Two circuits: ${buildTitle(a)} and ${buildTitle(b)} share no parts.</p>`
          : swaps.length === 0
            ? html`<p class="soft">Nothing: A and B are the same build. Change a part of B and press the space bar.</p>`
            : html`<ul>${swaps.map((swap) => this.#renderSwap(swap))}</ul>`
      }
    `;
  }

  #renderSwap(swap: Swap) {
    const name = swap.name === '' ? swap.ref : swap.name;
    const moved = this.#moved.get(keyOf(swap));
    return html`
      <li>
        <span class="ref figures">${swap.ref === '' ? '' : refText(this.state.builds.a, swap.ref)}</span>
        <span class="words">${swap.name} <span class="figures">${swap.before}</span> to <span class="figures">${swap.after}</span>
          ${moved ? html`<span class="moved small soft">${movedText(moved)}</span>` : nothing}</span>
        <button title="Put this swap alone into A's build and hear it as B" aria-label="hear only this: ${name}" @click=${() => this.#hearAlone(swap)}>hear only this</button>
        <button title="Make B have what A has" aria-label="back to A’s: ${name}" @click=${() => this.#copy(swap, 'a', 'b')}>back to A’s</button>
        <button title="Make A have what B has" aria-label="copy to A: ${name}" @click=${() => this.#copy(swap, 'b', 'a')}>copy to A</button>
      </li>
    `;
  }

  /** B becomes A with only this swap, and its title says so; undo restores B. */
  #hearAlone(swap: Swap): void {
    const { a, b } = this.state.builds;
    if (swapsBetween(a, b).length > 1) {
      const alone = withSwap(copyOf(a), b, swap);
      // Automatic titles include parts and switches, but not knobs.
      const title = swap.what === 'knob' ? `${buildTitle(a)}, ${swap.name} ${swap.after}` : '';
      this.act({ type: 'load', slot: 'b', build: title === '' ? alone : withTitle(alone, title) });
    }
    this.act({ type: 'hear', slot: 'b' });
  }

  #copy(swap: Swap, from: Slot, to: Slot): void {
    this.act(this.#copyAction(swap, from, to));
  }

  #copyAction({ what, ref, name }: Swap, from: Slot, slot: Slot): Action {
    const build = this.state.builds[from];
    switch (what) {
      case 'part':
        return { type: 'setPart', slot, ref, setting: build.parts[ref] ?? {} };
      case 'knob':
        return { type: 'turnKnob', slot, name, rotation: build.knobs[name] ?? 0 };
      case 'switch':
        return { type: 'throwSwitch', slot, name, position: build.switches[name] ?? '' };
      case 'bypass':
        return { type: 'setBypass', slot, bypass: build.bypass };
    }
  }
}

function keyOf({ ref, name, before, after }: Swap): string {
  return [ref, name, before, after].join(' ');
}
