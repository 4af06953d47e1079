import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { temperatureOf } from '../../engine/cli/options.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { type DiodeData, diodeDataAt, diodeDataMoved } from '../../engine/devices/diode.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { kelvinOf, networkAtTemperature, temperatureText } from '../../engine/network/temperature.ts';
import { findBjt, findDiode, findFet } from '../../engine/parts/catalogue.ts';
import { forwardVoltage, reverseCurrent } from '../../engine/parts/diode-curve.ts';
import { diodePrimitives } from '../../engine/parts/diode-primitives.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { TEMPERATURE_GLIDE_SECONDS } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';
import { network as smallNetwork } from './small-networks.ts';

const topNetwork = (primitives: readonly Primitive[]): Network => smallNetwork(primitives, { output: 'top' });

const WARMER_K = NOMINAL_TEMPERATURE_K + 1;
const COOLER_K = NOMINAL_TEMPERATURE_K - 1;

/** The voltage at `top` with a resistor from 100 V, at a temperature; the resistor makes almost a current source. */
function topV(parts: readonly Primitive[], currentA: number, temperatureK: number): number {
  const network = topNetwork([
    { kind: 'voltageSource', ...ofPart('V1'), nodes: ['supply', GROUND], volts: 100 },
    { kind: 'resistor', ...ofPart('R1'), nodes: ['supply', 'top'], ohms: 100 / currentA },
    { kind: 'resistor', ...ofPart('R2'), nodes: ['in', GROUND], ohms: 1e6 },
    ...parts,
  ]);
  return operatingPoint(networkAtTemperature(network, temperatureK)).volts.get('top')!;
}

/** mV/K at 27 °C, by central difference over 2 K: the error is the third derivative's, below a microvolt. */
const slopeMvPerK = (parts: readonly Primitive[], currentA: number): number =>
  (1e3 * (topV(parts, currentA, WARMER_K) - topV(parts, currentA, COOLER_K))) / (WARMER_K - COOLER_K);

const diodeSlope = (type: string, currentA: number): number =>
  slopeMvPerK(diodePrimitives(findDiode(type), ofPart('D1'), 1, ['top', GROUND]), currentA);

describe('a junction at another temperature', () => {
  it.each(['1N4148', '1N914B', '1N4001', '1N4448'])(
    'falls by about 2 mV/K at 1 mA, for any emission coefficient of its card: %s',
    (type) => {
      // Silicon falls by 1.8 to 2.2 mV/K at milliamperes: common knowledge of the trade, from memory of textbooks.
      expect(diodeSlope(type, 1e-3)).toBeGreaterThan(-2.2);
      expect(diodeSlope(type, 1e-3)).toBeLessThan(-1.75);
    },
  );

  it.each([
    // (V − (E_g + X·V_T)·I/(I + I_S))/T: the closed form at constant current, textbooks' (V − E_g − 3·V_T)/T for I ≫ I_S.
    ['1N4148', 1.11, 3],
    ['1N34A', 0.67, 3],
    ['OA91', 0.67, 3],
    ['BAT46', 0.69, 2],
    ['1N5711', 0.69, 2],
  ])('moves as the closed form says: %s with a gap of %d eV', (type, gapEv, exponent) => {
    const { data } = findDiode(type);
    const vt = thermalVoltage(NOMINAL_TEMPERATURE_K);
    const junctionV = forwardVoltage({ ...data, seriesOhms: 0 }, 1e-3, NOMINAL_TEMPERATURE_K);
    const climbed = (gapEv + exponent * vt) / (1 + data.saturationCurrentA / 1e-3);
    const expected = (1e3 * (junctionV - climbed)) / NOMINAL_TEMPERATURE_K;
    // With the series resistance of 100 kΩ the current, and therefore the voltage, changes by a hundredth of a percent.
    expect(diodeSlope(type, 1e-3) / expected).toBeGreaterThan(0.99);
    expect(diodeSlope(type, 1e-3) / expected).toBeLessThan(1.01);
  });

  it('falls by 1.3 to 2 mV/K in germanium, and its leakage doubles about every ten kelvin', () => {
    for (const type of ['1N34A', 'OA91', 'AA112']) {
      expect(diodeSlope(type, 1e-3), type).toBeLessThan(-1.2);
      expect(diodeSlope(type, 1e-3), type).toBeGreaterThan(-2);
    }
    // Doubling every 10 K is the rule of thumb for germanium (common practice, and one measured piece: page "Germanium
    // Transistor Leakage", 2024-01-21). Here at 1.5 V, most of it beside the junction.
    const leak = (temperatureK: number): number => {
      const network = networkAtTemperature(one(findDiode('1N34A').data), temperatureK);
      return reverseCurrent((network.primitives[0] as { data: DiodeData }).data, 1.5, temperatureK);
    };
    const doublingK =
      (10 * Math.LN2) / Math.log(leak(NOMINAL_TEMPERATURE_K + 10) / leak(NOMINAL_TEMPERATURE_K));
    expect(doublingK).toBeGreaterThan(9.5);
    expect(doublingK).toBeLessThan(10.5);
  });

  it.each(['LED-red', 'LED-green', 'LED-yellow', 'LED-blue', 'LED-white', 'LED-infrared'])(
    'falls by 0.5 to 3 mV/K in an LED: %s',
    (type) => {
      // Sheets show 1 to 3 mV/K for small LEDs (from memory); the band gap of the red one gives 0.7.
      expect(diodeSlope(type, 2e-3)).toBeLessThan(-0.5);
      expect(diodeSlope(type, 2e-3)).toBeGreaterThan(-3);
    },
  );

  it.each([
    // Typical coefficients at 5 mA of the BZX79 table, from memory.
    ['BZX79C3V3', -2.4],
    ['BZX79C5V1', -0.8],
  ])('moves a breakdown by the coefficient of its sheet, in shape as it is: %s', (type, expected) => {
    const backwards = diodePrimitives(findDiode(type), ofPart('D1'), 1, [GROUND, 'top']);
    // 20 kΩ from 100 V against 85 Ω: 0.5 % is lost.
    expect(slopeMvPerK(backwards, 5e-3)).toBeCloseTo(expected, 1);
    const spread = (temperatureK: number) =>
      topV(backwards, 5e-3, temperatureK) - topV(backwards, 5e-4, temperatureK);
    expect(spread(kelvinOf(60))).toBeCloseTo(spread(NOMINAL_TEMPERATURE_K), 3);
  });

  it('changes in a string of several as in one diode', () => {
    const single = diodeSlope('1N4148', 1e-3);
    const three = diodePrimitives(findDiode('1N4148'), ofPart('D1'), 3, ['top', GROUND]);
    // The resistor carries 1 % less current with three diodes than with one: 0.05 mV/K.
    expect(slopeMvPerK(three, 1e-3)).toBeCloseTo(3 * single, 1);
  });
});

