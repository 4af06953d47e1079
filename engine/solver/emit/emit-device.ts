import { JUNCTION_MIN_S, OPAMP_CLAMP_V, OPAMP_KNEE_V } from '../../network/network.ts';
import { BJT, DIODE, FET, OPAMP } from '../parameters.ts';
import type { FunctionBuilder } from './function-builder.ts';
import {
  absolute,
  add,
  type Code,
  divide,
  double,
  get,
  greater,
  greaterOrEqual,
  less,
  load,
  maximum,
  minimum,
  multiply,
  nearest,
  powerOfTwo,
  select,
  squareRoot,
  subtract,
  sum,
} from './wasm-code.ts';

/** Currents of a device's ports and their derivatives, as code that reads them; row p of `slopes` is ∂g_p. */
export interface EmittedDevice {
  readonly currents: readonly Code[];
  readonly slopes: readonly (readonly Code[])[];
}

/** Numbers of a device that hold for a whole run, computed ahead of the sample loop. */
export interface DeviceConstants {
  readonly values: Readonly<Record<string, Code>>;
}

/** Arguments beyond these change nothing that a double of current could show: see device-equations.ts. */
const EXP_RANGE = [-40, 60] as const;
const LN2_HIGH = 0.6931471803691238;
const LN2_LOW = 1.9082149292705877e-10;

/**
 * e^x, by x = k·ln 2 + r, |r| ≤ ln 2 / 2, and the Taylor polynomial of degree 10 in r: relative error below 1e-12.
 *
 * @param x Code without side effects, within {@link EXP_RANGE}.
 */
function exponential(f: FunctionBuilder, x: Code): Code {
  const k = f.define(nearest(multiply(x, double(Math.LOG2E))));
  const r = f.define(subtract(subtract(x, multiply(k, double(LN2_HIGH))), multiply(k, double(LN2_LOW))));
  const r2 = f.define(multiply(r, r));
  const r4 = f.define(multiply(r2, r2));
  const r8 = multiply(r4, r4);
  const pair = (n: number) => add(double(1 / factorial(n)), multiply(r, double(1 / factorial(n + 1))));
  const quad = (n: number) => add(pair(n), multiply(r2, pair(n + 2)));
  const last = add(pair(8), multiply(r2, double(1 / factorial(10))));
  const polynomial = add(add(quad(0), multiply(r4, quad(4))), multiply(r8, last));
  return f.define(multiply(polynomial, powerOfTwo(k)));
}

function factorial(n: number): number {
  return n < 2 ? 1 : n * factorial(n - 1);
}

/** I_S·(e^(v/nV_T) − 1) and its slope, with the exponential's tangent above its range. */
function junction(
  f: FunctionBuilder,
  v: Code,
  saturationA: Code,
  perEmissionV: Code,
): { current: Code; slope: Code } {
  const [least, most] = EXP_RANGE;
  const argument = f.define(multiply(v, perEmissionV));
  const e = exponential(f, f.define(maximum(double(least), minimum(argument, double(most)))));
  const beyond = multiply(maximum(subtract(argument, double(most)), double(0)), double(Math.exp(most)));
  return {
    current: f.define(multiply(saturationA, subtract(add(e, beyond), double(1)))),
    slope: f.define(multiply(multiply(saturationA, e), perEmissionV)),
  };
}

/** @param address Byte address of the device's first parameter. */
const parameter = (address: number, place: number): Code => load(address + 8 * place);
const inverse = (code: Code): Code => divide(double(1), code);

export function diodeConstants(f: FunctionBuilder, address: number): DeviceConstants {
  return {
    values: {
      saturationA: f.define(parameter(address, DIODE.saturationA)),
      perEmissionV: f.define(inverse(parameter(address, DIODE.emissionV))),
    },
  };
}

export function emitDiode(f: FunctionBuilder, { values }: DeviceConstants, v: Code): EmittedDevice {
  const { current, slope } = junction(f, v, values['saturationA']!, values['perEmissionV']!);
  const leak = double(JUNCTION_MIN_S);
  return { currents: [f.define(add(current, multiply(leak, v)))], slopes: [[f.define(add(slope, leak))]] };
}

export function bipolarConstants(f: FunctionBuilder, address: number): DeviceConstants {
  return {
    values: {
      saturationA: f.define(parameter(address, BJT.saturationA)),
      perThermalV: f.define(inverse(parameter(address, BJT.thermalV))),
      perForwardBeta: f.define(inverse(parameter(address, BJT.forwardBeta))),
      perReverseBeta: f.define(inverse(parameter(address, BJT.reverseBeta))),
      perEarlyV: f.define(inverse(parameter(address, BJT.earlyV))),
    },
  };
}

