import { OPAMP_CLAMP_V } from '../network/network.ts';
import { STEP_RATE } from './backward-difference.ts';
import { type CompiledBlock, DEVICE } from './compiled-circuit.ts';
import { BJT, DIODE, FET, OPAMP } from './parameters.ts';

/**
 * What emitted code needs of a device's numbers in every sample and would else divide for: derived where a number
 * changes, into the block's memory.
 */

/** Numbers kept for each device, whatever its kind. */
export const DEVICE_CONSTANTS = 6;

/** Places of a junction's numbers: 1/nV_T and I_S/nV_T; those of a transistor's inverses go on from there. */
export const JUNCTION_CONSTANT = { perEmissionV: 0, conductanceS: 1 } as const;
export const BJT_CONSTANT = { perForwardBeta: 2, perReverseBeta: 3, perEarlyV: 4 } as const;
/**
 * Places of an op-amp's numbers. With a the leading coefficient of its implicit step and clamp = S/OPAMP_CLAMP_V:
 * w/A0, S/OPAMP_CLAMP_V, a + w/A0, w/S, and the inverses of the third and of it plus the clamp.
 */
export const OPAMP_CONSTANT = { leak: 0, clamp: 1, a: 2, wPerSlew: 3, perA: 4, perClamped: 5 } as const;

/**
 * Derives the constants of a block's devices. Real-time safe.
 *
 * @param out Output, DEVICE_CONSTANTS a device.
 */
export function deriveDeviceConstants(
  { devices }: CompiledBlock,
  parameters: Float64Array,
  sampleRateHz: number,
  out: Float64Array,
): void {
  for (let index = 0; index < devices.length; index++) {
    const { code, offset } = devices[index]!;
    const at = DEVICE_CONSTANTS * index;
    if (code === DEVICE.opamp) deriveOpamp(parameters, offset, STEP_RATE * sampleRateHz, out, at);
    else if (code === DEVICE.diode) deriveJunction(parameters, offset, DIODE.emissionV, out, at);
    else if (code >= DEVICE.jfet) {
      deriveJunction(parameters, offset + FET.gateSaturationA, FET.thermalV - FET.gateSaturationA, out, at);
    } else {
      deriveJunction(parameters, offset, BJT.thermalV, out, at);
      out[at + BJT_CONSTANT.perForwardBeta] = 1 / parameters[offset + BJT.forwardBeta]!;
      out[at + BJT_CONSTANT.perReverseBeta] = 1 / parameters[offset + BJT.reverseBeta]!;
      out[at + BJT_CONSTANT.perEarlyV] = 1 / parameters[offset + BJT.earlyV]!;
    }
  }
}

/** @param saturation Place of I_S, and `emission` that of n·V_T behind it. */
function deriveJunction(
  parameters: Float64Array,
  saturation: number,
  emission: number,
  out: Float64Array,
  at: number,
): void {
  const perEmissionV = 1 / parameters[saturation + emission]!;
  out[at + JUNCTION_CONSTANT.perEmissionV] = perEmissionV;
  out[at + JUNCTION_CONSTANT.conductanceS] = parameters[saturation]! * perEmissionV;
}

/** @param rate Leading coefficient of the implicit step, 1/s. */
function deriveOpamp(
  parameters: Float64Array,
  offset: number,
  rate: number,
  out: Float64Array,
  at: number,
): void {
  const w = parameters[offset + OPAMP.gainBandwidthRadPerS]!;
  const slew = parameters[offset + OPAMP.slewVPerS]!;
  const leak = w / parameters[offset + OPAMP.openLoopGain]!;
  const clamp = slew / OPAMP_CLAMP_V;
  out[at + OPAMP_CONSTANT.leak] = leak;
  out[at + OPAMP_CONSTANT.clamp] = clamp;
  out[at + OPAMP_CONSTANT.a] = rate + leak;
  out[at + OPAMP_CONSTANT.wPerSlew] = w / slew;
  out[at + OPAMP_CONSTANT.perA] = 1 / (rate + leak);
  out[at + OPAMP_CONSTANT.perClamped] = 1 / (rate + leak + clamp);
}
