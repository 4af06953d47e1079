import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type DiodeData, diodeDataAt } from '../../engine/devices/diode.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { findDiode } from '../../engine/parts/catalogue.ts';
import { forwardVoltage, reverseCurrent, slopePerDecade } from '../../engine/parts/diode-curve.ts';
import { DIODES } from '../../engine/parts/diodes.ts';
import { fitJunction } from '../../engine/parts/junction-fit.ts';
import { typeTable } from '../../engine/parts/type-table.ts';

const at = (type: string, currentA: number) =>
  forwardVoltage(findDiode(type).data, currentA, NOMINAL_TEMPERATURE_K);

/**
 * [IS, N, RS, then VF at 0.1, 1 and 10 mA and 27 °C]; forward voltages were calculated outside the project from the
 * cards.
 */
type CardRow = readonly [string, number, number, number, number, number, number];

/** Published cards, of which the catalogue uses some. */
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

/** The types whose published cards the catalogue uses: I_S, n, R_S. */
const USED_CARDS: readonly (readonly [string, number, number, number])[] = [
  ['1N4148', 4.352e-9, 1.906, 0.6458], // NXP
  ['1N914', 4.352e-9, 1.906, 0.6458], // the same, for the class
  ['1N914B', 4.352e-9, 1.906, 0.6458],
  ['1N4448', 4.352e-9, 1.906, 0.6458],
  ['MA150', 4.352e-9, 1.906, 0.6458],
  ['1N4001', 14.11e-9, 1.984, 0.03389],
  ['BAT54', 0.1e-6, 1, 2.2],
  ['1N34A second card', 0.2e-6, 1.3, 7],
];

interface FittedCard {
  readonly saturationCurrentA: number;
  readonly emissionCoefficient: number;
  readonly seriesOhms: number;
  readonly leakageS: number;
  readonly forwardV: readonly number[];
  readonly reverseA: number;
}

/** tests/reference/fit_diodes.py: least squares of SciPy, and the voltages of the rounded cards by Brent's method. */
const FITTED = JSON.parse(
  readFileSync(new URL('../reference/vectors/diode-cards.json', import.meta.url), 'utf8'),
) as {
  readonly currentsA: readonly number[];
  readonly reverseV: number;
  readonly cards: Readonly<Record<string, FittedCard>>;
};

/** A type's junction: for the channel of a MOSFET that from drain to source. 1N5818 and 1N5819 share the 1N5817's. */
function junctionOf(name: string): DiodeData {
  const channel = /^(.*) channel$/.exec(name);
  return channel ? findDiode(`${channel[1]} gate to drain`).reverse!.data : findDiode(name).data;
}

