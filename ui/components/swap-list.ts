import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { refText } from '../../engine/builds/alias.ts';
import type { Build } from '../../engine/builds/build.ts';
import { buildTitle, copyOf, withTitle } from '../../engine/builds/build-title.ts';
import { chainWith } from '../../engine/builds/chain.ts';
import type { PedalPair } from '../../engine/builds/pedal-pairs.ts';
import {
  figureOfSwap,
  type MovedFigure,
  movedText,
  type Swap,
  swapsBetween,
  unlikeText,
  withSwap,
} from '../../engine/builds/swaps.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { LaterValues } from '../later-values.ts';
import type { Action, BenchState } from '../state/bench-state.ts';
import { areCompared, type ChainNote, chainNotes } from '../state/chain-notes.ts';
import { indexIn } from '../state/chains.ts';
import { BenchElement } from './bench-element.ts';
import './circuit-swap-list.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** Every difference between A and B on one line; a click shows what it changes and offers to remove it on either side. */
@customElement('swap-list')
export class SwapList extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The swap whose dialog is open. */
  @state() private chosen = '';
  @query('dialog') private dialog!: HTMLDialogElement;
  readonly #moved = new LaterValues<MovedFigure | undefined>(this);
  /** What the figures were computed from. */
  #shown: readonly unknown[] = [];

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      .strip {
        display: flex;
        gap: var(--gap-2);
        align-items: center;
        min-width: 0;
        min-height: 1.75rem;
      }
      h2,
      .strip p {
        white-space: nowrap;
      }
      li.small {
        align-self: center;
        padding-right: var(--gap-2);
        white-space: nowrap;
      }
      .strip p {
        overflow: hidden;
        text-overflow: ellipsis;
      }
      ul {
        display: flex;
        gap: var(--gap-1);
        min-width: 0;
        overflow-x: auto;
        list-style: none;
        scrollbar-width: thin;
      }
      li {
        flex: none;
      }
      button {
        min-height: 1.6rem;
        font-size: var(--size-small);
      }
      .moved {
        margin-top: var(--gap-1);
      }
      .ways {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        margin-top: var(--gap-4);
      }
      @media (max-width: 740px) {
        .strip {
          flex-wrap: wrap;
        }
        li button {
          min-height: 2.75rem;
        }
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

  /** A swap that is gone, as by an undo, leaves no empty dialog. */
  protected override updated(): void {
    const isThere = this.#swaps.some((swap) => keyOf(swap) === this.chosen);
    if (this.dialog.open && !isThere) this.dialog.close();
  }

  override render() {
    const swaps = this.#swaps;
    const notes = chainNotes(this.state);
    return html`
      <div class="strip">
        <h2>A and B differ in</h2>
        ${notes.length > 0 ? html`<ul>${notes.map((note) => this.#renderNote(note))}</ul>` : nothing}
        ${this.#renderLooked(swaps, notes.length > 0)}
      </div>
      <dialog aria-labelledby="title" @click=${this.#onDialogClick}>${this.#renderChosen(swaps)}</dialog>
    `;
  }

  /** Those of the pedals that are looked at; none where one side alone has that pedal. */
  get #swaps(): readonly Swap[] {
    const { a, b } = this.state.builds;
    return areCompared(this.state) ? swapsBetween(a, b) : [];
  }

  #renderLooked(swaps: readonly Swap[], hasNotes: boolean) {
    const { a, b } = this.state.builds;
    if (swaps.length > 0) return html`<ul>${swaps.map((swap) => this.#renderSwap(swap))}</ul>`;
    if (unlikeText(a, b) !== undefined && areCompared(this.state))
      return html`<circuit-swap-list .state=${this.state}></circuit-swap-list>`;
    if (hasNotes) return nothing;
    return html`<p class="small soft">Nothing: A and B are the same build. Change a part of B and press the space bar.</p>`;
  }

  #renderNote({ text, whole, pair }: ChainNote) {
    if (pair === undefined) return html`<li class="small" title=${whole}>${text}</li>`;
    return html`<li><button title="${whole}. Show it on the sheet." @click=${() => this.#look(pair)}>${text}</button></li>`;
  }

  /** The other side follows, unless the first is looked at already. */
  #look([a, b]: PedalPair): void {
    const isThere = indexIn(this.state.places.a) === a;
    this.act(isThere ? { type: 'look', slot: 'b', index: b } : { type: 'look', slot: 'a', index: a });
  }

  #renderSwap(swap: Swap) {
    return html`<li><button aria-haspopup="dialog" @click=${() => this.#open(swap)}>${this.#nameOf(swap)}
      <span class="figures">${swap.before} → ${swap.after}</span></button></li>`;
  }

  #nameOf({ ref, name }: Swap): string {
    return [ref === '' ? '' : refText(this.state.builds.a, ref), name]
      .filter((word) => word !== '')
      .join(' ');
  }

  #open(swap: Swap): void {
    this.chosen = keyOf(swap);
    this.dialog.showModal();
  }

  #renderChosen(swaps: readonly Swap[]) {
    const swap = swaps.find((each) => keyOf(each) === this.chosen);
    if (!swap) return nothing;
    const moved = this.#moved.get(this.chosen);
    return html`
      <h2 id="title">${this.#nameOf(swap)}</h2>
      <p>A has <span class="figures">${swap.before}</span>, B has <span class="figures">${swap.after}</span>.</p>
      ${moved ? html`<p class="moved soft">${movedText(moved)}</p>` : nothing}
      <div class="ways">
        <button title="Put this swap alone into A's build and hear it as B" @click=${() => this.#done(() => this.#hearAlone(swap))}>Hear only this</button>
        <button title="Make B have what A has" @click=${() => this.#done(() => this.#copy(swap, 'a', 'b'))}>Back to A’s</button>
        <button title="Make A have what B has" @click=${() => this.#done(() => this.#copy(swap, 'b', 'a'))}>Copy to A</button>
        <button @click=${() => this.dialog.close()}>Close</button>
      </div>
    `;
  }

  #done(act: () => void): void {
    this.dialog.close();
    act();
  }

  /** A click beside the dialog closes it. */
  #onDialogClick = (event: Event): void => {
    if (event.target === this.dialog) this.dialog.close();
  };

  /** B becomes A with only this swap, and its title says so; undo restores B. */
  #hearAlone(swap: Swap): void {
    const { a, b } = this.state.builds;
    if (this.#swaps.length > 1 || chainNotes(this.state).length > 0) {
      const alone = withSwap(copyOf(a), b, swap);
      // Automatic titles include parts and switches, but not knobs.
      const title = swap.what === 'knob' ? `${buildTitle(a)}, ${swap.name} ${swap.after}` : '';
      this.#loadIntoB(title === '' ? alone : withTitle(alone, title));
    }
    this.act({ type: 'hear', slot: 'b' });
  }

  /** With the other pedals as they are in A. */
  #loadIntoB(build: Build): void {
    const place = this.state.places.a;
    if (chainNotes(this.state).length === 0) this.act({ type: 'load', slot: 'b', build });
    else this.act({ type: 'loadChain', slot: 'b', chain: chainWith(build, place), index: indexIn(place) });
  }

  #copy(swap: Swap, from: Slot, to: Slot): void {
    this.act(this.#copyAction(swap, from, to));
  }

  #copyAction(swap: Swap, from: Slot, slot: Slot): Action {
    const { what, ref, name } = swap;
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
      case 'set':
        return { type: 'load', slot, build: withSwap(this.state.builds[slot], build, swap) };
    }
  }
}

function keyOf({ ref, name, before, after }: Swap): string {
  return [ref, name, before, after].join(' ');
}
