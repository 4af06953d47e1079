import type { CompiledBlock, NodalElimination, NodalPlan } from './compiled-circuit.ts';
import { UnionFind } from './union-find.ts';

/** A division takes as long as so many products. */
const DIVISION = 6;
/**
 * In every step, waiting for another elimination with its division takes as long as so many neighbours more: of a row, every
 * second node is eliminated at once, which takes 7 % off a ladder of twelve diodes. Without divisions it only costs time.
 */
const WAITING = 1.5;
/** Decides between equals only. */
const TIE = 1e-3;
/** The node equations must save so many products and so much of all: what is not counted here is more with them. */
const [LEAST_SAVED, MOST_SHARE] = [16, 0.85];

/** The plan for a block that takes less time by it; undefined for others and where an op-amp is in the block. */
export function nodalPlan(block: CompiledBlock): NodalPlan | undefined {
  if (block.devices.some(({ opampIndex, kind }) => opampIndex >= 0 || kind === 'opamp supply'))
    return undefined;
  const plan = makePlan(block);
  const [nodal, ported] = [nodalCost(block, plan), portCost(block)];
  return nodal < MOST_SHARE * ported && nodal <= ported - LEAST_SAVED ? plan : undefined;
}

function makePlan(block: CompiledBlock): NodalPlan {
  const indexOf = new Map(block.unknowns.map((node, index) => [node, index]));
  const inputOf = new Map(block.inputs.map((node, index) => [node, index]));
  const graph = new EliminationGraph(block.unknowns.length);
  const sides = new Map<string, readonly [number, number]>();
  const beside = (node: number, input: number | undefined) => {
    const index = indexOf.get(node);
    if (index !== undefined && input !== undefined) sides.set(`${index} ${input}`, [index, input]);
  };
  for (const { a, b } of [...block.branches, ...block.states]) {
    graph.join(indexOf.get(a), indexOf.get(b));
    beside(a, inputOf.get(b));
    beside(b, inputOf.get(a));
  }
  // Constant currents exist only with the unit among the inputs, and then it is the first.
  for (const { node } of block.constantCurrents) beside(node, 0);
  const touched = new Set(
    deviceNodes(block).flatMap((nodes) => nodes.flatMap((node) => indexOf.get(node) ?? [])),
  );
  const isPorted = (index: number) => touched.has(index);
  const linear = graph.eliminate((index) => !isPorted(index), 0);
  const entries = [
    ...block.unknowns.map((_, index) => [index, index] as const),
    ...linear.flatMap(({ node, later }) => later.map((other) => [node, other] as const)),
    ...graph.pairs(),
  ];
  for (const nodes of deviceNodes(block))
    for (const a of nodes) for (const b of nodes) graph.join(indexOf.get(a), indexOf.get(b));
  return { linear, ported: graph.eliminate(isPorted, WAITING), entries, sides: [...sides.values()] };
}

/** Terminals of each device. */
function deviceNodes({ devices }: CompiledBlock): number[][] {
  return devices.map(({ ports }) => [
    ...new Set(ports.flatMap(({ plus, minus, from, to }) => [plus, minus, from, to])),
  ]);
}

/** Which unknowns stand in each other's equations while some are eliminated. */
class EliminationGraph {
  readonly #neighbours: readonly Set<number>[];
  /** Steps that must come before the elimination of each unknown, in a row. */
  readonly #depths: number[];
  readonly #left: Set<number>;

  constructor(size: number) {
    this.#neighbours = Array.from({ length: size }, () => new Set<number>());
    this.#depths = new Array<number>(size).fill(0);
    this.#left = new Set(this.#neighbours.keys());
  }

  join(a: number | undefined, b: number | undefined): void {
    if (a === undefined || b === undefined || a === b) return;
    this.#neighbours[a]!.add(b);
    this.#neighbours[b]!.add(a);
  }

