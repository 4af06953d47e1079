import { type Device, deviceModel, isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import type { Network, Primitive } from '../network/network.ts';
import type { FormulaTape } from './formula-tape.ts';
import { pinTape } from './opamp-pins.ts';
import { capacitancePlace, parametersOf, placeOf } from './parameters.ts';
import { PortDevice } from './port-device.ts';
import { SparsePattern } from './sparse-pattern.ts';

/** Index of ground among nodes. */
export const GROUND_INDEX = -1;

/** Places of the derivative of a current from a to b with respect to the voltage from plus to minus. */
type SlopePlaces = readonly [aPlus: number, aMinus: number, bPlus: number, bMinus: number];

/** Two nodes with a number between them. */
export interface PlacedPair {
  readonly ref: string;
  readonly a: number;
  readonly b: number;
  /** Place of the number among the parameters. */
  readonly offset: number;
  /** Places of its derivatives, if the current flows from a to b and depends on the voltage from a to b. */
  readonly places: SlopePlaces;
}

/** i = (ratio·v_a − v_b)/R into b, ratio·i out of a: a resistor if the ratio is 1, otherwise a converter. */
export interface PlacedBranch extends PlacedPair {
  readonly ratio: number;
}

export interface PlacedDevice {
  readonly device: PortDevice;
  readonly offset: number;
  /** Nodes of each port. */
  readonly plus: readonly number[];
  readonly minus: readonly number[];
  /** For each port, by each port. */
  readonly places: readonly SlopePlaces[];
}

export interface PlacedOpamp {
  readonly ref: string;
  readonly offset: number;
  /** Nodes: plus, minus, out, positive and negative supply. */
  readonly pins: readonly number[];
  /** Its own equation, and the places of that equation's derivatives with respect to the voltages at its pins. */
  readonly own: FormulaTape;
  readonly ownPlaces: readonly number[];
  /** Whether the current out of its output is a further input of that equation. */
  readonly readsLoad: boolean;
  readonly quiescentPlaces: SlopePlaces;
  /**
   * Kirchhoff's current law at its output, entry by entry, and the place of each when either supply pin delivers the
   * current.
   */
  readonly outputPlaces: Int32Array;
  readonly toPositive: Int32Array;
  readonly toNegative: Int32Array;
  /** The place of each in its own equation, where this reads the current out of its output; otherwise empty. */
  readonly toOwn: Int32Array;
}

/** An exponential junction. */
export interface PlacedJunction {
  readonly plus: number;
  readonly minus: number;
  readonly polarity: number;
  readonly saturationOffset: number;
  readonly emissionOffset: number;
}

/** A network's nodal equations without its numbers: the places of all entries. See `NodalSystem`. */
export interface NodalStructure {
  readonly nodeNames: readonly NodeName[];
  readonly input: number;
  /** Entries of the equations (rows from 0), and of the current law at op-amps' outputs (rows behind them). */
  readonly pattern: SparsePattern;
  /**
   * By node: the row of Kirchhoff's current law there among the residuals; it is the node's own row unless the node is
   * driven.
   */
  readonly lawRows: Int32Array;
  /** Row of ground among the residuals, which is never read. */
  readonly groundRow: number;
  /** Place on the diagonal, by node. */
  readonly diagonal: readonly number[];
  readonly parameterCount: number;
  readonly branches: readonly PlacedBranch[];
  readonly capacitors: readonly PlacedPair[];
  readonly inductors: readonly PlacedPair[];
  readonly devices: readonly PlacedDevice[];
  /** An op-amp that supplies another comes after it. */
  readonly opamps: readonly PlacedOpamp[];
  readonly sources: readonly { readonly ref: string; readonly node: number; readonly offset: number }[];
  readonly junctions: readonly PlacedJunction[];
}

/** What of an op-amp can be placed before all parts at its output are known. */
type OwnEquation = Omit<PlacedOpamp, 'outputPlaces' | 'toPositive' | 'toNegative' | 'toOwn'>;

export function nodalStructure(network: Network): NodalStructure {
  return new Placement(network).structure();
}

interface Placed {
  readonly primitive: Primitive;
  readonly nodes: readonly number[];
  /** Where its numbers begin among the parameters. */
  readonly offset: number;
}

class Placement {
  readonly #nodeNames: readonly NodeName[];
  readonly #input: number;
  readonly #placed: readonly Placed[];
  readonly #opamps: readonly Placed[];
  readonly #parameterCount: number;
  readonly #pattern = new SparsePattern();
  readonly #lawRows: Int32Array;
  readonly #groundRow: number;
  /** By node: the row for derivatives of currents; −1 if an ideal source takes them. */
  readonly #slopeRows: Int32Array;

  constructor(network: Network) {
    const names = new Set([network.input, ...network.primitives.flatMap(({ nodes }) => [...nodes])]);
    names.delete(GROUND);
    this.#nodeNames = [...names];
    const indexOf = new Map(this.#nodeNames.map((name, index) => [name, index]));
    this.#input = indexOf.get(network.input) ?? GROUND_INDEX;
    let offset = 0;
    this.#placed = network.primitives.map((primitive) => {
      const nodes = primitive.nodes.map((node) => indexOf.get(node) ?? GROUND_INDEX);
      const placed = { primitive, nodes, offset };
      offset += parametersOf(primitive, network.temperatureK).length;
      return placed;
    });
    this.#parameterCount = offset;
    this.#opamps = suppliedFirst(this.#of('opamp'));
    const size = this.#nodeNames.length;
    const given = [this.#input, ...this.#of('voltageSource').map(({ nodes }) => nodes[0]!)];
    const driven = [...new Set([...given, ...this.#opamps.map(({ nodes }) => nodes[2]!)])];
    this.#lawRows = Int32Array.from({ length: size }, (_, node) => {
      const place = driven.indexOf(node);
      return place < 0 ? node : size + place;
    });
    this.#slopeRows = this.#lawRows.map((row, node) => (given.includes(node) ? GROUND_INDEX : row));
    this.#groundRow = size + driven.length;
  }

  structure(): NodalStructure {
    const pattern = this.#pattern;
    const diagonal = this.#nodeNames.map((_, node) => pattern.place(node, node));
    const capacitors = this.#placed.flatMap((part) => {
      const place = capacitancePlace(part.primitive);
      return place < 0 ? [] : [this.#pair(part, place)];
    });
    const branches = this.#of('resistor', 'converter').map((part) => this.#branch(part));
    const inductors = this.#of('inductor').map((part) => this.#pair(part, 0));
    const devices = this.#placed.flatMap((part) => this.#device(part));
    const opamps = this.#opamps.map((part) => this.#ownEquation(part));
    return {
      nodeNames: this.#nodeNames,
      input: this.#input,
      pattern,
      lawRows: this.#lawRows,
      groundRow: this.#groundRow,
      diagonal,
      parameterCount: this.#parameterCount,
      branches,
      capacitors,
      inductors,
      devices,
      // Last, when all parts at their outputs are known.
      opamps: opamps.map((opamp) => ({ ...opamp, ...this.#moves(opamp) })),
      sources: this.#of('voltageSource').map(({ primitive: { ref }, nodes, offset }) => ({
        ref,
        node: nodes[0]!,
        offset,
      })),
      junctions: this.#placed.flatMap(junctionsOf),
    };
  }

  #of(...kinds: readonly Primitive['kind'][]): readonly Placed[] {
    return this.#placed.filter(({ primitive }) => kinds.includes(primitive.kind));
  }

  #pair({ primitive: { ref }, nodes, offset }: Placed, place: number): PlacedPair {
    const [a, b] = [nodes[0]!, nodes[1]!];
    return { ref, a, b, offset: offset + place, places: this.#slope([a, b], [a, b]) };
  }

  #branch(part: Placed): PlacedBranch {
    const { primitive } = part;
    return { ...this.#pair(part, 0), ratio: primitive.kind === 'converter' ? primitive.ratio : 1 };
  }

  #device({ primitive, nodes, offset }: Placed): PlacedDevice[] {
    if (!isPortDevice(primitive)) return [];
    const { ports, structureOf } = deviceModel(primitive.kind);
    const pairs = ports.map(([p, m]) => [nodes[p]!, nodes[m]!] as const);
    return [
      {
        device: PortDevice.of(primitive.kind, structureOf(primitive)),
        offset,
        plus: pairs.map(([plus]) => plus),
        minus: pairs.map(([, minus]) => minus),
        places: pairs.flatMap((port) => pairs.map((by) => this.#slope(port, by))),
      },
    ];
  }

  #ownEquation({ primitive, nodes, offset }: Placed): OwnEquation {
    const { commonMode, underLoad } = primitive.kind === 'opamp' ? primitive.data : {};
    const [, , out, positive, negative] = nodes;
    const supply = [positive!, negative!] as const;
    return {
      ref: primitive.ref,
      offset,
      pins: nodes,
      own: pinTape(commonMode !== undefined, underLoad !== undefined),
      readsLoad: underLoad !== undefined,
      ownPlaces: nodes.map((pin) => this.#pattern.place(out!, pin)),
      quiescentPlaces: this.#slope(supply, supply),
    };
  }

  #moves({
    pins,
    readsLoad,
  }: OwnEquation): Pick<PlacedOpamp, 'outputPlaces' | 'toPositive' | 'toNegative' | 'toOwn'> {
    const [, , out, positive, negative] = pins;
    const row = this.#slopeRow(out!);
    const outputPlaces = this.#pattern.placesOfRow(row);
    const to = (supply: number) =>
      outputPlaces.map((place) => this.#pattern.place(this.#slopeRow(supply), this.#pattern.columns[place]!));
    return {
      outputPlaces: Int32Array.from(outputPlaces),
      toPositive: Int32Array.from(to(positive!)),
      toNegative: Int32Array.from(to(negative!)),
      toOwn: Int32Array.from(
        readsLoad
          ? outputPlaces.map((place) => this.#pattern.place(out!, this.#pattern.columns[place]!))
          : [],
      ),
    };
  }

  #slope([a, b]: readonly [number, number], [plus, minus]: readonly [number, number]): SlopePlaces {
    const place = (node: number, by: number) => this.#pattern.place(this.#slopeRow(node), by);
    return [place(a, plus), place(a, minus), place(b, plus), place(b, minus)];
  }

  #slopeRow(node: number): number {
    return node < 0 ? GROUND_INDEX : this.#slopeRows[node]!;
  }
}

