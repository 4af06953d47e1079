import { circuitNets, INPUT_NET } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { CornerTransfer, GainTransfer, Transfer } from '../circuits/part-figure.ts';
import type { NodeName } from '../devices/node.ts';
import { ofPart } from '../devices/origin.ts';
import type { Network, Primitive, Resistor } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NodalAnalysis } from '../solver/nodal-analysis.ts';
import { findRest, type OperatingPoint, stateOf } from '../solver/operating-point.ts';
import { ratioToDb } from '../units/decibels.ts';
import type { Build } from './build.ts';
import { cornerOf, frequencySteps } from './corner-search.ts';
import { netsOf, networkOf } from './network-of-build.ts';

/** Between an ideal source and the circuit's input, so that the current into the input is known, Ω. */
const SOURCE_OHMS = 1;
/** No net of a circuit has a colon in its name. */
const SOURCE_NODE = 'figure:source';
/** Frequency of the resistance that is seen at a net, Hz. */
const SEEN_HZ = 1000;
/** Where the highest gain is looked for: the audio range, and below it what a bass corner would hide. */
const GAIN_HZ = frequencySteps(1, 20e3, 12);
/** A capacitor is out of the way with this times its capacitance, or with this part of it. */
const MUCH = 1e9;

/** A gain, and the only resistors that carry the signal from its first net, if that is said. */
type Driven = Transfer & Pick<GainTransfer, 'through'>;

/** Levels at the two nets of a transfer, dB. */
interface Levels {
  readonly fromDb: number;
  readonly toDb: number;
}
const NO_LEVELS: Levels = { fromDb: Number.NaN, toDb: Number.NaN };

/**
 * What the whole network of a build shows: DC values from its operating point, gains and cutoff frequencies from its
 * equations linearised there. Knobs and switches stand as in the build, the input is driven by an ideal source.
 */
export class FigureNetwork {
  /** Where the search for the operating point of a similar build can begin. */
  readonly rest: OperatingPoint;
  readonly #analysis: NodalAnalysis;
  readonly #primitives: readonly Primitive[];
  readonly #nominal: Float64Array;
  readonly #nodeOf: (net: string) => NodeName | undefined;

  /** @throws NetworkError, OperatingPointError. */
  constructor(build: Build, temperatureK: number, near?: OperatingPoint) {
    const network = pruneNetwork(withSource(networkOf(build, temperatureK)));
    checkNetwork(network);
    const analysis = new NodalAnalysis(network);
    findRest(analysis, near);
    analysis.linearise();
    analysis.smallSignal.plan();
    this.rest = stateOf(analysis);
    this.#analysis = analysis;
    this.#primitives = network.primitives;
    this.#nominal = analysis.system.parameters.slice();
    this.#nodeOf = netReader(build);
  }

  /** Voltage from one net to another at rest, V. */
  volts(plus: string, minus: string): number {
    return this.#restV(plus) - this.#restV(minus);
  }

  /** Voltage of a net against ground at rest, V. */
  voltsAt(net: string): number {
    return this.#restV(net);
  }

  /** Current at rest through a resistor and those soldered in parallel, A, without its sign. */
  amps(ref: string): number {
    const at = (node: NodeName) => this.rest.volts.get(node) ?? 0;
    const own = this.#resistors(ref);
    if (own.length === 0) return Number.NaN;
    return Math.abs(own.reduce((sum, { nodes: [a, b], ohms }) => sum + (at(a) - at(b)) / ohms, 0));
  }

  /**
   * Size of the impedance between a net and ground at 1 kHz, Ω; at the input that of the circuit.
   *
   * @param into Parts whose impedance alone is meant, as that of the next stage at a net between two stages.
   */
  ohmsAt(net: string, into: readonly string[] = []): number {
    const node = this.#index(net);
    if (node === undefined || node < 0) return Number.NaN;
    const { smallSignal, equations, system } = this.#analysis;
    smallSignal.prepare(SEEN_HZ);
    const isInput = this.#nodeOf(net) === INPUT_NET;
    equations.b[isInput ? system.structure.input : node] = 1;
    if (!equations.solve()) return Number.NaN;
    if (!isInput) return this.#size(node) / (into.length === 0 ? 1 : this.#ampsInto(net, into));
    return (SOURCE_OHMS * this.#size(node)) / Math.hypot(1 - equations.xRe[node]!, equations.xIm[node]!);
  }

  /** Gain of a transfer, dB. */
  gainDb(transfer: GainTransfer): number {
    const at = (hz: number) => {
      const { fromDb, toDb } = this.#levelsAt(transfer, hz);
      return toDb - fromDb;
    };
    if (transfer.hz !== undefined) return at(transfer.hz);
    return GAIN_HZ.reduce((most, hz) => Math.max(most, at(hz)), Number.NEGATIVE_INFINITY);
  }

  /**
   * The frequency at which capacitors take 3 dB from the level at the second net of a transfer, Hz: from what is there
   * without them, shorted if the passband lies above, removed if it lies below. What drives the first net in the build
   * drives it here. So it is the corner of these capacitors with all that is around them; what others take from the signal
   * counts on both sides.
   */
  cornerHz(transfer: CornerTransfer, capacitors: readonly string[]): number {
    const isAbove = transfer.passband === 'above';
    const own = this.#primitives.filter(
      ({ kind, origin }) => kind === 'capacitor' && capacitors.includes(origin.ref),
    );
    if (isAbove && own.length === 0) return Number.NaN;
    const levelDb = (hz: number) => this.#levelsAt(transfer, hz).toDb;
    const withoutDb = (hz: readonly number[]) => {
      this.#scale(own, isAbove ? MUCH : 1 / MUCH);
      const levels = hz.map(levelDb);
      this.#scale(own, 1);
      return levels;
    };
    return cornerOf(transfer.passband, withoutDb, levelDb);
  }

