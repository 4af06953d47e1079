import { html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { buildTitle } from '../../engine/builds/build-title.ts';
import type { ChainPedal } from '../../engine/builds/chain.ts';
import { LONGEST_CABLE_METRES } from '../../engine/builds/instrument.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from '../state/bench-state.ts';
import { indexIn, isAlone, pedalsOf } from '../state/chains.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { chainStripStyles } from './chain-strip-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { typed } from './typed.ts';

/** A pedal of a side, by its index. */
interface Place {
  readonly slot: Slot;
  readonly index: number;
}

/** The chain of each side in the order of the signal, with the cables between; nothing while both sides have one pedal. */
@customElement('chain-strip')
export class ChainStrip extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The pedal that is dragged, and the one that it is over. */
  @state() private dragged: Place | undefined;
  @state() private over: Place | undefined;
  /** Focused once a move has been drawn. */
  #moved: Place | undefined;

  static override styles = [sharedStyles, chainStripStyles];

  protected override willUpdate(): void {
    this.hidden = SLOTS.every((slot) => isAlone(this.state.places[slot]));
  }

  protected override updated(): void {
    const moved = this.#moved;
    if (!moved || indexIn(this.state.places[moved.slot]) !== moved.index) return;
    this.#moved = undefined;
    this.renderRoot.querySelector<HTMLElement>(`#${moved.slot}-${moved.index}`)?.focus();
  }

  override render() {
    if (this.hidden) return nothing;
    return SLOTS.map((slot) => this.#renderChain(slot));
  }

  #renderChain(slot: Slot) {
    const pedals = pedalsOf(this.state, slot);
    return html`<div class="chain of-${slot} ${slot === this.state.heard ? 'heard' : ''}" role="group" aria-label="Chain of ${LETTER[slot]}">
      <span class="letter ${slot}" aria-hidden="true">${LETTER[slot]}</span>
      <ol>${repeat(
        pedals,
        ({ build }, index) => `${index} ${build.circuit.id}`,
        (pedal, index) => [
          this.#renderPedal(pedal, { slot, index }, pedals.length),
          index < pedals.length - 1 ? this.#renderCable(pedal, { slot, index }) : nothing,
        ],
      )}</ol>
    </div>`;
  }

  #renderPedal({ build, isOn }: ChainPedal, place: Place, count: number) {
    const { slot, index } = place;
    const isLooked = index === indexIn(this.state.places[slot]);
    const isChain = count > 1;
    const title = buildTitle(build);
    return html`<li class="pedal ${isOn ? '' : 'off'} ${isLooked ? 'looked' : ''} ${isSame(this.over, place) ? 'over' : ''}"
      draggable=${isChain} @dragstart=${(event: DragEvent) => this.#onDrag(event, place)} @dragend=${this.#onDragEnd}
      @dragover=${(event: DragEvent) => this.#onOver(event, place)} @drop=${(event: DragEvent) => this.#onDrop(event, place)}>
      ${isChain ? html`<span class="grip" aria-hidden="true">⠿</span>` : nothing}
      <button id="${slot}-${index}" class="look" aria-pressed=${isLooked} title="${title}. Show it on the sheet. Shift with ← or → moves it."
        aria-label="Pedal ${index + 1} of ${LETTER[slot]}: ${title}" @click=${() => this.act({ type: 'look', slot, index })}
        @keydown=${(event: KeyboardEvent) => this.#onKey(event, place, count)}><span class="figures">${index + 1}</span> <bdi>${title}</bdi></button>
      ${isChain ? this.#renderSwitch(isOn, place) : nothing}
      ${isChain && isLooked ? this.#renderTools(place, count) : nothing}
    </li>`;
  }

  #renderSwitch(isOn: boolean, { slot, index }: Place) {
    return html`<button class="switch small" role="switch" aria-checked=${isOn} aria-label="Pedal ${index + 1} of ${LETTER[slot]}, effect on"
      title="Footswitch of this pedal" @click=${() => this.act({ type: 'switchPedal', slot, index, isOn: !isOn })}>${isOn ? 'on' : 'off'}</button>`;
  }

  #renderTools(place: Place, count: number) {
    const { slot, index } = place;
    const name = `pedal ${index + 1} of ${LETTER[slot]}`;
    return html`<span class="tools">
      <button ?disabled=${index === 0} aria-label="Move ${name} left" title="Move left" @click=${() => this.#move(place, index - 1)}>←</button>
      <button ?disabled=${index === count - 1} aria-label="Move ${name} right" title="Move right" @click=${() => this.#move(place, index + 1)}>→</button>
      <button aria-label="Take ${name} out" title="Take out" @click=${() => this.act({ type: 'removePedal', slot, index })}>×</button>
    </span>`;
  }

  #renderCable({ cableMetres }: ChainPedal, { slot, index }: Place) {
    return html`<li class="cable"><label class="small" title="Patch cable, 0 to ${LONGEST_CABLE_METRES} m">
      <input class="figures" type="number" min="0" max=${LONGEST_CABLE_METRES} step="0.1" .value=${typed(String(cableMetres))}
        aria-label="Patch cable after pedal ${index + 1} of ${LETTER[slot]}, metres"
        @change=${(event: Event) => this.#setCable(event, { slot, index }, cableMetres)} />m</label></li>`;
  }

  #setCable(event: Event, { slot, index }: Place, before: number): void {
    const text = controlValue(event);
    const metres = Number(text);
    if (text.trim() !== '' && metres >= 0 && metres <= LONGEST_CABLE_METRES) {
      this.act({ type: 'patchCable', slot, index, metres });
      return;
    }
    const message = `"${text}" m is out of range. Choose 0 to ${LONGEST_CABLE_METRES} m.`;
    this.act({ type: 'refuse', ref: '', slot, message });
    (event.target as HTMLInputElement).value = String(before);
  }

  /** The pedal that is moved is looked at, so that it keeps the focus. */
  #move({ slot, index: from }: Place, to: number): void {
    this.act({ type: 'look', slot, index: from });
    this.act({ type: 'movePedal', slot, from, to });
    this.#moved = { slot, index: to };
  }

  #onKey(event: KeyboardEvent, place: Place, count: number): void {
    const step = event.shiftKey ? { ArrowLeft: -1, ArrowRight: 1 }[event.key] : undefined;
    if (step === undefined) return;
    event.preventDefault();
    const to = place.index + step;
    if (to >= 0 && to < count) this.#move(place, to);
  }

  #onDrag(event: DragEvent, place: Place): void {
    this.dragged = place;
    // Firefox drags only what has data.
    event.dataTransfer?.setData('text/plain', `pedal ${place.index + 1}`);
    if (event.dataTransfer) event.dataTransfer.effectAllowed = 'move';
  }

  #onDragEnd = (): void => {
    this.dragged = undefined;
    this.over = undefined;
  };

  #onOver(event: DragEvent, place: Place): void {
    const isHere = this.dragged?.slot === place.slot;
    if (isHere) event.preventDefault();
    this.over = isHere && !isSame(this.dragged, place) ? place : undefined;
  }

  #onDrop(event: DragEvent, { slot, index }: Place): void {
    const { dragged } = this;
    if (dragged?.slot !== slot) return;
    event.preventDefault();
    this.#onDragEnd();
    if (dragged.index !== index) this.act({ type: 'movePedal', slot, from: dragged.index, to: index });
  }
}

function isSame(one: Place | undefined, other: Place): boolean {
  return one?.slot === other.slot && one.index === other.index;
}

declare global {
  interface HTMLElementTagNameMap {
    'chain-strip': ChainStrip;
  }
}
