import { firstPorts } from '../block-memory.ts';
import { type CompiledBlock, DEVICE } from '../compiled-circuit.ts';
import { FET_STEP_V, OPAMP_STEP_V } from '../newton-limits.ts';
import { type DeviceConstants, emitActiveRange } from './emit-device.ts';
import {
  absolute,
  add,
  both,
  type Code,
  call,
  divide,
  double,
  get,
  greater,
  greaterOrEqual,
  type Local,
  less,
  maximum,
  minimum,
  multiply,
  select,
  subtract,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

const LOG = 0;

/** Emits the limits of a block's first Newton steps. */
export class LimitEmitter {
  readonly #f: FunctionBuilder;
  readonly #block: CompiledBlock;
  readonly #constants: readonly DeviceConstants[];
  readonly #ports: readonly number[];

  constructor(f: FunctionBuilder, block: CompiledBlock, constants: readonly DeviceConstants[]) {
    this.#f = f;
    this.#block = block;
    this.#constants = constants;
    this.#ports = firstPorts(block);
  }

  /** @param step Changed in place. @param v Voltages before it. @param supplies As NewtonEmitter has them. */
  emit(step: readonly Local[], v: readonly Local[], supplies: readonly (readonly Code[])[]): void {
    const f = this.#f;
    this.#block.devices.forEach(({ code }, index) => {
      const first = this.#ports[index]!;
      if (code === DEVICE.diode) {
        this.#emitJunction(step[first]!, v[first]!, 1, index);
      } else if (code === DEVICE.jfet || code === DEVICE.mosfet) {
        for (const local of [step[first]!, step[first + 1]!]) {
          f.set(local, maximum(double(-FET_STEP_V), minimum(get(local), double(FET_STEP_V))));
        }
      } else if (code === DEVICE.opamp) {
        this.#emitOpamp(step[first]!, v[first]!, index, supplies[index]!);
      } else {
        const polarity = code === DEVICE.npn ? 1 : -1;
        for (const port of [first, first + 1]) this.#emitJunction(step[port]!, v[port]!, polarity, index);
      }
    });
  }

  #emitOpamp(step: Local, v: Local, index: number, [history, high, low]: readonly Code[]): void {
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

  #emitJunction(step: Local, v: Local, polarity: 1 | -1, index: number): void {
    const f = this.#f;
    const { saturationA, perEmissionV } = this.#constants[index]!.values;
    const signed = (code: Code) => multiply(double(polarity), code);
    f.when(greater(multiply(signed(get(step)), perEmissionV!), double(2)), () => {
      const emissionV = f.define(divide(double(1), perEmissionV!));
      const before = f.define(signed(get(v)));
      const change = f.define(signed(get(step)));
      const critical = multiply(
        emissionV,
        call(LOG, divide(emissionV, multiply(double(Math.SQRT2), saturationA!))),
      );
      f.when(greater(add(before, change), critical), () => {
        const fromBefore = multiply(emissionV, call(LOG, add(double(1), multiply(change, perEmissionV!))));
        const fromZero = subtract(
          multiply(emissionV, call(LOG, multiply(add(before, change), perEmissionV!))),
          before,
        );
        f.set(step, signed(select(greater(before, double(0)), fromBefore, fromZero)));
      });
    });
  }
}
