import { JUNCTION_MIN_S } from '../network/network.ts';
import { pastOf, STEP_RATE } from './backward-difference.ts';
import { type BlockMemory, COUNTER, firstPorts } from './block-memory.ts';
import { type CompiledBlock, type CompiledOpamp, DEVICE } from './compiled-circuit.ts';
import {
  bipolar,
  commonModeShift,
  fieldEffect,
  junction,
  opampActiveRange,
  opampStep,
} from './device-equations.ts';
import { BJT, DIODE, OPAMP } from './parameters.ts';

/** Newton ends with the linearised currents of a last step shorter than this, root of the sum of squares; its error is second order. */
export const STEP_TOLERANCE_V = 5e-5;
/** A port starts from the parabola through its last three steps where that moves it by less than this, V. */
export const EXTRAPOLATION_LIMIT_V = 0.05;
/** Junctions are limited in the first iterations; after them the step is pure, with backtracking. */
export const LIMITED_ITERATIONS = 20;
export const MAX_ITERATIONS = 60;
/** A field-effect transistor's ports move by at most this in a limited step, V. */
export const FET_STEP_V = 1;
/** An op-amp's input is limited where it moves by more than this, and comes from further outside its range, V. */
export const OPAMP_STEP_V = 1e-3;

/**
 * The sum of a block's states (V, A), port currents and op-amp outputs is a fault beyond this as if it were not
 * finite: no circuit of this kind goes there, and what does would take seconds to decay.
 */
export const FAULT_ABOVE = 1e6;

const NOT_RANGED = -1;

/**
 * Newton's method on the ports of one block, v = p + K·g(v), with the full device Jacobian: g is the current
 * of a diode or transistor port, and the output of an op-amp. Everything here is real-time safe but the
 * constructor.
 */
export class PortNewton {
  readonly #memory: BlockMemory;
  readonly #parameters: Float64Array;
  /** Leading coefficient of the step, 1/s. */
  readonly #rate: number;
  readonly #count: number;
  readonly #codes: Int32Array;
  readonly #offsets: Int32Array;
  readonly #ports: Int32Array;
  readonly #positive: Int32Array;
  readonly #negative: Int32Array;
  /** Non-inverting input of each op-amp whose input range is modelled. */
  readonly #ranged: Int32Array;
  /** p, the port voltages at g = 0, V. */
  readonly #open: Float64Array;
  /** g(v): A, or V for an op-amp. */
  readonly #currents: Float64Array;
  /** Two entries a port: the row of the device's own Jacobian; a one-port device uses the first. */
  readonly #slopes: Float64Array;
  readonly #matrix: Float64Array;
  readonly #step: Float64Array;
  /** Of each port, the current of the iterate with the least residual in this step. */
  readonly #best: Float64Array;
  readonly #lastStep: Float64Array;
  readonly #device = new Float64Array(6);
  /** Three a device: memory of the implicit step (V/s), and where the output limits (V). */
  readonly #opamps: Float64Array;

  /** @param amplifiers Pins of each device's op-amp; of devices that are none, ground. */
  constructor(
    block: CompiledBlock,
    memory: BlockMemory,
    parameters: Float64Array,
    sampleRateHz: number,
    amplifiers: readonly Pick<CompiledOpamp, 'plus' | 'positive' | 'negative' | 'isRanged'>[],
  ) {
    const count = memory.portCount;
    this.#memory = memory;
    this.#count = count;
    this.#parameters = parameters;
    this.#rate = STEP_RATE * sampleRateHz;
    this.#codes = Int32Array.from(block.devices, ({ code }) => code);
    this.#offsets = Int32Array.from(block.devices, ({ offset }) => offset);
    this.#ports = Int32Array.from(firstPorts(block));
    this.#positive = Int32Array.from(amplifiers, ({ positive }) => positive);
    this.#negative = Int32Array.from(amplifiers, ({ negative }) => negative);
    this.#ranged = Int32Array.from(amplifiers, ({ plus, isRanged }) => (isRanged ? plus : NOT_RANGED));
    this.#open = new Float64Array(count);
    this.#currents = new Float64Array(count);
    this.#slopes = new Float64Array(2 * count);
    this.#matrix = new Float64Array(count * count);
    this.#step = new Float64Array(count);
    this.#lastStep = new Float64Array(count);
    this.#best = new Float64Array(count);
    this.#opamps = new Float64Array(3 * block.devices.length);
  }

