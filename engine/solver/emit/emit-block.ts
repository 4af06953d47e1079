import { type BlockMemory, COUNTER, firstPorts } from '../block-memory.ts';
import { FAULT_ABOVE, FLUSH_BELOW } from '../block-solver.ts';
import {
  type CompiledBlock,
  type CompiledCircuit,
  type CompiledDevice,
  DEVICE,
} from '../compiled-circuit.ts';
import {
  EXTRAPOLATION_LIMIT_V,
  FET_STEP_V,
  LIMITED_ITERATIONS,
  MAX_ITERATIONS,
  OPAMP_STEP_V,
  STEP_TOLERANCE_V,
} from '../port-newton.ts';
import {
  bipolarConstants,
  type DeviceConstants,
  diodeConstants,
  type EmittedDevice,
  emitActiveRange,
  emitBipolar,
  emitDiode,
  emitFieldEffect,
  emitOpamp,
  fieldEffectConstants,
  opampConstants,
} from './emit-device.ts';
import { solveStraight } from './emit-solve.ts';
import { call, type FunctionBuilder } from './function-builder.ts';
import type { BlockStructure } from './structure.ts';
import {
  absolute,
  add,
  addInteger,
  both,
  type Code,
  divide,
  double,
  get,
  greater,
  greaterOrEqual,
  integer,
  type Local,
  less,
  lessInteger,
  load,
  maximum,
  minimum,
  multiply,
  select,
  subtract,
  sum,
  toDouble,
} from './wasm-code.ts';

const LOG = 0;

/** What a block shares with the loop around it. */
export interface BlockContext {
  /** Code that reads a known voltage, by node index. */
  readonly known: (index: number) => Code;
  readonly setKnown: (index: number, value: Code) => void;
  /** Adds to the current out of a node. */
  readonly addCurrent: (node: number, amps: Code) => void;
  /** Keeps a voltage as the probe's, where the probe is in this block. */
  readonly probe: (volts: Code) => void;
  /** Ends the loop: a number in this block was not finite. */
  readonly fault: () => void;
}

/** Emits one block as straight-line code: the same arithmetic as BlockSolver and PortNewton. */
export class BlockEmitter {
  readonly #f: FunctionBuilder;
  readonly #circuit: CompiledCircuit;
  readonly #block: CompiledBlock;
  readonly #memory: BlockMemory;
  readonly #structure: BlockStructure;
  readonly #constants: readonly DeviceConstants[];
  readonly #ports: readonly number[];
  readonly #iteration: Local;

