import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import {
  type CircuitSwaps,
  circuitSwaps,
  countOf,
  type StageSwaps,
  type Swapped,
  type SwapSide,
  sideText,
  wholeStagesText,
} from '../../engine/builds/circuit-swaps.ts';
import { unlikeText } from '../../engine/builds/swaps.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Action, BenchState, Builds } from '../state/bench-state.ts';
import { copiedSwap } from '../state/copied-swap.ts';
import { BenchElement, LETTER } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

type Group = 'swapped' | 'added' | 'leftOut';

const GROUPS: Readonly<Record<Group, { readonly button: string; readonly title: string }>> = {
  swapped: { button: 'swapped', title: 'Swapped: parts with the same job' },
  added: { button: 'only in B', title: 'Only in B' },
  leftOut: { button: 'only in A', title: 'Only in A' },
};

/** A number stays with its unit: "audio 15 %". */
function unbroken(side: SwapSide): string {
  return sideText(side).replace(/(\d) (?=\D)/g, '$1\u00a0');
}

/** Differences of two builds of two circuits: how many of each group, the stages in words, and the parts after a click. */
@customElement('circuit-swap-list')
export class CircuitSwapList extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @state() private group: Group = 'swapped';
  @query('dialog') private dialog!: HTMLDialogElement;
  /** How many parts were swapped before a copy that is not shown yet. */
  #countBefore: number | undefined;
  #known: { readonly builds: Builds; readonly swaps: CircuitSwaps } | undefined;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      :host {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-1) var(--gap-2);
        align-items: center;
        min-width: 0;
      }
      button {
        min-height: 1.6rem;
        font-size: var(--size-small);
      }
      dialog {
        width: min(54rem, 94vw);
        max-height: 85vh;
      }
      dialog > header {
        display: flex;
        justify-content: space-between;
        align-items: baseline;
        gap: var(--gap-4);
      }
      ul {
        list-style: none;
      }
      li {
        padding: 0.2rem 0;
        border-top: 1px solid var(--line);
      }
      li.swapped {
        display: grid;
        grid-template-columns: minmax(0, 1.2fr) minmax(0, 1fr) minmax(0, 1fr) 11.5rem;
        gap: var(--gap-1) var(--gap-2);
        align-items: baseline;
      }
      li.one {
        display: grid;
        grid-template-columns: 11rem minmax(0, 1fr);
        gap: 0 var(--gap-2);
      }
      .ways {
        display: flex;
        gap: var(--gap-1);
        justify-content: end;
      }
      summary {
        padding: var(--gap-1) 0;
        cursor: pointer;
      }
      @media (max-width: 740px) {
        :host > button {
          min-height: 2.75rem;
        }
        li.swapped {
          grid-template-columns: minmax(0, 1fr) minmax(0, 1fr);
        }
        li.swapped > :is(.job, .ways) {
          grid-column: 1 / -1;
        }
        .ways {
          justify-content: start;
        }
        .ways button,
        dialog > header button {
          min-height: 2.75rem;
        }
        li.one {
          grid-template-columns: minmax(0, 1fr);
        }
      }
    `,
  ];

  override render() {
    const { a, b } = this.state.builds;
    const swaps = this.#swaps();
    return html`
      ${(Object.keys(GROUPS) as Group[]).map((group) => this.#renderButton(swaps, group))}
      <p class="small soft">${unlikeText(a, b)} ${this.#stagesText(swaps)}</p>
      <dialog aria-labelledby="title" @click=${this.#onDialogClick}>
        <header>
          <h2 id="title">${GROUPS[this.group].title}</h2>
          <button @click=${() => this.dialog.close()}>Close</button>
        </header>
        ${this.group === 'swapped' ? this.#renderSwapped(swaps.swapped) : swaps[this.group].map((stage) => this.#renderStage(stage))}
      </dialog>
    `;
  }

  #stagesText(swaps: CircuitSwaps): string {
    if (swaps.swapped.length === 0 && [...swaps.added, ...swaps.leftOut].every(({ isWhole }) => isWhole))
      return 'No parts with the same job.';
    const stages = wholeStagesText(swaps);
    return stages === '' ? '' : `Whole ${stages}.`;
  }

  /** The page is drawn much more often than builds change. */
  #swaps(): CircuitSwaps {
    const { builds } = this.state;
    if (this.#known?.builds.a !== builds.a || this.#known.builds.b !== builds.b)
      this.#known = { builds, swaps: circuitSwaps(builds.a, builds.b) };
    return this.#known.swaps;
  }

  #renderButton(swaps: CircuitSwaps, group: Group) {
    const count = group === 'swapped' ? swaps.swapped.length : countOf(swaps[group]);
    if (count === 0) return nothing;
    return html`<button aria-haspopup="dialog" title=${GROUPS[group].title} @click=${() => this.#open(group)}>
      <span class="figures">${count}</span> ${GROUPS[group].button}</button>`;
  }

  #open(group: Group): void {
    this.group = group;
    this.dialog.showModal();
  }

  #renderSwapped(swapped: readonly Swapped[]) {
    return html`<ul>${swapped.map(
      (swap) => html`<li class="swapped">
        <span class="job">${swap.job}</span>
        <span class="figures"><span class="letter a">A</span> ${unbroken(swap.before)}</span>
        <span class="figures"><span class="letter b">B</span> ${unbroken(swap.after)}</span>
        <span class="ways">${this.#renderCopy(swap, 'a')}${this.#renderCopy(swap, 'b')}</span>
      </li>`,
    )}</ul>`;
  }

  /** The button of a copy goes with its difference: the focus goes on to the next one, or out of the empty dialog. */
  protected override updated(): void {
    const { swapped } = this.#swaps();
    if (this.#countBefore === undefined || swapped.length === this.#countBefore) return;
    this.#countBefore = undefined;
    if (swapped.length === 0) this.dialog.close();
    if (!this.shadowRoot?.activeElement)
      this.renderRoot
        .querySelector<HTMLElement>('dialog[open] .ways button, dialog[open] button, button')
        ?.focus();
  }

  #copy(action: Action): void {
    this.#countBefore = this.#swaps().swapped.length;
    this.act(action);
  }

  /** Only what fits at the other place can be copied there. */
  #renderCopy(swap: Swapped, to: Slot) {
    const action = copiedSwap(this.state.builds, swap, to);
    if (!action) return nothing;
    return html`<button aria-label="Copy ${swap.job === '' ? swap.before.ref : `the ${swap.job}`} to ${LETTER[to]}" @click=${() => this.#copy(action)}>Copy to ${LETTER[to]}</button>`;
  }

  #renderStage({ stage, isWhole, swaps }: StageSwaps) {
    const count = `${swaps.length} ${swaps.length === 1 ? 'part' : 'parts'}`;
    return html`<details>
      <summary>${stage} <span class="small soft">${isWhole ? `the whole stage, ${count}` : count}</span></summary>
      <ul>${swaps.map(
        ({ job, side }) => html`<li class="one">
          <span class="figures">${unbroken(side)}</span> <span class="soft small">${job}</span>
        </li>`,
      )}</ul>
    </details>`;
  }

  /** A click beside the dialog closes it. */
  #onDialogClick = (event: Event): void => {
    if (event.target === this.dialog) this.dialog.close();
  };
}
