import { type DiodeData, diodeDataAt } from '../devices/diode.ts';
import { thermalVoltage } from '../devices/physics.ts';
import type { DiodeEntry, ReverseConduction } from './catalogue-entry.ts';

/**
 * Forward voltage of `count` alike diodes in series at a given current:
 *
 *   V = count·(vj + I·R_S)          I = I_S·(exp(vj/(n·V_T)) − 1) + G·vj
 *
 * V; without a leak vj = n·V_T·ln(I/I_S + 1). The minimum conductance that the solver puts across a junction is
 * left out: 1 pA at 1 V. Data are taken as they are at every temperature, as in the network's equation.
 *
 * @param currentA Above −I_S where there is no leak; NaN below, where a junction without breakdown has no voltage.
 * @see W. Shockley, Bell System Technical Journal 28 (1949), 435
 */
export function forwardVoltage(data: DiodeData, currentA: number, temperatureK: number, count = 1): number {
  return count * (junctionVoltage(data, currentA, temperatureK) + currentA * data.seriesOhms);
}

/** Newton's method: the equation is convex and the start lies above the root, so each step comes nearer to it. */
function junctionVoltage(data: DiodeData, currentA: number, temperatureK: number): number {
  const { saturationCurrentA, emissionCoefficient, leakageS = 0 } = data;
  const emissionV = emissionCoefficient * thermalVoltage(temperatureK);
  if (leakageS === 0) return emissionV * Math.log1p(currentA / saturationCurrentA);
  let volts = currentA > 0 ? emissionV * Math.log1p(currentA / saturationCurrentA) : 0;
  for (let step = 0; step < MOST_NEWTON_STEPS; step++) {
    const conducted = saturationCurrentA * Math.exp(volts / emissionV);
    const excess = conducted - saturationCurrentA + leakageS * volts - currentA;
    const change = excess / (conducted / emissionV + leakageS);
    volts -= change;
    if (Math.abs(change) <= 1e-15 * Math.abs(volts)) break;
  }
  return volts;
}
/** A few steps are enough; rounding can keep the last ones from getting smaller. */
const MOST_NEWTON_STEPS = 60;

/** Current of a diode whose cathode is at `reverseV` above its anode, A; the series resistance is negligible there. */
export function reverseCurrent(data: DiodeData, reverseV: number, temperatureK: number): number {
  const { saturationCurrentA, emissionCoefficient, leakageS = 0 } = data;
  const emissionV = emissionCoefficient * thermalVoltage(temperatureK);
  return leakageS * reverseV - saturationCurrentA * Math.expm1(-reverseV / emissionV);
}

/**
 * Slope of the forward voltage over the current: dV/d(log10 I) = count·ln 10·I·(1/g + R_S) with the junction's
 * conductance g = (I − G·vj + I_S)/(n·V_T) + G, V a decade. Small slopes clip hard, large ones softly.
 */
export function slopePerDecade(data: DiodeData, currentA: number, temperatureK: number, count = 1): number {
  const { saturationCurrentA, emissionCoefficient, seriesOhms, leakageS = 0 } = data;
  const emissionV = emissionCoefficient * thermalVoltage(temperatureK);
  const leaked = leakageS * junctionVoltage(data, currentA, temperatureK);
  const siemens = (currentA - leaked + saturationCurrentA) / emissionV + leakageS;
  return count * Math.LN10 * currentA * (1 / siemens + seriesOhms);
}

/**
 * Voltage from cathode to anode of `count` alike two-way types in series at a reverse current, V; the data are those
 * of the catalogue, at 27 °C, and are moved to the temperature. The reverse leakage of the forward junction
 * (I_S, a few nA) is neglected.
 */
export function reverseVoltage(
  { data }: ReverseConduction,
  currentA: number,
  temperatureK: number,
  count = 1,
): number {
  return forwardVoltage(diodeDataAt(data, temperatureK), currentA, temperatureK, count);
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
