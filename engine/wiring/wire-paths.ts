import type { GridPoint } from '../circuits/part-spec.ts';
import type { Box } from '../drawing/geometry.ts';
import { type NetToRoute, type RoutedNet, routeNets } from '../drawing/wire-router.ts';
import type { Wiring, WiringWire } from './wiring.ts';
import { CONTROL_X, type WiringPlaces } from './wiring-places.ts';

/** How each wire runs, from lug to lug: those of the controls straight or past one lug, the others where they have room. */
export function wirePaths(
  wires: Wiring['wires'],
  { at, edge, bends }: WiringPlaces,
  taken: readonly Box[],
): ReadonlyMap<WiringWire, readonly GridPoint[]> {
  const isAtControl = ({ from }: WiringWire) => at.get(from)![0] <= CONTROL_X;
  const paths = new Map(
    wires
      .filter(isAtControl)
      .map((wire) => [wire, bentPath(at.get(wire.from)!, at.get(wire.to)!, bends.get(wire.from))]),
  );
  const others = wires.filter((wire) => !isAtControl(wire));
  const nets = others.map(
    (wire, index): NetToRoute => ({ name: `${index}`, ends: [at.get(wire.from)!, at.get(wire.to)!] }),
  );
  const ends = [...at.values()].filter(([x]) => x >= edge);
  for (const [index, routed] of routeNets(nets, taken, ends).entries())
    paths.set(others[index]!, inOrder(routed));
  return paths;
}

function bentPath(from: GridPoint, to: GridPoint, down: number | undefined): readonly GridPoint[] {
  return down === undefined ? [from, to] : [from, [from[0], to[1]], to];
}

/** The corners of a wire from its first end to its last. */
function inOrder({ segments, ends }: RoutedNet): readonly GridPoint[] {
  const path: GridPoint[] = [ends[0]!];
  const left = [...segments];
  while (left.length > 0) {
    const here = path.at(-1)!;
    const next = left.findIndex((segment) => segment.some((end) => isSame(end, here)));
    const [segment] = left.splice(next, 1);
    path.push(segment!.find((end) => !isSame(end, here))!);
  }
  return path;
}

const isSame = (one: GridPoint, other: GridPoint): boolean => one[0] === other[0] && one[1] === other[1];