/** Ebers-Moll ports as in device-equations.ts; for a PNP voltages and currents change sign. */
export function emitBipolar(
  f: FunctionBuilder,
  { values }: DeviceConstants,
  polarity: 1 | -1,
  vBE: Code,
  vBC: Code,
): EmittedDevice {
  const signed = (code: Code) => (polarity === 1 ? code : f.define(multiply(code, double(-1))));
  const be = signed(vBE);
  const bc = signed(vBC);
  const forward = junction(f, be, values['saturationA']!, values['perThermalV']!);
  const reverse = junction(f, bc, values['saturationA']!, values['perThermalV']!);
  const early = f.define(subtract(double(1), multiply(bc, values['perEarlyV']!)));
  const difference = f.define(subtract(forward.current, reverse.current));
  const transport = f.define(multiply(difference, early));
  const byBE = f.define(multiply(forward.slope, early));
  const byBC = f.define(
    subtract(
      multiply(double(-1), multiply(reverse.slope, early)),
      multiply(difference, values['perEarlyV']!),
    ),
  );
  const toEmitter = f.define(add(multiply(forward.current, values['perForwardBeta']!), transport));
  const toCollector = f.define(subtract(multiply(reverse.current, values['perReverseBeta']!), transport));
  return {
    currents: [signed(toEmitter), signed(toCollector)],
    slopes: [
      [f.define(add(multiply(forward.slope, values['perForwardBeta']!), byBE)), byBC],
      [
        f.define(multiply(byBE, double(-1))),
        f.define(subtract(multiply(reverse.slope, values['perReverseBeta']!), byBC)),
      ],
    ],
  };
}

export function fieldEffectConstants(f: FunctionBuilder, address: number): DeviceConstants {
  return {
    values: {
      beta: f.define(parameter(address, FET.betaAPerV2)),
      threshold: f.define(parameter(address, FET.thresholdV)),
      lambda: f.define(parameter(address, FET.lambdaPerV)),
      gateA: f.define(parameter(address, FET.gateSaturationA)),
      perThermalV: f.define(inverse(parameter(address, FET.thermalV))),
    },
  };
}

/** Shichman-Hodges channel as in device-equations.ts, and the gate junctions of a JFET. */
export function emitFieldEffect(
  f: FunctionBuilder,
  { values }: DeviceConstants,
  hasGateJunctions: boolean,
  vGS: Code,
  vDS: Code,
): EmittedDevice {
  const reversed = less(vDS, double(0));
  const span = f.define(absolute(vDS));
  const gate = select(reversed, subtract(vGS, vDS), vGS);
  const drive = f.define(maximum(subtract(gate, values['threshold']!), double(0)));
  const held = f.define(minimum(span, drive));
  const shape = f.define(multiply(held, subtract(add(drive, drive), held)));
  const lengthening = f.define(multiply(values['beta']!, add(double(1), multiply(values['lambda']!, span))));
  const sign = f.define(select(reversed, double(-1), double(1)));
  const current = multiply(sign, multiply(lengthening, shape));
  const byGate = f.define(multiply(multiply(double(2), lengthening), held));
  const bySpan = f.define(
    add(
      multiply(multiply(values['beta']!, values['lambda']!), shape),
      multiply(multiply(double(2), lengthening), subtract(drive, held)),
    ),
  );
  const byDrain = select(reversed, add(byGate, bySpan), bySpan);
  if (!hasGateJunctions) {
    return {
      currents: [double(0), f.define(current)],
      slopes: [
        [double(0), double(0)],
        [f.define(multiply(sign, byGate)), f.define(byDrain)],
      ],
    };
  }
  const toSource = junction(f, vGS, values['gateA']!, values['perThermalV']!);
  const toDrain = junction(f, f.define(subtract(vGS, vDS)), values['gateA']!, values['perThermalV']!);
  return {
    currents: [
      f.define(add(toSource.current, toDrain.current)),
      f.define(subtract(current, toDrain.current)),
    ],
    slopes: [
      [f.define(add(toSource.slope, toDrain.slope)), f.define(multiply(toDrain.slope, double(-1)))],
      [f.define(subtract(multiply(sign, byGate), toDrain.slope)), f.define(add(byDrain, toDrain.slope))],
    ],
  };
}