/** Op-amps in an order in which one that supplies another comes after it. */
function suppliedFirst(opamps: readonly Placed[]): readonly Placed[] {
  const ordered = new Set<Placed>();
  const seen = new Set<Placed>();
  const add = (supplier: Placed) => {
    if (seen.has(supplier)) return;
    seen.add(supplier);
    for (const other of opamps) if (other.nodes.slice(3).includes(supplier.nodes[2]!)) add(other);
    ordered.add(supplier);
  };
  for (const opamp of opamps) add(opamp);
  return [...ordered];
}

function isPortDevice(primitive: Primitive): primitive is Device {
  // For a block, the op-amp's port is that of its implicit step; here its equation is that of its pins.
  return isDevice(primitive) && primitive.kind !== 'opamp' && deviceModel(primitive.kind).ports.length > 0;
}

function junctionsOf({ primitive, nodes, offset }: Placed): PlacedJunction[] {
  if (!isDevice(primitive)) return [];
  const { kind } = primitive;
  // With its series resistance the terminal voltage needs no limit: PortDevice solves it exactly.
  const junctions = deviceModel(kind).equations?.junctions ?? [];
  return junctions.map(({ plus, minus, polarity, saturationA, emissionV }) => ({
    plus: nodes[plus]!,
    minus: nodes[minus]!,
    polarity,
    saturationOffset: offset + placeOf(kind, saturationA),
    emissionOffset: offset + placeOf(kind, emissionV),
  }));
}

/** Everything in a network except its numbers: the input's node, then primitive by primitive. */
export function structureWords({ input, primitives }: Network): readonly string[] {
  return [input, ...primitives.map(wordsOf)];
}

function wordsOf(primitive: Primitive): string {
  const { kind, nodes } = primitive;
  const device = isDevice(primitive) ? deviceModel(primitive.kind).structureOf(primitive) : '';
  return [kind, ...nodes, device, capacitancePlace(primitive)].join(' ');
}
