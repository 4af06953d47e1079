import { describe, expect, it } from 'vitest';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import {
  forwardPoints,
  GUIDE_OHMS,
  jfetFigures,
  pointDoubts,
  reversePoint,
  transistorFigures,
} from '../../engine/parts/battery-measurement.ts';
import { fitDiode } from '../../engine/parts/diode-fit.ts';
import { DIODE_FOOTPRINTS } from '../../engine/parts/diode-footprints.ts';
import { fitRanges, leftOpen } from '../../engine/parts/fit-range.ts';
import { nearestDiodeType } from '../../engine/parts/nearest-type.ts';
import { bjtEntry, diodeEntry, fetEntry } from '../../engine/parts/part-types.ts';
import { type DiodePiece, type Piece, readMeasured } from '../../engine/parts/piece.ts';
import { fitMisses, fitPiece, worstMissV } from '../../engine/parts/piece-fit.ts';
import { blockedCollectorA } from '../../engine/parts/type-figure.ts';

/** kT/q at 27 °C, V: constants of the SI. */
const THERMAL_V = (1.380649e-23 * 300.15) / 1.602176634e-19;

interface Card {
  readonly is: number;
  readonly n: number;
  readonly rs: number;
}
/** Shockley with series resistance, V. */
const cardVolts = ({ is, n, rs }: Card, amps: number, thermalV = THERMAL_V) =>
  n * thermalV * Math.log1p(amps / is) + rs * amps;

/** What falls, so that a root is found by halving. */
function rootOf(falling: (x: number) => number, low: number, high: number): number {
  let [from, to] = [low, high];
  for (let step = 0; step < 200; step++) {
    const middle = (from + to) / 2;
    if (falling(middle) > 0) from = middle;
    else to = middle;
  }
  return (from + to) / 2;
}

/** Volts on a meter across a diode that a battery feeds through a resistor: (V_S − V)/R = I + V/R_m, solved for I. */
function shownVolts(card: Card, ohms: number, supplyV: number, meterOhms: number, thermalV = THERMAL_V) {
  const amps = rootOf(
    (current) => {
      const volts = cardVolts(card, current, thermalV);
      return (supplyV - volts) / ohms - volts / meterOhms - current;
    },
    1e-12,
    1,
  );
  return cardVolts(card, amps, thermalV);
}

/** Published model cards, of 1N34A, D18, BAT46WJ, red LED. */
const CARDS: readonly (readonly [string, string, Card])[] = [
  ['1N34A', '1N34A', { is: 2.6e-6, n: 1.6, rs: 6.5 }],
  ['D18', 'D18', { is: 4e-6, n: 2.15, rs: 17 }],
  ['BAT46WJ', 'BAT46', { is: 0.1703e-6, n: 1.06, rs: 1.3 }],
  ['GaAlAs red', 'LED-red', { is: 6.97e-15, n: 2.35, rs: 1.3772 }],
];

const pieceOf = (like: string, forward: DiodePiece['forward'], more: Partial<DiodePiece> = {}) =>
  fitPiece({ name: 'D', kind: 'diode', like, forward, ...more }) as DiodePiece;

