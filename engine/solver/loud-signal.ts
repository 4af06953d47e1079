import { deviceModel, isDevice } from '../devices/devices.ts';
import type { Opamp } from '../devices/opamp-data.ts';
import type { Primitive } from '../network/network.ts';
import { solveComplex } from './dense-linear.ts';
import { DiodePairs } from './diode-pairs.ts';
import { capacitancePlace, parametersOf, placeOf } from './parameters.ts';
import type { Element } from './partition.ts';

/** A low and a high note, Hz. */
const TONES_HZ = [300, 3000] as const;
/** Conductance of a diode that clips, S: 2 mA at 0.2 V, which is small beside the resistors around it. */
const CLIPPING_S = 0.01;
/** Transconductance of a transistor at 0.5 mA, S, and its usual current gain. */
const [TRANSISTOR_S, TRANSISTOR_GAIN] = [0.02, 200];
/**
 * Of a field-effect transistor, S: its channel beside the same transconductance, so that it amplifies twentyfold at most, follows by
 * 95 % and is 1 kΩ as a switch; and from gate to source, so that a gate which nothing else holds has a voltage.
 */
const [CHANNEL_S, GATE_S] = [1e-3, 1e-9];
/** The least swing that is divided by, V. */
const LEAST_SWING_V = 0.1;

const GROUND_INDEX = 0;
const [PLUS, OUT, POSITIVE, NEGATIVE] = [0, 2, 3, 4];
const place = (name: string) => placeOf('opamp', name);
const GAIN_BANDWIDTH = place('gainBandwidthRadPerS');
const OPEN_LOOP_GAIN = place('openLoopGain');
const [HEADROOM_HIGH, HEADROOM_LOW] = [place('headroomHighV'), place('headroomLowV')];
const QUIESCENT = place('quiescentA');
const [COMMON_LOW, REVERSAL] = [place('commonLowV'), place('commonReversal')];

/** What a loud input does to the op-amps of a circuit. */
export interface OpampLoads {
  /** The least voltage between the supply pins of an op-amp at rest, V; infinite without op-amps. */
  readonly leastSuppliedV: number;
  /** Whether some output rests at its limit, so that it follows its supply. */
  readonly restsAtLimit: boolean;
  /** How many times further than its limits the first output that clips would go; 0 if none clips. */
  readonly firstDrive: number;
  /** The same of the outputs that clip after another one has clipped the signal. */
  readonly laterDrive: number;
}

/**
 * Estimates from parts alone, without an operating point, how hard a loud input drives the op-amps: the circuit is taken as
 * linear with its diodes conducting, as they do while they clip. An output that would exceed its limits is then held at them,
 * so that it drives the next stage no further. Takes one or two tenths of a millisecond.
 *
 * @param still Rails, which have no signal.
 */
export function opampLoads(
  elements: readonly Element[],
  inputIndex: number,
  still: readonly number[],
  temperatureK: number,
): OpampLoads {
  const circuit = new LinearCircuit(elements, inputIndex, still, temperatureK);
  const rest = circuit.rest();
  const drives = rest.length > 0 ? TONES_HZ.map((hz) => circuit.drives(hz, rest)) : [];
  return {
    leastSuppliedV: Math.min(...rest.map(({ suppliedV }) => suppliedV)),
    restsAtLimit: rest.some(({ swingV }) => swingV < 0),
    firstDrive: Math.max(0, ...drives.map(([first]) => first ?? 0)),
    laterDrive: Math.max(0, ...drives.flatMap(([, ...later]) => later)),
  };
}

/** How far an op-amp's output is driven. */
export interface OutputReach {
  /** Peak of a loud signal there, V, if the output did not clip. */
  readonly reachedV: number;
  /** Peak of the current out of it, A, with what its own feedback takes. */
  readonly reachedA: number;
  /** What this current takes from the limits while the output is at its peak, V. */
  readonly takenV: number;
  /** From where it rests to the nearer limit, V. */
  readonly swingV: number;
  /** What its non-inverting input keeps from where its output turns round, V; infinite where it does not. */
  readonly untilTurnV: number;
}

/**
 * How far a loud input drives each output, by the same estimate, but with diodes that drop their forward voltage where one stands
 * each way, and do not conduct elsewhere.
 *
 * @param still Rails, which have no signal. @param mostV By op-amp: what its output cannot exceed, V; infinite where that is not known.
 */
