import { describe, expect, it } from 'vitest';
import type { DiodeData } from '../../engine/devices/diode.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import { findDiode } from '../../engine/parts/catalogue.ts';
import type { DatasheetPoint, DiodeEntry } from '../../engine/parts/catalogue-entry.ts';
import { forwardVoltage, reverseVoltage, slopePerDecade } from '../../engine/parts/diode-curve.ts';
import { DIODES } from '../../engine/parts/diodes.ts';
import { fitJunction } from '../../engine/parts/junction-fit.ts';

const at = (type: string, currentA: number) =>
  forwardVoltage(findDiode(type).data, currentA, NOMINAL_TEMPERATURE_K);

/**
 * [IS, N, RS, then VF at 0.1, 1 and 10 mA and 27 °C]; forward voltages were calculated outside the project from the
 * cards.
 */
type CardRow = readonly [string, number, number, number, number, number, number];

/** Cards that the catalogue uses. */
const CARDS: readonly CardRow[] = [
  ['1N4148', 2.52e-9, 1.752, 0.568, 0.4799, 0.5847, 0.6942], // onsemi
  ['1N914', 2.52e-9, 1.752, 0.568, 0.4799, 0.5847, 0.6942], // onsemi
  ['1N914B', 5e-9, 2, 0.8622, 0.5124, 0.6323, 0.7592], // Fairchild
  ['1N4001', 14.11e-9, 1.984, 0.03389, 0.455, 0.5732, 0.6916],
  ['1N4007', 7.02767e-9, 1.80803, 0.03415, 0.4472, 0.5549, 0.6629], // onsemi
  ['1N34A', 2.6e-6, 1.6, 6.5, 0.1527, 0.2529, 0.4066],
  ['AA112', 1.2e-6, 1.4, 80, 0.1686, 0.3236, 1.1269],
  ['OA91', 19.43e-6, 2.986, 65.98, 0.1468, 0.3718, 1.1422],
  ['1N5711', 19.7e-9, 1.51, 6.27, 0.3339, 0.4294, 0.5758],
  ['1N5817', 31.7e-6, 1.373, 0.051, 0.0506, 0.1237, 0.205], // onsemi
  ['BAT46', 0.1703e-6, 1.06, 1.3, 0.175, 0.2392, 0.3141],
  ['BAT54', 0.1e-6, 1, 2.2, 0.1789, 0.2404, 0.3198],
  ['1N4448', 4.352e-9, 1.906, 0.6458, 0.4951, 0.6092, 0.7286], // NXP
  ['1N34A second card', 0.2e-6, 1.3, 7, 0.2097, 0.2934, 0.4338],
];

/** Published cards that the catalogue does not use; the closed form is also compared with them. */
const LED_CARDS: readonly CardRow[] = [
  ['LED red', 93.2e-12, 3.73, 0.042, 1.34, 1.562, 1.784],
  ['LED green', 93.2e-12, 4.61, 0.042, 1.656, 1.93, 2.205],
  ['LED blue', 93.2e-12, 7.47, 0.042, 2.683, 3.128, 3.573],
];

const cardData = ([, saturationCurrentA, emissionCoefficient, seriesOhms]: CardRow) => ({
  saturationCurrentA,
  emissionCoefficient,
  seriesOhms,
  zeroBiasCapacitanceF: 0,
});