describe('readings of a diode behind 820k, 82k and 8k2', () => {
  it.each(CARDS)('give back the published card of a %s, with the meter that loads it', (_, like, card) => {
    for (const meterOhms of [1e6, 10e6]) {
      const meter = { supplyV: 9.34, inputOhms: meterOhms };
      const readings = GUIDE_OHMS.map((ohms) => ({ ohms, volts: shownVolts(card, ohms, 9.34, meterOhms) }));
      const points = forwardPoints(meter, readings);
      for (const { currentA, voltageV } of points) expect(cardVolts(card, currentA)).toBeCloseTo(voltageV, 4);
      // The cards have no leak beside the junction.
      const reverse = { currentA: card.is, voltageV: 5 };
      const { fit } = pieceOf(like, points, { reverse });
      expect(fit.emissionCoefficient / card.n).toBeCloseTo(1, 2);
      expect(Math.abs(fit.seriesOhms - card.rs)).toBeLessThan(0.3);
      expect(Math.log(fit.saturationCurrentA / card.is)).toBeCloseTo(0, 1);
    }
  });

  it.each(CARDS)(
    'of a %s, rounded to millivolts, give its curve within two digits of the meter',
    (_, like, card) => {
      const meter = { supplyV: 9.34, inputOhms: 10e6 };
      const readings = GUIDE_OHMS.map((ohms) => {
        return { ohms, volts: Math.round(1000 * shownVolts(card, ohms, 9.34, 10e6)) / 1000 };
      });
      const piece = pieceOf(like, forwardPoints(meter, readings), {
        reverse: { currentA: card.is, voltageV: 5 },
      });
      for (const amps of [1e-5, 3e-5, 1e-4, 3e-4, 1e-3]) {
        const { saturationCurrentA: is, emissionCoefficient: n, seriesOhms: rs } = piece.fit;
        expect(Math.abs(cardVolts({ is, n, rs }, amps) - cardVolts(card, amps))).toBeLessThan(2e-3);
      }
      // The true numbers lie within three of the stated ranges.
      const truth = { saturationCurrentA: card.is, emissionCoefficient: card.n, seriesOhms: card.rs };
      for (const { of, value, plusMinus } of fitRanges(piece))
        expect(Math.abs(value - truth[of]) / plusMinus!).toBeLessThan(3);
    },
  );

  it('would be 15 % off at 820k without the correction for a meter of 1 MΩ', () => {
    // By hand: 9 V, 1.5 V across the diode: 9.146 µA through 820k, 1.5 µA through the meter.
    const [point] = forwardPoints({ supplyV: 9, inputOhms: 1e6 }, [{ ohms: 820e3, volts: 1.5 }]);
    expect(point!.currentA).toBeCloseTo(7.646e-6, 9);
  });

  it.each([
    [0, 82e3, '0 V with 82k: the diode is shorted, or the meter is not across it.'],
    [155, 82e3, '155 V with 82k: that is more than the supply of 9 V. For millivolts write 155 mV.'],
    [8.97, 82e3, '8.97 V with 82k: nothing flows through the diode. Turn it round: it blocks, or is open.'],
    [
      0.12,
      82e3,
      '120 mV with 82k is not above 155 mV of 820k, though more current flows: are they swapped, or two digits?',
    ],
    [0.2, 820e3, 'There are two readings for 820k: give one.'],
    [0.2, 1, 'A resistor of 1 Ω cannot be measured with: use 10R to 100M, such as 82k.'],
  ])('refuse %s V at %s Ω in one line', (volts, ohms, message) => {
    const meter = { supplyV: 9, inputOhms: 10e6 };
    expect(() =>
      forwardPoints(meter, [
        { ohms: 820e3, volts: 0.155 },
        { ohms, volts },
      ]),
    ).toThrow(message);
    expect(message.length).toBeLessThan(200);
  });

  it('refuse a supply and a meter that are none', () => {
    const reading = [{ ohms: 82e3, volts: 0.3 }];
    expect(() => forwardPoints({ supplyV: 0, inputOhms: 10e6 }, reading)).toThrow('The supply is 0 V');
    expect(() => forwardPoints({ supplyV: 9, inputOhms: 10 }, reading)).toThrow(
      "The meter's input resistance is 10 Ω",
    );
  });

  it('are doubted where two digits were swapped: no junction rises less than 54 mV a decade', () => {
    const points = (middle: number) => [
      { currentA: 1e-5, voltageV: 0.155 },
      { currentA: 1e-4, voltageV: middle },
      { currentA: 1e-3, voltageV: 0.291 },
    ];
    expect(pointDoubts(points(0.215))).toEqual([]);
    expect(pointDoubts(points(0.251))).toEqual([
      'From 251 mV to 291 mV is 40 mV for 10 times the current. A diode needs about 60 mV or more: read both again.',
    ]);
  });

  it('backwards give the leak from the volts across the resistor, the meter beside it', () => {
    // 0.82 V across 820k is 1 µA, and 82 nA more through the meter.
    const point = reversePoint({ supplyV: 9, inputOhms: 10e6 }, { ohms: 820e3, volts: 0.82 });
    expect(point).toEqual({ currentA: 1.082e-6, voltageV: 8.18 });
    expect(() => reversePoint({ supplyV: 9, inputOhms: 10e6 }, { ohms: 820e3, volts: 8.7 })).toThrow(
      /nearly the supply, so the diode conducts/,
    );
  });

  it('at another temperature give the junction at 27 °C', () => {
    // The saturation current's law, written again: I_S' = I_S·(T/T0)^(X/n)·exp(E_g/(n·k)·(1/T0 − 1/T)); silicon, X = 3, 1.11 eV.
    const card = { is: 4e-9, n: 1.9, rs: 1.2 };
    const [coldK, warmK] = [290.15, 300.15];
    const gap = (1.11 / 1.9) * (1.602176634e-19 / 1.380649e-23) * (1 / warmK - 1 / coldK);
    const cold = { ...card, is: card.is * (coldK / warmK) ** (3 / 1.9) * Math.exp(gap) };
    const thermalV = (THERMAL_V * coldK) / warmK;
    const forward = [1e-5, 1e-4, 1e-3].map((currentA) => ({
      currentA,
      voltageV: cardVolts(cold, currentA, thermalV),
    }));
    const piece = pieceOf('1N4148', forward, { roomC: 17 });
    expect(piece.fit.saturationCurrentA / card.is).toBeCloseTo(1, 2);
    expect(piece.fit.emissionCoefficient).toBeCloseTo(1.9, 2);
    expect(worstMissV(fitMisses(piece))).toBeLessThan(1e-4);
    // Taken as warm, the same readings would be those of a junction that drops some 20 mV more.
    const warm = fitDiode(forward, undefined, diodeEntry('1N4148').data, NOMINAL_TEMPERATURE_K);
    expect(warm.saturationCurrentA / card.is).toBeLessThan(0.8);
  });

  it('with the diode range alone take slope and series resistance from the type, and say so', () => {
    const piece = pieceOf('OA91', [{ currentA: 1e-3, voltageV: 0.3 }]);
    const { emissionCoefficient, seriesOhms } = diodeEntry('OA91').data;
    expect(piece.fit).toMatchObject({
      emissionCoefficient: expect.closeTo(emissionCoefficient, 6),
      seriesOhms: expect.closeTo(seriesOhms, 6),
    });
    expect(worstMissV(fitMisses(piece))).toBeLessThan(1e-4);
    expect(leftOpen(piece)).toEqual([
      'One point: slope and series resistance are those of a typical OA91.',
      'No leakage was read: it is that of a typical OA91.',
    ]);
    expect(fitRanges(piece)).toEqual([]);
  });

  it('give no range to what stands at its limit, and none to what hangs on it', () => {
    // 59.5 mV a decade is an ideal junction at 27 °C, so 55 mV is below what n = 1 can do; and the curve does not bend up.
    const steep = [0.4, 0.455, 0.51].map((voltageV, index) => ({ currentA: 10 ** (index - 5), voltageV }));
    const [saturation, emission, series] = fitRanges(pieceOf('BAT46', steep));
    expect(emission).toMatchObject({ value: expect.closeTo(1, 4), plusMinus: undefined, isAtLimit: true });
    expect(saturation).toMatchObject({ plusMinus: undefined, isAtLimit: false });
    expect(series).toMatchObject({ value: expect.closeTo(0, 3), plusMinus: undefined, isAtLimit: true });
  });

  it('find the type whose sheet has them', () => {
    // Measured curves of dvhx, csv 1N4148 and LED_RED.
    const at = (...volts: readonly number[]) =>
      volts.map((voltageV, index) => ({ currentA: 10 ** (index - 5), voltageV }));
    const nearest = (...volts: readonly number[]) => nearestDiodeType({ forward: at(...volts) });
    expect(nearest(0.387, 0.501, 0.618)).toEqual({ type: '1N4148', kind: 'silicon' });
    expect(nearest(1.53, 1.68, 1.79)).toEqual({ type: 'LED-red', kind: 'LED' });
  });

  it('are like a diode with two legs, of the kind that they tell, never like a transistor', () => {
    const line = (volts: number, slopeV: number) =>
      [0, 1, 2].map((step) => ({ currentA: 10 ** (step - 5), voltageV: volts + slopeV * step }));
    for (let volts = 0.1; volts < 2.2; volts += 0.07)
      for (const slopeV of [0.06, 0.09, 0.12]) {
        const { type, kind } = nearestDiodeType({ forward: line(volts, slopeV) });
        expect(DIODE_FOOTPRINTS.get(type)?.ends, type).toBeUndefined();
        if (kind !== undefined) expect(diodeEntry(type).family).toBe(kind);
      }
    // Silicon: n of about 1.9, thus some 115 mV a decade, 0.68 V at 1 mA; by its volts alone a MOSFET's gate and drain.
    const { type, kind } = nearestDiodeType({ forward: line(0.45, 0.115) });
    expect([kind, diodeEntry(type).family]).toEqual(['silicon', 'silicon']);
  });
});

