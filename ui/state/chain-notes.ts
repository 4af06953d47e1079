import type { ChainPedal } from '../../engine/builds/chain.ts';
import { swapsBetween } from '../../engine/builds/swaps.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { indexIn, isAlone, pedalsOf, type Sides } from './chains.ts';

/** How the chains of A and B differ beside the swaps of the pedals that are looked at. */
export interface ChainNote {
  readonly text: string;
  /** The pedal of both that shows it; undefined where there is nothing to look at. */
  readonly index?: number;
}

/** In the order of the signal; none for two pedals alone. */
export function chainNotes(sides: Sides): readonly ChainNote[] {
  const { places } = sides;
  if (isAlone(places.a) && isAlone(places.b)) return [];
  const [a, b] = [pedalsOf(sides, 'a'), pedalsOf(sides, 'b')];
  const isLooked = (index: number) => indexIn(places.a) === index && indexIn(places.b) === index;
  const notes = a.slice(0, b.length).flatMap((pedal, index) => [
    ...placeNotes(pedal, b[index]!, index, isLooked(index)),
    // Behind the last pedal stands none of the chain's cables.
    ...(index < Math.min(a.length, b.length) - 1 ? cableNotes(pedal, b[index]!, index) : []),
  ]);
  return [...orderNotes(a, b), ...notes];
}

/** Other circuits at the same places, or another number of pedals, in one line. */
function orderNotes(a: readonly ChainPedal[], b: readonly ChainPedal[]): readonly ChainNote[] {
  const isAlike = a.length === b.length && a.every((pedal, index) => isLike(pedal, b[index]!));
  if (isAlike) return [];
  const names = (pedals: readonly ChainPedal[]) => pedals.map(({ build }) => build.circuit.title);
  const [one, other] = [names(a), names(b)];
  if ([...one].sort().join() === [...other].sort().join()) return [{ text: 'order of the pedals' }];
  return [{ text: `pedals: ${one.join(', ')} → ${other.join(', ')}` }];
}

function placeNotes(a: ChainPedal, b: ChainPedal, index: number, isLooked: boolean): readonly ChainNote[] {
  const name = `pedal ${index + 1}`;
  const count = isLooked || !isLike(a, b) ? 0 : swapsBetween(a.build, b.build).length;
  const state = ({ isOn }: ChainPedal) => (isOn ? 'on' : 'off');
  return [
    ...(count > 0 ? [{ text: `${name}: ${count} ${count === 1 ? 'swap' : 'swaps'}`, index }] : []),
    ...(a.isOn === b.isOn ? [] : [{ text: `${name} ${state(a)} → ${state(b)}` }]),
  ];
}

function cableNotes(a: ChainPedal, b: ChainPedal, index: number): readonly ChainNote[] {
  if (a.cableMetres === b.cableMetres) return [];
  return [{ text: `cable after pedal ${index + 1} ${a.cableMetres} m → ${b.cableMetres} m` }];
}

function isLike(a: ChainPedal, b: ChainPedal): boolean {
  return isSameCircuit(a.build.circuit, b.build.circuit);
}