describe('forward voltage of a diode', () => {
  it.each(CARDS)('of the card %s agrees to the digits that are published', (...row) => {
    const voltages = [0.1e-3, 1e-3, 10e-3].map((current) =>
      forwardVoltage(cardData(row), current, NOMINAL_TEMPERATURE_K),
    );
    expect(voltages.map((voltage) => voltage.toFixed(4))).toEqual(
      row.slice(4).map((v) => Number(v).toFixed(4)),
    );
  });

  it.each(LED_CARDS)('of the card %s agrees to the three digits that are published', (...row) => {
    const voltages = [0.1e-3, 1e-3, 10e-3].map((current) =>
      forwardVoltage(cardData(row), current, NOMINAL_TEMPERATURE_K),
    );
    expect(voltages.map((voltage) => voltage.toFixed(3))).toEqual(
      row.slice(4).map((v) => Number(v).toFixed(3)),
    );
  });

  it('is zero without current and adds up for diodes in series', () => {
    const { data } = findDiode('1N4148');
    expect(forwardVoltage(data, 0, NOMINAL_TEMPERATURE_K)).toBe(0);
    expect(forwardVoltage(data, 1e-3, NOMINAL_TEMPERATURE_K, 3)).toBeCloseTo(3 * at('1N4148', 1e-3), 14);
  });

  it('inverts the Shockley law', () => {
    // The papers' clipper: Is 2.52 nA, n·V_T 45.3 mV at 300 K (1.752·kT/q).
    const data = {
      saturationCurrentA: 2.52e-9,
      emissionCoefficient: 1.752,
      seriesOhms: 0,
      zeroBiasCapacitanceF: 0,
    };
    const voltage = forwardVoltage(data, 1e-3, 300);
    // 45.3 has three figures; half of its last one, 13 e-folds up, is 1.4 % of the current.
    expect(Math.abs((2.52e-9 * Math.expm1(voltage / 45.3e-3)) / 1e-3 - 1)).toBeLessThan(0.014);
  });

  it('has no value below the saturation current', () => {
    expect(at('1N4148', -1e-6)).toBeNaN();
  });
});

describe('diode data', () => {
  it.each(CARDS)('of %s is the published card', (type, saturation, emission, series) => {
    const { data } = findDiode(type);
    expect([data.saturationCurrentA, data.emissionCoefficient, data.seriesOhms]).toEqual([
      saturation,
      emission,
      series,
    ]);
  });

  it.each([
    ['1N4148', 4e-12],
    ['1N914B', 0.868e-12],
    ['1N4001', 25.89e-12],
    ['1N4007', 10e-12],
    ['1N34A', 0.8e-12],
    ['AA112', 1.2e-12],
    ['OA91', 1.326e-12],
    ['1N5711', 1.8e-12],
    ['1N5817', 190e-12],
    ['BAT46', 35e-12],
    ['BAT54', 12e-12],
  ])('of %s has the zero-bias capacitance of the published card', (type, farads) => {
    expect(findDiode(type).data.zeroBiasCapacitanceF).toBe(farads);
  });

  // The documents are named at each point in the catalogue. The figures are repeated here so that a change of either is
  // noticed.
  it.each([
    ['1N4148', 10e-3, 0, 1], // NXP 2004-08-10; Fairchild 2002 rev B
    ['1N914B', 5e-3, 0.62, 0.72], // same two
    ['1N914B', 0.1, 0, 1], // same two
    ['1N4148', 5e-3, 0.62, 0.72], // window of 1N4448 and 1N914B, same two
    ['1N4001', 1, 0, 1], // Diodes DS28002 rev E-2
    ['1N4007', 1, 0, 1.1], // Vishay
    ['BAT46', 0.1e-3, 0, 0.25], // ST BAT46 series, tables 3 and 4
    ['BAT46', 10e-3, 0, 0.45], // same
    ['BAT46', 0.25, 0, 1], // same
    ['1N5711', 15e-3, 0, 1], // ST BAR28, Nov 1994
    ['1N5817', 1, 0, 0.45], // IRF PD-20646 rev B
    ['LED-red', 20e-3, 0, 3], // Vishay 83012 rev 2.3
    ['LED-red', 2e-3, 0, 2.4], // Vishay 83030 rev 1.9
    ['LED-green', 2e-3, 0, 2.4], // same
    ['LED-green', 20e-3, 0, 3], // Vishay TLHY640x; 83043
    ['LED-yellow', 20e-3, 0, 3], // same
    ['1N4448', 5e-3, 0.62, 0.72], // NXP 2004-08-10; Fairchild 2002 rev B
    ['1N4448', 0.1, 0, 1], // same two
    ['BAT41', 1e-3, 0, 0.45], // ST Doc ID 12633 rev 2
    ['BAT41', 0.2, 0, 1], // same
    ['MA150', 0.1, 0, 1.2], // class, from memory
    ['BAT85', 10e-3, 0, 0.4], // BAT85 sheet, from memory
    ['1N270', 0.2, 0, 1], // JEDEC-era sheet, from memory
  ])('of %s at %d A lies between %d and %d V', (type, currentA, least, most) => {
    expect(at(type, currentA)).toBeGreaterThanOrEqual(least);
    expect(at(type, currentA)).toBeLessThanOrEqual(most);
  });

  it('of 1N5817 drops 0.419 V at 1 A (IRF PD-20646 rev B: 0.42 typical)', () => {
    expect(at('1N5817', 1)).toBeCloseTo(0.419, 3);
  });

  it('agrees with single measured parts within their usual spread', () => {
    // Troubleshooting handbook, fig. 5.15 (secondary): 1N34 0.233 V, 1N914 0.638 V on a diode range, about
    // 1 mA. One part of each: 60 mV, about a factor of three in saturation current, is within the spread.
    expect(Math.abs(at('1N34A', 1e-3) - 0.233)).toBeLessThan(0.06);
    expect(Math.abs(at('1N914', 1e-3) - 0.638)).toBeLessThan(0.06);
  });

  it('meets every limit of its datasheets except the listed misses, and every listed miss exists', () => {
    for (const entry of DIODES) {
      const missed = entry.limits.filter((point) => !meets(entry, point));
      const place = (point: { quantity: string; at: object }) =>
        `${point.quantity} ${JSON.stringify(point.at)}`;
      expect(missed.map(place), entry.type).toEqual(entry.knownMisses.map(place));
    }
  });

  it('names a source for itself and for every limit', () => {
    for (const entry of DIODES) {
      expect(entry.dataSource).not.toBe('');
      for (const point of entry.limits) expect(point.source).not.toBe('');
    }
  });
});

