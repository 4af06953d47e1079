import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { DeviceKind } from '../../engine/devices/devices.ts';
import { derivative, type Formula, input, number } from '../../engine/devices/formula.ts';
import { limitedJunctionStep } from '../../engine/devices/junction.ts';
import {
  COMMON_MODE_SHIFT,
  LEAST_LIMITED_V,
  OPAMP_CLAMP_V,
  OPAMP_KNEE_V,
  OPAMP_PARAMETERS,
  OPAMP_REVERSAL,
  opampActiveRange,
  opampLimitedStep,
  opampRate,
  opampStep,
} from '../../engine/devices/opamp-equations.ts';
import { thermalVoltage } from '../../engine/devices/physics.ts';
import { FormulaTape } from '../../engine/solver/formula-tape.ts';
import { PortDevice } from '../../engine/solver/port-device.ts';

const VT = thermalVoltage(300.15);

/** Central difference; its error is the third derivative times h²/6, and rounding divided by h. */
function slope(f: (x: number) => number, x: number, h: number): number {
  return (f(x + h) - f(x - h)) / (2 * h);
}
/** Two numbers are equal within a fraction of the larger one, plus a floor. */
function expectNear(actual: number, expected: number, share: number, floor: number, name = ''): void {
  expect(Math.abs(actual - expected), `${name}: ${actual} for ${expected}`).toBeLessThanOrEqual(
    share * Math.max(Math.abs(actual), Math.abs(expected)) + floor,
  );
}

/** The currents of a device's ports, then row by row their derivatives, at the given port voltages. */
function evaluated(kind: DeviceKind, parameters: Float64Array, ...volts: readonly number[]): number[] {
  const device = PortDevice.of(kind);
  device.volts.set(volts);
  device.evaluate(parameters, 0);
  return [...device.currents, ...device.slopes];
}

/** Formulas evaluated at values of their inputs. */
function valuesOf(
  formulas: readonly Formula[],
  parameters: Float64Array,
  inputs: Readonly<Record<string, number>>,
): number[] {
  const tape = new FormulaTape(formulas, Object.keys(inputs), OPAMP_PARAMETERS);
  tape.inputs.set(Object.values(inputs));
  tape.run(parameters, 0);
  return [...tape.outputs];
}

