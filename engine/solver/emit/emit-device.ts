import { JUNCTION_MIN_S, OPAMP_KNEE_V } from '../../network/network.ts';
import { BJT_CONSTANT, JUNCTION_CONSTANT, OPAMP_CONSTANT } from '../device-constants.ts';
import { BJT, DIODE, FET, OPAMP } from '../parameters.ts';
import { exponential } from './emit-exponential.ts';
import {
  absolute,
  add,
  type Code,
  divide,
  double,
  either,
  get,
  greater,
  greaterOrEqual,
  less,
  load,
  maximum,
  minimum,
  multiply,
  negate,
  select,
  squareRoot,
  subtract,
  sum,
} from './expression.ts';
import type { FunctionBuilder, Usual } from './function-builder.ts';

/** Currents of a device's ports and their derivatives, as code that reads them; row p of `slopes` is ∂g_p. */
export interface EmittedDevice {
  readonly currents: readonly Code[];
  readonly slopes: readonly (readonly Code[])[];
}

/** Code that reads a device's numbers and what DeviceConstants derives from them. */
export interface DeviceConstants {
  readonly values: Readonly<Record<string, Code>>;
}

/** Below the first of these arguments e^x is nothing beside 1; above the last the tangent goes on. */
const [EXP_LEAST, EXP_MOST] = [-40, 60];

/** I_S·(e^(v/nV_T) − 1) and its slope, with the exponential's tangent above its range. */
function junction(
  f: FunctionBuilder,
  v: Code,
  { values }: DeviceConstants,
  usual: Usual,
): { current: Code; slope: Code } {
  const argument = f.define(multiply(v, values['perEmissionV']!));
  const current = f.newDouble();
  const slope = f.newDouble();
  const set = (exponentialLess1: Code, exponentialSlope: Code) => {
    f.set(current, multiply(exponentialLess1, values['saturationA']!));
    f.set(slope, multiply(exponentialSlope, values['conductanceS']!));
  };
  const fromMiddle = absolute(subtract(argument, f.constant((EXP_LEAST + EXP_MOST) / 2)));
  f.when(
    less(fromMiddle, f.constant((EXP_MOST - EXP_LEAST) / 2)),
    () => {
      const e = exponential(f, argument);
      set(subtract(e, f.constant(1)), e);
    },
    () =>
      // A junction that blocks, as most do most of the time, needs no exponential.
      f.when(
        less(argument, double(EXP_MOST)),
        () => set(double(-1), double(0)),
        () => {
          const atMost = double(Math.exp(EXP_MOST));
          const beyond = multiply(atMost, subtract(argument, double(EXP_MOST - 1)));
          set(subtract(beyond, double(1)), atMost);
        },
      ),
    usual,
  );
  return { current: get(current), slope: get(slope) };
}

const number = (address: number, place: number): Code => load(address + 8 * place);
const inverse = (code: Code): Code => divide(double(1), code);

/** @param given Byte address of the device's first parameter. @param derived Of its first derived constant. */
export function diodeConstants(given: number, derived: number): DeviceConstants {
  return {
    values: { saturationA: number(given, DIODE.saturationA), ...junctionConstants(derived) },
  };
}

function junctionConstants(derived: number) {
  return {
    perEmissionV: number(derived, JUNCTION_CONSTANT.perEmissionV),
    conductanceS: number(derived, JUNCTION_CONSTANT.conductanceS),
  };
}

export function emitDiode(f: FunctionBuilder, constants: DeviceConstants, v: Code): EmittedDevice {
  const { current, slope } = junction(f, v, constants, 'then');
  const leak = f.constant(JUNCTION_MIN_S);
  return { currents: [f.define(add(current, multiply(v, leak)))], slopes: [[f.define(add(slope, leak))]] };
}

export function bipolarConstants(given: number, derived: number): DeviceConstants {
  return {
    values: {
      saturationA: number(given, BJT.saturationA),
      ...junctionConstants(derived),
      perForwardBeta: number(derived, BJT_CONSTANT.perForwardBeta),
      perReverseBeta: number(derived, BJT_CONSTANT.perReverseBeta),
      perEarlyV: number(derived, BJT_CONSTANT.perEarlyV),
    },
  };
}

/** Ebers-Moll ports as in device-equations.ts; for a PNP voltages and currents change sign. */
export function emitBipolar(
  f: FunctionBuilder,
  constants: DeviceConstants,
  polarity: 1 | -1,
  vBE: Code,
  vBC: Code,
): EmittedDevice {
  const { values } = constants;
  const signed = (code: Code) => (polarity === 1 ? code : f.define(negate(code)));
  const be = signed(vBE);
  const bc = signed(vBC);
  const forward = junction(f, be, constants, 'then');
  const reverse = junction(f, bc, constants, 'otherwise');
  const early = f.define(subtract(f.constant(1), multiply(bc, values['perEarlyV']!)));
  const difference = f.define(subtract(forward.current, reverse.current));
  const transport = f.define(multiply(difference, early));
  const byBE = f.define(multiply(forward.slope, early));
  const byBC = f.define(
    subtract(multiply(negate(reverse.slope), early), multiply(difference, values['perEarlyV']!)),
  );
  const toEmitter = f.define(add(multiply(forward.current, values['perForwardBeta']!), transport));
  const toCollector = f.define(subtract(multiply(reverse.current, values['perReverseBeta']!), transport));
  return {
    currents: [signed(toEmitter), signed(toCollector)],
    slopes: [
      [f.define(add(multiply(forward.slope, values['perForwardBeta']!), byBE)), byBC],
      [f.define(negate(byBE)), f.define(subtract(multiply(reverse.slope, values['perReverseBeta']!), byBC))],
    ],
  };
}

