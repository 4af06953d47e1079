import { quantityText } from '../units/quantity-text.ts';
import { formatValue } from '../units/value-code.ts';
import type { BjtEntry } from './catalogue-entry.ts';
import type { CurvePoint } from './junction-fit.ts';
import { PieceError } from './piece.ts';
import { modelFigure } from './type-figure.ts';

/** What is measured with: a battery, whose voltage is read too, and a voltmeter, which takes a current of its own. */
export interface Meter {
  readonly supplyV: number;
  /** Input resistance on DC volts. */
  readonly inputOhms: number;
}

/** A voltage that was read, and the resistor that belongs to it. */
export interface Reading {
  readonly volts: number;
  readonly ohms: number;
}

/** Input resistance of most digital multimeters on DC volts; common practice, no source. */
export const USUAL_METER_OHMS = 10e6;
/** About 10 µA, 0.1 mA and 1 mA from 9 V, and of the E12 series. */
export const GUIDE_OHMS: readonly number[] = [820e3, 82e3, 8.2e3];
/** To the collector, and from the same pole to the base of a transistor: about 4 µA at 9 V go in, and 1 mA makes 2.2 V. */
export const GUIDE_COLLECTOR_OHMS = 2200;
export const GUIDE_BASE_OHMS = 2.2e6;
/** To the drain of a JFET, for a meter without a mA range: 0.5 mA make 50 mV, 10 mA make 1 V. */
export const GUIDE_DRAIN_OHMS = 100;

export const METER_LIMITS = {
  supplyV: { least: 1, most: 36 },
  inputOhms: { least: 2e4, most: 1e11 },
  ohms: { least: 10, most: 1e8 },
} as const;
/** Nearer to the supply than this share of it, nothing flows through the resistor that could be told. */
const LEAST_SHARE = 0.01;
/** A transistor needs this much from collector to emitter to amplify, V; textbook value. For a JFET at some µA too. */
const LEAST_COLLECTOR_V = 0.3;
/** No JFET for small signals conducts more; from memory. A current above it has lost its "m". */
const MOST_DRAIN_A = 0.1;

/**
 * Points of a diode's forward curve. The resistor stands between battery and diode, the meter across the diode:
 *
 *   I = (V_S − V)/R − V/R_meter
 *
 * @returns Rising in current. @throws PieceError naming the reading.
 */
export function forwardPoints(meter: Meter, readings: readonly Reading[]): readonly CurvePoint[] {
  checkMeter(meter);
  const falling = [...readings].sort((one, other) => other.ohms - one.ohms);
  for (const [index, reading] of falling.entries()) {
    checkForward(meter, reading);
    checkRise(falling[index - 1], reading);
  }
  return falling.map(({ volts, ohms }) => ({
    currentA: significant((meter.supplyV - volts) / ohms - volts / meter.inputOhms),
    voltageV: volts,
  }));
}

/** A diode turned round, the meter across the resistor: I = V/R + V/R_meter, with V_S − V across the diode. */
export function reversePoint(meter: Meter, reading: Reading): CurvePoint {
  checkMeter(meter);
  const { volts } = reading;
  checkAcross(meter, reading, 'backwards');
  if (meter.supplyV - volts < 0.1 * meter.supplyV)
    throw new PieceError(
      `${of(reading)}: that is nearly the supply, so the diode conducts. Turn it round, or use a smaller resistor.`,
    );
  return { currentA: significant(across(meter, reading)), voltageV: significant(meter.supplyV - volts, 4) };
}

/**
 * Gain and leakage of a bipolar transistor from volts across its collector resistor, with the base open and with a
 * resistor from the base to the same pole: I_C = V/R + V/R_meter, I_B = (V_S − V_BE)/R_B, V_BE that of the type.
 */
