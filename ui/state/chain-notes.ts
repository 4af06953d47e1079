import { refText } from '../../engine/builds/alias.ts';
import type { Chain, ChainPedal } from '../../engine/builds/chain.ts';
import { pairText } from '../../engine/builds/chain-swaps.ts';
import {
  isLike,
  isOtherOrder,
  type PedalPair,
  type PedalPairs,
  pedalPairs,
} from '../../engine/builds/pedal-pairs.ts';
import { swapsBetween } from '../../engine/builds/swaps.ts';
import { pedalTitles } from '../pedal-names.ts';
import { chainOf, indexIn, isAlone, type Sides } from './chains.ts';

/** Most swaps of a pedal that a note lists; `whole` has them all. */
const MOST_SWAPS = 3;

/** How the chains of A and B differ beside the swaps of the pedals that are looked at. */
export interface ChainNote {
  readonly text: string;
  /** The same in full. */
  readonly whole: string;
  /** The pedals that show it; undefined where there is nothing to look at. */
  readonly pair?: PedalPair;
}

/** In the order of the signal; none for two pedals alone. */
export function chainNotes(sides: Sides): readonly ChainNote[] {
  const { places } = sides;
  if (isAlone(places.a) && isAlone(places.b)) return [];
  const [a, b] = [chainOf(sides, 'a'), chainOf(sides, 'b')];
  const pairs = pedalPairs(a, b);
  return [
    ...(isOtherOrder(pairs) ? [note('order of the pedals')] : []),
    ...oneSidedNotes('A', a, pairs.onlyA),
    ...oneSidedNotes('B', b, pairs.onlyB),
    ...pairs.both.flatMap((pair) => [
      ...swapNotes(a.pedals[pair[0]]!, b.pedals[pair[1]]!, pair, isLooked(sides, pair)),
      ...switchNotes(a, b, pair),
    ]),
  ];
}

/** Whether the pedals that are looked at are compared with each other, as those of one circuit are. */
export function areCompared(sides: Sides): boolean {
  return pairsOf(sides).both.some((pair) => isLooked(sides, pair));
}

function pairsOf(sides: Sides): PedalPairs {
  return pedalPairs(chainOf(sides, 'a'), chainOf(sides, 'b'));
}

function isLooked({ places }: Sides, [a, b]: PedalPair): boolean {
  return indexIn(places.a) === a && indexIn(places.b) === b;
}

function note(text: string, whole = text): ChainNote {
  return { text, whole };
}

function oneSidedNotes(
  letter: string,
  { pedals }: Chain,
  positions: readonly number[],
): readonly ChainNote[] {
  return positions.map((index) => {
    const { circuit, title } = pedalTitles(pedals[index]!.build);
    const text = `pedal ${index + 1} only in ${letter}: ${circuit}`;
    return note(text, title === '' ? text : `${text}, ${title}`);
  });
}

function swapNotes(a: ChainPedal, b: ChainPedal, pair: PedalPair, isShown: boolean): readonly ChainNote[] {
  if (isShown) return [];
  const name = `pedal ${pairText(pair)}`;
  if (!isLike(a, b)) {
    const [from, to] = [a, b].map(({ build }) => build.circuit.title);
    return [{ ...note(`${name}: ${from} → ${to}`), pair }];
  }
  const swaps = swapsBetween(a.build, b.build).map(({ ref, name: control, before, after }) =>
    [ref === '' ? '' : refText(a.build, ref), control, `${before} → ${after}`]
      .filter((word) => word !== '')
      .join(' '),
  );
  if (swaps.length === 0) return [];
  const more = swaps.length > MOST_SWAPS ? [`${swaps.length - MOST_SWAPS + 1} more`] : [];
  const told = [...swaps.slice(0, more.length > 0 ? MOST_SWAPS - 1 : MOST_SWAPS), ...more];
  return [{ ...note(`${name}: ${told.join(', ')}`, `${name}: ${swaps.join(', ')}`), pair }];
}

/** The switch of a pedal, and the cable after it where one lies there in both. */
function switchNotes(a: Chain, b: Chain, pair: PedalPair): readonly ChainNote[] {
  const [one, other] = [a.pedals[pair[0]]!, b.pedals[pair[1]]!];
  const name = `pedal ${pairText(pair)}`;
  const state = ({ isOn }: ChainPedal) => (isOn ? 'on' : 'off');
  const isLast = [a, b].some(({ pedals }, side) => pair[side] === pedals.length - 1);
  return [
    ...(one.isOn === other.isOn ? [] : [note(`${name}: ${state(one)} → ${state(other)}`)]),
    ...(isLast || one.cableMetres === other.cableMetres
      ? []
      : [note(`cable after ${name}: ${one.cableMetres} m → ${other.cableMetres} m`)]),
  ];
}