describe('the low end of a diode curve, where clipping starts', () => {
  // [VF in V, then its slope in mV a decade, at 10 µA, 100 µA and 1 mA], 27 °C; calculated outside the project from the
  // cards, V = n·V_T·ln(I/I_S + 1) + I·R_S and its derivative by log10(I).
  it.each([
    ['1N4148', 0.3755, 0.4799, 0.5847, 104.3, 104.5, 105.7],
    ['1N4448', 0.3816, 0.4951, 0.6092, 113.5, 113.7, 115.0],
    ['1N4001', 0.3369, 0.455, 0.5732, 118.0, 118.2, 118.2],
    ['1N34A', 0.0654, 0.1527, 0.2529, 75.8, 94.4, 110.0],
    ['1N34A second card', 0.1323, 0.2097, 0.2934, 76.1, 78.9, 93.5],
    ['1N270', 0.0807, 0.1554, 0.2348, 70.4, 77.2, 83.1],
    ['1N60', 0.0743, 0.1576, 0.2855, 73.7, 93.7, 198.4],
    ['D9E', 0.0792, 0.1649, 0.2663, 78.0, 91.2, 121.4],
    ['OA91', 0.0327, 0.1468, 0.3718, 61.9, 164.1, 326.4],
    ['1N5711', 0.2434, 0.3339, 0.4294, 89.9, 91.4, 104.4],
    ['BAT46', 0.1121, 0.175, 0.2392, 62.1, 63.3, 66.1],
    ['BAT85', 0.1019, 0.1621, 0.225, 59.3, 61.0, 66.6],
  ])('of %s has the voltages and slopes of its card', (type, ...figures) => {
    const { data } = findDiode(type);
    const currents = [10e-6, 100e-6, 1e-3];
    const volts = currents.map((amps) => forwardVoltage(data, amps, NOMINAL_TEMPERATURE_K).toFixed(4));
    const slopes = currents.map((amps) =>
      (1e3 * slopePerDecade(data, amps, NOMINAL_TEMPERATURE_K)).toFixed(1),
    );
    expect(volts).toEqual(figures.slice(0, 3).map((figure) => figure.toFixed(4)));
    expect(slopes).toEqual(figures.slice(3).map((figure) => figure.toFixed(1)));
  });

  it('rises with the stated slope, and `count` times as fast for `count` diodes in series', () => {
    for (const { data } of DIODES) {
      for (const amps of [10e-6, 1e-3]) {
        const slope = slopePerDecade(data, amps, NOMINAL_TEMPERATURE_K);
        const step = 1e-4;
        const rise =
          forwardVoltage(data, amps * 10 ** step, NOMINAL_TEMPERATURE_K) -
          forwardVoltage(data, amps * 10 ** -step, NOMINAL_TEMPERATURE_K);
        // Central difference: relative error (ln 10·step)²/6, 1e-8.
        expect(rise / (2 * step) / slope).toBeCloseTo(1, 6);
        expect(slopePerDecade(data, amps, NOMINAL_TEMPERATURE_K, 3)).toBeCloseTo(3 * slope, 12);
      }
    }
  });

  it('puts germanium and Schottky below silicon, and silicon below LEDs, at every current', () => {
    for (const amps of [10e-6, 100e-6, 1e-3]) {
      const silicon = DIODES.filter(({ family }) => family === 'silicon').map(({ type }) => at(type, amps));
      for (const { family, type } of DIODES) {
        if (family === 'germanium' || family === 'Schottky') {
          expect(at(type, amps), type).toBeLessThan(Math.min(...silicon));
        }
        if (family === 'LED') expect(at(type, amps), type).toBeGreaterThan(Math.max(...silicon));
      }
    }
  });
});