describe('diode data', () => {
  it.each(USED_CARDS)('of %s is the published card', (type, saturation, emission, series) => {
    const { data } = findDiode(type);
    expect([data.saturationCurrentA, data.emissionCoefficient, data.seriesOhms]).toEqual([
      saturation,
      emission,
      series,
    ]);
  });

  it.each(Object.entries(FITTED.cards))('of %s is the fit to its points, by SciPy', (name, card) => {
    const { saturationCurrentA, emissionCoefficient, seriesOhms, leakageS } = card;
    const data = junctionOf(name);
    expect(data.emissionCoefficient).toBe(emissionCoefficient);
    expect(data.saturationCurrentA / saturationCurrentA).toBeCloseTo(1, 12);
    expect(Math.abs(data.seriesOhms - seriesOhms)).toBeLessThan(1e-3 * seriesOhms + 1e-9);
    expect((data.leakageS ?? 0) - leakageS).toBeCloseTo(0, 12);
    for (const [index, amps] of FITTED.currentsA.entries()) {
      const volts = forwardVoltage(data, amps, NOMINAL_TEMPERATURE_K);
      expect(Math.abs(volts - card.forwardV[index]!), `${amps} A`).toBeLessThan(1e-9);
    }
    expect(reverseCurrent(data, FITTED.reverseV, NOMINAL_TEMPERATURE_K) / card.reverseA).toBeCloseTo(1, 9);
  });

  it.each([
    ['1N4148', 0.7048e-12], // NXP card
    ['1N4001', 25.89e-12], // published card
    ['1N4007', 20e-12], // from memory
    ['1N34A', 0.8e-12], // published card
    ['AA112', 1.2e-12], // published card
    ['OA91', 1.326e-12], // published card
    ['1N5817', 190e-12], // onsemi card
    ['1N5819', 110e-12], // onsemi card
    ['BAT46', 10e-12], // ST BAT46 series, table 4
    ['BAT48', 20e-12], // ST BAT47/BAT48
    ['BAT54', 12e-12], // published card
    ['BZX79C3V3', 300e-12], // two thirds of the sheet's 450 pF, an estimate
  ])('of %s has the zero-bias capacitance of its source', (type, farads) => {
    expect(findDiode(type).data.zeroBiasCapacitanceF).toBeCloseTo(farads, 15);
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
    ['LED-green', 20e-3, 0, 3], // Vishay VLMV3100
    ['LED-yellow', 20e-3, 0, 3], // same
    ['1N4448', 5e-3, 0.62, 0.72], // NXP 2004-08-10; Fairchild 2002 rev B
    ['1N4448', 0.1, 0, 1], // same two
    ['BAT41', 1e-3, 0, 0.45], // ST Doc ID 12633 rev 2
    ['BAT41', 0.2, 0, 1], // same
    ['MA150', 0.1, 0, 1.2], // class, from memory
    ['BAT85', 10e-3, 0, 0.4], // Philips BAT85, 1996
    ['1N270', 0.2, 0, 1], // JEDEC-era sheet, from memory
    ['BAT43', 2e-3, 0.26, 0.33], // ST BAT42/BAT43, Oct 2001
    ['BAT48', 0.1e-3, 0, 0.25], // ST BAT47/BAT48, Aug 1999
    ['BAT85', 0.1e-3, 0, 0.24], // Philips BAT85, 1996
    ['1N5711', 1e-3, 0, 0.41], // ST BAR28, Nov 1994
    ['1N5819', 1, 0, 0.6], // 1N5817 to 1N5819 sheet A06
    ['SD101C', 1e-3, 0, 0.39], // Vishay 85629
    ['1S1588', 0.1, 0, 1.3], // sheet as quoted by maicommon.ciao.jp
    ['NTE109', 0.2, 0, 1], // NTE109 sheet
    ['D20', 20e-3, 0, 1], // elektrouzel.ru
    ['OA81', 30e-3, 0, 3.3], // sheet as quoted by Richi's Lab
  ])('of %s at %d A lies between %d and %d V', (type, currentA, least, most) => {
    expect(at(type, currentA)).toBeGreaterThanOrEqual(least);
    expect(at(type, currentA)).toBeLessThanOrEqual(most);
  });

  it.each([
    // dvhx, measured diode curves: one piece of each, V at 10 uA, 0.1, 1 and 10 mA (from 0.1 mA on for LEDs, and as read).
    ['1N34A', [0.155, 0.215, 0.291, 0.492]],
    ['1N4148', [0.387, 0.501, 0.618, 0.758]],
    ['1N914B', [0.388, 0.488, 0.595, 0.731]],
    ['1N60P', [0.163, 0.219, 0.28, 0.373]],
    ['LED-red', [1.565, 1.69, 1.8, 1.94]],
    ['LED-green', [1.69, 1.8, 1.89, 1.99]],
    ['LED-blue', [2.41, 2.49, 2.595, 2.9]],
    ['LED-white', [2.44, 2.52, 2.62, 2.87]],
  ])('of %s is within 5 %% of a measured piece at every current', (type, volts) => {
    for (const [index, amps] of [10e-6, 0.1e-3, 1e-3, 10e-3].entries())
      expect(Math.abs(at(type, amps) / volts[index]! - 1), `${amps} A`).toBeLessThan(0.05);
  });

  it.each(['1N34A', 'OA91', 'AA112', '1N270', 'OA90', 'OA95', 'D18'])(
    'of germanium %s leaks one to three microamperes at 1.5 V, not the twenty of a published card',
    (type) => {
      // An estimate from memory of sheets: a third of a microampere to ten.
      const amps = reverseCurrent(findDiode(type).data, 1.5, NOMINAL_TEMPERATURE_K);
      expect(amps).toBeGreaterThan(0.3e-6);
      expect(amps).toBeLessThan(5e-6);
    },
  );

  it('stays within the hundred e-folds of the solver’s exponential up to 20 mA, also at -10 °C', () => {
    // Above them the exponential continues as its tangent, and a diode would drop volts too much.
    for (const { type, data, reverse } of DIODES) {
      for (const junction of [data, ...(reverse ? [reverse.data] : [])]) {
        const { saturationCurrentA } = diodeDataAt(junction, 263.15);
        expect(Math.log(20e-3 / saturationCurrentA), type).toBeLessThan(100);
      }
    }
  });

  it('is one curve for small switching diodes, so that no difference is only that of cards', () => {
    const types = ['1N4148', '1N914', '1N914B', '1N4448', 'MA150', '1S1588', '1S2473', '1S2076A', 'BAW62'];
    for (const type of types) expect(at(type, 0.1e-3), type).toBe(at('1N4148', 0.1e-3));
  });

  it('agrees with single measured parts within their usual spread', () => {
    // Troubleshooting handbook, fig. 5.15 (secondary): 1N34 0.233 V, 1N914 0.638 V on a diode range, about
    // 1 mA. One part of each: 60 mV, about a factor of three in saturation current, is within the spread.
    expect(Math.abs(at('1N34A', 1e-3) - 0.233)).toBeLessThan(0.06);
    expect(Math.abs(at('1N914', 1e-3) - 0.638)).toBeLessThan(0.06);
  });

  it('meets every limit of its datasheets except the listed misses, and every listed miss exists', () => {
    for (const entry of DIODES) {
      const { points } = typeTable().find(({ type }) => type === entry.type)!;
      const missed = points.filter(({ isMet }) => !isMet);
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

describe('light-emitting diodes', () => {
  it('rise by 80 to 120 mV a decade at small currents, not by the 222 mV of the published red card', () => {
    // The measured pieces of dvhx, 10 uA to 0.1 mA.
    for (const { family, type } of DIODES) {
      if (family !== 'LED') continue;
      expect(at(type, 0.1e-3) - at(type, 10e-6), type).toBeGreaterThan(0.07);
      expect(at(type, 0.1e-3) - at(type, 10e-6), type).toBeLessThan(0.14);
    }
  });

  it('pass through the typical voltages of sheets within 15 %', () => {
    const typical = [
      ['LED-red', 2e-3, 1.8], // HP 5964-9371
      ['LED-red', 2e-3, 1.9], // Vishay 83030 rev 1.9
      ['LED-red', 20e-3, 2], // Vishay 83012 rev 2.3
      ['LED-green', 2e-3, 1.8], // HP 5964-9371
      ['LED-green', 20e-3, 2.2], // Vishay VLMV3100
      ['LED-yellow', 2e-3, 1.9], // HP 5964-9371
      ['LED-blue', 20e-3, 3.2], // WW05A3SBQ4-N
      ['LED-infrared', 20e-3, 1.2], // from memory
    ] as const;
    for (const [type, amps, volts] of typical)
      expect(Math.abs(at(type, amps) / volts - 1), type).toBeLessThan(0.15);
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
