import { html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import type { ChainPedal } from '../../engine/builds/chain.ts';
import { LONGEST_CABLE_METRES } from '../../engine/builds/instrument.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { pedalTitles } from '../pedal-names.ts';
import type { BenchState } from '../state/bench-state.ts';
import { countIn, indexIn, isAlone, pedalsOf } from '../state/chains.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import type { BuildBar } from './build-bar.ts';
import { chainStripStyles } from './chain-strip-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { typed } from './typed.ts';

/** A pedal of a side, by its index. */
interface Place {
  readonly slot: Slot;
  readonly index: number;
}

/** Where the focus goes once a change of the chain is drawn. */
interface NextFocus {
  readonly slot: Slot;
  readonly isDrawn: (state: BenchState) => boolean;
  /** The first that is there and can be used. */
  readonly selectors: (state: BenchState) => readonly string[];
  /** What was refused before: another refusal is that of the change. */
  readonly refusal: BenchState['refusal'];
}

/** The chain of each side in the order of the signal, with the cables between; nothing while both sides have one pedal. */
@customElement('chain-strip')
export class ChainStrip extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** The pedal that is dragged, and the one that it is over. */
  @state() private dragged: Place | undefined;
  @state() private over: Place | undefined;
  #next: NextFocus | undefined;

  static override styles = [sharedStyles, chainStripStyles];

  protected override willUpdate(): void {
    this.hidden = SLOTS.every((slot) => isAlone(this.state.places[slot]));
  }

  protected override updated(): void {
    const next = this.#next;
    const { refusal } = this.state;
    if (next?.isDrawn(this.state)) {
      this.#next = undefined;
      this.#focusOn(next);
    } else if (refusal !== undefined && refusal !== next?.refusal) this.#next = undefined;
    for (const row of this.renderRoot.querySelectorAll('ol')) showLooked(row);
  }

  /** Without a chain there is no strip: then the menu is focused that pedals come from. */
  #focusOn({ slot, selectors }: NextFocus): void {
    const found = selectors(this.state)
      .map((selector) => this.renderRoot.querySelector<HTMLElement>(selector))
      .find((element) => element !== null);
    if (found) found.focus();
    else this.#barOf(slot)?.focus();
  }

  #barOf(slot: Slot): BuildBar | undefined {
    const bars = (this.getRootNode() as ParentNode).querySelectorAll<BuildBar>('build-bar');
    return [...bars].find(({ slotName }) => slotName === slot);
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
        (pedal, index) => html`<li>
          ${index > 0 ? this.#renderCable(pedals[index - 1]!, { slot, index: index - 1 }) : nothing}
          ${this.#renderPedal(pedal, { slot, index }, pedals.length)}
        </li>`,
      )}</ol>
    </div>`;
  }

  #renderPedal({ build, isOn }: ChainPedal, place: Place, count: number) {
    const { slot, index } = place;
    const isLooked = index === indexIn(this.state.places[slot]);
    const isChain = count > 1;
    const hasTools = isChain && isLooked && slot === this.state.heard;
    const { circuit, title } = pedalTitles(build);
    const name = title === '' ? circuit : `${circuit}: ${title}`;
    return html`<div class="pedal ${isOn ? '' : 'off'} ${isLooked ? 'looked' : ''} ${isChain ? 'chained' : ''} ${hasTools ? 'tooled' : ''} ${isSame(this.over, place) ? 'over' : ''}"
      draggable=${isChain} @dragstart=${(event: DragEvent) => this.#onDrag(event, place)} @dragend=${this.#onDragEnd}
      @dragover=${(event: DragEvent) => this.#onOver(event, place)} @drop=${(event: DragEvent) => this.#onDrop(event, place)}>
      ${isChain ? html`<span class="grip" aria-hidden="true">⠿</span>` : nothing}
      <button id="${slot}-${index}" class="look" aria-pressed=${isLooked} title="${name}. Show it on the sheet. Shift with ← or → moves it."
        aria-label="Pedal ${index + 1} of ${LETTER[slot]}, ${name}" @click=${() => this.act({ type: 'look', slot, index })}
        @keydown=${(event: KeyboardEvent) => this.#onKey(event, place, count)}><span class="figures">${index + 1}</span> <strong>${circuit}</strong>
        ${title === '' ? nothing : html`<bdi class="soft">${title}</bdi>`}</button>
      ${isChain ? this.#renderSwitch(isOn, place) : nothing}
      ${hasTools ? this.#renderTools(place, count) : nothing}
    </div>`;
  }

  #renderSwitch(isOn: boolean, { slot, index }: Place) {
    return html`<button class="switch small" role="switch" aria-checked=${isOn} aria-label="Pedal ${index + 1} of ${LETTER[slot]}, effect on"
      title="Footswitch of this pedal" @click=${() => this.act({ type: 'switchPedal', slot, index, isOn: !isOn })}>${isOn ? 'on' : 'off'}</button>`;
  }

  #renderTools(place: Place, count: number) {
    const { slot, index } = place;
    const name = `pedal ${index + 1} of ${LETTER[slot]}`;
    return html`<span class="tools">
      <button class="left" ?disabled=${index === 0} aria-label="Move ${name} left" title="Move left" @click=${() => this.#move(place, index - 1, ['left', 'right'])}>←</button>
      <button class="right" ?disabled=${index === count - 1} aria-label="Move ${name} right" title="Move right" @click=${() => this.#move(place, index + 1, ['right', 'left'])}>→</button>
      <button aria-label="Take ${name} out" title="Take out" @click=${() => this.#takeOut(place)}>×</button>
    </span>`;
  }

  #renderCable({ cableMetres }: ChainPedal, { slot, index }: Place) {
    return html`<span class="cable"><label class="small" title="Patch cable, 0 to ${LONGEST_CABLE_METRES} m">
      <input class="figures" type="number" min="0" max=${LONGEST_CABLE_METRES} step="0.1" .value=${typed(String(cableMetres))}
        aria-label="Patch cable after pedal ${index + 1} of ${LETTER[slot]}, metres"
        @change=${(event: Event) => this.#setCable(event, { slot, index }, cableMetres)} />m</label></span>`;
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

  /**
   * The pedal that is moved is looked at, so that it keeps the focus.
   *
   * @param tools Its buttons that get the focus, the first that can be pressed; without them it is the pedal itself.
   */
  #move({ slot, index: from }: Place, to: number, tools: readonly string[] = []): void {
    this.#next = {
      slot,
      isDrawn: ({ places }) => indexIn(places[slot]) === to,
      selectors: () => [...tools.map((tool) => `.of-${slot} .${tool}:enabled`), `#${slot}-${to}`],
      refusal: this.state.refusal,
    };
    this.act({ type: 'look', slot, index: from });
    this.act({ type: 'movePedal', slot, from, to });
  }

  #takeOut({ slot, index }: Place): void {
    const before = countIn(this.state.places[slot]);
    this.#next = {
      slot,
      isDrawn: ({ places }) => countIn(places[slot]) < before,
      selectors: ({ places }) => [`#${slot}-${indexIn(places[slot])}`],
      refusal: this.state.refusal,
    };
    this.act({ type: 'removePedal', slot, index });
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

/** Scrolls a row, and nothing else, so that the pedal that is looked at is in sight. */
function showLooked(row: HTMLOListElement): void {
  const looked = row.querySelector<HTMLElement>('.looked');
  if (!looked) return;
  const [outer, inner] = [row.getBoundingClientRect(), looked.getBoundingClientRect()];
  if (inner.left < outer.left) row.scrollLeft -= outer.left - inner.left;
  else if (inner.right > outer.right)
    row.scrollLeft += Math.min(inner.right - outer.right, inner.left - outer.left);
}

function isSame(one: Place | undefined, other: Place): boolean {
  return one?.slot === other.slot && one.index === other.index;
}

declare global {
  interface HTMLElementTagNameMap {
    'chain-strip': ChainStrip;
  }
}
