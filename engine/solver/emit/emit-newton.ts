import { type BlockMemory, COUNTER, firstCharges, firstPorts } from '../block-memory.ts';
import type { CompiledBlock } from '../compiled-circuit.ts';
import {
  EXTRAPOLATION_LIMIT_V,
  FAULT_ABOVE,
  LIMITED_ITERATIONS,
  MAX_ITERATIONS,
  STEP_TOLERANCE_V,
} from '../newton-limits.ts';
import type { DeviceEmitter, DeviceInputs } from './emit-devices.ts';
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
  not,
  select,
  subtract,
  sum,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';
import type { EmittedDevice, NewtonSystem, SolvedSystem } from './newton-system.ts';

/** Values of a step that depend on earlier steps only, not on the block's inputs. */
export interface NewtonStart {
  readonly given: DeviceInputs;
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
  readonly #memory: BlockMemory;
  readonly #devices: DeviceEmitter;
  readonly #ports: readonly number[];
  readonly #charges: readonly number[];

  constructor(f: FunctionBuilder, block: CompiledBlock, memory: BlockMemory, devices: DeviceEmitter) {
    this.#f = f;
    this.#memory = memory;
    this.#devices = devices;
    this.#ports = firstPorts(block);
    this.#charges = firstCharges(block);
  }

  /** Starting voltages of the ports, and the devices evaluated there. @param known Code that reads a known voltage, by node index. */
  prepare(known: (node: number) => Code): NewtonStart {
    const given = this.#devices.inputs(known);
    const start = this.#emitStart();
    return { given, start, devices: this.#devices.evaluate(start, given) };
  }

  /**
   * @param emitSystem Emits what the system needs of the sample. @param emitSurprise Emits what follows where the first step was not
   * the last, so that ports did not move as before; may change g. @returns Code of g and of the system's nodes.
   */
  emit(
    { given, start, devices }: NewtonStart,
    emitSystem: () => NewtonSystem,
    emitSurprise: (g: readonly Local[]) => void = () => undefined,
  ): SolvedStep {
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
      () => {
        this.#emitMore(system, given, start, first, { g, nodes });
        emitSurprise(g);
      },
      'then',
    );
    return { currents: g.map(get), nodes: nodes.map(get) };
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
    given: DeviceInputs,
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
        this.#devices.limit(taken, v.map(get), given),
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
      const next = this.#emitIteration(this.#devices.evaluate(v.map(get), given), system, v.map(get));
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

  #emitIteration(devices: readonly EmittedDevice[], system: NewtonSystem, v: readonly Code[]): Iteration {
    const solved = system.solve(devices, v);
    const square = sum(solved.step.map((code) => multiply(code, code)));
    const isLast = less(square, this.#f.constant(STEP_TOLERANCE_V ** 2));
    return { ...solved, devices, currents: devices.flatMap((device) => device.currents), isLast };
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

function normOf(residual: readonly Code[]): Code {
  return residual.map(absolute).reduce(maximum);
}