export function outputReach(
  elements: readonly Element[],
  inputIndex: number,
  still: readonly number[],
  temperatureK: number,
  mostV: readonly number[],
): OutputReach[] {
  const rest = new LinearCircuit(elements, inputIndex, still, temperatureK).rest();
  // What is passed on is as much as the further limit allows: an output that rests near one limit clips one half wave only.
  const limits = rest.map(({ furthestV }, index) => Math.min(leastSwing(furthestV), mostV[index]!));
  const tones = rest.length > 0 ? TONES_HZ.map(reachedAt) : [];
  /** With the pairs at the currents that this tone sends through them. */
  function reachedAt(hz: number): Reached[] {
    const pairs = new DiodePairs(elements, temperatureK);
    const clippingS: ClippingSiemens = (element) =>
      element.primitive.kind === 'diode' ? pairs.siemensOf(element) : CLIPPING_S;
    const circuit = new LinearCircuit(elements, inputIndex, still, temperatureK, clippingS);
    for (let pass = 1; ; pass++) {
      const reached = circuit.reached(hz, limits);
      if (pass === MOST_PASSES || !pairs.settle((a, b) => circuit.across(a, b))) return reached;
    }
  }
  return rest.map(({ swingV, untilTurnV }, index) => ({
    reachedV: Math.min(mostV[index]!, Math.max(...tones.map((reached) => reached[index]!.outV))),
    reachedA: Math.max(...tones.map((reached) => reached[index]!.outA)),
    takenV: Math.max(...tones.map((reached) => reached[index]!.takenV)),
    swingV,
    untilTurnV: untilTurnV - Math.max(...tones.map((reached) => reached[index]!.plusV)),
  }));
}

/** The loudest input for which the solver is meant, peak V. */
export const LOUDEST_V = 2;

/** Conductance of a device that clips, S. */
type ClippingSiemens = (element: Element) => number;

/** How often the currents of pairs of diodes are found anew. */
const MOST_PASSES = 8;

/** An op-amp without a signal. */
interface OpampRest {
  readonly suppliedV: number;
  /** From its output to the nearer limit, V; negative where the output would be beyond it. */
  readonly swingV: number;
  /** To the further limit, V. */
  readonly furthestV: number;
  /** From its non-inverting input down to where its output turns round, V; infinite where it does not. */
  readonly untilTurnV: number;
}

export function isFieldEffect(kind: Primitive['kind']): boolean {
  return kind === 'nJfet' || kind === 'pJfet' || kind === 'nMosfet';
}

interface Reached {
  readonly outV: number;
  readonly outA: number;
  readonly takenV: number;
  readonly plusV: number;
}

interface PlacedOpamp {
  readonly nodes: readonly number[];
  readonly numbers: readonly number[];
  readonly saturationOhms: number;
}

function placedOpamp(opamp: Opamp, nodes: readonly number[], temperatureK: number): PlacedOpamp {
  const saturationOhms = opamp.data.underLoad?.saturationOhms ?? 0;
  return { nodes, numbers: parametersOf(opamp, temperatureK), saturationOhms };
}

const UNLIMITED: OpampRest = {
  suppliedV: Number.POSITIVE_INFINITY,
  swingV: Number.POSITIVE_INFINITY,
  furthestV: Number.POSITIVE_INFINITY,
  untilTurnV: Number.POSITIVE_INFINITY,
};

const leastSwing = (swingV: number): number => Math.max(LEAST_SWING_V, swingV);

/** Complex nodal equations of a circuit; the row of a held node says its voltage. */
class LinearCircuit {
  readonly #opamps: readonly PlacedOpamp[];
  readonly #elements: readonly Element[];
  readonly #temperatureK: number;
  readonly #clippingS: ClippingSiemens;
  readonly #inputIndex: number;
  readonly #still: readonly number[];
  readonly #size: number;
  readonly #re: Float64Array;
  readonly #im: Float64Array;
  readonly #voltsRe: Float64Array;
  readonly #voltsIm: Float64Array;

