import { type Build, buildParts, type PartSetting } from '../../engine/builds/build.ts';
import { canBeUnfitted, canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import { switchPositions } from '../../engine/builds/control-positions.ts';
import type { Circuit } from '../../engine/circuits/circuit.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { preferredValues } from '../../engine/units/preferred-numbers.ts';
import { POT_LAWS } from '../../engine/units/taper.ts';
import { formatValue, parseValue, type ValueQuantity } from '../../engine/units/value-code.ts';
import { uniform } from '../unit/small-networks.ts';
import { startingBuildOf } from './starting-builds.ts';

/** Usual values; supplies from a third of a battery to two batteries in series. */
const RANGES: Readonly<Record<ValueQuantity, readonly [least: number, most: number]>> = {
  ohms: [1, 10e6],
  farads: [1e-12, 1e-3],
  henries: [1e-4, 10],
  volts: [3, 18],
};
/** Fractions of the parts that are swapped, from a few to most of them. */
const BOLDNESS = [0.05, 0.2, 0.6, 1] as const;
/** Probability that a swapped value is near the old one, within a factor of ten, instead of any value. */
const NEAR_SHARE = 0.7;
const UNFITTED_SHARE = 0.08;
/** Of the places that are empty or jumpered at the start, relative to other parts. */
const FILLED_SHARE = 0.2;
const PIGGYBACK_SHARE = 0.1;
const MOST_IN_SERIES = 6;

/**
 * A random build that the screen allows, from a seed: any circuit, values of E24, all types, fits, knobs and switches.
 *
 * @param circuits To draw from; all of the bench if absent. A seed draws the same from the same list only.
 */
export function randomBuild(seed: number, circuits: readonly Circuit[] = [...CIRCUITS.values()]): Build {
  const drawer = new Drawer(seed);
  const start = startingBuildOf(drawer.pick(circuits), drawer.draw());
  return { ...swappedBuild(start, drawer), title: `Random build ${seed}` };
}

/** A build with other parts at random. */
export function swappedBuild(start: Build, drawer: Drawer): Build {
  const circuit = start.circuit;
  const share = drawer.pick(BOLDNESS);
  const parts = buildParts(circuit).map((part) => {
    const own = start.parts[part.ref]!;
    // Most places that are empty at the start stay so: many carry the supply.
    const swapped = own.fit === undefined ? share : share * FILLED_SHARE;
    const setting = drawer.draw() < swapped ? drawer.setting(part.kind, own) : own;
    return [part.ref, canonicalSetting(part, setting)] as const;
  });
  return {
    ...start,
    notes: '',
    parts: Object.fromEntries(parts),
    knobs: Object.fromEntries(circuit.knobs.map(({ name }) => [name, drawer.rotation()])),
    switches: Object.fromEntries(
      circuit.switches.map(({ name }) => [name, drawer.pick(switchPositions(circuit, name))]),
    ),
    bypass: drawer.pick(circuit.bypass.kinds),
  };
}

type Kind = Parameters<typeof quantityOf>[0];

/** Draws from a seed. */
export class Drawer {
  readonly draw: () => number;

  constructor(seed: number) {
    this.draw = uniform(seed);
  }

  pick<T>(list: readonly T[]): T {
    return list[Math.floor(this.draw() * list.length)]!;
  }

  /** Knobs are as often at an end as at any other position. */
  rotation(): number {
    const place = this.draw();
    if (place < 0.2) return 0;
    return place < 0.4 ? 1 : Math.round(100 * this.draw()) / 100;
  }

  setting(kind: Kind, own: PartSetting): PartSetting {
    const quantity = quantityOf(kind);
    const soldered = () =>
      quantity ? this.#value(quantity, own.value ?? '') : this.pick(typesOf(kind as 'diode'));
    return {
      ...(quantity ? { value: soldered() } : { type: soldered() }),
      ...(kind === 'pot' ? { law: this.pick(POT_LAWS) } : {}),
      ...(kind === 'diode' ? { count: 1 + Math.floor(MOST_IN_SERIES * this.draw() ** 2) } : {}),
      ...(canBeUnfitted(kind) && this.draw() < UNFITTED_SHARE
        ? { fit: this.pick(['open', 'bridged'] as const) }
        : {}),
      ...(canBeUnfitted(kind) && kind !== 'pot' && this.draw() < PIGGYBACK_SHARE
        ? { piggyback: soldered() }
        : {}),
    };
  }

  #value(quantity: ValueQuantity, own: string): string {
    const [least, most] = RANGES[quantity];
    const middle = parseValue(own, quantity);
    const isNear = this.draw() < NEAR_SHARE;
    const low = isNear ? Math.max(least, middle / 10) : least;
    const high = isNear ? Math.min(most, middle * 10) : most;
    const wanted = low * (Math.max(high, low) / low) ** this.draw();
    if (quantity === 'volts') return formatValue(Math.round(10 * wanted) / 10, quantity);
    const decade = Math.floor(Math.log10(wanted));
    return formatValue(Number(`${this.pick(preferredValues('E24'))}e${decade - 2}`), quantity);
  }
}