  /**
   * Solves the ports for the q̂ and u that stand in z, and writes g there.
   *
   * @param known Voltages by node index, V; the supply pins' are read.
   * Past its cap it keeps the last iterate and counts a failure.
   */
  solve(known: Float64Array): void {
    const { z, portRows, width, counters } = this.#memory;
    const firstPort = width - this.#count;
    for (let port = 0; port < this.#count; port++) {
      let sum = 0;
      for (let column = 0; column < firstPort; column++) sum += portRows[port * width + column]! * z[column]!;
      this.#open[port] = sum;
    }
    this.#readSupplies(known);
    this.#readRanges(known);
    this.#extrapolate();
    if (!this.#iterate()) counters[COUNTER.failures]! += 1;
    for (let port = 0; port < this.#count; port++) z[firstPort + port] = this.#currents[port]!;
  }

  /** Shifts each op-amp's memory by a sample. */
  advance(): void {
    const { opampHistory } = this.#memory;
    for (let device = 0; device < this.#codes.length; device++) {
      if (this.#codes[device] !== DEVICE.opamp) continue;
      opampHistory[3 * device + 2] = opampHistory[3 * device + 1]!;
      opampHistory[3 * device + 1] = opampHistory[3 * device]!;
      opampHistory[3 * device] = this.#currents[this.#ports[device]!]!;
    }
  }

  /** Takes the limits of each op-amp's output from its supply, and the past of its step. */
  #readSupplies(known: Float64Array): void {
    const { opampHistory } = this.#memory;
    for (let device = 0; device < this.#codes.length; device++) {
      if (this.#codes[device] !== DEVICE.opamp) continue;
      const offset = this.#offsets[device]!;
      this.#opamps[3 * device] = this.#rate * pastOf(opampHistory, 3 * device);
      this.#opamps[3 * device + 1] =
        known[this.#positive[device]!]! - this.#parameters[offset + OPAMP.headroomHighV]!;
      this.#opamps[3 * device + 2] =
        known[this.#negative[device]!]! + this.#parameters[offset + OPAMP.headroomLowV]!;
    }
  }

  /** Adds what the input range of an op-amp makes of its non-inverting input; see commonModeShift. */
  #readRanges(known: Float64Array): void {
    for (let device = 0; device < this.#codes.length; device++) {
      const plus = this.#ranged[device]!;
      if (plus === NOT_RANGED) continue;
      const positive = known[this.#positive[device]!]!;
      const negative = known[this.#negative[device]!]!;
      commonModeShift(
        this.#parameters,
        this.#offsets[device]!,
        known[plus]!,
        positive,
        negative,
        this.#device,
        0,
      );
      this.#open[this.#ports[device]!]! += this.#device[0]!;
    }
  }

  /** @returns Whether it converged. */
  #iterate(): boolean {
    const { portRows, width, counters } = this.#memory;
    let previousNorm = Number.POSITIVE_INFINITY;
    let bestNorm = Number.POSITIVE_INFINITY;
    for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
      counters[COUNTER.iterations]! += 1;
      this.#evaluate();
      const norm = this.#formSystem(portRows, width);
      if (norm < bestNorm) {
        bestNorm = norm;
        this.#keepBest();
      }
      if (iteration > LIMITED_ITERATIONS && norm > previousNorm) {
        this.#goHalfBack();
        continue;
      }
      previousNorm = norm;
      solveSmall(this.#matrix, this.#count, this.#step);
      if (iteration < LIMITED_ITERATIONS) this.#limit();
      if (this.#take()) return true;
    }
    if (!this.#isSound()) this.#returnToBest();
    return false;
  }

  #keepBest(): void {
    for (let port = 0; port < this.#count; port++) this.#best[port] = this.#currents[port]!;
  }

  /** Whether the currents are such as a circuit can have; the last iterate may have overshot a junction by volts. */
  #isSound(): boolean {
    let sum = 0;
    for (let port = 0; port < this.#count; port++) sum += this.#currents[port]!;
    return sum < FAULT_ABOVE && sum > -FAULT_ABOVE;
  }

  /** The voltages are kept: from those of the best, the next sample would run into the same dead end. */
  #returnToBest(): void {
    for (let port = 0; port < this.#count; port++) this.#currents[port] = this.#best[port]!;
  }

  #extrapolate(): void {
    const { voltages, lastVoltages, earlierVoltages } = this.#memory;
    for (let port = 0; port < this.#count; port++) {
      const before = voltages[port]!;
      const last = lastVoltages[port]!;
      const change = 2 * (before - last) - (last - earlierVoltages[port]!);
      earlierVoltages[port] = last;
      lastVoltages[port] = before;
      if (change < EXTRAPOLATION_LIMIT_V && change > -EXTRAPOLATION_LIMIT_V) voltages[port] = before + change;
    }
  }

  #evaluate(): void {
    const parameters = this.#parameters;
    const { voltages } = this.#memory;
    const out = this.#device;
    for (let device = 0; device < this.#codes.length; device++) {
      const port = this.#ports[device]!;
      const offset = this.#offsets[device]!;
      const code = this.#codes[device]!;
      if (code === DEVICE.diode) {
        junction(
          parameters[offset]!,
          parameters[offset + DIODE.emissionV]!,
          JUNCTION_MIN_S,
          voltages[port]!,
          out,
          0,
        );
        this.#currents[port] = out[0]!;
        this.#slopes[2 * port] = out[1]!;
      } else if (code === DEVICE.opamp) {
        const opamps = this.#opamps;
        const history = opamps[3 * device]!;
        const high = opamps[3 * device + 1]!;
        const low = opamps[3 * device + 2]!;
        opampStep(parameters, offset, voltages[port]!, this.#rate, history, high, low, out, 0);
        this.#currents[port] = out[0]!;
        this.#slopes[2 * port] = out[1]!;
      } else {
        if (code >= DEVICE.jfet)
          fieldEffect(parameters, offset, voltages[port]!, voltages[port + 1]!, out, 0);
        else
          bipolar(
            parameters,
            offset,
            code === DEVICE.npn ? 1 : -1,
            voltages[port]!,
            voltages[port + 1]!,
            out,
            0,
          );
        this.#currents[port] = out[0]!;
        this.#currents[port + 1] = out[1]!;
        this.#slopes[2 * port] = out[2]!;
        this.#slopes[2 * port + 1] = out[3]!;
        this.#slopes[2 * port + 2] = out[4]!;
        this.#slopes[2 * port + 3] = out[5]!;
      }
    }
  }

  /** Fills the matrix with 1 − K·D and the step with p + K·g − v; returns the largest of the latter, V. */
  #formSystem(rows: Float64Array, width: number): number {
    const count = this.#count;
    const matrix = this.#matrix;
    const slopes = this.#slopes;
    let norm = 0;
    for (let row = 0; row < count; row++) {
      const k = row * width + width - count;
      let residual = this.#open[row]! - this.#memory.voltages[row]!;
      for (let device = 0; device < this.#codes.length; device++) {
        const port = this.#ports[device]!;
        const code = this.#codes[device]!;
        const first = rows[k + port]!;
        residual += first * this.#currents[port]!;
        if (code <= DEVICE.opamp) {
          matrix[row * count + port] = -first * slopes[2 * port]!;
        } else {
          const second = rows[k + port + 1]!;
          residual += second * this.#currents[port + 1]!;
          matrix[row * count + port] = -first * slopes[2 * port]! - second * slopes[2 * port + 2]!;
          matrix[row * count + port + 1] = -first * slopes[2 * port + 1]! - second * slopes[2 * port + 3]!;
        }
      }
      matrix[row * count + row]! += 1;
      this.#step[row] = residual;
      const size = residual < 0 ? -residual : residual;
      if (size > norm) norm = size;
    }
    return norm;
  }

  /** Keeps every junction within what its exponential can follow. */
  #limit(): void {
    const parameters = this.#parameters;
    for (let device = 0; device < this.#codes.length; device++) {
      const port = this.#ports[device]!;
      const offset = this.#offsets[device]!;
      const code = this.#codes[device]!;
      if (code === DEVICE.opamp) {
        this.#limitOpamp(device, port, offset);
      } else if (code === DEVICE.diode) {
        this.#limitJunction(port, 1, parameters[offset]!, parameters[offset + DIODE.emissionV]!);
      } else if (code >= DEVICE.jfet) {
        this.#step[port] = clamp(this.#step[port]!, FET_STEP_V);
        this.#step[port + 1] = clamp(this.#step[port + 1]!, FET_STEP_V);
      } else {
        const polarity = code === DEVICE.npn ? 1 : -1;
        const thermalV = parameters[offset + BJT.thermalV]!;
        this.#limitJunction(port, polarity, parameters[offset]!, thermalV);
        this.#limitJunction(port + 1, polarity, parameters[offset]!, thermalV);
      }
    }
  }

  /** A step that would cross an op-amp's active range ends where it enters it. */
  #limitOpamp(device: number, port: number, offset: number): void {
    const change = this.#step[port]!;
    if (change < OPAMP_STEP_V && change > -OPAMP_STEP_V) return;
    const opamps = this.#opamps;
    const range = this.#device;
    const history = opamps[3 * device]!;
    const high = opamps[3 * device + 1]!;
    const low = opamps[3 * device + 2]!;
    opampActiveRange(this.#parameters, offset, this.#rate, history, high, low, range, 0);
    const before = this.#memory.voltages[port]!;
    const after = before + change;
    if (range[0]! > range[1]!) return;
    // Only from well outside, so that a step cut short is never so small as to pass for the last one.
    if (before > range[1]! + OPAMP_STEP_V && after < range[1]!) this.#step[port] = range[1]! - before;
    else if (before < range[0]! - OPAMP_STEP_V && after > range[0]!) this.#step[port] = range[0]! - before;
  }

  /** @see L. W. Nagel, SPICE2 (UCB/ERL M520, 1975), junction voltage limiting */
  #limitJunction(port: number, polarity: number, saturationA: number, emissionV: number): void {
    const change = polarity * this.#step[port]!;
    if (change < 2 * emissionV) return;
    const before = polarity * this.#memory.voltages[port]!;
    const criticalV = emissionV * Math.log(emissionV / (Math.SQRT2 * saturationA));
    if (before + change <= criticalV) return;
    const allowed =
      before > 0
        ? emissionV * Math.log1p(change / emissionV)
        : emissionV * Math.log((before + change) / emissionV) - before;
    this.#step[port] = polarity * allowed;
  }

  /** Takes the step; true where it was the last one, whose currents are then linearised. */
  #take(): boolean {
    const step = this.#step;
    let square = 0;
    for (let port = 0; port < this.#count; port++) {
      const change = step[port]!;
      this.#memory.voltages[port]! += change;
      this.#lastStep[port] = change;
      square += change * change;
    }
    // A comparison with what is not a number is false.
    if (!(square < STEP_TOLERANCE_V ** 2)) return false;
    for (let device = 0; device < this.#codes.length; device++) {
      const port = this.#ports[device]!;
      if (this.#codes[device]! <= DEVICE.opamp) {
        this.#currents[port]! += this.#slopes[2 * port]! * step[port]!;
      } else {
        this.#currents[port]! +=
          this.#slopes[2 * port]! * step[port]! + this.#slopes[2 * port + 1]! * step[port + 1]!;
        this.#currents[port + 1]! +=
          this.#slopes[2 * port + 2]! * step[port]! + this.#slopes[2 * port + 3]! * step[port + 1]!;
      }
    }
    return true;
  }

  #goHalfBack(): void {
    for (let port = 0; port < this.#count; port++) {
      this.#lastStep[port]! *= 0.5;
      this.#memory.voltages[port]! -= this.#lastStep[port]!;
    }
  }
}

function clamp(value: number, limit: number): number {
  if (value > limit) return limit;
  return value < -limit ? -limit : value;
}

/**
 * Solves A·x = b in place of b, A is n×n row-major and overwritten. One and two unknowns in closed form,
 * more by elimination with partial pivoting. Real-time safe; not finite where A is singular.
 */
export function solveSmall(a: Float64Array, n: number, b: Float64Array): void {
  if (n === 1) {
    b[0] = b[0]! / a[0]!;
    return;
  }
  if (n === 2) {
    const inverse = 1 / (a[0]! * a[3]! - a[1]! * a[2]!);
    const first = (b[0]! * a[3]! - b[1]! * a[1]!) * inverse;
    b[1] = (a[0]! * b[1]! - a[2]! * b[0]!) * inverse;
    b[0] = first;
    return;
  }
  for (let k = 0; k < n; k++) {
    pivot(a, n, b, k);
    const inverse = 1 / a[k * n + k]!;
    for (let row = k + 1; row < n; row++) {
      const factor = a[row * n + k]! * inverse;
      if (factor === 0) continue;
      for (let column = k + 1; column < n; column++) a[row * n + column]! -= factor * a[k * n + column]!;
      b[row]! -= factor * b[k]!;
    }
  }
  for (let row = n - 1; row >= 0; row--) {
    let sum = b[row]!;
    for (let column = row + 1; column < n; column++) sum -= a[row * n + column]! * b[column]!;
    b[row] = sum / a[row * n + row]!;
  }
}

function pivot(a: Float64Array, n: number, b: Float64Array, k: number): void {
  let best = k;
  let largest = Math.abs(a[k * n + k]!);
  for (let row = k + 1; row < n; row++) {
    const candidate = Math.abs(a[row * n + k]!);
    if (candidate > largest) {
      largest = candidate;
      best = row;
    }
  }
  if (best === k) return;
  for (let column = k; column < n; column++) {
    const kept = a[k * n + column]!;
    a[k * n + column] = a[best * n + column]!;
    a[best * n + column] = kept;
  }
  const kept = b[k]!;
  b[k] = b[best]!;
  b[best] = kept;
}
