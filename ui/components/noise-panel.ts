import { css, html, nothing, type PropertyValues } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { loudestSource, noiseInputText } from '../../engine/analysis/build-noise.ts';
import type { Noise } from '../../engine/analysis/noise.ts';
import { ratioToDb, voltsToDbu } from '../../engine/units/decibels.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { withPedalNames } from '../pedal-names.ts';
import type { Analyser } from '../plots/analyser.ts';
import type { BenchState } from '../state/bench-state.ts';
import { lookedText } from '../state/chains.ts';
import { BENCH_NOISE_INPUT, restConditions, restConditionsText } from '../state/rest-noise.ts';
import { BenchElement, LETTER } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** A smaller difference between two hisses is not audible, dB; from memory, half a decibel at best. */
const ALIKE_DB = 0.5;

/** Hiss of each build without a signal, and the part that causes most of it. */
@customElement('noise-panel')
export class NoisePanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Computes the noise in a worker; available a moment after the page. */
  @property({ attribute: false }) analyser: Analyser | undefined;
  @state() private noises: Readonly<Partial<Record<Slot, Noise>>> = {};
  /** What has been asked for and is not answered: the levels shown are those of an older build. */
  @state() private waiting: Readonly<Partial<Record<Slot, object>>> = {};
  @query('dialog') private dialog!: HTMLDialogElement;
  #shown: BenchState | undefined;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      .chip {
        display: flex;
        gap: var(--gap-2);
        align-items: center;
        min-height: 1.6rem;
        font-size: var(--size-small);
        white-space: nowrap;
      }
      /* Levels that follow a knob at once do not flicker. */
      .old {
        color: var(--ink-soft);
        transition: color 0.1s 0.3s;
      }
      dialog p {
        margin: var(--gap-2) 0;
      }
      dl {
        display: grid;
        grid-template-columns: auto auto 1fr;
        gap: var(--gap-1) var(--gap-3);
        align-items: baseline;
        margin: var(--gap-2) 0;
      }
      dt,
      dd {
        margin: 0;
      }
      .level {
        text-align: right;
        white-space: nowrap;
      }
      label {
        display: inline-flex;
        gap: var(--gap-2);
        align-items: center;
      }
      p,
      dd {
        text-wrap: pretty;
      }
      @media (max-width: 740px) {
        dl {
          grid-template-columns: auto 1fr;
        }
        .level {
          text-align: left;
        }
        .source {
          grid-column: 1 / -1;
        }
      }
    `,
  ];

  protected override updated(_: PropertyValues): void {
    const shown = this.#shown;
    const isKnown =
      shown?.builds === this.state.builds && conditionsText(shown) === conditionsText(this.state);
    if (isKnown || !this.analyser) return;
    this.#shown = this.state;
    for (const slot of SLOTS) void this.#find(slot, this.analyser);
  }

  async #find(slot: Slot, analyser: Analyser): Promise<void> {
    const query = {
      kind: 'noise',
      build: this.state.builds[slot],
      ...restConditions(this.state, slot),
    } as const;
    this.waiting = { ...this.waiting, [slot]: query };
    const answer = await analyser.ask(`${slot} noise`, query);
    if (!answer) return;
    if (this.waiting[slot] === query) this.waiting = { ...this.waiting, [slot]: undefined };
    const { [slot]: _, ...others } = this.noises;
    this.noises = answer.kind === 'result' ? { ...others, [slot]: answer.result } : others;
  }

  override render() {
    return html`
      <button class="chip" aria-haspopup="dialog" title="Hiss of each ${lookedText(this.state.places) === undefined ? 'build' : 'whole chain'} at rest, A-weighted" @click=${() => this.dialog.showModal()}>
        Hiss ${SLOTS.map((slot) => html`<span class="letter ${slot}">${LETTER[slot]}</span><span class="figures ${this.#age(slot)}">${levelText(this.noises[slot])}</span>`)}</button>
      <dialog aria-labelledby="title" @click=${this.#onDialogClick}>
        <h2 id="title">Hiss at rest${lookedText(this.state.places) === undefined ? '' : ', of the whole chain'}</h2>
        <dl>${SLOTS.map((slot) => this.#renderBuild(slot, this.noises[slot]))}</dl>
        <p>${this.#difference()}</p>
        <p class="small soft">20 Hz to 20 kHz, A-weighted, with ${noiseInputText(BENCH_NOISE_INPUT, restConditions(this.state, this.state.heard).around)}${
          this.state.isBypassed ? ', bypassed' : ''
        }. Mains hum and the interface’s own noise come on top.</p>
        <p><label title="Added at each build's output, as loud as it would be from the pedal. It does not change while a note clips.">
          <input type="checkbox" .checked=${live(this.state.hearsNoise)}
            @change=${(event: Event) => this.act({ type: 'hearNoise', isHeard: (event.target as HTMLInputElement).checked })} />
          Play the builds’ hiss</label></p>
        <button @click=${() => this.dialog.close()}>Close</button>
      </dialog>
    `;
  }

  /** A click beside the dialog closes it. */
  #onDialogClick = (event: Event): void => {
    if (event.target === this.dialog) this.dialog.close();
  };

  #renderBuild(slot: Slot, noise: Noise | undefined) {
    return html`
      <dt><span class="letter ${slot}">${LETTER[slot]}</span></dt>
      <dd class="level figures ${this.#age(slot)}">${levelText(noise)}</dd>
      <dd class="source small">${noise ? html`${withPedalNames(`${loudestSource(noise)}${unknownText(noise)}`)}` : nothing}</dd>
    `;
  }

  #age(slot: Slot): string {
    return this.waiting[slot] ? 'old' : '';
  }

  #difference(): string {
    const { a, b } = this.noises;
    if (!a || !b || !(a.weightedV > 0) || !(b.weightedV > 0)) return '';
    const db = ratioToDb(b.weightedV / a.weightedV);
    if (Math.abs(db) < ALIKE_DB) return `A and B hiss equally, within ${Math.abs(db).toFixed(1)} dB.`;
    return `B hisses ${Math.abs(db).toFixed(1)} dB ${db < 0 ? 'less' : 'more'} than A.`;
  }
}

const conditionsText = (state: BenchState) =>
  SLOTS.map((slot) => restConditionsText(restConditions(state, slot))).join();

function levelText(noise: Noise | undefined): string {
  return noise ? `${decibels(voltsToDbu(noise.weightedV))} dBu` : '–';
}

function decibels(value: number): string {
  return Number.isFinite(value) ? value.toFixed(1).replace('-', '−') : '−∞';
}

function unknownText({ unknown }: Noise): string {
  return unknown.length === 0 ? '' : ` The noise of ${unknown.join(', ')} is not known.`;
}
