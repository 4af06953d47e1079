import { input } from '../../devices/formula.ts';
import { COMMON_MODE_SHIFT, OPAMP_PINS, type OpampPin, outputLimits } from '../../devices/opamp-equations.ts';
import { STEP_FORMULAS } from '../backward-difference.ts';
import { blockDeviceModel, isCharged, isPinned, PAST_CHARGES } from '../block-devices.ts';
import { type BlockMemory, COUNTER, firstCharges, firstPorts } from '../block-memory.ts';
import type { CompiledBlock, CompiledCircuit, CompiledDevice } from '../compiled-circuit.ts';
import { derivedPlaces, deviceFunctions, STEPS, VOLTS } from '../device-functions.ts';
import {
  EXTRAPOLATION_LIMIT_V,
  FAULT_ABOVE,
  LIMITED_ITERATIONS,
  MAX_ITERATIONS,
  STEP_TOLERANCE_V,
} from '../newton-limits.ts';
import { emitFormulas, type FormulaPlaces } from './emit-formula.ts';
import { parallelDiodes, solveParallel } from './emit-parallel.ts';
import { emitPast } from './emit-past.ts';
import { solveStraight } from './emit-solve.ts';
import {
  absolute,
  add,
  addressOf,
  both,
  type Code,
  double,
  equal,
  get,
  greater,
  type Local,
  less,
  load,
  maximum,
  multiply,
  negate,
  not,
  select,
  subtract,
  sum,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';
import { type EmittedDevice, isZero, type NewtonSystem, type SolvedSystem } from './newton-system.ts';
import type { BlockStructure } from './structure.ts';

/** Up to this many ports, parallel diodes are solved with the rest: little could be saved. */
const MOST_PLAIN_PORTS = 3;

const [POSITIVE, NEGATIVE] = [input('positive'), input('negative')];
const OUTPUT_LIMITS = outputLimits(POSITIVE, NEGATIVE);

/** Values of a step that depend on earlier steps only, not on the block's inputs. */
export interface NewtonStart {
  /** See `#emitInputs`. */
  readonly supplies: readonly Readonly<Record<string, Code>>[];
  /** Port voltages. */
  readonly start: readonly Code[];
  readonly devices: readonly EmittedDevice[];
}

/** What a sample is solved to: port currents, and the nodes of the system. */
export interface SolvedStep {
  readonly currents: readonly Code[];
  readonly nodes: readonly Code[];
}

/** One evaluation of the devices and the step that follows from it. */
interface Iteration extends SolvedSystem {
  readonly devices: readonly EmittedDevice[];
  readonly currents: readonly Code[];
  /** Condition: the step is the last one. */
  readonly isLast: Code;
}

/**
 * Emits Newton's method on the ports of one block, v = p + K·g(v), with the full device Jacobian: g is the current of a
 * diode or transistor port, and the output of an op-amp. The first iteration, which is the only one in most samples, is
 * straight-line code; code for further ones is separate, so that nothing of it is computed in advance.
 */
export class NewtonEmitter {
  readonly #f: FunctionBuilder;
  readonly #circuit: CompiledCircuit;
  readonly #block: CompiledBlock;
  readonly #memory: BlockMemory;
  readonly #structure: BlockStructure;
  readonly #places: readonly FormulaPlaces[];
  readonly #ports: readonly number[];
  readonly #charges: readonly number[];
  readonly #parametersAddress: number;

  constructor(
    f: FunctionBuilder,
    circuit: CompiledCircuit,
    block: CompiledBlock,
    { memory, structure, parametersAddress }: BlockPlace,
  ) {
    this.#f = f;
    this.#circuit = circuit;
    this.#block = block;
    this.#memory = memory;
    this.#structure = structure;
    this.#ports = firstPorts(block);
    this.#charges = firstCharges(block);
    this.#parametersAddress = parametersAddress;
    const { starts } = derivedPlaces(block);
    this.#places = block.devices.map(({ kind, offset }, index) => ({
      given: parametersAddress + 8 * offset,
      names: blockDeviceModel(kind).parameters,
      derived: addressOf(memory.deviceConstants, starts[index]!),
      parts: deviceFunctions(kind).parts,
    }));
  }

  /** Whether `prepare` may come before all blocks of a sample: whether all that it reads is constant in the sample. */
  isKnownAhead(isWritten: (node: number) => boolean): boolean {
    return this.#block.devices.every((device) => {
      const amplifier = this.#circuit.opamps[device.opampIndex];
      return !amplifier || !this.#pinsRead(device).some((pin) => isWritten(amplifier[pin]));
    });
  }

  /** Pins of an op-amp whose voltages are inputs of its step, not ports. */
  #pinsRead({ kind }: CompiledDevice): readonly OpampPin[] {
    const words = kind.split(' ');
    const isRanged = words.includes('range');
    return OPAMP_PINS.filter((pin) => !words.includes(pin) && (pin !== 'plus' || isRanged));
  }

  /** Starting voltages of the ports, and the devices evaluated there. @param known Code that reads a known voltage, by node index. */
  prepare(known: (node: number) => Code): NewtonStart {
    const supplies = this.#block.devices.map((device, index) => this.#emitInputs(device, index, known));
    const start = this.#emitStart();
    return { supplies, start, devices: this.#emitDevices(start, supplies) };
  }

  /**
   * @param emitSystem Emits what the system needs of the sample. @returns Code of g and of the system's nodes.
   */
  emit({ supplies, start, devices }: NewtonStart, emitSystem: () => NewtonSystem): SolvedStep {
    const f = this.#f;
    this.#emitHistory();
    const g = start.map(() => f.newDouble());
    const system = emitSystem();
    const first = this.#emitIteration(devices, system, start);
    const nodes = first.nodes.map(() => f.newDouble());
    f.when(
      first.isLast,
      () => {
        this.#emitEnd(first, g, nodes);
        for (const [port, code] of start.entries())
          f.store(addressOf(this.#memory.voltages, port), add(code, first.step[port]!));
      },
      () => this.#emitMore(system, supplies, start, first, { g, nodes }),
      'then',
    );
    return { currents: g.map(get), nodes: nodes.map(get) };
  }

  /** The system (1 − K·D)·Δ = p + K·g − v. @param bare The ports' voltages at g = 0. @param known Code that reads a known voltage, by node index. */
  portSystem(bare: readonly Code[], known: (node: number) => Code): NewtonSystem {
    const open = this.#emitRanges(bare, known);
    return {
      meritIsStep: false,
      solve: (devices, v) => {
        const { matrix, residual } = this.#emitSystem(devices, open, v);
        return { step: this.#emitSolution(devices, matrix, residual), merit: residual, nodes: [] };
      },
    };
  }

  /** Shifts the stored voltages and charges of earlier steps by one step. */
  #emitHistory(): void {
    const { voltages, lastVoltages, earlierVoltages, portCount, chargeHistory } = this.#memory;
    for (let first = 0; first < chargeHistory.length; first += 3) {
      const at = (age: number) => addressOf(chargeHistory, first + age);
      this.#f.store(at(2), load(at(1)));
      this.#f.store(at(1), load(at(0)));
    }
    for (let port = 0; port < portCount; port++) {
      this.#f.store(addressOf(earlierVoltages, port), load(addressOf(lastVoltages, port)));
      this.#f.store(addressOf(lastVoltages, port), load(addressOf(voltages, port)));
    }
  }

  /** Iterations after the first, until the step is small or the maximum is reached. */
  #emitMore(
    system: NewtonSystem,
    supplies: readonly Readonly<Record<string, Code>>[],
    start: readonly Code[],
    first: Iteration,
    { g, nodes }: { readonly g: readonly Local[]; readonly nodes: readonly Local[] },
  ): void {
    const f = this.#f;
    const iteration = f.variable(double(1));
    const converged = f.variable(double(0));
    const previousNorm = f.variable(normOf(first.merit));
    const best = {
      norm: f.variable(get(previousNorm)),
      g: first.currents.map((code) => f.variable(code)),
    };
    const v = start.map((code) => f.variable(code));
    const lastStep = start.map(() => f.newDouble());
    const take = (step: readonly Code[]) => {
      const taken = step.map((code) => f.variable(code));
      f.when(less(get(iteration), double(LIMITED_ITERATIONS + 1)), () =>
        this.#limit(taken, v.map(get), supplies),
      );
      taken.forEach((local, port) => {
        f.set(v[port]!, add(get(v[port]!), get(local)));
        f.set(lastStep[port]!, get(local));
      });
    };
    const halve = () => {
      v.forEach((local, port) => {
        f.set(lastStep[port]!, multiply(get(lastStep[port]!), double(0.5)));
        f.set(local, subtract(get(local), get(lastStep[port]!)));
      });
    };
    take(first.step);
    f.loop(({ leaveIf, againIf }) => {
      const next = this.#emitIteration(this.#emitDevices(v.map(get), supplies), system, v.map(get));
      // What is stored if none is the last.
      if (system.meritIsStep) this.#emitEnd(next, g, nodes);
      else {
        for (const [port, current] of next.currents.entries()) f.set(g[port]!, current);
        this.#emitCharges(next.devices, undefined);
      }
      f.set(iteration, add(get(iteration), double(1)));
      const norm = f.define(normOf(next.merit));
      f.when(less(norm, get(best.norm)), () => {
        f.set(best.norm, norm);
        for (const [port, current] of next.currents.entries()) f.set(best.g[port]!, current);
      });
      const isPure = greater(get(iteration), double(LIMITED_ITERATIONS + 1));
      f.when(both(isPure, greater(norm, get(previousNorm))), halve, () => {
        f.set(previousNorm, norm);
        f.when(
          next.isLast,
          () => {
            if (!system.meritIsStep) this.#emitEnd(next, g, nodes);
            for (const [port, local] of v.entries()) f.set(local, add(get(local), next.step[port]!));
            f.set(converged, double(1));
          },
          () => take(next.step),
        );
      });
      leaveIf(equal(get(converged), double(1)));
      againIf(less(get(iteration), double(MAX_ITERATIONS)));
    });
    // Only impossible currents are replaced. The voltages stay: from those of the best iterate, the next sample
    // would fail in the same way.
    const isSound = less(absolute(sum(g.map(get))), double(FAULT_ABOVE));
    if (!system.meritIsStep) {
      f.when(both(equal(get(converged), double(0)), not(isSound)), () => {
        for (const [port, local] of g.entries()) f.set(local, get(best.g[port]!));
      });
    }
    this.#count(COUNTER.iterations, subtract(get(iteration), double(1)));
    this.#count(COUNTER.failures, subtract(double(1), get(converged)));
    for (const [port, local] of v.entries()) f.store(addressOf(this.#memory.voltages, port), get(local));
  }

  #count(counter: number, amount: Code): void {
    const address = addressOf(this.#memory.counters, counter);
    this.#f.store(address, add(load(address), amount));
  }

  #emitDevices(
    v: readonly Code[],
    supplies: readonly Readonly<Record<string, Code>>[],
  ): readonly EmittedDevice[] {
    return this.#block.devices.map(({ kind }, index) => {
      const { currents, slopes, charges, chargeSlopes } = deviceFunctions(kind);
      const inputs = { ...supplies[index]!, ...this.#portInputs(index, VOLTS, v) };
      const formulas = [...currents, ...slopes.flat(), ...charges, ...chargeSlopes.flat()];
      const codes = emitFormulas(this.#f, formulas, inputs, this.#places[index]);
      const defined = codes.map((code) => (isPlain(code) ? code : this.#f.define(code)));
      const count = currents.length;
      const rows = Array.from({ length: defined.length / count }, (_, row) =>
        defined.slice(count * row, count * (row + 1)),
      );
      const [, ...slopeRows] = rows;
      return {
        currents: rows[0]!,
        slopes: slopeRows.slice(0, count),
        charges: rows[count + 1] ?? [],
        chargeSlopes: slopeRows.slice(count + 1),
      };
    });
  }

  /** Code of the values at a device's ports, by the names in its formulas. */
  #portInputs(index: number, names: readonly string[], codes: readonly Code[]): Record<string, Code> {
    const first = this.#ports[index]!;
    const { ports } = this.#block.devices[index]!;
    return Object.fromEntries(ports.map((_, port) => [names[port]!, codes[first + port]!]));
  }

  /** Limits a step to what its devices can follow. @param step Changed in place. @param v Voltages before it. */
  #limit(
    step: readonly Local[],
    v: readonly Code[],
    supplies: readonly Readonly<Record<string, Code>>[],
  ): void {
    this.#block.devices.forEach(({ kind }, index) => {
      const inputs = {
        ...supplies[index]!,
        ...this.#portInputs(index, VOLTS, v),
        ...this.#portInputs(index, STEPS, step.map(get)),
      };
      const { limitedSteps } = deviceFunctions(kind);
      const limited = emitFormulas(this.#f, limitedSteps, inputs, this.#places[index]);
      limited.forEach((code, port) => {
        this.#f.set(step[this.#ports[index]! + port]!, code);
      });
    });
  }

  #emitIteration(devices: readonly EmittedDevice[], system: NewtonSystem, v: readonly Code[]): Iteration {
    const solved = system.solve(devices, v);
    const square = sum(solved.step.map((code) => multiply(code, code)));
    const isLast = less(square, this.#f.constant(STEP_TOLERANCE_V ** 2));
    return { ...solved, devices, currents: devices.flatMap((device) => device.currents), isLast };
  }

  #emitSolution(
    devices: readonly EmittedDevice[],
    matrix: readonly (readonly (Code | undefined)[])[],
    residual: readonly Code[],
  ): readonly Code[] {
    const parallels = residual.length > MOST_PLAIN_PORTS ? parallelDiodes(this.#block) : [];
    if (parallels.length === 0) return solveStraight(this.#f, matrix, residual);
    const stiffness = (device: number) => {
      const { seriesOffset } = this.#block.devices[device]!;
      const seriesOhms = load(this.#parametersAddress + 8 * seriesOffset);
      return add(double(1), multiply(seriesOhms, devices[device]!.slopes[0]![0]!));
    };
    const followers = parallels.map(({ device, lead, sign }) => ({
      port: this.#ports[device]!,
      lead: this.#ports[lead]!,
      sign,
      stiffness: stiffness(device),
      leadStiffness: stiffness(lead),
    }));
    return solveParallel(this.#f, { matrix, residual, followers });
  }

  /** Extrapolated start of each port. */
  #emitStart(): Code[] {
    const f = this.#f;
    const { voltages, lastVoltages, earlierVoltages, portCount } = this.#memory;
    const ports = Array.from({ length: portCount }, (_, port) => {
      const before = f.define(load(addressOf(voltages, port)));
      const last = f.define(load(addressOf(lastVoltages, port)));
      const moved = f.define(subtract(before, last));
      const movedEarlier = subtract(last, load(addressOf(earlierVoltages, port)));
      const change = f.define(subtract(add(moved, moved), movedEarlier));
      return { before, change };
    });
    const start = ports.map(({ before, change }) => f.variable(add(before, change)));
    const square = sum(ports.map(({ change }) => multiply(change, change)));
    const limit = f.constant(EXTRAPOLATION_LIMIT_V);
    // If all together are below the limit, as nearly always, each one is. NaN counts as too far.
    f.when(
      less(square, f.constant(EXTRAPOLATION_LIMIT_V ** 2)),
      () => undefined,
      () => {
        for (const [port, { before, change }] of ports.entries())
          f.set(start[port]!, select(less(absolute(change), limit), get(start[port]!), before));
      },
      'then',
    );
    return start.map(get);
  }

  /** Adds the effect of an op-amp's input range on its non-inverting input. */
  #emitRanges(bare: readonly Code[], known: (node: number) => Code): readonly Code[] {
    const open = [...bare];
    this.#block.devices.forEach(({ kind, opampIndex }, index) => {
      const amplifier = this.#circuit.opamps[opampIndex];
      if (!amplifier?.isRanged || kind.split(' ').includes('range')) return;
      const { plus, positive, negative } = amplifier;
      const pins = { plus: known(plus), positive: known(positive), negative: known(negative) };
      const [shift] = emitFormulas(this.#f, [COMMON_MODE_SHIFT], pins, this.#places[index]);
      const port = this.#ports[index]!;
      open[port] = this.#f.define(add(open[port]!, shift!));
    });
    return open;
  }

  /** Inputs of a device's equations beside the voltages of its ports: an op-amp's memory and pins, and the past of charges. */
  #emitInputs(device: CompiledDevice, index: number, known: (node: number) => Code): Record<string, Code> {
    const amplifier = this.#circuit.opamps[device.opampIndex];
    const f = this.#f;
    if (isCharged(device.kind)) return this.#emitPastCharges(device, index);
    if (!amplifier) return {};
    const pins = Object.fromEntries(this.#pinsRead(device).map((pin) => [pin, known(amplifier[pin])]));
    const past = emitPast(f, this.#block.formula, this.#memory.opampHistory, index);
    const stepsPerS = this.#circuit.sampleRateHz * this.#block.substeps;
    const rate = STEP_FORMULAS[this.#block.formula].rate * stepsPerS;
    const history = f.define(multiply(past, f.constant(rate)));
    if (isPinned(device.kind)) return { ...pins, history };
    const [high, low] = emitFormulas(f, OUTPUT_LIMITS, pins, this.#places[index]);
    return { history, high: f.define(high!), low: f.define(low!) };
  }

  #emitPastCharges({ ports }: CompiledDevice, index: number): Record<string, Code> {
    const past = (port: number) =>
      emitPast(this.#f, this.#block.formula, this.#memory.chargeHistory, this.#charges[index]! + port);
    return Object.fromEntries(ports.map((_, port) => [PAST_CHARGES[port]!, this.#f.define(past(port))]));
  }

  /** 1 − K·D and p + K·g − v, without entries that are zero by structure. */
  #emitSystem(
    devices: readonly EmittedDevice[],
    open: readonly Code[],
    v: readonly Code[],
  ): { matrix: (Code | undefined)[][]; residual: Code[] } {
    const f = this.#f;
    const currents = devices.flatMap((device) => device.currents);
    const { portCount, width, portRows } = this.#memory;
    const coupling = (row: number, port: number): Code | undefined => {
      const entry = row * width + width - portCount + port;
      return this.#structure.portRows[entry] ? load(addressOf(portRows, entry)) : undefined;
    };
    const matrix = open.map((_, row) =>
      devices.flatMap((device, index) => {
        const first = this.#ports[index]!;
        return device.slopes.map((_, column) => {
          const terms = device.slopes.flatMap((slopes, port) => {
            const k = coupling(row, first + port);
            return k && !isZero(slopes[column]!) ? [multiply(slopes[column]!, k)] : [];
          });
          const isDiagonal = first + column === row;
          if (terms.length === 0) return isDiagonal ? double(1) : undefined;
          return f.settle(isDiagonal ? subtract(f.constant(1), sum(terms)) : negate(sum(terms)));
        });
      }),
    );
    const residual = open.map((p, row) => {
      const terms = currents.flatMap((current, port) => {
        const k = coupling(row, port);
        return k && !isZero(current) ? [multiply(current, k)] : [];
      });
      return f.settle(add(p, subtract(sum(terms), v[row]!)));
    });
    return { matrix, residual };
  }

  /** Currents and charges of the last step, linearised: g + D·step; and its nodes. */
  #emitEnd({ devices, step, nodes: solved }: Iteration, g: readonly Local[], nodes: readonly Local[]): void {
    devices.forEach(({ currents, slopes }, index) => {
      const first = this.#ports[index]!;
      slopes.forEach((row, port) => {
        this.#f.set(g[first + port]!, add(currents[port]!, this.#changeBy(row, step, first)));
      });
    });
    this.#emitCharges(devices, step);
    for (const [index, local] of nodes.entries()) this.#f.set(local, solved[index]!);
  }

  #changeBy(slopes: readonly Code[], step: readonly Code[], first: number): Code {
    return sum(slopes.map((slope, column) => multiply(slope, step[first + column]!)));
  }

  /** Stores the charges of a step. @param step A last step to be taken into them; undefined for none. */
  #emitCharges(devices: readonly EmittedDevice[], step: readonly Code[] | undefined): void {
    devices.forEach(({ charges, chargeSlopes }, index) => {
      charges.forEach((charge, port) => {
        const address = addressOf(this.#memory.chargeHistory, 3 * (this.#charges[index]! + port));
        const change = step && this.#changeBy(chargeSlopes[port]!, step, this.#ports[index]!);
        this.#f.store(address, change ? add(charge, change) : charge);
      });
    });
  }
}

/** Addresses of a block's numbers. */
export interface BlockPlace {
  readonly memory: BlockMemory;
  readonly structure: BlockStructure;
  readonly parametersAddress: number;
}

function normOf(residual: readonly Code[]): Code {
  return residual.map(absolute).reduce(maximum);
}

/** Whether code only reads a stored value. */
function isPlain({ op }: Code): boolean {
  return op === 'get' || op === 'load' || op === 'double';
}