describe('a transistor at another temperature', () => {
  const diodeConnected = (type: string, collectorA: number): number => {
    const { kind, data } = findBjt(type);
    const nodes: [string, string, string] = kind === 'npn' ? ['top', 'top', GROUND] : [GROUND, GROUND, 'top'];
    return slopeMvPerK([{ kind, ...ofPart('Q1'), nodes, data }], collectorA);
  };

  it('falls by about 2 mV/K from base to emitter, in silicon and in germanium', () => {
    for (const type of ['2N3904', '2N5088', 'BC549C', '2N3906']) {
      // 1.6 to 2.2 mV/K from textbooks, from memory: the larger V_BE, the smaller the change.
      expect(diodeConnected(type, 1e-3), type).toBeLessThan(-1.6);
      expect(diodeConnected(type, 1e-3), type).toBeGreaterThan(-2.2);
    }
    expect(diodeConnected('AC128', 1e-3)).toBeLessThan(-1.7);
    expect(diodeConnected('AC128', 1e-3)).toBeGreaterThan(-2.5);
  });

  /** Collector current of a PNP at 9 V with its emitter, then with its base open, A. */
  const leaks = (type: string, temperatureK: number) => {
    const { data } = findBjt(type);
    const leakA = (nodes: [string, string, string], open: string) => {
      const circuit = topNetwork([
        { kind: 'voltageSource', ...ofPart('V2'), nodes: ['minus', GROUND], volts: -9 },
        { kind: 'resistor', ...ofPart('R1'), nodes: ['minus', 'collector'], ohms: 10 },
        { kind: 'resistor', ...ofPart('R2'), nodes: [open, GROUND], ohms: 1e12 },
        { kind: 'pnp', ...ofPart('Q1'), nodes, data: { ...data, earlyV: 1e9 } },
      ]);
      const { volts } = operatingPoint(networkAtTemperature(circuit, temperatureK));
      return (9 + volts.get('collector')!) / 10;
    };
    return {
      emitterOpenA: leakA(['collector', GROUND, 'e'], 'e'),
      baseOpenA: leakA(['collector', 'b', GROUND], 'b'),
    };
  };

  it.each([
    // I_SC + I_S/β_R of the published models of measured pieces, plus what the open emitter adds (computed by hand).
    ['AC128', 9.04e-6],
    ['OC44', 0.293e-6],
  ])(
    'leaks in germanium as its measured piece does, and β + 1 times that with its base open: %s',
    (type, amps) => {
      const { emitterOpenA, baseOpenA } = leaks(type, NOMINAL_TEMPERATURE_K);
      expect(emitterOpenA / amps).toBeCloseTo(1, 2);
      expect(baseOpenA / emitterOpenA / (findBjt(type).data.forwardBeta + 1)).toBeCloseTo(1, 4);
    },
  );

  it.each(['AC128', 'OC44', '2N404', '2N1305', 'AC125', 'AC126'])(
    'leaks twice as much in germanium each 8 to 10 K: %s',
    (type) => {
      // Common practice, no source; one piece: 0.32 to 0.075 mA over about 20 K (page "Germanium Transistor Leakage", 2024-01-21).
      const [cool, warm] = [leaks(type, 283.15), leaks(type, 308.15)];
      for (const end of ['emitterOpenA', 'baseOpenA'] as const) {
        const doublingK = 25 / Math.log2(warm[end] / cool[end]);
        expect(doublingK).toBeGreaterThan(8);
        expect(doublingK).toBeLessThan(10);
      }
    },
  );

  it('rises by about half a percent of current gain each kelvin', () => {
    // XTB = 1.5 of the published cards, from memory: 1.5/T.
    const beta = (temperatureK: number): number => {
      const [moved] = networkAtTemperature(
        topNetwork([
          { kind: 'npn', ...ofPart('Q1'), nodes: ['top', 'in', GROUND], data: findBjt('2N3904').data },
        ]),
        temperatureK,
      ).primitives;
      return (moved as { data: { forwardBeta: number } }).data.forwardBeta;
    };
    expect(Math.log(beta(WARMER_K) / beta(COOLER_K)) / 2).toBeCloseTo(1.5 / NOMINAL_TEMPERATURE_K, 6);
  });

  it.each([
    ['JFET', 'nJfet', '2N5952', 2.5e-3],
    // Sheets of small MOSFETs show a fall of 2 to 4 mV/K (from memory).
    ['MOSFET', 'nMosfet', '2N7000', 2e-3],
  ] as const)('leaves a %s alone where threshold and mobility cancel', (_, kind, type, fallVPerK) => {
    // With i = β(v − V_to)², dβ/β = −1.5/T and a fall of V_to by 2.5 mV/K they cancel at v − V_to = 2·2.5 mV·T/1.5 = 1 V;
    // below that the current rises with temperature, above it falls.
    const { data } = findFet(type);
    const cancellingV = (2 * fallVPerK * NOMINAL_TEMPERATURE_K) / 1.5;
    const currentA = (overdriveV: number, temperatureK: number): number => {
      const [moved] = networkAtTemperature(
        topNetwork([{ kind, ...ofPart('Q1'), nodes: ['top', 'in', GROUND], data }]),
        temperatureK,
      ).primitives;
      const { betaAPerV2, thresholdV } = (moved as { data: typeof data }).data;
      return betaAPerV2 * (data.thresholdV + overdriveV - thresholdV) ** 2;
    };
    const drift = (overdriveV: number) =>
      Math.log(currentA(overdriveV, WARMER_K) / currentA(overdriveV, COOLER_K)) / 2;
    expect(drift(cancellingV)).toBeCloseTo(0, 5);
    expect(drift(0.3 * cancellingV)).toBeGreaterThan(0);
    expect(drift(1.5 * cancellingV)).toBeLessThan(0);
  });
});