export function fieldEffectConstants(given: number, derived: number): DeviceConstants {
  return {
    values: {
      beta: number(given, FET.betaAPerV2),
      threshold: number(given, FET.thresholdV),
      lambda: number(given, FET.lambdaPerV),
      saturationA: number(given, FET.gateSaturationA),
      ...junctionConstants(derived),
    },
  };
}

/** Shichman-Hodges channel as in device-equations.ts, and the gate junctions of a JFET. */
export function emitFieldEffect(
  f: FunctionBuilder,
  constants: DeviceConstants,
  hasGateJunctions: boolean,
  vGS: Code,
  vDS: Code,
): EmittedDevice {
  const { values } = constants;
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
  const toSource = junction(f, vGS, constants, 'otherwise');
  const toDrain = junction(f, f.define(subtract(vGS, vDS)), constants, 'otherwise');
  return {
    currents: [
      f.define(add(toSource.current, toDrain.current)),
      f.define(subtract(current, toDrain.current)),
    ],
    slopes: [
      [f.define(add(toSource.slope, toDrain.slope)), f.define(negate(toDrain.slope))],
      [f.define(subtract(multiply(sign, byGate), toDrain.slope)), f.define(add(byDrain, toDrain.slope))],
    ],
  };
}

export function opampConstants(given: number, derived: number): DeviceConstants {
  return {
    values: {
      w: number(given, OPAMP.gainBandwidthRadPerS),
      slew: number(given, OPAMP.slewVPerS),
      headroomHigh: number(given, OPAMP.headroomHighV),
      headroomLow: number(given, OPAMP.headroomLowV),
      commonHigh: number(given, OPAMP.commonHighV),
      commonLow: number(given, OPAMP.commonLowV),
      commonReversal: number(given, OPAMP.commonReversal),
      leak: number(derived, OPAMP_CONSTANT.leak),
      clamp: number(derived, OPAMP_CONSTANT.clamp),
      a: number(derived, OPAMP_CONSTANT.a),
      wPerSlew: number(derived, OPAMP_CONSTANT.wPerSlew),
      perA: number(derived, OPAMP_CONSTANT.perA),
      perClamped: number(derived, OPAMP_CONSTANT.perClamped),
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
  const perRoot = f.define(divide(f.constant(1), squareRoot(add(multiply(u, u), f.constant(1)))));
  const middle = multiply(multiply(add(high, low), f.constant(0.5)), values['leak']!);
  const drive = f.define(sum([history, multiply(multiply(u, perRoot), values['slew']!), middle]));
  const byDrive = f.define(multiply(multiply(perRoot, multiply(perRoot, perRoot)), values['w']!));
  const x = f.newDouble();
  const perSlope = f.newDouble();
  f.set(x, multiply(drive, values['perA']!));
  f.set(perSlope, values['perA']!);
  const limitAt = (push: Code, place: (excess: Code) => Code) => {
    const { excess, perSlope: limited } = emitKnee(f, f.define(push), a, clamp, values['perClamped']!);
    f.set(x, place(excess));
    f.set(perSlope, limited);
  };
  f.whenRarely(either(greater(get(x), high), less(get(x), low)), () =>
    f.when(
      greater(get(x), high),
      () => limitAt(subtract(drive, multiply(a, high)), (excess) => add(high, excess)),
      () =>
        f.when(less(get(x), low), () =>
          limitAt(subtract(multiply(a, low), drive), (excess) => subtract(low, excess)),
        ),
    ),
  );
  return { currents: [get(x)], slopes: [[f.define(multiply(byDrive, get(perSlope)))]] };
}

/** c(v+) − v+, as `commonModeShift` in device-equations.ts. */
export function emitCommonMode(
  f: FunctionBuilder,
  { values }: DeviceConstants,
  plus: Code,
  positive: Code,
  negative: Code,
): Code {
  // q(e) with e⁺ = max(e, 0) and m = min(e⁺, k): m²/(2k) + e⁺ − m.
  const knee = (excess: Code): Code => {
    const past = f.define(maximum(excess, double(0)));
    const within = f.define(minimum(past, double(OPAMP_KNEE_V)));
    const square = multiply(multiply(within, within), double(1 / (2 * OPAMP_KNEE_V)));
    return f.define(add(square, subtract(past, within)));
  };
  const above = knee(add(subtract(plus, positive), values['commonHigh']!));
  const below = knee(subtract(add(negative, values['commonLow']!), plus));
  return f.define(subtract(multiply(values['commonReversal']!, below), above));
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
