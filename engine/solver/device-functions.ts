import { derivative, type Formula, fixedParts, input, parameter } from '../devices/formula.ts';
import { STEP_FORMULAS } from './backward-difference.ts';
import { type BlockDeviceKind, blockDeviceModel, STEP_RATE_NAME } from './block-devices.ts';
import type { CompiledBlock } from './compiled-circuit.ts';
import { FormulaTape } from './formula-tape.ts';

/** Names of the voltages across a device's ports, and of the steps of Newton's method, in formulas. */
export const VOLTS = ['v0', 'v1', 'v2', 'v3', 'v4'] as const;
export const STEPS = ['step0', 'step1', 'step2', 'step3', 'step4'] as const;

/** The equations of one kind of device with their derivatives. */
export interface DeviceFunctions {
  /** Current of each port. */
  readonly currents: readonly Formula[];
  /** Row p: ∂ of port p's current by the voltages across all ports. */
  readonly slopes: readonly (readonly Formula[])[];
  /** Charge of each port times the leading coefficient of the implicit step, A; none if its ports hold no charge. */
  readonly charges: readonly Formula[];
  /** Their derivatives, like `slopes`. */
  readonly chargeSlopes: readonly (readonly Formula[])[];
  readonly limitedSteps: readonly Formula[];
  /** The parts that depend on parameters only. They are computed when a parameter changes; otherwise emitted code would divide in every sample. */
  readonly parts: readonly Formula[];
}

const functions = new Map<BlockDeviceKind, DeviceFunctions>();

export function deviceFunctions(kind: BlockDeviceKind): DeviceFunctions {
  const before = functions.get(kind);
  if (before) return before;
  const made = makeFunctions(kind);
  functions.set(kind, made);
  return made;
}

function makeFunctions(kind: BlockDeviceKind): DeviceFunctions {
  const { portCount, equations, charges: chargesOf } = blockDeviceModel(kind);
  if (!equations) throw new TypeError(`a ${kind} has no equations of ports`);
  const volts = VOLTS.slice(0, portCount).map((name) => input(name));
  const steps = STEPS.slice(0, portCount).map((name) => input(name));
  const currents = equations.currents(volts);
  const slopesOf = (formulas: readonly Formula[]) =>
    formulas.map((formula) => volts.map((v) => derivative(formula, v)));
  const slopes = slopesOf(currents);
  const charges = chargesOf?.(volts, parameter(STEP_RATE_NAME)) ?? [];
  const chargeSlopes = slopesOf(charges);
  const limitedSteps = equations.limitedSteps(volts, steps);
  const inSample = [...currents, ...slopes.flat(), ...charges, ...chargeSlopes.flat()];
  const parts = fixedParts([...inSample, ...limitedSteps, ...(equations.others ?? [])]);
  return { currents, slopes, charges, chargeSlopes, limitedSteps, parts };
}

/** Number of such values of a block's devices, and the index of each device's first. */
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

const partTapes = new Map<BlockDeviceKind, FormulaTape>();

function partTape(kind: BlockDeviceKind): FormulaTape {
  const before = partTapes.get(kind);
  if (before) return before;
  const { parts } = deviceFunctions(kind);
  const made = new FormulaTape(parts, [STEP_RATE_NAME], blockDeviceModel(kind).parameters);
  partTapes.set(kind, made);
  return made;
}

/** Computes the values of a block's devices that depend on parameters only. Real-time safe except the constructor. */
export class DerivedParts {
  readonly #devices: CompiledBlock['devices'];
  readonly #tapes: readonly FormulaTape[];
  readonly #out: Float64Array;
  readonly #starts: Int32Array;
  readonly #stepRate: number;

  /** @param out Output; see `derivedPlaces`. */
  constructor(block: CompiledBlock, stepRateHz: number, out: Float64Array) {
    this.#devices = block.devices;
    this.#tapes = block.devices.map(({ kind }) => partTape(kind));
    this.#out = out;
    this.#starts = Int32Array.from(derivedPlaces(block).starts);
    this.#stepRate = STEP_FORMULAS[block.formula].rate * stepRateHz;
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