describe('a junction', () => {
  const parameters = Float64Array.of(2.52e-9, 1.752 * VT, 0, 4e-12, 1e-12);
  let own = 0;
  const current = (volts: number) => {
    const [amps, siemens] = evaluated('diode', parameters, volts);
    own = siemens!;
    return amps!;
  };

  it('has the currents of the 1N4148 card', () => {
    // onsemi model card: .4799, .5847 and .6942 V at 0.1, 1 and 10 mA, .568 Ω in series.
    for (const [amps, volts] of [
      [1e-4, 0.4799],
      [1e-3, 0.5847],
      [1e-2, 0.6942],
    ] as const) {
      // Rounded to 0.1 mV: half of that is 0.11 % of current.
      expectNear(current(volts - 0.568 * amps), amps, 1.2e-3, 0);
    }
  });

  it('passes its saturation current and 1 pS in reverse direction', () => {
    // SPICE keeps GMIN = 1e-12 S across every junction. L. W. Nagel, UCB/ERL M520 (1975), from memory.
    for (const volts of [-5, -10, -100]) {
      expectNear(current(volts), -2.52e-9 + 1e-12 * volts, 1e-9, 0, `${volts} V`);
    }
  });

  it('passes beside its junction what leaks, I_S·(exp(v/nV_T) − 1) + G·v', () => {
    const leaky = Float64Array.of(25.7e-9, 1.0026 * VT, 0, 0, 1e-12 + 0.65e-6);
    for (const volts of [-1.5, -0.1, 0, 0.1, 0.2]) {
      const [amps, siemens] = evaluated('diode', leaky, volts);
      const growth = Math.exp(volts / (1.0026 * VT));
      expectNear(amps!, 25.7e-9 * (growth - 1) + (0.65e-6 + 1e-12) * volts, 1e-12, 1e-20, `${volts} V`);
      expectNear(siemens!, (25.7e-9 * growth) / (1.0026 * VT) + 0.65e-6 + 1e-12, 1e-12, 0, `${volts} V`);
    }
  });

  it('takes a step of Newton’s method no further than Nagel’s limit', () => {
    const [saturationA, emissionV] = [2.52e-9, 1.752 * VT];
    const criticalV = emissionV * Math.log(emissionV / (Math.SQRT2 * saturationA));
    // L. W. Nagel, UCB/ERL M520 (1975), as in pnjlim of SPICE3, from memory; only for steps up.
    const limited = (before: number, after: number) => {
      if (after <= criticalV || after - before <= 2 * emissionV) return after;
      return before > 0
        ? before + emissionV * Math.log(1 + (after - before) / emissionV)
        : emissionV * Math.log(after / emissionV);
    };
    for (const polarity of [1, -1] as const) {
      const step = limitedJunctionStep(
        input('v'),
        input('step'),
        number(saturationA),
        number(emissionV),
        polarity,
      );
      for (const before of [-9, -0.1, 0.2, 0.6, 0.75]) {
        for (const change of [-5, -0.1, 0.05, 0.3, 2, 20]) {
          const inputs = { v: polarity * before, step: polarity * change };
          const [taken] = valuesOf([step], new Float64Array(OPAMP_PARAMETERS.length), inputs);
          const expected = limited(before, before + change) - before;
          expectNear(polarity * taken!, expected, 1e-12, 1e-13, `${change} V from ${before} V`);
        }
      }
    }
  });

  it('has the derivative of its current', () => {
    for (const volts of [-5, -0.1, 0, 0.2, 0.5, 0.9, 2, 4]) {
      current(volts);
      const siemens = own;
      // h³ terms: (h/nVT)²/6 of the slope, 8e-9 at 1e-5 V.
      expectNear(siemens, slope(current, volts, 1e-5), 2e-7, 1e-18, `${volts} V`);
    }
  });

  it('continues as its tangent above a hundred thermal voltages', () => {
    const limitV = 100 * 1.752 * VT;
    const below = current(limitV * (1 - 1e-12));
    const slopeBelow = own;
    const above = current(limitV * (1 + 1e-12));
    expectNear(above, below, 1e-9, 0);
    expectNear(own, slopeBelow, 1e-9, 0);
    expectNear(current(2 * limitV) - current(limitV), slopeBelow * limitV, 1e-9, 0);
    expect(Number.isFinite(current(1e6))).toBe(true);
  });
});

