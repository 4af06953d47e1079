import type { Primitive } from '../network/network.ts';
import { parametersOf } from './parameters.ts';
import type { Element } from './partition.ts';

type Diode = Primitive & { readonly kind: 'diode' };

/** A diode that carries this conducts, A. */
const CONDUCTING_A = 1e-3;

/** Forward voltage of a diode that conducts, V. */
export function forwardV(diode: Diode, temperatureK: number, amps = CONDUCTING_A): number {
  const [saturationA = 0, emissionV = 0, seriesOhms = 0] = parametersOf(diode, temperatureK);
  return emissionV * Math.log1p(amps / saturationA) + amps * seriesOhms;
}

/** Current at which diodes of a pair are taken at first, A: small, so that their voltage is rather too large. */
const CLAMPED_A = 0.3e-3;
/** A pair is settled where its voltage is at least this share of the forward voltage at its current. */
const SETTLED_SHARE = 0.95;
/** Diodes are taken to carry at least this, A: a signal far below their forward voltage. */
const LEAST_A = 1e-12;

/**
 * Diodes with one the other way beside them, each of which conducts half of the time; others do not count. A pair that carries
 * little is a small conductance: as large a one as where it clips would hold back a signal that does not even reach its forward
 * voltage. Of a pair of unlike diodes the higher voltage counts, which one half wave reaches.
 */
export class DiodePairs {
  readonly #temperatureK: number;
  readonly #pairs: ReadonlyMap<Element, DiodePair>;

  constructor(elements: readonly Element[], temperatureK: number) {
    this.#temperatureK = temperatureK;
    const diodes = elements.flatMap((element) =>
      element.primitive.kind === 'diode' ? [{ element, diode: element.primitive }] : [],
    );
    const pairs = diodes.map(({ element, diode }) => {
      const [a, b] = element.nodes;
      const opposite = diodes.filter(({ element: { nodes } }) => nodes[0] === b && nodes[1] === a);
      return [element, { diode, opposite: opposite.map((one) => one.diode), amps: CLAMPED_A }] as const;
    });
    this.#pairs = new Map(pairs.filter(([, { opposite }]) => opposite.length > 0));
  }

  /** Conductance of a diode, S; 0 without one the other way. */
  siemensOf(element: Element): number {
    const pair = this.#pairs.get(element);
    return pair ? (0.5 * pair.amps) / this.#dropV(pair) : 0;
  }

  #dropV({ diode, opposite, amps }: DiodePair): number {
    const dropOf = (one: Diode) => forwardV(one, this.#temperatureK, amps);
    return Math.max(dropOf(diode), Math.min(...opposite.map(dropOf)));
  }

  /**
   * Takes each diode at the current that its conductance carries, if that is less.
   *
   * @param across Volts between two nodes. @returns Whether some pair has less than its forward voltage.
   */
  settle(across: (a: number, b: number) => number): boolean {
    let hasMoved = false;
    for (const [{ nodes }, pair] of this.#pairs) {
      const share = across(nodes[0]!, nodes[1]!) / this.#dropV(pair);
      if (share >= SETTLED_SHARE) continue;
      pair.amps = Math.max(LEAST_A, pair.amps * share);
      hasMoved = true;
    }
    return hasMoved;
  }
}

interface DiodePair {
  readonly diode: Diode;
  readonly opposite: readonly Diode[];
  /** Through the diode while it conducts, A. */
  amps: number;
}