describe('a build at another temperature', () => {
  it('has exactly the catalogue’s numbers at 27 °C, and others at 40', () => {
    const diodeAt = (celsius: number) =>
      networkOf(presetBuild('soft-plain'), kelvinOf(celsius)).primitives.find(({ ref }) => ref === 'D1');
    expect(diodeAt(27)).toMatchObject({ data: findDiode('1N4148').data });
    expect(diodeAt(40)).not.toMatchObject({ data: findDiode('1N4148').data });
  });

  it('has no default temperature in any function of the code', () => {
    const sources = ['engine', 'worklets', 'ui']
      .flatMap((folder) =>
        readdirSync(folder, { recursive: true, encoding: 'utf8' }).map((path) => join(folder, path)),
      )
      .filter((path) => path.endsWith('.ts'));
    expect(sources.length).toBeGreaterThan(300);
    const supplied = /temperature[KC](\?:|: number =| = NOMINAL)/;
    expect(sources.filter((path) => supplied.test(readFileSync(path, 'utf8')))).toEqual([]);
  });

  it('may be as cold as -10 °C and as warm as 60', () => {
    expect(temperatureOf({ temperature: '-10' })).toBeCloseTo(263.15, 9);
    expect(temperatureOf({ temperature: '60' })).toBeCloseTo(333.15, 9);
    for (const temperature of ['-11', '61'])
      expect(() => temperatureOf({ temperature })).toThrow(temperature);
  });

  it.each(['1N4148', '1N34A', 'BZX79C5V1'])(
    'has one data of a diode, moved there at once or in two steps: %s',
    (type) => {
      const [warmK, coldK] = [kelvinOf(60), kelvinOf(-10)];
      for (const primitive of diodePrimitives(findDiode(type), ofPart('D1'), 1, ['top', GROUND])) {
        if (primitive.kind !== 'diode') continue;
        const direct = diodeDataAt(primitive.data, coldK);
        const inTwo = diodeDataMoved(diodeDataAt(primitive.data, warmK), warmK, coldK);
        expect(inTwo.saturationCurrentA / direct.saturationCurrentA).toBeCloseTo(1, 9);
        expect(inTwo.emissionCoefficient).toBeCloseTo(direct.emissionCoefficient, 12);
        expect((inTwo.leakageS ?? 1) / (direct.leakageS ?? 1)).toBeCloseTo(1, 9);
      }
    },
  );

  it('is never converted twice', () => {
    const warm = networkOf(presetBuild('soft-plain'), kelvinOf(40));
    expect(() => networkAtTemperature(warm, kelvinOf(50))).toThrow(/already/);
  });

  it.each(presetNames())(
    'keeps its structure and has an operating point from -10 to 60 °C, so that it can glide there: %s',
    (name) => {
      const options = { sampleRateHz: 96_000 };
      const keyAt = (celsius: number) => {
        const network = networkOf(presetBuild(name), kelvinOf(celsius));
        expect(network.primitives).not.toHaveLength(0);
        return circuitValues(network, options).structureKey;
      };
      const nominal = circuitValues(
        networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K),
        options,
      ).structureKey;
      expect([keyAt(-10), keyAt(60)]).toEqual([nominal, nominal]);
    },
  );

  it('clips lower when it is hot, without a click during the change', () => {
    // Two strings that fall by 2 mV/K over 33 K from about 550 mV each way: 12 % or 1.1 dB; the buffers change nothing.
    const build = presetBuild('soft-plain');
    const options = { sampleRateHz: 96_000 };
    const { parameters } = circuitValues(networkOf(build, kelvinOf(60)), options);
    const simulator = new CircuitSimulator(compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), options));
    const input = Float64Array.from(
      { length: 9600 },
      (_, n) => 0.5 * Math.sin((2 * Math.PI * 200 * n) / 96_000),
    );
    const output = new Float64Array(input.length);
    const play = (times: number) => {
      for (let k = 0; k < times; k++) simulator.process(input, output, input.length);
      return output.slice();
    };
    const before = play(5);
    simulator.setParameters(parameters, TEMPERATURE_GLIDE_SECONDS);
    let steepestYet = 0;
    for (let k = 0; k < 4; k++) steepestYet = Math.max(steepestYet, steepest(play(1)));
    // The buffers' rest voltages have changed by 60 mV and 0.1 s is the slowest coupling: e^-20 of that remains.
    const after = play(20);
    const fallDb = 20 * Math.log10(swing(after) / swing(before));
    expect(fallDb).toBeLessThan(-0.7);
    expect(fallDb).toBeGreaterThan(-1.5);
    // 66 mV of the buffer over 0.3 s, through the highest gain, add a few percent to the slope of the tone.
    expect(steepestYet).toBeLessThan(1.05 * steepest(before));
  });
});

const one = (data: DiodeData): Network =>
  topNetwork([{ kind: 'diode', ...ofPart('D1'), nodes: ['top', GROUND], count: 1, data }]);

const swing = (volts: Float64Array): number => Math.max(...volts) - Math.min(...volts);

const steepest = (volts: Float64Array): number =>
  volts.reduce((most, v, n) => (n === 0 ? most : Math.max(most, Math.abs(v - volts[n - 1]!))), 0);

it('is shown in degrees Celsius, with a minus sign and tenths where there are any', () => {
  expect([300.15, 263.15, 273.15, 298.65].map(temperatureText)).toEqual([
    '27 °C',
    '−10 °C',
    '0 °C',
    '25.5 °C',
  ]);
});