describe('a bipolar transistor', () => {
  const [saturationA, forwardBeta, reverseBeta, earlyV] = [5.911e-15, 1122, 1.271, 62.37];
  const [leakA, leakEmission] = [7.546e-6, 1.364];
  const parameters = Float64Array.of(saturationA, forwardBeta, reverseBeta, earlyV, VT, 0, 1e-9);
  const leaky = Float64Array.of(saturationA, forwardBeta, reverseBeta, earlyV, VT, leakA, leakEmission * VT);
  const at = (polarity: number, vBE: number, vBC: number, entry: number) =>
    evaluated(polarity > 0 ? 'npn' : 'pnp', parameters, vBE, vBC)[entry]!;
  const points = [
    [0.65, -4],
    [0.65, 0.5],
    [-0.5, 0.6],
    [-1, -5],
    [0.7, 0.68],
  ] as const;

  it.each(points)('obeys the Ebers-Moll equations at %d and %d V', (vBE, vBC) => {
    const iF = saturationA * Math.expm1(vBE / VT);
    const iR = saturationA * Math.expm1(vBC / VT);
    const collectorA = (iF - iR) * (1 - vBC / earlyV) - iR / reverseBeta;
    const baseA = iF / forwardBeta + iR / reverseBeta;
    // exp − 1 against expm1: 1e-16 of I_S.
    expectNear(-at(1, vBE, vBC, 1), collectorA, 1e-12, 1e-30);
    expectNear(at(1, vBE, vBC, 0) + at(1, vBE, vBC, 1), baseA, 1e-10, 1e-30);
  });

  it.each([-9, -0.4, 0, 0.12])(
    'has a leak I_L·(exp(v/(n·V_T)) − 1) from base to collector at %d V',
    (vBC) => {
      for (const sign of [1, -1] as const) {
        const kind = sign > 0 ? 'npn' : 'pnp';
        const without = evaluated(kind, parameters, sign * 0.1, sign * vBC);
        const withLeak = evaluated(kind, leaky, sign * 0.1, sign * vBC);
        const expectedA = leakA * Math.expm1(vBC / (leakEmission * VT));
        expectNear(sign * (withLeak[1]! - without[1]!), expectedA, 1e-9, 1e-19);
        expectNear(withLeak[5]! - without[5]!, (expectedA + leakA) / (leakEmission * VT), 1e-9, 1e-17);
        // All else is as it was.
        for (const entry of [0, 2, 3, 4]) expect(withLeak[entry]).toBe(without[entry]);
      }
    },
  );

  it.each(points)('has the derivatives of its currents at %d and %d V, NPN and PNP', (vBE, vBC) => {
    for (const polarity of [1, -1]) {
      const [be, bc] = [polarity * vBE, polarity * vBC];
      for (const port of [0, 1]) {
        const byBE = slope((v) => at(polarity, v, bc, port), be, 1e-6);
        const byBC = slope((v) => at(polarity, be, v, port), bc, 1e-6);
        // (h/VT)²/6 is 2.5e-10; rounding of currents up to 10 mA over 1e-6 V leaves 1e-12 S.
        expectNear(at(polarity, be, bc, 2 + 2 * port), byBE, 1e-6, 2e-12, `port ${port} by BE`);
        expectNear(at(polarity, be, bc, 3 + 2 * port), byBC, 1e-6, 2e-12, `port ${port} by BC`);
      }
    }
  });

  it('is as a PNP the NPN with opposite signs', () => {
    for (const [vBE, vBC] of points) {
      for (const entry of [0, 1]) expect(at(-1, -vBE, -vBC, entry)).toBe(-at(1, vBE, vBC, entry));
      for (const entry of [2, 3, 4, 5]) expect(at(-1, -vBE, -vBC, entry)).toBe(at(1, vBE, vBC, entry));
    }
  });
});

