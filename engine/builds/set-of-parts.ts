import type { Network, Primitive } from '../network/network.ts';
import type { Build } from './build.ts';
import { amountAt, type Deviation, deviateOf, deviationsOf } from './deviations.ts';
import { movedPrimitive, refsOf } from './part-spread.ts';
import { potTrack, trackHalves } from './pot-tracks.ts';

/** The network of a build, made for the values printed on its parts, with the parts of its set; without one, the same. */
export function withPartsSet(network: Network, build: Build): Network {
  const { partsSet } = build;
  if (!partsSet) return network;
  const deviations = deviationsOf(build, partsSet.tolerances);
  const amounts = deviations.map((each) => amountAt(each, deviateOf(each, partsSet)));
  const movers = new Movers(build, deviations);
  const { temperatureK } = network;
  const primitives = network.primitives.map((each) => {
    const mover = movers.of(each);
    return mover ? mover(each, amounts, temperatureK) : each;
  });
  return { ...network, primitives };
}

/** Moves a primitive by the amounts of all deviations of its build. */
export type Mover = (primitive: Primitive, amounts: ArrayLike<number>, temperatureK: number) => Primitive;

/** Finds what moves the primitives of a build's network. */
export class Movers {
  readonly #build: Build;
  readonly #deviations: readonly Deviation[];
  /** Indices of deviations by the designator in the network. */
  readonly #indices = new Map<string, number[]>();

  constructor(build: Build, deviations: readonly Deviation[]) {
    this.#build = build;
    this.#deviations = deviations;
    for (const [index, { ref }] of deviations.entries())
      for (const own of refsOf(build, ref))
        this.#indices.set(own, [...(this.#indices.get(own) ?? []), index]);
  }

  /** @returns Undefined where nothing moves it. */
  of(primitive: Primitive): Mover | undefined {
    const { ref, piece = '' } = primitive.origin;
    const isPiggyback = piece.split(' ')[0] === 'piggyback';
    const own = (this.#indices.get(ref) ?? []).filter(
      (index) => this.#deviations[index]!.isPiggyback === isPiggyback,
    );
    if (primitive.kind === 'resistor' && primitive.isTrack) return this.#trackMover(ref, piece, own);
    const indices = [...own, ...this.#pumpOf(primitive)];
    if (indices.length === 0) return undefined;
    const steps = indices.map((index) => ({ index, ...this.#deviations[index]! }));
    return (from, amounts, temperatureK) =>
      steps.reduce(
        (moved, { index, ref: of, spread }) =>
          movedPrimitive(this.#build, moved, { ref: of, spread, amount: amounts[index]! }, temperatureK),
        from,
      );
  }

  /** Of two pump capacitors in parallel the first stands for both. */
  #pumpOf(primitive: Primitive): readonly number[] {
    if (primitive.kind !== 'converter' || !primitive.pump) return [];
    const indices = this.#indices.get(primitive.pump.ref) ?? [];
    return indices.filter((index) => !this.#deviations[index]!.isPiggyback);
  }

  #trackMover(ref: string, end: string, own: readonly number[]): Mover | undefined {
    const setting = this.#build.parts[ref];
    if (!setting || own.length === 0) return undefined;
    const track = potTrack(this.#build, ref, setting);
    const indexOf = (quantity: string) =>
      own.find((index) => this.#deviations[index]!.spread.quantity === quantity)!;
    const [value, taper] = [indexOf('value'), indexOf('taper')];
    return (primitive, amounts) => {
      const halves = trackHalves(track, { track: amounts[value]!, taper: amounts[taper]! });
      return { ...primitive, ohms: halves[end === 'ccw' ? 0 : 1] } as Primitive;
    };
  }
}
