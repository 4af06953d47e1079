import { SOURCED_OHMS } from '../devices/opamp-equations.ts';
import { STEP_FORMULAS } from './backward-difference.ts';
import { type BlockMemory, firstPorts } from './block-memory.ts';
import type { CompiledBlock } from './compiled-circuit.ts';
import { factorise, solveFactorised } from './dense-linear.ts';
import { NodalCoefficients } from './nodal-coefficients.ts';

const GROUND_PLACE = -1;

/**
 * Computes the reduced matrices of one block from its parts' numbers, without allocating.
 *
 * With z = [q̂, u, g] (weighted past of the states, known inputs, port currents and op-amp outputs) the
 * nodal equations G·v = R·z give the node voltages v = W·z, W = G⁻¹·R. Every row that the solver needs is a
 * combination of rows of W:
 *
 *   portRows    port voltages          v_p = va − vb (− R_S·i for a diode, so that v_p is its junction's), or the
 *                                      current out of an op-amp's output as a voltage
 *   stateRows   states                 va − vb of a capacitor, G_c·(va − vb) + q̂ of an inductor
 *   outputRows  node voltages that others read
 *   meterRows   current from a known node into the block
 *   probeRow    voltage of the node that is probed; by node equations, a choice of one unknown or input
 *
 * With the step of backward-difference.ts a capacitor is i = G_c·(v − q̂), G_c = r·C/T, and an inductor
 * i = G_c·v + q̂, G_c = T/(r·L).
 *
 * @see Yeh, Abel & Smith, "Automated physical modeling of nonlinear audio circuits for real-time audio
 * effects, part I", IEEE Trans. ASLP 18 (2010), on the same reduction
 */
export class BlockCoefficients {
  /** G_c of each state, S. */
  readonly #stateSiemens: Float64Array;
  readonly #block: CompiledBlock;
  readonly #memory: BlockMemory;
  readonly #stepS: number;
  readonly #size: number;
  readonly #width: number;
  readonly #matrix: Float64Array;
  readonly #solution: Float64Array;
  /** Right-hand side of the nodal equations; a valid solution is replaced only by another valid one. */
  readonly #sides: Float64Array;
  readonly #pivots: Int32Array;
  readonly #places: Int32Array;
  readonly #portOf: Int32Array;
  readonly #nodal: NodalCoefficients | undefined;
  /** The matrix before its factorisation. */
  readonly #conductances: Float64Array;
  /** Index of the probed node, in its one entry. */
  readonly #probed = new Int32Array(1);
  /**
   * The amount of the present stamp. V8 allocates a double that is passed to a method which is not inlined; it
   * does not allocate one in an array.
   */
  readonly #amount = new Float64Array(1);

  /** @param knownCount Length of the array of known voltages. */
  constructor(block: CompiledBlock, memory: BlockMemory, knownCount: number, sampleRateHz: number) {
    this.#block = block;
    this.#memory = memory;
    this.#stepS = 1 / sampleRateHz;
    this.#size = block.unknowns.length;
    this.#width = memory.width;
    this.#stateSiemens = new Float64Array(memory.stateCount);
    this.#matrix = new Float64Array(this.#size * this.#size);
    this.#solution = new Float64Array(this.#size * memory.width);
    this.#sides = new Float64Array(this.#size * memory.width);
    this.#pivots = new Int32Array(this.#size);
    this.#portOf = Int32Array.from(firstPorts(block));
    this.#nodal = block.nodal && new NodalCoefficients(block.nodal, memory);
    this.#conductances = new Float64Array(block.nodal ? this.#size * this.#size : 0);
    this.#places = placesOf(block, knownCount, this.#portOf);
  }

  /** Chooses the node of `probeRow`, from the next computation on; ground gives 0. Real-time safe. */
  probe(node: number): void {
    this.#probed[0] = node;
    this.#deriveProbeRow();
  }