  constructor(
    elements: readonly Element[],
    inputIndex: number,
    still: readonly number[],
    temperatureK: number,
    clippingS: ClippingSiemens = () => CLIPPING_S,
  ) {
    this.#elements = elements;
    this.#temperatureK = temperatureK;
    this.#clippingS = clippingS;
    this.#inputIndex = inputIndex;
    this.#still = still;
    this.#opamps = elements.flatMap(({ primitive, nodes }) =>
      primitive.kind === 'opamp' ? [placedOpamp(primitive, nodes, temperatureK)] : [],
    );
    this.#size = 1 + Math.max(inputIndex, ...elements.flatMap(({ nodes }) => nodes));
    this.#re = new Float64Array(this.#size ** 2);
    this.#im = new Float64Array(this.#size ** 2);
    this.#voltsRe = new Float64Array(this.#size);
    this.#voltsIm = new Float64Array(this.#size);
  }

  /** The op-amps without a signal; without limits where the equations have no solution. */
  rest(): OpampRest[] {
    this.#stampAll(0);
    for (const { nodes, numbers } of this.#opamps) {
      this.#voltsRe[nodes[POSITIVE]!]! -= numbers[QUIESCENT]!;
      this.#voltsRe[nodes[NEGATIVE]!]! += numbers[QUIESCENT]!;
    }
    for (const { nodes } of this.#opamps) this.#voltsRe[nodes[OUT]!] = 0;
    this.#hold(this.#inputIndex, 0, 0);
    for (const { primitive, nodes } of this.#elements)
      if (primitive.kind === 'voltageSource') this.#hold(nodes[0]!, primitive.volts, 0);
    const isSolved = this.#solve();
    return this.#opamps.map((opamp) => (isSolved ? this.#restOf(opamp) : UNLIMITED));
  }

  #restOf({ nodes, numbers }: PlacedOpamp): OpampRest {
    const [plus, out, positive, negative] = [PLUS, OUT, POSITIVE, NEGATIVE].map(
      (pin) => this.#voltsRe[nodes[pin]!]!,
    );
    const upwards = positive! - numbers[HEADROOM_HIGH]! - out!;
    const downwards = out! - negative! - numbers[HEADROOM_LOW]!;
    return {
      suppliedV: positive! - negative!,
      swingV: Math.min(upwards, downwards),
      furthestV: Math.max(upwards, downwards),
      untilTurnV:
        numbers[REVERSAL]! > 1 ? plus! - negative! - numbers[COMMON_LOW]! : Number.POSITIVE_INFINITY,
    };
  }

  /** How far a tone drives the outputs that clip, in the order in which they were held at their limits. */
  drives(hz: number, rest: readonly OpampRest[]): number[] {
    const limits = rest.map(({ swingV }) => leastSwing(swingV));
    return [...this.#clip(hz, limits).values()];
  }

  /**
   * Peak of a tone at every output and non-inverting input, V: an output that clips is taken as it was before it was held at
   * its limits. The current out of it is that at its limits.
   */
  reached(hz: number, limits: readonly number[]): Reached[] {
    const drives = this.#clip(hz, limits);
    this.#stampParts(2 * Math.PI * hz);
    return this.#opamps.map(({ nodes, saturationOhms }, index) => {
      const out = nodes[OUT]!;
      const drive = drives.get(index);
      const outV = drive === undefined ? this.#amplitude(out) : drive * limits[index]!;
      const [re, im] = this.#currentInto(out);
      const pressedV = Math.hypot(
        this.#voltsRe[out]! + saturationOhms * re,
        this.#voltsIm[out]! + saturationOhms * im,
      );
      return {
        outV,
        outA: Math.hypot(re, im),
        takenV: pressedV - this.#amplitude(out),
        plusV: this.#amplitude(nodes[PLUS]!),
      };
    });
  }

  /**
   * Holds the outputs that clip at their limits, one after the other, and leaves the voltages that are then reached. Op-amps are
   * taken in the order of the network, in which the signal usually passes them.
   *
   * @returns How far each of them was driven before, by op-amp.
   */
  #clip(hz: number, limits: readonly number[]): Map<number, number> {
    const drives = new Map<number, number>();
    const held = new Map<number, readonly [re: number, im: number]>();
    while (this.#respond(hz, held) && held.size < this.#opamps.length) {
      const driveOf = (opamp: PlacedOpamp, index: number) =>
        this.#amplitude(opamp.nodes[OUT]!) / limits[index]!;
      const clipping = this.#opamps.findIndex(
        (opamp, index) => !held.has(index) && driveOf(opamp, index) > 1,
      );
      if (clipping < 0) break;
      const drive = driveOf(this.#opamps[clipping]!, clipping);
      const out = this.#opamps[clipping]!.nodes[OUT]!;
      held.set(clipping, [this.#voltsRe[out]! / drive, this.#voltsIm[out]! / drive]);
      drives.set(clipping, drive);
    }
    return drives;
  }

  /** Peak between two nodes in the last response, V. */
  across(a: number, b: number): number {
    return Math.hypot(this.#voltsRe[a]! - this.#voltsRe[b]!, this.#voltsIm[a]! - this.#voltsIm[b]!);
  }

  /** The current that flows into the parts at a node in the last response, A; they have been stamped anew. */
  #currentInto(node: number): readonly [re: number, im: number] {
    let [re, im] = [0, 0];
    for (let other = 0; other < this.#size; other++) {
      const [g, b] = [this.#re[node * this.#size + other]!, this.#im[node * this.#size + other]!];
      re += g * this.#voltsRe[other]! - b * this.#voltsIm[other]!;
      im += g * this.#voltsIm[other]! + b * this.#voltsRe[other]!;
    }
    return [re, im];
  }

  #amplitude(node: number): number {
    return Math.hypot(this.#voltsRe[node]!, this.#voltsIm[node]!);
  }

  /** @returns Whether there is a solution. */
  #respond(hz: number, held: ReadonlyMap<number, readonly [number, number]>): boolean {
    this.#stampAll(2 * Math.PI * hz);
    for (const { primitive, nodes } of this.#elements)
      if (primitive.kind === 'voltageSource') this.#hold(nodes[0]!, 0, 0);
    for (const node of this.#still) this.#hold(node, 0, 0);
    for (const [index, [re, im]] of held) this.#hold(this.#opamps[index]!.nodes[OUT]!, re, im);
    this.#hold(this.#inputIndex, LOUDEST_V, 0);
    return this.#solve();
  }

  #solve(): boolean {
    this.#hold(GROUND_INDEX, 0, 0);
    return solveComplex(this.#re, this.#im, this.#size, this.#voltsRe, this.#voltsIm) < 0;
  }

  #hold(node: number, re: number, im: number): void {
    this.#clearRow(node);
    this.#re[node * this.#size + node] = 1;
    this.#voltsRe[node] = re;
    this.#voltsIm[node] = im;
  }

  #clearRow(node: number): void {
    this.#re.fill(0, node * this.#size, (node + 1) * this.#size);
    this.#im.fill(0, node * this.#size, (node + 1) * this.#size);
    this.#voltsRe[node] = 0;
    this.#voltsIm[node] = 0;
  }

  #stampAll(omega: number): void {
    for (const volts of [this.#voltsRe, this.#voltsIm]) volts.fill(0);
    this.#stampParts(omega);
    for (const opamp of this.#opamps) this.#stampOpamp(opamp, omega);
  }

  /** All but the op-amps. */
  #stampParts(omega: number): void {
    for (const numbers of [this.#re, this.#im]) numbers.fill(0);
    for (const element of this.#elements) this.#stamp(element, omega);
  }

  #stamp(element: Element, omega: number): void {
    const { primitive, nodes } = element;
    const [a = 0, b = 0] = nodes;
    const capacitance = capacitancePlace(primitive);
    if (capacitance >= 0)
      this.#join(a, b, 0, omega * parametersOf(primitive, this.#temperatureK)[capacitance]!);
    if (primitive.kind === 'resistor') this.#join(a, b, 1 / primitive.ohms, 0);
    else if (primitive.kind === 'inductor') {
      if (omega > 0) this.#join(a, b, 0, -1 / (omega * primitive.henries));
      else this.#join(a, b, 1, 0);
    } else if (primitive.kind === 'converter') this.#join(a, b, 1 / primitive.outputOhms, 0, primitive.ratio);
    else if (primitive.kind === 'npn' || primitive.kind === 'pnp')
      this.#stampTransistor(nodes, TRANSISTOR_S / TRANSISTOR_GAIN);
    else if (isFieldEffect(primitive.kind)) {
      this.#stampTransistor(nodes, GATE_S);
      this.#join(nodes[0]!, nodes[2]!, CHANNEL_S, 0);
    } else if (isDevice(primitive) && primitive.kind !== 'opamp')
      for (const [plus, minus, siemens] of deviceModel(primitive.kind).conductanceBounds(primitive))
        this.#join(nodes[plus]!, nodes[minus]!, Math.min(siemens, this.#clippingS(element)), 0);
  }

  /** From collector to emitter flows what the voltage between base and emitter makes; drain, gate and source likewise. */
  #stampTransistor([collector = 0, base = 0, emitter = 0]: readonly number[], baseS: number): void {
    this.#join(base, emitter, baseS, 0);
    for (const [row, siemens] of [
      [collector, TRANSISTOR_S],
      [emitter, -TRANSISTOR_S],
    ] as const) {
      this.#re[row * this.#size + base]! += siemens;
      this.#re[row * this.#size + emitter]! -= siemens;
    }
  }

  /** The row of an output: v_out/A = v_plus − v_minus, 1/A = 1/A0 + jω/w. */
  #stampOpamp({ nodes: [plus = 0, minus = 0, out = 0], numbers }: PlacedOpamp, omega: number): void {
    this.#clearRow(out);
    const row = out * this.#size;
    this.#re[row + out]! += 1 / numbers[OPEN_LOOP_GAIN]!;
    this.#im[row + out]! += omega / numbers[GAIN_BANDWIDTH]!;
    this.#re[row + plus]! -= 1;
    this.#re[row + minus]! += 1;
  }

  /** An admittance that carries (ratio·v_a − v_b), ratio-fold at a. */
  #join(a: number, b: number, re: number, im: number, ratio = 1): void {
    for (const [row, column, weight] of [
      [a, a, ratio * ratio],
      [b, b, 1],
      [a, b, -ratio],
      [b, a, -ratio],
    ] as const) {
      this.#re[row * this.#size + column]! += weight * re;
      this.#im[row * this.#size + column]! += weight * im;
    }
  }
}
