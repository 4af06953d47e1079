import type { GridPoint } from '../circuits/part-spec.ts';
import { Refusal } from '../input/refusal.ts';
import { type Box, boxAround, pointBox } from './geometry.ts';

/** No path was found for a wire between symbols and labels. The message is one sentence for the screen. */
export class WalledInError extends Refusal {
  readonly net: string;
  constructor(net: string) {
    super(
      'drawing',
      `The wires of the net "${net}" cannot be drawn: a part is enclosed by others. Place parts farther apart.`,
    );
    this.name = 'WalledInError';
    this.net = net;
  }
}

/** Pins and ports that a wire has to join. */
export interface NetToRoute {
  readonly name: string;
  readonly ends: readonly GridPoint[];
}

/** A routed net: straight segments, and the points where three or more meet. */
export interface RoutedNet {
  readonly name: string;
  readonly segments: readonly (readonly [GridPoint, GridPoint])[];
  readonly junctions: readonly GridPoint[];
  /** Pins and ports that it joins; two that touch need no segment. */
  readonly ends: readonly GridPoint[];
}

/** Extra cost of a bend and of a crossing, which make a drawing harder to read. */
const STEP_COST = 1;
const BEND_COST = 1.5;
const CROSSING_COST = 8;
/** Free grid lines around everything, for detours of wires. */
const MARGIN = 3;
/** Least distance of a wire from a box, grid steps. */
const CLEARANCE = 0.15;

const DX = [1, 0, -1, 0] as const;
const DY = [0, 1, 0, -1] as const;

/**
 * Routes nets one after the other, short ones first, as rectilinear trees on the grid: from the part that is
 * already joined to the nearest end by Dijkstra's algorithm over (point, direction). Wires never run through
 * boxes or the ends of other nets, nor along each other; they cross at right angles where a detour costs more.
 *
 * @param boxes No wire runs through them, except to an end inside.
 * @param ends Points that only their own net may touch.
 * @throws WalledInError if an end cannot be reached: a mistake in the circuit.
 */
export function routeNets(
  nets: readonly NetToRoute[],
  boxes: readonly Box[],
  ends: readonly GridPoint[],
): readonly RoutedNet[] {
  const grid = new RoutingGrid(
    boxAround([...boxes, ...[...ends, ...nets.flatMap((net) => net.ends)].map(pointBox)]),
  );
  for (const box of boxes) grid.block(box);
  for (const end of ends) grid.reserve(end);
  const inOrder = [...nets].sort((a, b) => span(a) - span(b));
  const routed = new Map(inOrder.map((net) => [net.name, grid.route(net)]));
  return nets.map(({ name }) => routed.get(name)!);
}

function span({ ends }: NetToRoute): number {
  const { left, right, top, bottom } = boxAround(ends.map(pointBox));
  return right - left + bottom - top;
}

/** A tree for a net: paths from the part already joined to each further end. */
interface Attempt {
  readonly cost: number;
  readonly paths: readonly (readonly number[])[];
}

/** The grid's points and what lies on them already. */
class RoutingGrid {
  readonly #left: number;
  readonly #top: number;
  readonly #width: number;
  readonly #height: number;
  readonly #isBlocked: Uint8Array;
  /** For each point, a bit for each of the four directions of a wire. */
  readonly #wires: Uint8Array;
  /** For each point, the number of its net (the first where two cross); 0 for none. */
  readonly #netAt: Int16Array;
  /** Directions of wires at each point, by number of net. */
  readonly #trees = new Map<number, Map<number, number>>();
  #netNumber = 0;

  constructor({ left, top, right, bottom }: Box) {
    this.#left = Math.floor(left) - MARGIN;
    this.#top = Math.floor(top) - MARGIN;
    this.#width = Math.ceil(right) + MARGIN - this.#left + 1;
    this.#height = Math.ceil(bottom) + MARGIN - this.#top + 1;
    const points = this.#width * this.#height;
    this.#isBlocked = new Uint8Array(points);
    this.#wires = new Uint8Array(points);
    this.#netAt = new Int16Array(points);
  }

  block({ left, top, right, bottom }: Box): void {
    for (let y = Math.ceil(top - CLEARANCE); y <= bottom + CLEARANCE; y++) {
      for (let x = Math.ceil(left - CLEARANCE); x <= right + CLEARANCE; x++)
        this.#isBlocked[this.#index([x, y])] = 1;
    }
  }