  #deriveStateSiemens(parameters: Float64Array): void {
    const { states, formula } = this.#block;
    const { rate } = STEP_FORMULAS[formula];
    for (let index = 0; index < states.length; index++) {
      const { offsets, inductive } = states[index]!;
      let sum = 0;
      for (let k = 0; k < offsets.length; k++) sum += parameters[offsets[k]!]!;
      this.#stateSiemens[index] = inductive ? this.#stepS / (rate * sum) : (rate * sum) / this.#stepS;
    }
  }

  /**
   * Computes every row from the numbers. Real-time safe.
   *
   * @returns False if the nodal matrix was singular; the rows then stay as they were.
   */
  derive(parameters: Float64Array): boolean {
    this.#deriveStateSiemens(parameters);
    this.#stamp(parameters);
    if (this.#nodal) this.#conductances.set(this.#matrix);
    const factors = factorise(this.#matrix, this.#size, this.#pivots);
    if (!factors) return false;
    this.#nodal?.stamp(this.#conductances, this.#size, this.#sides, this.#stateSiemens);
    this.eliminate();
    this.#solution.set(this.#sides);
    solveFactorised(factors, this.#size, this.#pivots, this.#solution, this.#width);
    this.#derivePortRows(parameters);
    this.#deriveStateRows();
    this.#deriveOutputRows();
    this.#deriveMeterRows(parameters);
    this.#deriveProbeRow();
    return true;
  }

  /** To be called whenever the conductances have changed otherwise than by `derive`. Real-time safe. */
  eliminate(): void {
    this.#nodal?.eliminate();
  }

  #stamp(parameters: Float64Array): void {
    const { branches, states, devices, constantCurrents } = this.#block;
    this.#matrix.fill(0);
    this.#sides.fill(0);
    for (let index = 0; index < branches.length; index++) {
      const { a, b, offset, ratio } = branches[index]!;
      this.#amount[0] = 1 / parameters[offset]!;
      this.#stampBranch(a, b, ratio);
    }
    for (let index = 0; index < states.length; index++) {
      const { a, b, inductive } = states[index]!;
      this.#amount[0] = this.#stateSiemens[index]!;
      this.#stampBranch(a, b, 1);
      if (inductive) this.#amount[0] = -1;
      this.#inject(a, index, 1);
      this.#inject(b, index, -1);
    }
    const firstPortColumn = this.#memory.stateCount + this.#memory.inputCount;
    this.#amount[0] = 1;
    for (let index = 0; index < devices.length; index++) {
      const { outputNode, ports } = devices[index]!;
      if (outputNode >= 0) continue;
      for (let port = 0; port < ports.length; port++) {
        const column = firstPortColumn + this.#portOf[index]! + port;
        this.#inject(ports[port]!.from, column, -1);
        this.#inject(ports[port]!.to, column, 1);
      }
    }
    for (let index = 0; index < constantCurrents.length; index++) {
      const { node, offset } = constantCurrents[index]!;
      this.#amount[0] = parameters[offset]!;
      this.#inject(node, this.#unitColumn(), -1);
    }
  }

  /** Constant currents exist only if the unit is an input, and then it is the first one. */
  #unitColumn(): number {
    return this.#memory.stateCount;
  }

  /** Current G·(ratio·v_a − v_b) out of a, ratio-fold, and into b; G is the amount. */
  #stampBranch(a: number, b: number, ratio: number): void {
    this.#stampEntry(a, a, ratio * ratio);
    this.#stampEntry(a, b, -ratio);
    this.#stampEntry(b, a, -ratio);
    this.#stampEntry(b, b, 1);
  }

  /** Adds weight·amount between two nodes; a term with a known voltage goes to the right-hand side. */
  #stampEntry(row: number, column: number, weight: number): void {
    const size = this.#size;
    const place = this.#places[row]!;
    const other = this.#places[column]!;
    if (place < 0 || place >= size || other === GROUND_PLACE) return;
    if (other < size) this.#matrix[place * size + other]! += weight * this.#amount[0]!;
    else this.#sides[place * this.#width + other - size]! -= weight * this.#amount[0]!;
  }

  /** Adds weight·amount of a column of z to the current into a node. */
  #inject(node: number, column: number, weight: number): void {
    const place = this.#places[node]!;
    if (place < 0 || place >= this.#size) return;
    this.#sides[place * this.#width + column]! += weight * this.#amount[0]!;
  }

  /** Adds weight·amount·v(node) to a row. */
  #addVoltage(rows: Float64Array, row: number, node: number, weight: number): void {
    const place = this.#places[node]!;
    const width = this.#width;
    if (place === GROUND_PLACE) return;
    const scale = weight * this.#amount[0]!;
    if (place >= this.#size) {
      rows[row * width + place - this.#size]! += scale;
      return;
    }
    for (let column = 0; column < width; column++) {
      rows[row * width + column]! += scale * this.#solution[place * width + column]!;
    }
  }

  #derivePortRows(parameters: Float64Array): void {
    const { devices } = this.#block;
    const firstPortColumn = this.#memory.stateCount + this.#memory.inputCount;
    this.#memory.portRows.fill(0);
    for (let index = 0; index < devices.length; index++) {
      const { ports, seriesOffset } = devices[index]!;
      for (let port = 0; port < ports.length; port++) {
        const row = this.#portOf[index]! + port;
        const { plus, minus, metered, loadOffset } = ports[port]!;
        if (metered >= 0) this.#addMeter(this.#memory.portRows, row, metered, SOURCED_OHMS, parameters);
        if (loadOffset >= 0) {
          this.#amount[0] = SOURCED_OHMS * parameters[loadOffset]!;
          this.#addVoltage(this.#memory.portRows, row, metered, 1);
        }
        if (metered >= 0 && loadOffset < 0) continue;
        this.#amount[0] = 1;
        this.#addVoltage(this.#memory.portRows, row, plus, 1);
        this.#addVoltage(this.#memory.portRows, row, minus, -1);
        if (seriesOffset >= 0) {
          this.#memory.portRows[row * this.#width + firstPortColumn + row]! -= parameters[seriesOffset]!;
        }
      }
    }
  }

  #deriveStateRows(): void {
    const { states } = this.#block;
    this.#memory.stateRows.fill(0);
    for (let row = 0; row < states.length; row++) {
      const { a, b, inductive } = states[row]!;
      this.#amount[0] = inductive ? this.#stateSiemens[row]! : 1;
      this.#addVoltage(this.#memory.stateRows, row, a, 1);
      this.#addVoltage(this.#memory.stateRows, row, b, -1);
      if (inductive) this.#memory.stateRows[row * this.#width + row]! += 1;
    }
  }

  #deriveOutputRows(): void {
    const { outputs } = this.#block;
    const { outputRows } = this.#memory;
    outputRows.fill(0);
    this.#amount[0] = 1;
    for (let row = 0; row < outputs.length; row++) this.#addVoltage(outputRows, row, outputs[row]!, 1);
  }

  #deriveProbeRow(): void {
    this.#memory.probeRow.fill(0);
    if (this.#nodal) {
      this.#chooseProbed();
      return;
    }
    this.#amount[0] = 1;
    this.#addVoltage(this.#memory.probeRow, 0, this.#probed[0]!, 1);
  }

  #chooseProbed(): void {
    const place = this.#places[this.#probed[0]!]!;
    if (place === GROUND_PLACE) return;
    this.#memory.probeRow[place < this.#size ? place : place - this.#memory.stateCount] = 1;
  }

  #deriveMeterRows(parameters: Float64Array): void {
    const { meteredNodes } = this.#block;
    this.#memory.meterRows.fill(0);
    for (let row = 0; row < meteredNodes.length; row++) {
      this.#addMeter(this.#memory.meterRows, row, meteredNodes[row]!, 1, parameters);
    }
  }

  /** Adds scale times the current from a node into the block to a row. */
  #addMeter(rows: Float64Array, row: number, node: number, scale: number, parameters: Float64Array): void {
    const { branches, states, constantCurrents } = this.#block;
    const start = row * this.#width;
    for (let index = 0; index < branches.length; index++) {
      const { a, b, offset, ratio } = branches[index]!;
      this.#amount[0] = scale / parameters[offset]!;
      this.#meterBranch(rows, row, node, a, b, ratio);
    }
    for (let index = 0; index < states.length; index++) {
      const { a, b, inductive } = states[index]!;
      this.#amount[0] = scale * this.#stateSiemens[index]!;
      this.#meterBranch(rows, row, node, a, b, 1);
      const share = inductive ? -scale : scale * this.#stateSiemens[index]!;
      if (a === node) rows[start + index]! -= share;
      if (b === node) rows[start + index]! += share;
    }
    for (let index = 0; index < constantCurrents.length; index++) {
      const { node: drained, offset } = constantCurrents[index]!;
      if (drained === node) rows[start + this.#unitColumn()]! += scale * parameters[offset]!;
    }
    this.#meterDevices(rows, start, node, scale);
  }

  #meterDevices(rows: Float64Array, start: number, node: number, scale: number): void {
    const { devices } = this.#block;
    const firstPortColumn = this.#memory.stateCount + this.#memory.inputCount;
    for (let index = 0; index < devices.length; index++) {
      const { outputNode, ports } = devices[index]!;
      if (outputNode >= 0) continue;
      for (let port = 0; port < ports.length; port++) {
        const column = start + firstPortColumn + this.#portOf[index]! + port;
        if (ports[port]!.from === node) rows[column]! += scale;
        if (ports[port]!.to === node) rows[column]! -= scale;
      }
    }
  }

  #meterBranch(rows: Float64Array, row: number, node: number, a: number, b: number, ratio: number): void {
    const weight = (node === a ? ratio : 0) - (node === b ? 1 : 0);
    if (weight === 0) return;
    this.#addVoltage(rows, row, a, weight * ratio);
    this.#addVoltage(rows, row, b, -weight);
  }
}

/**
 * Index of every node in the block's equations: −1 for ground or a node of another block, below the number of
 * unknowns a row of G, above it a column of z. The block's own op-amp outputs are columns of g.
 */
function placesOf(block: CompiledBlock, knownCount: number, portOf: Int32Array): Int32Array {
  const places = new Int32Array(knownCount).fill(GROUND_PLACE);
  const size = block.unknowns.length;
  block.unknowns.forEach((node, row) => {
    places[node] = row;
  });
  block.inputs.forEach((node, column) => {
    places[node] = size + block.states.length + column;
  });
  block.devices.forEach((device, index) => {
    if (device.outputNode >= 0) {
      places[device.outputNode] = size + block.states.length + block.inputs.length + portOf[index]!;
    }
  });
  return places;
}