export function transistorFigures(
  meter: Meter,
  { open, fed, baseOhms }: { readonly open?: Reading; readonly fed: Reading; readonly baseOhms: number },
  type: BjtEntry,
) {
  checkMeter(meter);
  checkOhms(baseOhms);
  checkAcross(meter, fed, 'with the base resistor');
  if (fed.volts === 0) throw new PieceError(`${of(fed)}: nothing flows. Check the pins of the transistor.`);
  if (meter.supplyV - fed.volts < LEAST_COLLECTOR_V)
    throw new PieceError(
      `${of(fed)}: that is nearly the supply, so the transistor is saturated. Use a smaller collector resistor.`,
    );
  if (open) checkAcross(meter, open, 'with the base open');
  if (open && open.volts >= fed.volts)
    throw new PieceError(
      `${of(open)} with the base open, and ${quantityText(fed.volts, 'V')} with the base resistor: the second should be larger. Are they swapped, or two pins?`,
    );
  const collectorA = significant(across(meter, fed));
  const baseEmitterV = modelFigure(type, { quantity: 'baseEmitterV', at: { collectorA } }) ?? 0;
  const baseA = (meter.supplyV - baseEmitterV) / baseOhms;
  return {
    collectorA,
    currentGain: significant(collectorA / baseA),
    ...(open && { openBaseA: significant(across(meter, open)) }),
  };
}

/**
 * Figures of a JFET: I_DSS, and the cutoff from a large resistor at the source, the gate at its other end. The volts across it
 * are those from gate to source, while V/R + V/R_meter flows.
 *
 * @param full With the gate at the source: the drain current, A, or the volts across a resistor at the drain. What the meter takes
 * on mA in the drain lead lowers the drain voltage alone: 0.2 V are 0.5 % of the current at most, with a λ of 0.02/V.
 * @param cutoff The volts across the resistor at the source, or the cutoff voltage itself, V, at which nothing flows.
 */
export function jfetFigures(meter: Meter, full: number | Reading, cutoff: number | Reading) {
  checkMeter(meter);
  const { zeroBiasDrainA, drainV } = fullFigures(meter, full);
  const { cutoffV, ...flowing } =
    typeof cutoff === 'number' ? { cutoffV: cutoff } : cutoffFigures(meter, cutoff);
  if (drainV < cutoffV)
    throw new PieceError(
      `With the gate at the source the drain has ${quantityText(drainV, 'V')}, and the cutoff voltage is ${quantityText(cutoffV, 'V')}: the drain needs more. Use a smaller resistor, or the meter on mA.`,
    );
  return { zeroBiasDrainA, cutoffV, ...flowing, drainV };
}

function cutoffFigures(meter: Meter, cutoff: Reading) {
  checkAcross(meter, cutoff, 'at the source');
  if (cutoff.volts === 0)
    throw new PieceError(`${of(cutoff)}: nothing flows. Check the pins of the transistor.`);
  if (meter.supplyV - cutoff.volts < LEAST_COLLECTOR_V)
    throw new PieceError(
      `${of(cutoff)} at the source: that is nearly the supply, so the JFET is not cut off. Is the gate at the other end of the resistor? If so, its cutoff voltage is above the battery's.`,
    );
  return { cutoffV: cutoff.volts, cutoffA: significant(across(meter, cutoff)) };
}

function fullFigures(meter: Meter, full: number | Reading) {
  const zeroBiasDrainA = drainCurrent(
    typeof full === 'number' ? full : significant(acrossDrain(meter, full)),
  );
  const drainV = typeof full === 'number' ? meter.supplyV : significant(meter.supplyV - full.volts, 4);
  return { zeroBiasDrainA, drainV };
}

/** The drain current with the gate at the source, A, if a JFET can have it. @throws PieceError for one that lost its "m". */
export function drainCurrent(amps: number): number {
  if (amps <= MOST_DRAIN_A) return amps;
  throw new PieceError(
    `${quantityText(amps, 'A')} with the gate at the source: no small JFET conducts that much. For milliamperes write mA, such as 0.6 mA.`,
  );
}

function acrossDrain(meter: Meter, full: Reading): number {
  checkAcross(meter, full, 'at the drain');
  if (full.volts === 0)
    throw new PieceError(`${of(full)} at the drain: nothing flows. Check the pins of the transistor.`);
  return across(meter, full);
}