/** @param rate Leading coefficient of the implicit step, 1/s. */
export function opampConstants(f: FunctionBuilder, address: number, rate: number): DeviceConstants {
  const w = f.define(parameter(address, OPAMP.gainBandwidthRadPerS));
  const slew = f.define(parameter(address, OPAMP.slewVPerS));
  const leak = f.define(divide(w, parameter(address, OPAMP.openLoopGain)));
  const clamp = f.define(divide(slew, double(OPAMP_CLAMP_V)));
  const a = f.define(add(double(rate), leak));
  return {
    values: {
      w,
      slew,
      leak,
      clamp,
      a,
      wPerSlew: f.define(divide(w, slew)),
      perA: f.define(inverse(a)),
      perClamped: f.define(inverse(add(a, clamp))),
      headroomHigh: f.define(parameter(address, OPAMP.headroomHighV)),
      headroomLow: f.define(parameter(address, OPAMP.headroomLowV)),
    },
  };
}

/** Closed-form implicit step as `opampStep` in device-equations.ts. */
export function emitOpamp(
  f: FunctionBuilder,
  { values }: DeviceConstants,
  vd: Code,
  history: Code,
  high: Code,
  low: Code,
): EmittedDevice {
  const { a, clamp } = { a: values['a']!, clamp: values['clamp']! };
  const u = f.define(multiply(vd, values['wPerSlew']!));
  const perRoot = f.define(inverse(squareRoot(add(double(1), multiply(u, u)))));
  const middle = multiply(multiply(values['leak']!, double(0.5)), add(high, low));
  const drive = f.define(sum([history, multiply(multiply(values['slew']!, u), perRoot), middle]));
  const byDrive = f.define(multiply(values['w']!, multiply(perRoot, multiply(perRoot, perRoot))));
  const x = f.newDouble();
  const perSlope = f.newDouble();
  f.set(x, multiply(drive, values['perA']!));
  f.set(perSlope, values['perA']!);
  const limitAt = (push: Code, place: (excess: Code) => Code) => {
    const { excess, perSlope: limited } = emitKnee(f, f.define(push), a, clamp, values['perClamped']!);
    f.set(x, place(excess));
    f.set(perSlope, limited);
  };
  f.when(
    greater(get(x), high),
    () => limitAt(subtract(drive, multiply(a, high)), (excess) => add(high, excess)),
    () =>
      f.when(less(get(x), low), () =>
        limitAt(subtract(multiply(a, low), drive), (excess) => subtract(low, excess)),
      ),
  );
  return { currents: [get(x)], slopes: [[f.define(multiply(byDrive, get(perSlope)))]] };
}

/** Ends of the range in which an op-amp answers nearly in proportion, as `opampActiveRange` in device-equations.ts. */
export function emitActiveRange(
  f: FunctionBuilder,
  { values }: DeviceConstants,
  history: Code,
  high: Code,
  low: Code,
): { lower: Code; upper: Code } {
  const perSlew = f.define(inverse(values['slew']!));
  const given = f.define(add(history, multiply(multiply(values['leak']!, double(0.5)), add(high, low))));
  const argument = (limit: Code) => multiply(subtract(multiply(values['a']!, limit), given), perSlew);
  const scale = f.define(inverse(values['wPerSlew']!));
  const end = (s: Code) => {
    const square = minimum(multiply(s, s), double(0.5));
    return f.define(divide(multiply(scale, s), squareRoot(subtract(double(1), square))));
  };
  return {
    lower: end(f.define(maximum(argument(low), double(-Math.SQRT1_2)))),
    upper: end(f.define(minimum(argument(high), double(Math.SQRT1_2)))),
  };
}

/** The e ≥ 0 that solves a·e + clamp·q(e) = push, and 1/(a + clamp·q'(e)). */
function emitKnee(
  f: FunctionBuilder,
  push: Code,
  a: Code,
  clamp: Code,
  perClamped: Code,
): { excess: Code; perSlope: Code } {
  const excess = f.newDouble();
  const perSlope = f.newDouble();
  const atKneeEnd = multiply(double(OPAMP_KNEE_V), add(a, multiply(double(0.5), clamp)));
  f.when(
    greaterOrEqual(push, atKneeEnd),
    () => {
      f.set(excess, multiply(add(push, multiply(clamp, double(0.5 * OPAMP_KNEE_V))), perClamped));
      f.set(perSlope, perClamped);
    },
    () => {
      const curvature = f.define(divide(clamp, double(OPAMP_KNEE_V)));
      const root = squareRoot(add(multiply(a, a), multiply(multiply(double(2), curvature), push)));
      f.set(excess, divide(multiply(double(2), push), add(a, root)));
      f.set(perSlope, inverse(add(a, multiply(curvature, get(excess)))));
    },
  );
  return { excess: get(excess), perSlope: get(perSlope) };
}
