import { html, nothing } from 'lit';
import type { Build } from '../engine/builds/build.ts';
import { type NewerCircuit, newerCircuit, newerCircuitText } from '../engine/builds/newer-circuit.ts';
import type { BundledCircuits } from '../engine/circuits/bundled-circuits.ts';
import { SLOTS } from '../worklets/bench-messages.ts';
import { LETTER } from './components/bench-element.ts';
import type { Action, Builds } from './state/bench-state.ts';

/** Offers the newer revision of a build's circuit, until it is accepted or refused for this visit. */
export class NewerCircuitNotice {
  readonly #known = new WeakMap<Build, { readonly offer: NewerCircuit | undefined }>();
  /** Refused revisions, as "id revision". */
  readonly #left = new Set<string>();

  /** @param left Called after an offer was refused, to draw again. */
  render(builds: Builds, bundled: BundledCircuits, act: (action: Action) => void, left: () => void) {
    return SLOTS.map((slot) => {
      const { id, revision } = builds[slot].circuit;
      const offer = this.#left.has(`${id} ${revision}`) ? undefined : this.#offerFor(builds[slot], bundled);
      if (!offer) return nothing;
      const { build } = offer;
      const leave = () => {
        this.#left.add(`${id} ${revision}`);
        left();
      };
      return html`<div class="notice" role="note">
        <p>${LETTER[slot]}: ${newerCircuitText(offer)}</p>
        <div class="ways">
          <button @click=${() => act({ type: 'load', slot, build })}>Take revision ${build.circuit.revision}</button>
          <button @click=${leave}>Keep revision ${revision}</button>
        </div>
      </div>`;
    });
  }

  /** Found once for each build, because the page is drawn much more often. */
  #offerFor(build: Build, bundled: BundledCircuits): NewerCircuit | undefined {
    const known = this.#known.get(build);
    if (known) return known.offer;
    const offer = newerCircuit(build, bundled);
    this.#known.set(build, { offer });
    return offer;
  }
}