  /** Sets capacitors to a multiple of what they are; the operating point stays. */
  #scale(capacitors: readonly Primitive[], times: number): void {
    const { system } = this.#analysis;
    const numbers = this.#nominal.slice();
    for (const { ref } of capacitors) {
      const place = system.structure.capacitors.find((each) => each.ref === ref);
      if (place) numbers[place.offset]! *= times;
    }
    system.setParameters(numbers);
    this.#analysis.linearise();
  }

  /**
   * Levels at both nets of a transfer. A current into the first net stands for what drives it in the build, whose
   * impedance stays in place (Norton); the ratio of the two levels does not depend on it. Through resistors, 1 V drives them.
   */
  #levelsAt(transfer: Driven, hz: number): Levels {
    const from = this.#index(transfer.from);
    const to = this.#index(transfer.to);
    if (from === undefined || to === undefined || from < 0) return NO_LEVELS;
    const { smallSignal, equations } = this.#analysis;
    smallSignal.prepare(hz);
    const way = this.#wayOf(transfer);
    if (way) this.#driveThrough(way, this.#nodeOf(transfer.from)!);
    else equations.b[from] = 1;
    if (!equations.solve()) return NO_LEVELS;
    return {
      fromDb: way ? 0 : ratioToDb(this.#size(from)),
      toDb: to < 0 ? Number.NEGATIVE_INFINITY : ratioToDb(this.#size(to)),
    };
  }

  /** The first of the resistors in series that is fitted and not jumpered. */
  #wayOf({ from, through }: Driven): readonly Resistor[] | undefined {
    const start = this.#nodeOf(from)!;
    return through
      ?.map((ref) =>
        this.#resistors(ref).filter(({ nodes }) => (nodes as readonly NodeName[]).includes(start)),
      )
      .find(({ length }) => length > 0);
  }

  /** 1 V in series with resistors, at their ends at a node: a current of 1 V/R out of this node, into the others. */
  #driveThrough(way: readonly Resistor[], start: NodeName): void {
    const { equations, system } = this.#analysis;
    const add = (name: NodeName, siemens: number) => {
      const node = system.indexOf(name);
      if (node >= 0 && system.currentLaw[node] === 1) equations.b[node]! += siemens;
    };
    for (const { nodes, ohms } of way) {
      add(start, -1 / ohms);
      add(nodes[0] === start ? nodes[1] : nodes[0], 1 / ohms);
    }
  }

  #resistors(ref: string): readonly Resistor[] {
    return this.#primitives.filter(
      (each): each is Resistor => each.kind === 'resistor' && each.origin.ref === ref,
    );
  }

  /** Size of the current at 1 kHz from a net into parts, A; not a number where others than resistors and capacitors take it. */
  #ampsInto(net: string, refs: readonly string[]): number {
    const start = this.#nodeOf(net)!;
    const [startRe, startIm] = this.#phasor(start);
    let [re, im] = [0, 0];
    for (const each of this.#primitives) {
      const nodes: readonly NodeName[] = each.nodes;
      if (!refs.includes(each.origin.ref) || !nodes.includes(start)) continue;
      if (each.kind !== 'resistor' && each.kind !== 'capacitor') return Number.NaN;
      const [endRe, endIm] = this.#phasor(nodes[0] === start ? nodes[1]! : nodes[0]!);
      const [across, ahead] = [startRe - endRe, startIm - endIm];
      const siemens = each.kind === 'resistor' ? 1 / each.ohms : 2 * Math.PI * SEEN_HZ * each.farads;
      re += siemens * (each.kind === 'resistor' ? across : -ahead);
      im += siemens * (each.kind === 'resistor' ? ahead : across);
    }
    return Math.hypot(re, im);
  }

  /** Real and imaginary part of the voltage at a node. */
  #phasor(name: NodeName): readonly [number, number] {
    const node = this.#analysis.system.indexOf(name);
    const { xRe, xIm } = this.#analysis.equations;
    return node < 0 ? [0, 0] : [xRe[node]!, xIm[node]!];
  }

  #size(node: number): number {
    const { xRe, xIm } = this.#analysis.equations;
    return Math.hypot(xRe[node]!, xIm[node]!);
  }

  /** Voltage of a net at rest; not a number where no part is left at it. */
  #restV(net: string): number {
    const node = this.#index(net);
    if (node === undefined) return Number.NaN;
    return node < 0 ? 0 : this.#analysis.search.volts[node]!;
  }

  #index(net: string): number | undefined {
    const node = this.#nodeOf(net);
    const { system } = this.#analysis;
    return node === undefined || !system.has(node) ? undefined : system.indexOf(node);
  }
}

/** The network with a source in front of its input. */
function withSource(network: Network): Network {
  const own = ofPart(SOURCE_NODE);
  const source: Resistor = {
    kind: 'resistor',
    ...own,
    nodes: [SOURCE_NODE, network.input],
    ohms: SOURCE_OHMS,
  };
  return { ...network, input: SOURCE_NODE, primitives: [source, ...network.primitives] };
}

/** Reads the node of a net of the circuit, by the net's name or by one of its pins. */
function netReader(build: Build): (net: string) => NodeName | undefined {
  const { netOf } = circuitNets(fittedCircuit(build));
  const nodeOf = netsOf(build);
  const pinAt = new Map([...netOf].map(([pin, net]) => [net, pin]));
  return (net) => {
    const pin = netOf.has(net) ? net : pinAt.get(net);
    return pin === undefined ? undefined : nodeOf(pin);
  };
}