/** Readings that no junction has, or that look like a mistake, in sentences: the points stand as they are. */
export function pointDoubts(points: readonly CurvePoint[]): readonly string[] {
  return points.slice(1).flatMap((point, index) => {
    const before = points[index]!;
    const decades = Math.log10(point.currentA / before.currentA);
    const slopeV = (point.voltageV - before.voltageV) / decades;
    if (decades < 0.3 || slopeV >= LEAST_SLOPE_V) return [];
    return `From ${quantityText(before.voltageV, 'V')} to ${quantityText(point.voltageV, 'V')} is ${Math.round(1000 * slopeV)} mV for 10 times the current. A diode needs about 60 mV or more: read both again.`;
  });
}
/** n = 0.9 at 27 °C: 53.6 mV a decade, less 4 mV for a meter that shows whole millivolts. */
const LEAST_SLOPE_V = 0.05;

function checkMeter({ supplyV, inputOhms }: Meter): void {
  const { supplyV: supply, inputOhms: input } = METER_LIMITS;
  if (!(supplyV >= supply.least && supplyV <= supply.most))
    throw new PieceError(
      `The supply is ${supplyV} V; it should be from ${supply.least} to ${supply.most} V: measure the battery.`,
    );
  if (!(inputOhms >= input.least && inputOhms <= input.most))
    throw new PieceError(
      `The meter's input resistance is ${inputOhms} Ω; it should be from 20k to 100G, usually 10M.`,
    );
}

function checkOhms(ohms: number): void {
  const { least, most } = METER_LIMITS.ohms;
  if (ohms >= least && ohms <= most) return;
  throw new PieceError(`A resistor of ${ohms} Ω cannot be measured with: use 10R to 100M, such as 82k.`);
}

function checkForward({ supplyV, inputOhms }: Meter, reading: Reading): void {
  const { volts, ohms } = reading;
  checkOhms(ohms);
  if (!(volts > 0))
    throw new PieceError(`${of(reading)}: the diode is shorted, or the meter is not across it.`);
  if (volts > supplyV)
    throw new PieceError(
      `${of(reading)}: that is more than the supply of ${quantityText(supplyV, 'V')}. For millivolts write ${Math.round(volts)} mV.`,
    );
  const flowingA = (supplyV - volts) / ohms - volts / inputOhms;
  if (supplyV - volts < LEAST_SHARE * supplyV || flowingA <= 0)
    throw new PieceError(
      `${of(reading)}: nothing flows through the diode. Turn it round: it blocks, or is open.`,
    );
}

function checkRise(before: Reading | undefined, reading: Reading): void {
  if (!before) return;
  if (before.ohms === reading.ohms)
    throw new PieceError(`There are two readings for ${formatValue(reading.ohms, 'ohms')}: give one.`);
  if (reading.volts <= before.volts)
    throw new PieceError(
      `${of(reading)} is not above ${quantityText(before.volts, 'V')} of ${formatValue(before.ohms, 'ohms')}, though more current flows: are they swapped, or two digits?`,
    );
}

function checkAcross({ supplyV }: Meter, reading: Reading, where: string): void {
  checkOhms(reading.ohms);
  if (!(reading.volts >= 0))
    throw new PieceError(`${of(reading)} ${where}: give the volts without their sign.`);
  if (reading.volts > supplyV)
    throw new PieceError(
      `${of(reading)} ${where}: that is more than the supply of ${quantityText(supplyV, 'V')}. For millivolts write ${Math.round(reading.volts)} mV.`,
    );
}

function across({ inputOhms }: Meter, { volts, ohms }: Reading): number {
  return volts / ohms + volts / inputOhms;
}

/** "215 mV with 82k". */
function of({ volts, ohms }: Reading): string {
  return `${quantityText(volts, 'V')} with ${formatValue(ohms, 'ohms', 4)}`;
}

/** Computed figures to as many digits as a meter could have, so that a file is readable. */
function significant(value: number, digits = 5): number {
  return Number(value.toPrecision(digits));
}