describe('a field-effect transistor', () => {
  const [beta, lambda, gateA] = [1.125e-3, 0.02, 1e-14];
  const parametersOf = (thresholdV: number, gateSaturationA: number) =>
    Float64Array.of(beta, thresholdV, lambda, gateSaturationA, VT);
  const jfet = parametersOf(-1.372, gateA);
  const mosfet = parametersOf(1.6, 0);
  const at = (parameters: Float64Array, vGS: number, vDS: number, entry: number) =>
    evaluated(parameters === jfet ? 'nJfet' : 'nMosfet', parameters, vGS, vDS)[entry]!;

  it('conducts β·(1 + λ·v_DS)·u² when saturated and β·(1 + λ·v_DS)·v_DS·(2u − v_DS) below', () => {
    expectNear(at(mosfet, 3, 9, 1), beta * (1 + lambda * 9) * 1.4 ** 2, 1e-12, 0);
    expectNear(at(mosfet, 3, 0.5, 1), beta * (1 + lambda * 0.5) * 0.5 * (2 * 1.4 - 0.5), 1e-12, 0);
    expect(at(mosfet, 1.5, 9, 1)).toBe(0);
    // A JFET at v_GS = 0: β·Vto², 2.118 mA for the 2N5457 (published model card), lengthened by λ·10 V.
    expectNear(at(jfet, 0, 10, 1), 2.118e-3 * 1.2, 1e-3, 0);
  });

  it('is the same with drain and source exchanged', () => {
    for (const parameters of [jfet, mosfet])
      for (const [vGS, vDS] of [
        [0.2, -3],
        [2.5, -0.4],
        [-1, -1],
        [3, -6],
      ] as const) {
        const vGD = vGS - vDS;
        const channel = at(parameters, vGD, -vDS, 1);
        // The other end carries the opposite current, plus the gate's current.
        expectNear(at(parameters, vGS, vDS, 1), -channel - at(parameters, vGD, -vDS, 0), 1e-12, 1e-25);
        expectNear(at(parameters, vGS, vDS, 0), at(parameters, vGD, -vDS, 0), 1e-12, 1e-25);
      }
  });

  it.each([
    ['JFET', jfet],
    ['MOSFET', mosfet],
  ])('has the slopes of its currents: %s', (_, parameters) => {
    for (const vGS of [-2, -0.7, 0.3, 0.65, 2.2, 4])
      for (const vDS of [-5, -0.9, -0.1, 0.1, 1.1, 8]) {
        if (parameters === jfet && Math.max(vGS, vGS - vDS) > 0.8) continue;
        for (const port of [0, 1]) {
          const name = `${vGS} V, ${vDS} V, port ${port}`;
          const byGate = slope((v) => at(parameters, v, vDS, port), vGS, 1e-6);
          const byDrain = slope((v) => at(parameters, vGS, v, port), vDS, 1e-6);
          expectNear(at(parameters, vGS, vDS, 2 + 2 * port), byGate, 1e-5, 1e-10, name);
          expectNear(at(parameters, vGS, vDS, 3 + 2 * port), byDrain, 1e-5, 1e-10, name);
        }
      }
  });

  it('is as a P-channel the N-channel with opposite signs', () => {
    for (const [vGS, vDS] of [
      [0.2, 3],
      [-1, 0.2],
      [0.6, -2],
      [-3, 5],
    ] as const) {
      const upright = evaluated('nJfet', jfet, vGS, vDS);
      const mirrored = evaluated('pJfet', jfet, -vGS, -vDS);
      const [currents, slopes] = [mirrored.slice(0, 2), mirrored.slice(2)];
      // The sign of a zero does not matter.
      expect(currents.map((amps) => 0 - amps)).toEqual(upright.slice(0, 2));
      expect(slopes.map((siemens) => siemens + 0)).toEqual(upright.slice(2).map((siemens) => siemens + 0));
    }
  });

  it('has no step between its regions', () => {
    for (const [vGS, vDS] of [
      [3, 1.4],
      [3, 0],
      [1.6, 5],
    ] as const)
      for (const entry of [1, 4, 5])
        expectNear(at(mosfet, vGS, vDS - 1e-9, entry), at(mosfet, vGS, vDS + 1e-9, entry), 1e-6, 1e-10);
  });
});