describe('readings of a transistor', () => {
  const meter = { supplyV: 9, inputOhms: 10e6 };
  const like = bjtEntry('2N3904');

  it('give gain and leakage of the two classical measurements', () => {
    const open = { volts: 0.44, ohms: 2200 };
    const figures = transistorFigures(
      meter,
      { open, fed: { volts: 1.54, ohms: 2200 }, baseOhms: 2.2e6 },
      bjtEntry('AC128'),
    );
    expect(figures.openBaseA).toBeCloseTo(0.2e-3, 6);
    expect(figures.collectorA).toBeCloseTo(0.7e-3, 6);
    // 9 V less 0.1 to 0.2 V of germanium, over 2M2: 4.0 µA.
    expect(figures.currentGain).toBeCloseTo(0.7e-3 / 4.03e-6, -1);
  });

  it.each([
    [
      { fed: { volts: 8.9, ohms: 2200 } },
      /8\.9 V with 2k2: .*the transistor is saturated\. Use a smaller collector resistor\./,
    ],
    [
      { open: { volts: 2, ohms: 2200 }, fed: { volts: 1, ohms: 2200 } },
      /the second should be larger\. Are they swapped/,
    ],
    [{ fed: { volts: 1540, ohms: 2200 } }, /For millivolts write 1540 mV/],
  ])('refuse what cannot be: %#', (readings, message) => {
    expect(() => transistorFigures(meter, { ...readings, baseOhms: 2.2e6 }, like)).toThrow(message);
  });

  it('in a cold room give the model at 27 °C that has them there', () => {
    const measured = { name: 'Q', kind: 'pnp', like: 'AC128', collectorA: 0.7e-3, currentGain: 175 } as const;
    const [cold, warm] = [17, 27].map((roomC) => fitPiece({ ...measured, openBaseA: 3e-4, roomC }));
    expect(fitMisses(cold as Piece).map(({ measured: own, fitted }) => fitted / own)).toEqual([
      expect.closeTo(1, 5),
      expect.closeTo(1, 5),
    ]);
    // Common practice: the leakage of germanium doubles each 8 to 10 K.
    const leak = (piece: unknown) => blockedCollectorA(bjtEntry(JSON.stringify(piece)).data);
    expect(leak(cold) / leak(warm)).toBeGreaterThan(1.8);
    expect(leak(cold) / leak(warm)).toBeLessThan(2.6);
  });
});