describe('known misses of diode data', () => {
  it('has the 1N5711 card at 0.429 V where its class allows 0.41 V at 1 mA', () => {
    const [miss] = findDiode('1N5711').knownMisses;
    expect(miss).toMatchObject({ quantity: 'forwardVoltageV', sheetSays: 0.41, dataGives: 0.4294 });
    expect(at('1N5711', 1e-3)).toBeCloseTo(0.4294, 4);
  });

  it('has the BAT46 card at 35 pF where the datasheet says 10 pF', () => {
    const [miss] = findDiode('BAT46').knownMisses;
    expect(miss).toMatchObject({ quantity: 'capacitanceF', sheetSays: 10e-12, dataGives: 35e-12 });
    expect(findDiode('BAT46').data.zeroBiasCapacitanceF).toBe(35e-12);
  });
});

describe('light-emitting diodes', () => {
  it('rise by 120 mV a decade at small currents, not by the 222 mV of the red card', () => {
    // Common practice, no source.
    for (const type of ['LED-red', 'LED-green', 'LED-blue', 'LED-yellow', 'LED-white', 'LED-infrared']) {
      // Series resistance adds at most 21 Ω × 9 µA = 0.2 mV.
      expect(Math.abs(at(type, 10e-6) - at(type, 1e-6) - 0.12)).toBeLessThan(0.25e-3);
    }
  });

  it('pass through their typical voltages', () => {
    // Red misses both points by the same amount: half of the difference between the slope and the 20 mV a decade of the
    // points.
    expect(Math.abs(at('LED-red', 20e-3) - 2)).toBeLessThan(0.011); // Vishay 83012 rev 2.3
    expect(Math.abs(at('LED-red', 2e-3) - 1.9)).toBeLessThan(0.011); // Vishay 83030 rev 1.9
    // Green: 21 Ω is rounded from 21.1.
    expect(at('LED-green', 20e-3)).toBeCloseTo(2.4, 2); // Vishay TLHY640x; 83043
    expect(at('LED-green', 2e-3)).toBeCloseTo(1.9, 2); // Vishay 83030 rev 1.9
    expect(at('LED-blue', 20e-3)).toBeCloseTo(3.2, 9); // from memory
    expect(at('LED-white', 20e-3)).toBeCloseTo(3.2, 9); // from memory
    expect(at('LED-yellow', 20e-3)).toBeCloseTo(2.4, 9); // Vishay TLHY640x; 83043
    expect(at('LED-infrared', 20e-3)).toBeCloseTo(1.2, 2); // from memory
    expect(at('LED-infrared', 0.1)).toBeCloseTo(1.35, 2); // from memory
  });

  it('have red below blue, and both above silicon, at clipping currents', () => {
    for (const current of [10e-6, 100e-6, 1e-3]) {
      expect(at('LED-red', current)).toBeGreaterThan(2 * at('1N4148', current));
      expect(at('LED-blue', current)).toBeGreaterThan(at('LED-red', current) + 0.5);
    }
  });

  it('are fitted again from points of a known curve', () => {
    const data = {
      saturationCurrentA: 1e-18,
      emissionCoefficient: 2,
      seriesOhms: 5,
      zeroBiasCapacitanceF: 1e-12,
    };
    const points = [1e-3, 5e-3, 20e-3].map((currentA) => ({
      currentA,
      voltageV: forwardVoltage(data, currentA, NOMINAL_TEMPERATURE_K),
    }));
    // 2 × 25.8649258 mV × ln 10; kT/q at 27 °C from the SI constants.
    const fitted = fitJunction({
      thermal: { by: 'gap', energyGapEv: 1.11, saturationExponent: 3 },
      voltsPerDecade: 2 * 25.8649258e-3 * Math.LN10,
      seriesOhms: 5,
      zeroBiasCapacitanceF: 1e-12,
      points,
    });
    // The constant above has nine figures; an error of 1e-9 in n·V_T is 4e-8 in an I_S at 37 e-folds below.
    expect(fitted.saturationCurrentA / 1e-18).toBeCloseTo(1, 6);
    expect(fitted.emissionCoefficient).toBeCloseTo(2, 8);
  });
});

