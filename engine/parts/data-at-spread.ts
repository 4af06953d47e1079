/** The data of a device at an end of the spread of its type. */
import type { BjtData } from '../devices/bipolar.ts';
import type { DiodeData } from '../devices/diode.ts';
import type { FetData } from '../devices/field-effect.ts';
import type { OpampData } from '../devices/opamp-data.ts';
import { thermalVoltage } from '../devices/physics.ts';
import { forwardVoltage } from './diode-curve.ts';
import { THRESHOLD_TEST_A } from './mosfets.ts';
import type { TypeSpread } from './type-spread.ts';

/** Current at which makers state a Zener voltage, A. @see BZX79C table */
const ZENER_TEST_A = 5e-3;

/**
 * A junction at one end. Forward voltage is changed by the saturation current,
 *
 *   I_S' = I_S·exp(−ΔV / (n·V_T))
 *
 * which moves the whole curve and keeps its slope; the leak moves with it, more of it at the lower voltage.
 *
 * @param amount The end: volts, or a factor for a Zener voltage or a threshold, where only a breakdown or channel moves.
 */
export function diodeAtSpread(
  data: DiodeData,
  spread: TypeSpread,
  amount: number,
  temperatureK: number,
): DiodeData {
  switch (spread.quantity) {
    case 'forwardVoltageV':
      return isBreakdown(data)
        ? data
        : withLeakScaled(withJunctionMoved(data, amount, temperatureK), spread, amount);
    case 'value':
      return withReverseScaled(data, amount, ZENER_TEST_A, temperatureK);
    case 'thresholdV':
      return withReverseScaled(data, amount, THRESHOLD_TEST_A, temperatureK);
    default:
      return data;
  }
}

/** @param amount A factor for the gain and the leak, volts for the base-emitter voltage: I_S' = I_S·exp(−ΔV/V_T). */
export function bipolarAtSpread(
  data: BjtData,
  { quantity }: TypeSpread,
  amount: number,
  temperatureK: number,
): BjtData {
  const { saturationCurrentA, forwardBeta, collectorLeak } = data;
  switch (quantity) {
    case 'currentGain':
      return { ...data, forwardBeta: amount * forwardBeta };
    case 'baseEmitterV':
      return {
        ...data,
        saturationCurrentA: saturationCurrentA * Math.exp(-amount / thermalVoltage(temperatureK)),
      };
    case 'leak': {
      if (!collectorLeak) return data;
      const saturationA = amount * collectorLeak.saturationA;
      return { ...data, collectorLeak: { ...collectorLeak, saturationA } };
    }
    default:
      return data;
  }
}

export function fieldEffectAtSpread(data: FetData, { quantity }: TypeSpread, amount: number): FetData {
  return quantity === 'thresholdV' ? { ...data, thresholdV: amount * data.thresholdV } : data;
}

export function opampAtSpread(data: OpampData, { quantity }: TypeSpread, amount: number): OpampData {
  if (quantity !== 'speed') return data;
  const { gainBandwidthHz, slewVPerS } = data;
  return { ...data, gainBandwidthHz: amount * gainBandwidthHz, slewVPerS: amount * slewVPerS };
}

/** A breakdown or a MOSFET's channel with its voltage at the test current times a factor; other junctions as they are. */
function withReverseScaled(data: DiodeData, factor: number, testA: number, temperatureK: number): DiodeData {
  if (!isBreakdown(data)) return data;
  return withJunctionMoved(data, (factor - 1) * forwardVoltage(data, testA, temperatureK), temperatureK);
}

function withJunctionMoved(data: DiodeData, volts: number, temperatureK: number): DiodeData {
  const emissionV = data.emissionCoefficient * thermalVoltage(temperatureK);
  return { ...data, saturationCurrentA: data.saturationCurrentA * Math.exp(-volts / emissionV) };
}

/** A piece that drops less leaks more: at an end of the range by the type's factor, between by as large a part of it. */
function withLeakScaled(
  data: DiodeData,
  { leakFactor = 1, low, high }: TypeSpread,
  volts: number,
): DiodeData {
  const { leakageS } = data;
  if (leakageS === undefined || volts === 0) return data;
  return { ...data, leakageS: leakageS * leakFactor ** (volts < 0 ? volts / low : -volts / high) };
}

/** A junction for the reverse conduction of its part. */
function isBreakdown({ thermal }: DiodeData): boolean {
  return thermal?.by === 'breakdown';
}
