import type { BlockMemory } from '../block-memory.ts';
import { firstPorts } from '../block-memory.ts';
import type { CompiledBlock, CompiledPort, NodalPlan } from '../compiled-circuit.ts';
import { entryPlaces } from '../nodal-coefficients.ts';
import {
  add,
  addressOf,
  type Code,
  divide,
  double,
  load,
  multiply,
  negate,
  subtract,
  sum,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';
import { type EmittedDevice, isZero, type NewtonSystem, type SolvedSystem } from './newton-system.ts';

type Entry = Code | undefined;

/** Terms that are added and terms that are subtracted. */
class Terms {
  readonly plus: Code[] = [];
  readonly minus: Code[] = [];

  put(sign: 1 | -1, code: Code): void {
    (sign > 0 ? this.plus : this.minus).push(code);
  }

  isSame({ plus, minus }: Terms): boolean {
    const same = (a: readonly Code[], b: readonly Code[]) =>
      a.length === b.length && a.every((code, index) => code === b[index]);
    return same(this.plus, plus) && same(this.minus, minus);
  }

  /** The sum with another term; undefined if there is none. */
  with(base: Entry): Entry {
    const plus = base ? [base, ...this.plus] : this.plus;
    if (this.minus.length === 0) return plus.length === 0 ? undefined : sum(plus);
    return plus.length === 0 ? negate(sum(this.minus)) : subtract(sum(plus), sum(this.minus));
  }
}

/** What a device is in a step of Newton's method: currents `amps` + Σ `siemens`·volts, its companion model. */
interface Companion {
  readonly ports: readonly CompiledPort[];
  /** Row p: conductances of port p by the voltage across each port. */
  readonly siemens: readonly (readonly Code[])[];
  readonly amps: readonly Code[];
  /** Voltage across each port of the step before, with what its series resistance takes. */
  readonly volts: readonly Code[];
  /** 1/(1 + R_S·D); undefined without a series resistance. */
  readonly share: Entry;
}

/**
 * Emits a block as node equations G·v = b with the companion models of its devices, in the order of a NodalPlan:
 *
 *   i = J + y·v     y = D/(1 + R_S·D)     J = g − y·(w + R_S·g)
 *
 * for a port with the current g, slope D and junction voltage w of the iteration before. Nodes that no device touches were
 * eliminated when a value changed; in a sample only their right-hand sides are. Where nodes are joined with few others,
 * this takes a number of operations in proportion to the parts, while the rows of BlockCoefficients, which join every port
 * and state with every other, take their square, and the elimination of ports their cube.
 *
 * No pivoting: conductances of passive parts are positive definite, and a device adds to the diagonal.
 *
 * @see L. W. Nagel, UCB/ERL M520 (1975), on companion models
 */
export class NodalEmitter implements NewtonSystem {
  readonly meritIsStep = true;
  readonly #f: FunctionBuilder;
  readonly #block: CompiledBlock;
  readonly #plan: NodalPlan;
  readonly #memory: BlockMemory;
  readonly #parametersAddress: number;
  readonly #indexOf: ReadonlyMap<number, number>;
  readonly #ports: readonly number[];
  readonly #place: (a: number, b: number) => number;
  #inputs: readonly Code[] = [];
  /** b of each unknown, after the elimination of the nodes without devices. */
  #sides: Entry[] = [];

  constructor(
    f: FunctionBuilder,
    block: CompiledBlock,
    plan: NodalPlan,
    { memory, parametersAddress }: { readonly memory: BlockMemory; readonly parametersAddress: number },
  ) {
    this.#f = f;
    this.#block = block;
    this.#plan = plan;
    this.#memory = memory;
    this.#parametersAddress = parametersAddress;
    this.#indexOf = new Map(block.unknowns.map((node, index) => [node, index]));
    this.#ports = firstPorts(block);
    this.#place = entryPlaces(plan);
  }

  /** Begins a step. @param pasts Code of q̂. @param inputs Code of u. */
  begin(pasts: readonly Code[], inputs: readonly Code[]): void {
    const { nodalStates, nodalSides } = this.#memory;
    this.#inputs = inputs;
    const terms = this.#block.unknowns.map(() => new Terms());
    this.#block.states.forEach(({ a, b, inductive }, index) => {
      const amps = inductive
        ? pasts[index]!
        : this.#f.define(multiply(pasts[index]!, load(addressOf(nodalStates, index))));
      const [from, to] = [this.#indexOf.get(a), this.#indexOf.get(b)];
      if (from !== undefined) terms[from]!.put(inductive ? -1 : 1, amps);
      if (to !== undefined) terms[to]!.put(inductive ? 1 : -1, amps);
    });
    this.#plan.sides.forEach(([node, input], index) => {
      terms[node]!.put(1, multiply(inputs[input]!, load(addressOf(nodalSides, index))));
    });
    this.#sides = terms.map((each) => this.#defined(each.with(undefined)));
    for (const { node, later } of this.#plan.linear) {
      const side = this.#sides[node];
      if (!side) continue;
      for (const other of later) {
        const share = multiply(side, this.#factor(node, other)!);
        const before = this.#sides[other];
        this.#sides[other] = this.#f.define(before ? subtract(before, share) : negate(share));
      }
    }
  }

  solve(devices: readonly EmittedDevice[], v: readonly Code[]): SolvedSystem {
    const companions = devices.map((device, index) => this.#companion(device, index, v));
    const volts = this.#solveNodes(companions);
    const step = companions.flatMap((companion) =>
      companion.ports.map(({ plus, minus }, port) => {
        const across = this.#across(plus, minus, (index) => volts.get(index)!);
        const moved = subtract(across, companion.volts[port]!);
        return this.#f.define(companion.share ? multiply(moved, companion.share) : moved);
      }),
    );
    return { step, merit: step, nodes: this.#plan.ported.map(({ node }) => volts.get(node)!) };
  }

  /** Voltage of every unknown. @param nodes Of the nodes of devices, as `solve` gives them. */
  finish(nodes: readonly Code[]): ReadonlyMap<number, Code> {
    const volts = new Map(this.#plan.ported.map(({ node }, index) => [node, nodes[index]!]));
    for (const { node, later } of [...this.#plan.linear].reverse()) {
      const side = this.#sides[node];
      const terms = new Terms();
      for (const other of later) terms.put(-1, multiply(volts.get(other)!, this.#factor(node, other)!));
      const own = side && multiply(side, this.#factor(node, node)!);
      volts.set(node, this.#f.define(terms.with(own) ?? double(0)));
    }
    return volts;
  }

  /** Voltage between two nodes. @param volts As `finish` gives them. */
  across(plus: number, minus: number, volts: ReadonlyMap<number, Code>): Code {
    return this.#across(plus, minus, (index) => volts.get(index)!);
  }

  #across(plus: number, minus: number, voltsOf: (index: number) => Code): Code {
    const [high, low] = [plus, minus].map((node) => {
      const index = this.#indexOf.get(node);
      return index === undefined ? this.#known(node) : voltsOf(index);
    });
    if (!low) return high ?? double(0);
    return high ? subtract(high, low) : negate(low);
  }

  /** Voltage of a node that the block does not solve; undefined for ground. */
  #known(node: number): Entry {
    const input = this.#block.inputs.indexOf(node);
    return input < 0 ? undefined : this.#inputs[input];
  }

  #factor(a: number, b: number): Entry {
    const place = this.#place(a, b);
    return place < 0 ? undefined : load(addressOf(this.#memory.nodalFactors, place));
  }

  #defined(code: Entry): Entry {
    return code && this.#f.define(code);
  }

  #companion({ currents, slopes }: EmittedDevice, index: number, v: readonly Code[]): Companion {
    const f = this.#f;
    const { ports, seriesOffset } = this.#block.devices[index]!;
    const first = this.#ports[index]!;
    const before = ports.map((_, port) => v[first + port]!);
    if (seriesOffset < 0) {
      const amps = this.#norton(ports, currents, slopes, before);
      return { ports, siemens: slopes, amps, volts: before, share: undefined };
    }
    const ohms = load(this.#parametersAddress + 8 * seriesOffset);
    const share = f.define(divide(double(1), add(double(1), multiply(ohms, slopes[0]![0]!))));
    const siemens = [[f.define(multiply(slopes[0]![0]!, share))]];
    const volts = [f.define(add(before[0]!, multiply(ohms, currents[0]!)))];
    return { ports, siemens, amps: this.#norton(ports, currents, siemens, volts), volts, share };
  }

  /** g − y·v, with what known nodes add to it. */
  #norton(
    ports: readonly CompiledPort[],
    currents: readonly Code[],
    siemens: readonly (readonly Code[])[],
    volts: readonly Code[],
  ): Code[] {
    const fromUnknown = ports.map(({ plus, minus }, port) => {
      const known = new Terms();
      const [high, low] = [this.#known(plus), this.#known(minus)];
      known.put(1, volts[port]!);
      if (high) known.put(-1, high);
      if (low) known.put(1, low);
      return known.with(undefined)!;
    });
    return currents.map((current, port) => {
      const terms = siemens[port]!.flatMap((slope, other) =>
        isZero(slope) ? [] : [multiply(slope, fromUnknown[other]!)],
      );
      // Settled, 2 to 10 % of the time: see FunctionBuilder.
      return this.#f.settle(terms.length === 0 ? current : subtract(current, sum(terms)));
    });
  }

  #solveNodes(companions: readonly Companion[]): ReadonlyMap<number, Code> {
    const f = this.#f;
    const { matrix, sides } = this.#assemble(companions);
    const at = (row: number, column: number): Entry => matrix.get(row)?.get(column);
    const pivots = new Map<number, Code>();
    for (const { node, later } of this.#plan.ported) {
      const pivot = f.define(divide(double(1), at(node, node)!));
      pivots.set(node, pivot);
      this.#eliminate(matrix, sides, node, later, pivot);
    }
    const volts = new Map<number, Code>();
    for (const { node, later } of [...this.#plan.ported].reverse()) {
      const terms = new Terms();
      for (const other of later) {
        const entry = at(node, other);
        if (entry) terms.put(-1, multiply(volts.get(other)!, entry));
      }
      volts.set(node, f.define(multiply(terms.with(sides[node]) ?? double(0), pivots.get(node)!)));
    }
    return volts;
  }

  #eliminate(
    matrix: ReadonlyMap<number, Map<number, Code>>,
    sides: Entry[],
    node: number,
    later: readonly number[],
    pivot: Code,
  ): void {
    const f = this.#f;
    const at = (row: number, column: number): Entry => matrix.get(row)!.get(column);
    const factors = new Map(
      later.flatMap((row) => {
        const entry = at(row, node);
        return entry ? [[row, f.define(multiply(entry, pivot))] as const] : [];
      }),
    );
    const isMirrored = (a: number, b: number) => at(a, b) === at(b, a);
    /** Entries that were set together with their mirror images. */
    const done = new Set<string>();
    for (const [row, factor] of factors) {
      for (const column of later) {
        const entry = at(node, column);
        if (!entry || done.has(`${row} ${column}`)) continue;
        const isEven = isMirrored(node, row) && isMirrored(node, column) && isMirrored(row, column);
        const product = multiply(factor, entry);
        const before = at(row, column);
        const after = f.define(before ? subtract(before, product) : negate(product));
        matrix.get(row)!.set(column, after);
        if (!isEven) continue;
        matrix.get(column)!.set(row, after);
        done.add(`${column} ${row}`);
      }
      const side = sides[node];
      if (!side) continue;
      const product = multiply(factor, side);
      const before = sides[row];
      sides[row] = f.define(before ? subtract(before, product) : negate(product));
    }
  }

  /** The node equations with the companion models. */
  #assemble(companions: readonly Companion[]): {
    matrix: ReadonlyMap<number, Map<number, Code>>;
    sides: Entry[];
  } {
    const nodes = this.#plan.ported.map(({ node }) => node);
    const entries = new Map(nodes.map((row) => [row, new Map<number, Terms>()]));
    const sides = this.#block.unknowns.map(() => new Terms());
    const put = (row: number | undefined, column: number | undefined, sign: 1 | -1, code: Code) => {
      if (row === undefined || column === undefined) return;
      const terms = entries.get(row)!.get(column) ?? new Terms();
      terms.put(sign, code);
      entries.get(row)!.set(column, terms);
    };
    for (const { ports, siemens, amps } of companions) {
      ports.forEach((own, port) => {
        const [from, to] = [this.#indexOf.get(own.from), this.#indexOf.get(own.to)];
        if (!isZero(amps[port]!)) {
          if (from !== undefined) sides[from]!.put(-1, amps[port]!);
          if (to !== undefined) sides[to]!.put(1, amps[port]!);
        }
        ports.forEach((other, column) => {
          const slope = siemens[port]![column]!;
          if (isZero(slope)) return;
          const [plus, minus] = [this.#indexOf.get(other.plus), this.#indexOf.get(other.minus)];
          put(from, plus, 1, slope);
          put(from, minus, -1, slope);
          put(to, plus, -1, slope);
          put(to, minus, 1, slope);
        });
      });
    }
    return {
      matrix: this.#entries(nodes, entries),
      sides: sides.map((each, node) => this.#defined(each.with(this.#sides[node]))),
    };
  }

  #entries(
    nodes: readonly number[],
    terms: ReadonlyMap<number, ReadonlyMap<number, Terms>>,
  ): ReadonlyMap<number, Map<number, Code>> {
    const matrix = new Map(nodes.map((row) => [row, new Map<number, Code>()]));
    const none = new Terms();
    for (const row of nodes) {
      for (const column of nodes) {
        const own = terms.get(row)!.get(column) ?? none;
        const mirror = terms.get(column)!.get(row) ?? none;
        const before = matrix.get(column)!.get(row);
        if (before && own.isSame(mirror)) matrix.get(row)!.set(column, before);
        else {
          const code = this.#defined(own.with(this.#factor(row, column)));
          if (code) matrix.get(row)!.set(column, code);
        }
      }
    }
    return matrix;
  }
}
