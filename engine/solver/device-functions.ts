import { type DeviceKind, deviceModel } from '../devices/devices.ts';
import { derivative, type Formula, fixedParts, input } from '../devices/formula.ts';
import { STEP_RATE } from './backward-difference.ts';
import type { CompiledBlock } from './compiled-circuit.ts';
import { FormulaTape } from './formula-tape.ts';

/** What formulas call the voltages across a device's ports, and the steps of Newton's method in them. */
export const VOLTS = ['v0', 'v1'] as const;
export const STEPS = ['step0', 'step1'] as const;
/** The leading coefficient of the implicit step, 1/s, to be had as a parameter beside the device's own. */
const STEP_RATE_NAME = 'stepRate';

/** The equations of one kind of device with what is derived of them. */
export interface DeviceFunctions {
  /** Of each port. */
  readonly currents: readonly Formula[];
  /** Row p: ∂ of port p's current by the voltages across all ports. */
  readonly slopes: readonly (readonly Formula[])[];
  readonly limitedSteps: readonly Formula[];
  /** What depends on parameters alone: derived where one changes, since emitted code would else divide for it in every sample. */
  readonly parts: readonly Formula[];
}

const functions = new Map<DeviceKind, DeviceFunctions>();

export function deviceFunctions(kind: DeviceKind): DeviceFunctions {
  const before = functions.get(kind);
  if (before) return before;
  const made = makeFunctions(kind);
  functions.set(kind, made);
  return made;
}

function makeFunctions(kind: DeviceKind): DeviceFunctions {
  const { ports, equations } = deviceModel(kind);
  if (!equations) throw new TypeError(`a ${kind} has no equations of ports`);
  const volts = ports.map((_, port) => input(VOLTS[port]!));
  const steps = ports.map((_, port) => input(STEPS[port]!));
  const currents = equations.currents(volts);
  const slopes = currents.map((current) => volts.map((v) => derivative(current, v)));
  const limitedSteps = equations.limitedSteps(volts, steps);
  const parts = fixedParts([...currents, ...slopes.flat(), ...limitedSteps, ...(equations.others ?? [])]);
  return { currents, slopes, limitedSteps, parts };
}

/** Numbers that a block's devices derive, and where those of each begin. */
export function derivedPlaces({ devices }: CompiledBlock): {
  readonly starts: readonly number[];
  readonly count: number;
} {
  let count = 0;
  const starts = devices.map(({ kind }) => {
    const start = count;
    count += deviceFunctions(kind).parts.length;
    return start;
  });
  return { starts, count };
}

const partTapes = new Map<DeviceKind, FormulaTape>();

function partTape(kind: DeviceKind): FormulaTape {
  const before = partTapes.get(kind);
  if (before) return before;
  const { parts } = deviceFunctions(kind);
  const made = new FormulaTape(parts, [STEP_RATE_NAME], deviceModel(kind).parameters);
  partTapes.set(kind, made);
  return made;
}

/** Derives what the devices of a block have of their parameters alone. Real-time safe but for the constructor. */
export class DerivedParts {
  readonly #devices: CompiledBlock['devices'];
  readonly #tapes: readonly FormulaTape[];
  readonly #out: Float64Array;
  readonly #starts: Int32Array;
  readonly #stepRate: number;

  /** @param out Output; see `derivedPlaces`. */
  constructor(block: CompiledBlock, sampleRateHz: number, out: Float64Array) {
    this.#devices = block.devices;
    this.#tapes = block.devices.map(({ kind }) => partTape(kind));
    this.#out = out;
    this.#starts = Int32Array.from(derivedPlaces(block).starts);
    this.#stepRate = STEP_RATE * sampleRateHz;
  }

  derive(parameters: Float64Array): void {
    for (let index = 0; index < this.#tapes.length; index++) {
      const { inputs, outputs } = this.#tapes[index]!;
      inputs[0] = this.#stepRate;
      this.#tapes[index]!.run(parameters, this.#devices[index]!.offset);
      for (let part = 0; part < outputs.length; part++)
        this.#out[this.#starts[index]! + part] = outputs[part]!;
    }
  }
}