  /** Pairs that are joined and both left. */
  pairs(): (readonly [number, number])[] {
    return [...this.#left].flatMap((a) =>
      [...this.#neighbours[a]!].filter((b) => a < b).map((b) => [a, b] as const),
    );
  }

  /**
   * Eliminates unknowns, always one with the fewest neighbours. Each elimination that it has to wait for counts as so many
   * neighbours; where this is 0, it still decides between equals, so that a row is eliminated from both ends at once.
   *
   * @see W. F. Tinney & J. W. Walker, Proc. IEEE 55 (1967), 1801, on the rule without waiting
   */
  eliminate(isChosen: (index: number) => boolean, waiting: number): NodalElimination[] {
    const open = new Set([...this.#left].filter(isChosen));
    const costOf = (node: number) => this.#neighbours[node]!.size + (waiting + TIE) * this.#depths[node]!;
    const steps: NodalElimination[] = [];
    while (open.size > 0) {
      const node = [...open].reduce((best, other) => (costOf(other) < costOf(best) ? other : best));
      open.delete(node);
      steps.push({ node, later: this.#remove(node) });
    }
    return steps;
  }

  #remove(node: number): number[] {
    const later = [...this.#neighbours[node]!];
    for (const a of later) {
      this.#neighbours[a]!.delete(node);
      this.#depths[a] = Math.max(this.#depths[a]!, this.#depths[node]! + 1);
      for (const b of later) this.join(a, b);
    }
    this.#left.delete(node);
    return later;
  }
}

/** Products of a step by the plan. */
function nodalCost({ states, devices }: CompiledBlock, { linear, ported, sides }: NodalPlan): number {
  const eliminated = linear.reduce((sum, { later }) => sum + 1 + 2 * later.length, 0);
  const solved = ported.reduce((sum, { later }) => sum + DIVISION + later.length * (later.length + 3), 0);
  const stamped = devices.reduce(
    (sum, { ports, seriesOffset }) =>
      sum + ports.length ** 2 + ports.length + (seriesOffset < 0 ? 0 : DIVISION),
    0,
  );
  return states.length + sides.length + eliminated + solved + stamped;
}

/** Products of a step by the rows of BlockCoefficients: see emit/port-system.ts. */
function portCost(block: CompiledBlock): number {
  const { states, inputs, devices, outputs, unknowns } = block;
  const islands = islandsOf(block);
  const read = [
    ...devices.flatMap(({ ports }) => ports.map(({ plus, minus }) => islands([plus, minus]))),
    ...states.map(({ a, b }) => islands([a, b])),
    ...outputs.map((node) => islands([node])),
  ];
  const beside = (input: number) =>
    [...block.branches, ...states].flatMap(({ a, b }) => (a === input ? [b] : b === input ? [a] : []));
  const ports = devices.flatMap(({ ports }) => ports.map(({ from, to }) => islands([from, to])));
  const columns = [
    ...states.map(({ a, b }) => islands([a, b])),
    ...inputs.map((node) => islands(beside(node))),
    ...ports,
  ];
  const rows = read.reduce((sum, row) => sum + columns.filter((column) => meet(row, column)).length, 0);
  return unknowns.length === 0 ? 0 : rows + eliminationCost(block, read, ports);
}

/** Products for 1 − K·D and its elimination. */
function eliminationCost(
  { devices }: CompiledBlock,
  read: readonly ReadonlySet<number>[],
  ports: readonly ReadonlySet<number>[],
): number {
  const deviceOf = devices.flatMap((device, index) => device.ports.map(() => index));
  const firsts = devices.map((_, index) => deviceOf.indexOf(index));
  let products = 0;
  const pattern = ports.map((_, row) =>
    ports.map((_, column) => {
      const device = deviceOf[column]!;
      const terms = devices[device]!.ports.filter((_, port) =>
        meet(read[row]!, ports[firsts[device]! + port]!),
      );
      products += terms.length;
      return terms.length > 0 || row === column;
    }),
  );
  for (let k = 0; k < ports.length; k++) {
    const later = ports.map((_, index) => index).slice(k + 1);
    const rows = later.filter((row) => pattern[row]![k]);
    const columns = later.filter((column) => pattern[k]![column]);
    products += DIVISION / 2 + rows.length * (columns.length + 2) + columns.length;
    for (const row of rows) for (const column of columns) pattern[row]![column] = true;
  }
  return products;
}

/** The parts of a block that no resistor or capacitor joins: a node's voltage follows from the currents into its own part alone. */
function islandsOf({ unknowns, branches, states }: CompiledBlock): (nodes: readonly number[]) => Set<number> {
  const solved = new Set(unknowns);
  const sets = new UnionFind(Math.max(0, ...unknowns) + 1);
  for (const { a, b } of [...branches, ...states]) if (solved.has(a) && solved.has(b)) sets.union(a, b);
  return (nodes) => new Set(nodes.filter((node) => solved.has(node)).map((node) => sets.find(node)));
}

function meet(a: ReadonlySet<number>, b: ReadonlySet<number>): boolean {
  return [...a].some((member) => b.has(member));
}
