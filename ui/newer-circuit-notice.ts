import type { Build } from '../engine/builds/build.ts';
import { type NewerCircuit, newerCircuit, newerCircuitText } from '../engine/builds/newer-circuit.ts';
import type { BundledCircuits } from '../engine/circuits/bundled-circuits.ts';
import { SLOTS } from '../worklets/bench-messages.ts';
import { LETTER } from './components/bench-element.ts';
import type { Notice } from './notice.ts';
import type { Action, Builds } from './state/bench-state.ts';

/** Offers the newer revision of a build's circuit, until it is accepted or refused for this visit. */
export class NewerCircuitNotice {
  readonly #known = new WeakMap<Build, { readonly offer: NewerCircuit | undefined }>();
  /** Refused revisions, as "id revision". */
  readonly #left = new Set<string>();

  /** @param left Called after an offer was refused, to draw again. */
  notices(
    builds: Builds,
    bundled: BundledCircuits,
    act: (action: Action) => void,
    left: () => void,
  ): readonly Notice[] {
    return SLOTS.flatMap((slot) => {
      const { id, revision } = builds[slot].circuit;
      const offer = this.#left.has(`${id} ${revision}`) ? undefined : this.#offerFor(builds[slot], bundled);
      if (!offer) return [];
      const { build } = offer;
      const leave = () => {
        this.#left.add(`${id} ${revision}`);
        left();
      };
      const ways = [
        { title: `Take revision ${build.circuit.revision}`, act: () => act({ type: 'load', slot, build }) },
        { title: `Keep revision ${revision}`, act: leave },
      ];
      return [{ text: `${LETTER[slot]}: ${newerCircuitText(offer)}`, kind: 'note', ways } as const];
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
