import { pairText } from '../../engine/builds/chain-swaps.ts';
import { pedalPairs } from '../../engine/builds/pedal-pairs.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { chainOf, isAlone, pedalsOf, type Sides } from '../state/chains.ts';

/** A pedal in the plot of levels: that of A and its counterpart of B, or the one of a side that alone has it. */
export interface LevelPedal {
  /** "pedal 2", "pedal 2 of A, 1 of B"; empty for two pedals alone. */
  readonly name: string;
  /** Title of its circuit, of both circuits where they differ. */
  readonly circuit: string;
  /** What the names of its nets begin with in the network of each chain; undefined where the side does not have it. */
  readonly units: Readonly<Record<Slot, string | undefined>>;
}

/** In the order of A's signal; a pedal that B alone has stands where B has it. */
export function levelPedals(sides: Sides): readonly LevelPedal[] {
  const [a, b] = [chainOf(sides, 'a'), chainOf(sides, 'b')];
  const isChain = !isAlone(sides.places.a) || !isAlone(sides.places.b);
  const { both, onlyA, onlyB } = pedalPairs(a, b);
  const places = [
    ...both.map(([i, j]) => ({ i, j, name: pairText([i, j]) })),
    ...onlyA.map((i) => ({ i, j: undefined, name: `${i + 1} of A` })),
    ...onlyB.map((j) => ({ i: undefined, j, name: `${j + 1} of B` })),
  ];
  const titles = (slot: Slot, index: number | undefined) =>
    index === undefined ? [] : [pedalsOf(sides, slot)[index]!.build.circuit.title];
  const unit = (slot: Slot, index: number | undefined) => {
    if (index === undefined) return undefined;
    return isAlone(sides.places[slot]) ? '' : `${index + 1}:`;
  };
  return places
    .sort((one, other) => (one.i ?? one.j!) - (other.i ?? other.j!))
    .map(({ i, j, name }) => ({
      name: isChain ? `pedal ${name}` : '',
      circuit: [...new Set([...titles('a', i), ...titles('b', j)])].join(' / '),
      units: { a: unit('a', i), b: unit('b', j) },
    }));
}
