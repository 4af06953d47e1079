import type { DeviceKind } from '../devices/devices.ts';
import { STEP_FORMULAS } from './backward-difference.ts';
import { blockDeviceModel, isCharged, STEP_RATE_NAME } from './block-devices.ts';
import { type BlockMemory, firstCharges, firstPorts } from './block-memory.ts';
import type { CompiledBlock, CompiledDevice } from './compiled-circuit.ts';
import { deviceFunctions, VOLTS } from './device-functions.ts';
import { FormulaTape } from './formula-tape.ts';
import { PortDevice } from './port-device.ts';

/**
 * Charges of a block's last three steps, computed from the voltages of these steps. Where a value changes, the voltages stay, as
 * those of capacitors do; charges that stayed would thump. Real-time safe except the constructor.
 */
export class ChargePast {
  readonly #holders: readonly Holder[];
  readonly #memory: BlockMemory;

  constructor(block: CompiledBlock, memory: BlockMemory, stepRateHz: number) {
    const [ports, charges] = [firstPorts(block), firstCharges(block)];
    const rate = STEP_FORMULAS[block.formula].rate * stepRateHz;
    this.#memory = memory;
    this.#holders = block.devices.flatMap((device, index) =>
      isCharged(device.kind) ? [holderOf(device, ports[index]!, charges[index]!, rate)] : [],
    );
  }

  /** To be called when a number of a device has changed. */
  derive(parameters: Float64Array): void {
    const { voltages, lastVoltages, earlierVoltages } = this.#memory;
    this.#deriveStep(parameters, 0, voltages);
    this.#deriveStep(parameters, 1, lastVoltages);
    this.#deriveStep(parameters, 2, earlierVoltages);
  }

  #deriveStep(parameters: Float64Array, age: number, voltages: Float64Array): void {
    const { chargeHistory } = this.#memory;
    for (let index = 0; index < this.#holders.length; index++) {
      const { tape, offset, portCount, firstPort, firstCharge } = this.#holders[index]!;
      for (let port = 0; port < portCount; port++) tape.inputs[port] = voltages[firstPort + port]!;
      tape.run(parameters, offset);
      for (let port = 0; port < portCount; port++)
        chargeHistory[3 * (firstCharge + port) + age] = tape.outputs[port]!;
    }
  }
}

interface Holder {
  readonly tape: FormulaTape;
  readonly offset: number;
  readonly portCount: number;
  readonly firstPort: number;
  readonly firstCharge: number;
}

function holderOf(
  { kind, offset, ports }: CompiledDevice,
  firstPort: number,
  firstCharge: number,
  rate: number,
): Holder {
  const names = VOLTS.slice(0, ports.length);
  const { parameters } = blockDeviceModel(kind);
  const tape = new FormulaTape(deviceFunctions(kind).charges, [...names, STEP_RATE_NAME], parameters);
  tape.inputs[ports.length] = rate;
  return { tape, offset, portCount: ports.length, firstPort, firstCharge };
}

/** The device of a charged kind without its charges, which knows the voltage behind its series resistance. */
export function restingDevice(kind: CompiledDevice['kind']): PortDevice | undefined {
  return isCharged(kind) ? PortDevice.of(kind.split(' ')[1] as DeviceKind) : undefined;
}