/** Whether the data meets a limit, for the quantities that this data has. */
function meets(entry: DiodeEntry, point: DatasheetPoint): boolean {
  const value = figure(entry, point);
  if (value === undefined) return true;
  if (point.minimum !== undefined && value < point.minimum) return false;
  if (point.maximum !== undefined && value > point.maximum) return false;
  // Typical figures alone are a loose limit: within a fifth of the voltage, twice the capacitance.
  if (point.typical === undefined || point.maximum !== undefined) return true;
  return value / point.typical <= (point.quantity === 'capacitanceF' ? 2 : 1.2);
}

function figure(
  { data, reverse }: DiodeEntry,
  { quantity, at: conditions }: DatasheetPoint,
): number | undefined {
  if (quantity === 'forwardVoltageV' && conditions.forwardA !== undefined) {
    return forwardVoltage(data, conditions.forwardA, NOMINAL_TEMPERATURE_K);
  }
  // The data's capacitance is the value at 0 V; its saturation current is used as the reverse current.
  if (quantity === 'capacitanceF' && conditions.reverseV === 0) return data.zeroBiasCapacitanceF;
  if (quantity === 'reverseCurrentA') {
    const volts = conditions.reverseV ?? 0;
    return data.saturationCurrentA + (reverse?.by === 'breakdown' ? leak(reverse.data, volts) : 0);
  }
  if (conditions.reverseA !== undefined && reverse !== undefined) {
    const volts = (factor: number) =>
      reverseVoltage(reverse, factor * conditions.reverseA!, NOMINAL_TEMPERATURE_K);
    if (quantity === 'zenerV') return volts(1);
    if (quantity === 'differentialOhms') return (volts(1.01) - volts(0.99)) / (0.02 * conditions.reverseA);
  }
  return undefined;
}

/** Current of a junction at a voltage, without series resistance: an upper bound, A. */
function leak(data: DiodeData, volts: number): number {
  const emissionV = data.emissionCoefficient * thermalVoltage(NOMINAL_TEMPERATURE_K);
  return data.saturationCurrentA * Math.expm1(volts / emissionV);
}