describe('an op-amp', () => {
  const [w, slew, gain] = [2 * Math.PI * 3e6, 1.7e6, 1e5];
  const parameters = Float64Array.of(w, slew, gain, 1, 1, 0, 0, 0, 0, 1);
  const [vdIn, xIn, highIn, lowIn] = ['vd', 'x', 'high', 'low'].map(input) as [
    Formula,
    Formula,
    Formula,
    Formula,
  ];
  const own = opampRate(vdIn, xIn, highIn, lowIn);
  const rates = [own, ...[vdIn, xIn, highIn, lowIn].map((by) => derivative(own, by))];
  const rateTape = new FormulaTape(rates, ['vd', 'x', 'high', 'low'], OPAMP_PARAMETERS);
  const rate = (vd: number, x: number, high: number, low: number, entry = 0) => {
    rateTape.inputs.set([vd, x, high, low]);
    rateTape.run(parameters, 0);
    return rateTape.outputs[entry]!;
  };
  const stepped = opampStep(vdIn, input('history'), highIn, lowIn);
  const stepTape = new FormulaTape(
    [stepped, derivative(stepped, vdIn)],
    ['vd', 'stepRate', 'history', 'high', 'low'],
    OPAMP_PARAMETERS,
  );
  const step = (vd: number, k: number, history: number, high: number, low: number, entry = 0) => {
    stepTape.inputs.set([vd, k, history, high, low]);
    stepTape.run(parameters, 0);
    return stepTape.outputs[entry]!;
  };
  /** As OpampData states it. */
  function stated(vd: number, x: number, high: number, low: number): number {
    const q = (e: number) =>
      e <= 0 ? 0 : e <= OPAMP_KNEE_V ? e ** 2 / (2 * OPAMP_KNEE_V) : e - OPAMP_KNEE_V / 2;
    const s = (u: number) => u / Math.hypot(1, u);
    const limit = (slew / OPAMP_CLAMP_V) * (q(x - high) - q(low - x));
    return slew * s((w * vd) / slew) - (w / gain) * (x - (high + low) / 2) - limit;
  }
  const states = fc.record({
    vd: fc.oneof(
      fc.double({ min: -0.3, max: 0.3, noNaN: true }),
      fc.double({ min: -5, max: 5, noNaN: true }),
    ),
    x: fc.double({ min: -1, max: 10, noNaN: true }),
    high: fc.double({ min: 5, max: 9, noNaN: true }),
    low: fc.double({ min: 0, max: 3, noNaN: true }),
  });

  it('moves as OpampData states, with the right derivatives', () => {
    fc.assert(
      fc.property(states, ({ vd, x, high, low }) => {
        expectNear(rate(vd, x, high, low), stated(vd, x, high, low), 1e-12, 1e-6);
        const slopes = [
          slope((v) => stated(v, x, high, low), vd, 1e-6),
          slope((v) => stated(vd, v, high, low), x, 1e-6),
          slope((v) => stated(vd, x, v, low), high, 1e-6),
          slope((v) => stated(vd, x, high, v), low, 1e-6),
        ];
        // A knee's derivative changes by S/(0.1 V·k) over h; a ten-millionth of w·vd/S is lost by h².
        slopes.forEach((expected, k) => {
          expectNear(rate(vd, x, high, low, k + 1), expected, 1e-4, 400, `slope ${k}`);
        });
      }),
      { seed: 1, numRuns: 300 },
    );
  });

  it('takes the implicit step that its rate of change needs', () => {
    fc.assert(
      fc.property(states, fc.integer({ min: 48, max: 3072 }), ({ vd, x: before, high, low }, kHz) => {
        const k = 1.5e3 * kHz;
        const history = k * before;
        const x = step(vd, k, history, high, low);
        // k·x − history = dx/dt; rounding of k·x, some 1e7 V/s and its cancellation.
        expectNear(k * x - history, rate(vd, x, high, low), 1e-9, 1e-4);
        const numeric = slope((v) => step(v, k, history, high, low), vd, 1e-7);
        expectNear(step(vd, k, history, high, low, 1), numeric, 1e-4, 1e-3);
        expect(step(vd, k, history, high, low, 1)).toBeGreaterThan(0);
      }),
      { seed: 2, numRuns: 500 },
    );
  });

  it('ends a step of Newton’s method where it enters the active range, unless it starts close to it', () => {
    const [history, high, low] = [1.5 * 384e3 * 4, 8, 1];
    const inputs = { stepRate: 1.5 * 384e3, history, high, low };
    const range = opampActiveRange(input('history'), highIn, lowIn);
    const [lower, upper] = valuesOf([range.lower, range.upper], parameters, inputs) as [number, number];
    expect(lower).toBeLessThan(upper);
    const taken = opampLimitedStep(vdIn, input('step'), input('history'), highIn, lowIn);
    const near = LEAST_LIMITED_V / 2;
    for (const [vd, change, expected] of [
      // Into the range from either side, and across it.
      [upper + 1, -1 - (upper - lower) / 2, -1],
      [upper + 1, -3, -1],
      [lower - 1, 1 + (upper - lower) / 2, 1],
      [lower - 1, 3, 1],
      // Not as far as the range, and away from it.
      [upper + 1, -0.5, -0.5],
      [upper + 1, 2, 2],
      [lower - 1, 0.5, 0.5],
      [lower - 1, -2, -2],
      // From inside, and from very near its ends.
      [(lower + upper) / 2, 3, 3],
      [(lower + upper) / 2, -3, -3],
      [upper + near, -3, -3],
      [upper - near, -3, -3],
      [lower - near, 3, 3],
      [lower + near, 3, 3],
    ] as const) {
      const [step] = valuesOf([taken], parameters, { ...inputs, vd, step: change });
      expectNear(step!, expected, 1e-12, 1e-12, `${change} V from ${vd} V`);
    }
  });

  it('is nearly linear only between the ends of its active range', () => {
    fc.assert(
      fc.property(states, ({ x: before, high, low }) => {
        const k = 1.5 * 384e3;
        const range = opampActiveRange(input('history'), highIn, lowIn);
        const [lower, upper] = valuesOf([range.lower, range.upper], parameters, {
          stepRate: k,
          history: k * before,
          high,
          low,
        }) as [number, number];
        // Where the input stage does not slew, |u| < 1, the range is where the step ends between the limits.
        for (let n = -20; n <= 20; n++) {
          const vd = ((0.999 * n) / 20) * (slew / w);
          if (Math.min(Math.abs(vd - lower), Math.abs(vd - upper)) < 1e-12) continue;
          const x = step(vd, k, k * before, high, low);
          expect(vd > lower && vd < upper, `u = ${n / 20}`).toBe(x > low && x < high);
        }
        if (lower > upper) return;
        for (const [vd, limit] of [
          [lower, low],
          [upper, high],
        ] as const) {
          const u = Math.abs((w * vd) / slew);
          const excess = Math.abs(step(vd, k, k * before, high, low) - limit);
          // There, either the output is at its limit or the input stage is at its edge, |u| = 1.
          expect(Math.min(Math.abs(u - 1), excess)).toBeLessThan(1e-6);
          expect(u).toBeLessThan(1 + 1e-9);
        }
      }),
      { seed: 3, numRuns: 300 },
    );
  });

  it.each([
    ['keeps its sign', 1],
    ['turns round', OPAMP_REVERSAL],
  ])('that %s beyond its input range gives what OpampData states, with the right derivatives', (_, turn) => {
    const [high, low] = [1.5, 2];
    const ranged = Float64Array.of(w, slew, gain, 1, 1, 0, 0, high, low, turn);
    const pins = ['plus', 'positive', 'negative'];
    const slopes = pins.map((pin) => derivative(COMMON_MODE_SHIFT, input(pin)));
    const tape = new FormulaTape([COMMON_MODE_SHIFT, ...slopes], pins, OPAMP_PARAMETERS);
    const shift = tape.outputs;
    /** c(v) − v = −q(v − H) + a·q(L − v), with H and L so far from the supply pins. */
    const c = (v: number, positive: number, negative: number) => {
      const q = (e: number) =>
        e <= 0 ? 0 : e <= OPAMP_KNEE_V ? e ** 2 / (2 * OPAMP_KNEE_V) : e - OPAMP_KNEE_V / 2;
      return turn * q(negative + low - v) - q(v - (positive - high));
    };
    fc.assert(
      fc.property(
        fc.double({ min: -1, max: 10, noNaN: true }),
        fc.double({ min: 5, max: 9, noNaN: true }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        (v, positive, negative) => {
          tape.inputs.set([v, positive, negative]);
          tape.run(ranged, 0);
          expectNear(shift[0]!, c(v, positive, negative), 1e-12, 1e-11);
          // A knee's derivative changes by a/k over h.
          const h = 1e-6;
          const bound = (2 * turn * h) / OPAMP_KNEE_V;
          expectNear(
            shift[1]!,
            slope((x) => c(x, positive, negative), v, h),
            1e-6,
            bound,
            'plus',
          );
          expectNear(
            shift[2]!,
            slope((x) => c(v, x, negative), positive, h),
            1e-6,
            bound,
            'positive',
          );
          expectNear(
            shift[3]!,
            slope((x) => c(v, positive, x), negative, h),
            1e-6,
            bound,
            'negative',
          );
        },
      ),
      { seed: 4, numRuns: 500 },
    );
  });
});
