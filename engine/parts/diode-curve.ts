import { type DiodeData, diodeDataAt } from '../devices/diode.ts';
import { fetDataAt } from '../devices/field-effect.ts';
import { thermalVoltage } from '../devices/physics.ts';
import type { DiodeEntry, ReverseConduction } from './catalogue-entry.ts';

/**
 * Forward voltage of `count` alike diodes in series at a given current, in closed form:
 *
 *   V = count·(n·V_T·ln(I/I_S + 1) + I·R_S)
 *
 * V. The minimum conductance that the solver puts across a junction is left out: 1 pA at 1 V. Saturation
 * current is that of the data at every temperature, as in the network's equation.
 *
 * @param currentA Above −I_S; NaN below, where a junction without breakdown has no voltage.
 * @see W. Shockley, Bell System Technical Journal 28 (1949), 435
 */
export function forwardVoltage(data: DiodeData, currentA: number, temperatureK: number, count = 1): number {
  const emissionV = data.emissionCoefficient * thermalVoltage(temperatureK);
  const junctionV = emissionV * Math.log1p(currentA / data.saturationCurrentA);
  return count * (junctionV + currentA * data.seriesOhms);
}

/**
 * Slope of that voltage over the current: dV/d(log10 I) = count·ln 10·(n·V_T·I/(I + I_S) + I·R_S), V a
 * decade. Small slopes clip hard, large ones softly.
 */
export function slopePerDecade(data: DiodeData, currentA: number, temperatureK: number, count = 1): number {
  const emissionV = data.emissionCoefficient * thermalVoltage(temperatureK);
  const junctionV = (emissionV * currentA) / (currentA + data.saturationCurrentA);
  return count * Math.LN10 * (junctionV + currentA * data.seriesOhms);
}

/**
 * Voltage from cathode to anode of `count` alike two-way types in series at a reverse current, V; the data are those
 * of the catalogue, at 27 °C, and are moved to the temperature. The reverse leakage of the forward junction
 * (I_S, a few nA) is neglected, and so is the channel-length modulation of a MOSFET, V = count·(V_to + √(I/β)).
 */
export function reverseVoltage(
  reverse: ReverseConduction,
  currentA: number,
  temperatureK: number,
  count = 1,
): number {
  if (reverse.by === 'breakdown')
    return forwardVoltage(diodeDataAt(reverse.data, temperatureK), currentA, temperatureK, count);
  const { thresholdV, betaAPerV2 } = fetDataAt(reverse.data, 'nMosfet', temperatureK);
  return count * (thresholdV + Math.sqrt(currentA / betaAPerV2));
}

/**
 * Voltage from anode to cathode of a type at a forward current, V: of its junction, or of several parts in
 * series. The data of the catalogue, at 27 °C, are moved to the temperature.
 */
export function typeForwardVoltage(entry: DiodeEntry, currentA: number, temperatureK: number): number {
  if (!entry.chain) return forwardVoltage(diodeDataAt(entry.data, temperatureK), currentA, temperatureK);
  return entry.chain.reduce((volts, { entry: link, isReversed }) => {
    const { reverse } = link;
    const isBackwards = isReversed && reverse !== undefined;
    const own = isBackwards
      ? reverseVoltage(reverse, currentA, temperatureK)
      : typeForwardVoltage(link, currentA, temperatureK);
    return volts + own;
  }, 0);
}