describe('readings of a JFET', () => {
  it('give threshold and gain of the square law that made them', () => {
    // I_D = β·(V_GS − V_to)², the source on 820k beside a meter of 10 MΩ, the gate at its other end.
    const [beta, thresholdV] = [1.3e-3, -0.8];
    const loadOhms = 1 / (1 / 820e3 + 1 / 10e6);
    const sourceV = rootOf((volts) => beta * (-volts - thresholdV) ** 2 - volts / loadOhms, 0, 0.8);
    const figures = jfetFigures({ supplyV: 9, inputOhms: 10e6 }, beta * thresholdV ** 2, {
      volts: sourceV,
      ohms: 820e3,
    });
    const piece = fitPiece({ name: 'J', kind: 'nJfet', like: 'J201', ...figures });
    const { lambdaPerV } = fetEntry('J201').data;
    expect(piece.fit).toMatchObject({ thresholdV: expect.closeTo(thresholdV, 3) });
    // The square law above has no lengthening, which the model takes off at 9 V.
    expect((piece.fit as { betaAPerV2: number }).betaAPerV2 * (1 + 9 * lambdaPerV)).toBeCloseTo(beta, 5);
    expect(fitMisses(piece).map(({ measured, fitted }) => fitted / measured)).toEqual([
      expect.closeTo(1, 3),
      expect.closeTo(1, 3),
    ]);
  });

  it('refuse a resistor with which too much flows for a cutoff', () => {
    const measured = {
      name: 'J',
      kind: 'nJfet',
      like: 'J201',
      zeroBiasDrainA: 6e-4,
      cutoffV: 0.4,
      cutoffA: 2e-4,
    } as const;
    expect(() => readMeasured(measured)).toThrow(
      /0\.0002 A at cutoff is not small beside the 0\.0006 A .*: use a larger resistor/,
    );
    expect(() => jfetFigures({ supplyV: 9, inputOhms: 10e6 }, 6e-4, { volts: 0, ohms: 820e3 })).toThrow(
      /nothing flows/,
    );
  });
});