  reserve(end: GridPoint): void {
    this.#isBlocked[this.#index(end)] = 1;
  }

  route({ name, ends }: NetToRoute): RoutedNet {
    this.#netNumber++;
    const own = ends.map((end) => this.#index(end));
    for (const end of own) this.#isBlocked[end] = 0;
    const attempts = own.map((start) => this.#attempt(own, start)).filter((attempt) => attempt !== undefined);
    const best = attempts.reduce<Attempt | undefined>(
      (least, attempt) => (least && least.cost <= attempt.cost ? least : attempt),
      undefined,
    );
    if (!best) throw new WalledInError(name);
    for (const end of own) this.#netAt[end] = this.#netNumber;
    for (const path of best.paths) this.#lay(path);
    for (const end of own) this.#isBlocked[end] = 1;
    const tree = new Set([...own, ...best.paths.flat()]);
    return { name, segments: this.#segments(tree), junctions: this.#junctions(tree, own), ends };
  }

  /** A tree from one end, always to the nearest remaining end; undefined if one cannot be reached. */
  #attempt(ends: readonly number[], start: number): Attempt | undefined {
    const tree = new Set([start]);
    const left = new Set(ends.filter((end) => end !== start));
    const paths: (readonly number[])[] = [];
    let total = 0;
    while (left.size > 0) {
      const found = this.#pathTo(left, tree);
      if (!found) return undefined;
      for (const point of found.path) {
        if (!this.#isForeign(point)) tree.add(point);
        left.delete(point);
      }
      paths.push(found.path);
      total += found.cost;
    }
    return { cost: total, paths };
  }

  /** Cheapest path from the tree to any of the targets, as points from target back to tree. */
  #pathTo(
    targets: ReadonlySet<number>,
    tree: ReadonlySet<number>,
  ): { readonly cost: number; readonly path: readonly number[] } | undefined {
    const cost = new Float64Array(this.#isBlocked.length * 4).fill(Number.POSITIVE_INFINITY);
    const from = new Int32Array(cost.length).fill(-1);
    const queue = new CostQueue();
    for (const point of tree) {
      for (let direction = 0; direction < 4; direction++) {
        cost[point * 4 + direction] = 0;
        queue.push(point * 4 + direction, 0);
      }
    }
    for (let state = queue.pop(); state !== undefined; state = queue.pop()) {
      const point = state >> 2;
      if (targets.has(point)) return { cost: cost[state]!, path: this.#backtrace(state, from) };
      for (let direction = 0; direction < 4; direction++) {
        const price = this.#price(point, state & 3, direction, tree);
        const next = (point + DX[direction]! + DY[direction]! * this.#width) * 4 + direction;
        const total = cost[state]! + price;
        if (total < (cost[next] ?? 0)) {
          cost[next] = total;
          from[next] = state;
          queue.push(next, total);
        }
      }
    }
    return undefined;
  }

  /** Cost of a step, infinite where no wire may go. */
  #price(point: number, heading: number, direction: number, tree: ReadonlySet<number>): number {
    if (direction === (heading ^ 2) && !tree.has(point)) return Number.POSITIVE_INFINITY;
    const isTurn = direction !== heading;
    if (isTurn && this.#isForeign(point)) return Number.POSITIVE_INFINITY;
    const x = (point % this.#width) + DX[direction]!;
    const y = Math.floor(point / this.#width) + DY[direction]!;
    if (x < 0 || y < 0 || x >= this.#width || y >= this.#height) return Number.POSITIVE_INFINITY;
    const next = y * this.#width + x;
    if (this.#isBlocked[next]) return Number.POSITIVE_INFINITY;
    const price = STEP_COST + (isTurn && !tree.has(point) ? BEND_COST : 0);
    if (!this.#isForeign(next)) return price;
    const across = direction % 2 === 0 ? 0b1010 : 0b0101;
    return this.#wires[next] === across ? price + CROSSING_COST : Number.POSITIVE_INFINITY;
  }

  #isForeign(point: number): boolean {
    const net = this.#netAt[point]!;
    return net !== 0 && net !== this.#netNumber;
  }

  #backtrace(last: number, from: Int32Array): readonly number[] {
    const path: number[] = [];
    for (let state = last; state >= 0; state = from[state]!) {
      if (path.at(-1) !== state >> 2) path.push(state >> 2);
    }
    return path;
  }

  #lay(path: readonly number[]): void {
    for (const [position, point] of path.entries()) {
      if (!this.#isForeign(point)) this.#netAt[point] = this.#netNumber;
      const next = path[position + 1];
      if (next === undefined) continue;
      const direction = this.#directionTo(point, next);
      this.#ownWires(point, 1 << direction);
      this.#ownWires(next, 1 << (direction ^ 2));
    }
  }

  #ownWires(point: number, bit: number): void {
    this.#wires[point]! |= bit;
    const own = this.#trees.get(this.#netNumber) ?? new Map<number, number>();
    own.set(point, (own.get(point) ?? 0) | bit);
    this.#trees.set(this.#netNumber, own);
  }

  #directionTo(from: number, to: number): number {
    const step = to - from;
    return [1, this.#width, -1, -this.#width].indexOf(step);
  }

  /** Straight segments of this net, each once. */
  #segments(tree: ReadonlySet<number>): readonly (readonly [GridPoint, GridPoint])[] {
    const wires = this.#trees.get(this.#netNumber);
    if (!wires) return [];
    const segments: [GridPoint, GridPoint][] = [];
    for (const start of tree) {
      for (const direction of [0, 1]) {
        const bits = wires.get(start) ?? 0;
        const goesOn = bits & (1 << direction);
        const comesFrom = bits & (1 << (direction ^ 2));
        if (!goesOn || (comesFrom && !isNode(bits))) continue;
        let end = start;
        do end += DX[direction]! + DY[direction]! * this.#width;
        while (!isNode(wires.get(end) ?? 0) && (wires.get(end) ?? 0) & (1 << direction));
        segments.push([this.#pointAt(start), this.#pointAt(end)]);
      }
    }
    return segments;
  }

  #junctions(tree: ReadonlySet<number>, ends: readonly number[]): readonly GridPoint[] {
    const wires = this.#trees.get(this.#netNumber);
    return [...tree]
      .filter((point) => bitCount(wires?.get(point) ?? 0) + (ends.includes(point) ? 1 : 0) > 2)
      .map((point) => this.#pointAt(point));
  }

  #index([x, y]: GridPoint): number {
    return (y - this.#top) * this.#width + x - this.#left;
  }

  #pointAt(index: number): GridPoint {
    return [(index % this.#width) + this.#left, Math.floor(index / this.#width) + this.#top];
  }
}

/** Whether wires end, bend or branch at a point with these directions. */
const isNode = (bits: number): boolean => bits !== 0b0101 && bits !== 0b1010;

function bitCount(bits: number): number {
  let count = 0;
  for (let rest = bits; rest > 0; rest >>= 1) count += rest & 1;
  return count;
}

/** A binary heap of numbers, cheapest first. */
class CostQueue {
  readonly #items: number[] = [];
  readonly #costs: number[] = [];

  push(item: number, cost: number): void {
    let at = this.#items.length;
    this.#items.push(item);
    this.#costs.push(cost);
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if (this.#costs[parent]! <= this.#costs[at]!) break;
      this.#swap(at, parent);
      at = parent;
    }
  }

  pop(): number | undefined {
    const first = this.#items[0];
    const item = this.#items.pop();
    const cost = this.#costs.pop();
    if (this.#items.length === 0 || item === undefined || cost === undefined) return first;
    this.#items[0] = item;
    this.#costs[0] = cost;
    for (let at = 0; ; ) {
      const left = 2 * at + 1;
      if (left >= this.#items.length) break;
      const right = left + 1;
      const child = right < this.#items.length && this.#costs[right]! < this.#costs[left]! ? right : left;
      if (this.#costs[at]! <= this.#costs[child]!) break;
      this.#swap(at, child);
      at = child;
    }
    return first;
  }

  #swap(a: number, b: number): void {
    [this.#items[a], this.#items[b]] = [this.#items[b]!, this.#items[a]!];
    [this.#costs[a], this.#costs[b]] = [this.#costs[b]!, this.#costs[a]!];
  }
}
