import { input } from '../../devices/formula.ts';
import { COMMON_MODE_SHIFT, OPAMP_PINS, type OpampPin, outputLimits } from '../../devices/opamp-equations.ts';
import { STEP_FORMULAS } from '../backward-difference.ts';
import { blockDeviceModel, isCharged, isPinned, PAST_CHARGES } from '../block-devices.ts';
import { type BlockMemory, firstCharges, firstPorts } from '../block-memory.ts';
import type { CompiledBlock, CompiledCircuit, CompiledDevice } from '../compiled-circuit.ts';
import { derivedPlaces, deviceFunctions, STEPS, VOLTS } from '../device-functions.ts';
import { emitFormulas, type FormulaPlaces } from './emit-formula.ts';
import { emitPast } from './emit-past.ts';
import { add, addressOf, type Code, get, type Local, multiply } from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';
import type { EmittedDevice } from './newton-system.ts';
import type { BlockPlace } from './structure.ts';

const [POSITIVE, NEGATIVE] = [input('positive'), input('negative')];
const OUTPUT_LIMITS = outputLimits(POSITIVE, NEGATIVE);

/** For each device, code of what its equations read beside the voltages of its ports, by the names in its formulas. */
export type DeviceInputs = readonly Readonly<Record<string, Code>>[];

/** The devices of a block as code: what they read in a step, their currents and slopes, and how far a step may go. */
export class DeviceEmitter {
  readonly #f: FunctionBuilder;
  readonly #circuit: CompiledCircuit;
  readonly #block: CompiledBlock;
  readonly #memory: BlockMemory;
  readonly #places: readonly FormulaPlaces[];
  readonly #ports: readonly number[];
  readonly #charges: readonly number[];

  constructor(
    f: FunctionBuilder,
    circuit: CompiledCircuit,
    block: CompiledBlock,
    { memory, parametersAddress }: Pick<BlockPlace, 'memory' | 'parametersAddress'>,
  ) {
    this.#f = f;
    this.#circuit = circuit;
    this.#block = block;
    this.#memory = memory;
    this.#ports = firstPorts(block);
    this.#charges = firstCharges(block);
    const { starts } = derivedPlaces(block);
    this.#places = block.devices.map(({ kind, offset }, index) => ({
      given: parametersAddress + 8 * offset,
      names: blockDeviceModel(kind).parameters,
      derived: addressOf(memory.deviceConstants, starts[index]!),
      parts: deviceFunctions(kind).parts,
    }));
  }

  /** Whether all that `inputs` reads is constant in a sample. */
  isKnownAhead(isWritten: (node: number) => boolean): boolean {
    return this.#block.devices.every((device) => {
      const amplifier = this.#circuit.opamps[device.opampIndex];
      return !amplifier || !this.#pinsRead(device).some((pin) => isWritten(amplifier[pin]));
    });
  }

  /** Inputs of every device's equations beside the voltages of its ports. @param known Code that reads a known voltage, by node index. */
  inputs(known: (node: number) => Code): DeviceInputs {
    return this.#block.devices.map((device, index) => this.#inputsOf(device, index, known));
  }

  /** Currents and charges with their derivatives. @param v Voltages of the ports. */
  evaluate(v: readonly Code[], given: DeviceInputs): readonly EmittedDevice[] {
    return this.#block.devices.map(({ kind }, index) => {
      const { currents, slopes, charges, chargeSlopes } = deviceFunctions(kind);
      const inputs = { ...given[index]!, ...this.#portInputs(index, VOLTS, v) };
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

  /** Limits a step to what its devices can follow. @param step Changed in place. @param v Voltages before it. */
  limit(step: readonly Local[], v: readonly Code[], given: DeviceInputs): void {
    this.#block.devices.forEach(({ kind }, index) => {
      const inputs = {
        ...given[index]!,
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

  /**
   * Adds the effect of an op-amp's input range on its non-inverting input, where this is not part of its step.
   *
   * @param bare Voltages of the ports at g = 0.
   */
  withRanges(bare: readonly Code[], known: (node: number) => Code): readonly Code[] {
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

  /** Pins of an op-amp whose voltages are inputs of its step, not ports. */
  #pinsRead({ kind }: CompiledDevice): readonly OpampPin[] {
    const words = kind.split(' ');
    const isRanged = words.includes('range');
    return OPAMP_PINS.filter((pin) => !words.includes(pin) && (pin !== 'plus' || isRanged));
  }

  /** Code of the values at a device's ports, by the names in its formulas. */
  #portInputs(index: number, names: readonly string[], codes: readonly Code[]): Record<string, Code> {
    const first = this.#ports[index]!;
    const { ports } = this.#block.devices[index]!;
    return Object.fromEntries(ports.map((_, port) => [names[port]!, codes[first + port]!]));
  }

  /** An op-amp's memory and pins, and the past of charges. */
  #inputsOf(device: CompiledDevice, index: number, known: (node: number) => Code): Record<string, Code> {
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
}

/** Whether code only reads a stored value. */
function isPlain({ op }: Code): boolean {
  return op === 'get' || op === 'load' || op === 'double';
}