  /** Computes the devices' constants; to be called ahead of the sample loop. */
  constructor(
    f: FunctionBuilder,
    circuit: CompiledCircuit,
    block: CompiledBlock,
    memory: BlockMemory,
    structure: BlockStructure,
    parametersAddress: number,
  ) {
    this.#f = f;
    this.#circuit = circuit;
    this.#block = block;
    this.#memory = memory;
    this.#structure = structure;
    this.#ports = firstPorts(block);
    this.#iteration = f.newInteger();
    this.#constants = block.devices.map(({ code, offset }) => {
      const address = parametersAddress + 8 * offset;
      if (code === DEVICE.diode) return diodeConstants(f, address);
      if (code === DEVICE.opamp) return opampConstants(f, address, 1.5 * circuit.sampleRateHz);
      if (code === DEVICE.jfet || code === DEVICE.mosfet) return fieldEffectConstants(f, address);
      return bipolarConstants(f, address);
    });
  }

  /** One sample of the block. */
  emit(context: BlockContext): void {
    const f = this.#f;
    const { stateCount, portCount, z } = this.#memory;
    const sources = Array.from({ length: stateCount }, (_, index) => f.define(load(address(z, index))));
    const inputs = this.#block.inputs.map((index) => context.known(index));
    const currents: Code[] = portCount > 0 ? this.#emitNewton([...sources, ...inputs], context) : [];
    const all = [...sources, ...inputs, ...currents];
    const next = sources.map((_, row) => f.define(this.#row('stateRows', row, all)));
    const total = f.define(sum([...next, ...currents]));
    // A comparison with what is not a number is false.
    f.when(less(absolute(total), double(FAULT_ABOVE)), () => undefined, context.fault);
    // Any node may be probed, so that no entry is left out.
    const { probeRow } = this.#memory;
    context.probe(sum(all.map((value, column) => multiply(load(address(probeRow, column)), value))));
    // The rows of outputs and meters read this sample's sources, so they come before the sources move on.
    this.#block.outputs.forEach((node, row) => {
      context.setKnown(node, this.#row('outputRows', row, all));
    });
    this.#block.meteredNodes.forEach((node, row) => {
      context.addCurrent(node, this.#row('meterRows', row, all));
    });
    this.#emitAdvance(sources, next, currents, context);
  }

  /** Σ coefficient·z over the entries that can differ from zero, within the columns given. */
  #row(rows: keyof BlockStructure, row: number, z: readonly Code[]): Code {
    const { width } = this.#memory;
    const terms = z.flatMap((value, column) => {
      const entry = row * width + column;
      return this.#structure[rows][entry] ? [multiply(load(address(this.#memory[rows], entry)), value)] : [];
    });
    return sum(terms);
  }

  #emitAdvance(
    sources: readonly Code[],
    next: readonly Code[],
    currents: readonly Code[],
    context: BlockContext,
  ): void {
    const f = this.#f;
    const { z, previousSources, opampOutputs } = this.#memory;
    this.#block.devices.forEach(({ outputNode }, device) => {
      if (outputNode < 0) return;
      const out = currents[this.#ports[device]!]!;
      f.store(address(opampOutputs, 2 * device + 1), load(address(opampOutputs, 2 * device)));
      f.store(address(opampOutputs, 2 * device), out);
      context.setKnown(outputNode, out);
    });
    next.forEach((value, index) => {
      f.store(address(previousSources, index), sources[index]!);
      f.store(address(z, index), select(less(absolute(value), double(FLUSH_BELOW)), double(0), value));
    });
  }

  /** The ports by Newton's method; returns the code of g. */
  #emitNewton(given: readonly Code[], context: BlockContext): Code[] {
    const f = this.#f;
    const { portCount, voltages, counters } = this.#memory;
    const open = Array.from({ length: portCount }, (_, row) => f.define(this.#row('portRows', row, given)));
    const supplies = this.#block.devices.map((device, index) => this.#emitSupply(device, index, context));
    const v = open.map((_, port) => this.#emitStart(port));
    const g = open.map(() => f.newDouble());
    const lastStep = open.map(() => f.newDouble());
    const previousNorm = f.newDouble();
    const converged = f.newInteger();
    f.set(this.#iteration, integer(0));
    f.set(converged, integer(0));
    f.set(previousNorm, double(Number.POSITIVE_INFINITY));
    f.loop(({ leaveIf, againIf }) => {
      const devices = this.#block.devices.map((device, index) =>
        this.#emitDevice(device, index, v, supplies[index]!),
      );
      const currents = devices.flatMap((device) => device.currents);
      for (const [port, current] of currents.entries()) f.set(g[port]!, current);
      const { matrix, residual } = this.#emitSystem(devices, currents, open, v);
      f.set(this.#iteration, addInteger(get(this.#iteration), integer(1)));
      const norm = f.define(residual.map((r) => absolute(r)).reduce((a, b) => maximum(a, b)));
      const grew = both(
        lessInteger(integer(LIMITED_ITERATIONS + 1), get(this.#iteration)),
        greater(norm, get(previousNorm)),
      );
      f.when(
        grew,
        () => {
          v.forEach((local, port) => {
            f.set(lastStep[port]!, multiply(get(lastStep[port]!), double(0.5)));
            f.set(local, subtract(get(local), get(lastStep[port]!)));
          });
        },
        () => {
          f.set(previousNorm, norm);
          const step = solveStraight(f, matrix, residual).map((code) => {
            const local = f.newDouble();
            f.set(local, code);
            return local;
          });
          f.when(lessInteger(get(this.#iteration), integer(LIMITED_ITERATIONS + 1)), () =>
            this.#emitLimits(step, v, supplies),
          );
          step.forEach((local, port) => {
            f.set(v[port]!, add(get(v[port]!), get(local)));
            f.set(lastStep[port]!, get(local));
          });
          const largest = step.map((local) => absolute(get(local))).reduce((a, b) => maximum(a, b));
          f.when(less(largest, double(STEP_TOLERANCE_V)), () => {
            this.#emitLinearised(devices, g, step);
            f.set(converged, integer(1));
          });
        },
      );
      leaveIf(get(converged));
      againIf(lessInteger(get(this.#iteration), integer(MAX_ITERATIONS)));
    });
    const count = (counter: number, amount: Code) =>
      f.store(address(counters, counter), add(load(address(counters, counter)), amount));
    count(COUNTER.iterations, toDouble(get(this.#iteration)));
    count(COUNTER.failures, subtract(double(1), toDouble(get(converged))));
    for (const [port, local] of v.entries()) f.store(address(voltages, port), get(local));
    return g.map((local) => get(local));
  }

  /** Extrapolated start of a port; the voltage before goes to the memory at once. */
  #emitStart(port: number): Local {
    const f = this.#f;
    const { voltages, lastVoltages } = this.#memory;
    const before = f.define(load(address(voltages, port)));
    const change = f.define(subtract(before, load(address(lastVoltages, port))));
    f.store(address(lastVoltages, port), before);
    const start = f.newDouble();
    const near = less(absolute(change), double(EXTRAPOLATION_LIMIT_V));
    f.set(start, select(near, add(before, change), before));
    return start;
  }

  /** History, high and low limit of an op-amp; nothing for other devices. */
  #emitSupply(device: CompiledDevice, index: number, context: BlockContext): readonly Code[] {
    if (device.code !== DEVICE.opamp) return [];
    const f = this.#f;
    const { positive, negative } = this.#circuit.opamps[device.opampIndex]!;
    const { opampOutputs } = this.#memory;
    const constants = this.#constants[index]!.values;
    const now = load(address(opampOutputs, 2 * index));
    const before = load(address(opampOutputs, 2 * index + 1));
    const past = subtract(multiply(double(2), now), multiply(double(0.5), before));
    return [
      f.define(multiply(past, double(this.#circuit.sampleRateHz))),
      f.define(subtract(context.known(positive), constants['headroomHigh']!)),
      f.define(add(context.known(negative), constants['headroomLow']!)),
    ];
  }

  #emitDevice(
    device: CompiledDevice,
    index: number,
    v: readonly Local[],
    supply: readonly Code[],
  ): EmittedDevice {
    const f = this.#f;
    const constants = this.#constants[index]!;
    const first = get(v[this.#ports[index]!]!);
    if (device.code === DEVICE.diode) return emitDiode(f, constants, first);
    if (device.code === DEVICE.opamp)
      return emitOpamp(f, constants, first, supply[0]!, supply[1]!, supply[2]!);
    const second = get(v[this.#ports[index]! + 1]!);
    if (device.code === DEVICE.npn || device.code === DEVICE.pnp) {
      return emitBipolar(f, constants, device.code === DEVICE.npn ? 1 : -1, first, second);
    }
    return emitFieldEffect(f, constants, device.code === DEVICE.jfet, first, second);
  }

  /** 1 − K·D and p + K·g − v, entries that are zero by structure left out. */
  #emitSystem(
    devices: readonly EmittedDevice[],
    currents: readonly Code[],
    open: readonly Code[],
    v: readonly Local[],
  ): { matrix: (Code | undefined)[][]; residual: Code[] } {
    const f = this.#f;
    const { portCount, width, portRows } = this.#memory;
    const coupling = (row: number, port: number): Code | undefined => {
      const entry = row * width + width - portCount + port;
      return this.#structure.portRows[entry] ? load(address(portRows, entry)) : undefined;
    };
    const matrix = open.map((_, row) =>
      devices.flatMap((device, index) => {
        const first = this.#ports[index]!;
        return device.slopes.map((_, column) => {
          const terms = device.slopes.flatMap((slopes, port) => {
            const k = coupling(row, first + port);
            return k ? [multiply(k, slopes[column]!)] : [];
          });
          const isDiagonal = first + column === row;
          if (terms.length === 0) return isDiagonal ? double(1) : undefined;
          return f.define(subtract(double(isDiagonal ? 1 : 0), sum(terms)));
        });
      }),
    );
    const residual = open.map((p, row) => {
      const terms = currents.flatMap((current, port) => {
        const k = coupling(row, port);
        return k ? [multiply(k, current)] : [];
      });
      return f.define(add(subtract(p, get(v[row]!)), sum(terms)));
    });
    return { matrix, residual };
  }

  /** g += D·step for the last step. */
  #emitLinearised(devices: readonly EmittedDevice[], g: readonly Local[], step: readonly Local[]): void {
    devices.forEach((device, index) => {
      const first = this.#ports[index]!;
      device.slopes.forEach((slopes, port) => {
        const terms = slopes.map((slope, column) => multiply(slope, get(step[first + column]!)));
        this.#f.set(g[first + port]!, add(get(g[first + port]!), sum(terms)));
      });
    });
  }

  #emitLimits(step: readonly Local[], v: readonly Local[], supplies: readonly (readonly Code[])[]): void {
    const f = this.#f;
    this.#block.devices.forEach(({ code }, index) => {
      const first = this.#ports[index]!;
      const { values } = this.#constants[index]!;
      if (code === DEVICE.diode) {
        this.#emitJunctionLimit(step[first]!, v[first]!, 1, values['saturationA']!, values['perEmissionV']!);
      } else if (code === DEVICE.jfet || code === DEVICE.mosfet) {
        for (const local of [step[first]!, step[first + 1]!]) {
          f.set(local, maximum(double(-FET_STEP_V), minimum(get(local), double(FET_STEP_V))));
        }
      } else if (code === DEVICE.opamp) {
        this.#emitOpampLimit(step[first]!, v[first]!, index, supplies[index]!);
      } else {
        const polarity = code === DEVICE.npn ? 1 : -1;
        for (const port of [first, first + 1]) {
          this.#emitJunctionLimit(
            step[port]!,
            v[port]!,
            polarity,
            values['saturationA']!,
            values['perThermalV']!,
          );
        }
      }
    });
  }

  /** As PortNewton's limit of an op-amp's step. */
  #emitOpampLimit(step: Local, v: Local, index: number, [history, high, low]: readonly Code[]): void {
    const f = this.#f;
    f.when(greater(absolute(get(step)), double(OPAMP_STEP_V)), () => {
      const { lower, upper } = emitActiveRange(f, this.#constants[index]!, history!, high!, low!);
      const after = f.define(add(get(v), get(step)));
      f.when(greaterOrEqual(upper, lower), () => {
        f.when(
          both(greater(get(v), add(upper, double(OPAMP_STEP_V))), less(after, upper)),
          () => f.set(step, subtract(upper, get(v))),
          () =>
            f.when(both(less(get(v), subtract(lower, double(OPAMP_STEP_V))), greater(after, lower)), () =>
              f.set(step, subtract(lower, get(v))),
            ),
        );
      });
    });
  }

  /** As PortNewton's junction limit. */
  #emitJunctionLimit(step: Local, v: Local, polarity: 1 | -1, saturationA: Code, perEmissionV: Code): void {
    const f = this.#f;
    const signed = (code: Code) => multiply(double(polarity), code);
    f.when(greater(multiply(signed(get(step)), perEmissionV), double(2)), () => {
      const emissionV = f.define(divide(double(1), perEmissionV));
      const before = f.define(signed(get(v)));
      const change = f.define(signed(get(step)));
      const critical = multiply(
        emissionV,
        call(LOG, divide(emissionV, multiply(double(Math.SQRT2), saturationA))),
      );
      f.when(greater(add(before, change), critical), () => {
        const fromBefore = multiply(emissionV, call(LOG, add(double(1), multiply(change, perEmissionV))));
        const fromZero = subtract(
          multiply(emissionV, call(LOG, multiply(add(before, change), perEmissionV))),
          before,
        );
        f.set(step, signed(select(greater(before, double(0)), fromBefore, fromZero)));
      });
    });
  }
}

function address(array: Float64Array, index: number): number {
  return array.byteOffset + 8 * index;
}
