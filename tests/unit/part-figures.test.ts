import { describe, expect, it } from 'vitest';
import { FrequencyResponse, logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import { matchedRotation } from '../../engine/analysis/knob-match.ts';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { refText, withAlias } from '../../engine/builds/alias.ts';
import { type Build, buildParts, startingBuild } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import {
  figureCondition,
  figuresOf,
  figureValue,
  settingsFor,
  withPart,
} from '../../engine/builds/part-figures.ts';
import { swapsWithFigures, swapText } from '../../engine/builds/swaps.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { kelvinOf, networkAtTemperature } from '../../engine/network/temperature.ts';
import { findDiode } from '../../engine/parts/catalogue.ts';
import { diodePrimitives } from '../../engine/parts/diode-primitives.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import { offeredTypes } from '../../ui/components/type-figures.ts';
import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('soft-plain');

function figure(build: Build, name: string) {
  const found = build.circuit.figures.find((each) => each.name === name);
  if (!found) throw new Error(`there is no figure "${name}"`);
  return found;
}

const figureOf = (build: Build, name: string) =>
  figureValue(build, figure(build, name), NOMINAL_TEMPERATURE_K);
const partOf = (ref: string) => buildParts(plain.circuit).find((part) => part.ref === ref)!;

const cold = kelvinOf(-10);
const warm = kelvinOf(60);

describe('figures that depend on parts', () => {
  it('puts the current of a follower at the volts across its resistor, by Ohm’s law', () => {
    const name = 'current of the input buffer';
    const rest = operatingPoint(networkOf(plain, NOMINAL_TEMPERATURE_K)).volts;
    expect(figureOf(plain, name)).toBeCloseTo(rest.get('buffered')! / 10e3, 9);
    // Half of 9 V, less 0.6 to 0.7 V from base to emitter, less what the base takes through 510k.
    expect(figureOf(plain, name)).toBeGreaterThan(300e-6);
    expect(figureOf(plain, name)).toBeLessThan(390e-6);
  });

  it('counts unfitted, bridged and piggybacked parts as they conduct', () => {
    const name = 'bass corner of the gain stage';
    expect(figureOf(withPart(plain, 'C3', { value: '47n', fit: 'bridged' }), name)).toBeNaN();
    expect(figureOf(withPart(plain, 'C3', { value: '47n', fit: 'open' }), name)).toBeNaN();
    const stiff = withPart(plain, 'C10', { value: '10m' });
    const alone = figureOf(stiff, name);
    const doubled = (ref: string, value: string) =>
      figureOf(withPart(stiff, ref, { value, piggyback: value }), name);
    expect(doubled('C3', '47n') / alone).toBeCloseTo(0.5, 2);
    expect(doubled('R4', '4k7') / alone).toBeCloseTo(2, 1);
  });

  it('names only parts of the circuit, and gives a finite figure for each starting build', () => {
    for (const circuit of CIRCUITS.values()) {
      const build = startingBuild(circuit);
      const refs = buildParts(circuit).map(({ ref }) => ref);
      for (const each of circuit.figures) {
        expect(refs).toEqual(expect.arrayContaining([...each.parts]));
        expect(figureValue(build, each, NOMINAL_TEMPERATURE_K), each.name).toSatisfy(Number.isFinite);
      }
    }
  });

  it('changes when any of its parts changes', () => {
    for (const circuit of CIRCUITS.values()) {
      const build = startingBuild(circuit);
      for (const each of circuit.figures) {
        for (const ref of each.parts) {
          const { value } = build.parts[ref]!;
          if (value === undefined || ref === 'V1') continue;
          const doubled = withPart(build, ref, { ...build.parts[ref]!, piggyback: value });
          if (ref.startsWith('VR')) continue;
          expect(figureValue(doubled, each, NOMINAL_TEMPERATURE_K), `${each.name} by ${ref}`).not.toBe(
            figureValue(build, each, NOMINAL_TEMPERATURE_K),
          );
        }
      }
    }
  });

  it('shows a diode by its forward voltage, and two in series by twice that voltage', () => {
    const [level] = figuresOf(plain, 'D1');
    const one = figureValue(plain, level!, NOMINAL_TEMPERATURE_K);
    const two = figureValue(
      withPart(plain, 'D1', { type: '1N4148', count: 2 }),
      level!,
      NOMINAL_TEMPERATURE_K,
    );
    // 1N4148 at 1 mA: 0.62 V typical, the curve of Vishay 81857 fig. 2, from memory; 10 % for reading the curve
    expect(one).toBeGreaterThan(0.55);
    expect(one).toBeLessThan(0.69);
    expect(two).toBeCloseTo(2 * one, 9);
  });
});

describe('a figure that depends on temperature', () => {
  const [drop] = figuresOf(plain, 'D1');

  it('follows the bench temperature: silicon drops by about 2 mV less for each kelvin, as its junction’s closed form says', () => {
    const [atCold, atNominal, atWarm] = [cold, NOMINAL_TEMPERATURE_K, warm].map((temperatureK) =>
      figureValue(plain, drop!, temperatureK),
    );
    // Horowitz & Hill, The Art of Electronics, 3rd ed., 2.3.1: a silicon junction at constant current falls by about
    // 2.1 mV/°C (of V_BE); data sheets of small signal diodes draw 1.8 to 2.2. Both from memory.
    const slope = (1e3 * (atWarm! - atCold!)) / (warm - cold);
    expect(slope).toBeGreaterThan(-2.2);
    expect(slope).toBeLessThan(-1.8);
    // dV/dT = (V − E_g − X·V_T)/T integrates to V(T) = (V0 − E_g)·T/T0 + E_g − X·(kT/q)·ln(T/T0); E_g = 1.11 eV, X = 3.
    const kOverQ = 1.380649e-23 / 1.602176634e-19;
    for (const [temperatureK, volts] of [
      [cold, atCold!],
      [warm, atWarm!],
    ] as const) {
      const ratio = temperatureK / NOMINAL_TEMPERATURE_K;
      const expected = (atNominal! - 1.11) * ratio + 1.11 - 3 * kOverQ * temperatureK * Math.log(ratio);
      // Series resistance does not change: 0.6 Ω at 1 mA.
      expect(Math.abs(volts - expected)).toBeLessThan(1e-3);
    }
  });

  it('agrees with the solver at that temperature, also for a wiring of two parts', () => {
    for (const type of ['1N4148', '1N34A', 'BS170 back to back', '2N7000 with blocking diode']) {
      const build = withPart(plain, 'D1', { type, count: 2 });
      const volts = figureValue(build, drop!, warm);
      const circuit: Network = {
        input: 'in',
        output: 'top',
        rails: [],
        temperatureK: NOMINAL_TEMPERATURE_K,
        primitives: [
          { kind: 'voltageSource', ...ofPart('V1'), nodes: ['supply', GROUND], volts: volts + 1000 },
          { kind: 'resistor', ...ofPart('R1'), nodes: ['supply', 'top'], ohms: 1e6 },
          ...diodePrimitives(findDiode(type), ofPart('D1'), 2, ['top', GROUND]),
        ],
      };
      // The closed form leaves out a MOSFET's channel-length modulation.
      const topV = operatingPoint(networkAtTemperature(circuit, warm)).volts.get('top')!;
      expect(Math.abs(topV / volts - 1), type).toBeLessThan(type.includes(' ') ? 0.01 : 1e-4);
    }
  });

  it('states its temperature, where it depends on temperature', () => {
    const [swap] = swapsWithFigures(plain, withPart(plain, 'D1', { type: '1N34A' }), warm);
    expect(swapText(plain, swap!)).toMatch(/^D1 1N4148 to 1N34A: forward drop .* mV to \d+ mV at 60 °C$/);
    expect(figureCondition(drop!, cold)).toBe(' at −10 °C');
    expect(figureCondition(figure(plain, 'bass corner of the gain stage'), cold)).toBe('');
  });

  it('is given for each offered type at that temperature', () => {
    const typeAt = (kind: 'diode' | 'npn', type: string, temperatureK: number) =>
      offeredTypes(kind, temperatureK).find((offered) => offered.type === type)!;
    expect(typeAt('diode', '1N4148', NOMINAL_TEMPERATURE_K).figure).toBe('0.61 V');
    expect(typeAt('diode', '1N4148', warm).figure).toBe('0.55 V');
    expect(typeAt('diode', '1N4148', warm).figures).toMatch(/^At 60 °C: .* \/ 0\.55 V at /);
    expect(typeAt('npn', '2N3904', warm).figures).toMatch(/^At 60 °C: current gain 1\d\d$/);
  });
});

describe('a value for a wanted figure', () => {
  it('offers the nearest values in the series, nearest first: 400 Hz over 4k7 is 84.7 nF, between 82n and 100n', () => {
    const offers = settingsFor(
      withPart(plain, 'C10', { value: '10m' }),
      partOf('C3'),
      figure(plain, 'bass corner of the gain stage'),
      {
        value: 400,
        series: 'E12',
        temperatureK: cold,
      },
    );
    expect(offers.map(({ setting }) => setting.value)).toEqual(['82n', '100n']);
    // 1/(2π·4k7·82n)
    expect(offers[0]?.figure).toBeCloseTo(413, -1);
  });

  it('offers nothing where no value gives the figure: a gain below one', () => {
    const offers = settingsFor(plain, partOf('R4'), figure(plain, 'lowest gain'), {
      value: -6,
      series: 'E12',
      temperatureK: cold,
    });
    expect(offers).toEqual([]);
  });
});

describe('a swap in words and numbers', () => {
  it('states the figures that it changes', () => {
    const [swap] = swapsWithFigures(plain, withPart(plain, 'C3', { value: '100n' }), warm);
    expect(swapText(plain, swap!)).toMatch(
      /^C3 47n to 100n: bass corner of the gain stage 7\d\d Hz to 3\d\d Hz$/,
    );
  });

  it('states no figure where a bridged capacitor leaves no corner', () => {
    const [swap] = swapsWithFigures(plain, withPart(plain, 'C3', { value: '47n', fit: 'bridged' }), warm);
    expect(swapText(plain, swap!)).toMatch(
      /^C3 47n to jumpered: bass corner of the gain stage 7\d\d Hz to none$/,
    );
  });
});

describe('a quantity for reading', () => {
  it.each([
    [720.48, 'Hz', '720 Hz'],
    [3386.3, 'Hz', '3.39 kHz'],
    [999.96, 'Hz', '1 kHz'],
    [0.677, 'Hz', '0.68 Hz'],
    [0.00041, 'A', '410 µA'],
    [337_748, 'Ω', '338 kΩ'],
    [-3.01, 'dB', '−3.0 dB'],
    [0, 'dB', '0.0 dB'],
    [0.5789, 'V', '579 mV'],
    [Number.POSITIVE_INFINITY, 'Hz', 'none'],
  ] as const)('%f %s is %s', (value, unit, text) => {
    expect(quantityText(value, unit)).toBe(text);
  });
});

describe('a knob after its potentiometer was swapped', () => {
  const bench = { temperatureK: NOMINAL_TEMPERATURE_K, around: {} };
  const linear = withPart(plain, 'VR3', { value: '100k', law: 'linear' });

  it('can keep its clock position', () => {
    expect(matchedRotation([plain, linear], 'output', 'position', bench)).toBe(plain.knobs['output']);
  });

  it('can keep the ratio of its track: audio 15 % at half is linear at 0.15', () => {
    const half = { ...plain, knobs: { ...plain.knobs, output: 0.5 } };
    expect(matchedRotation([half, linear], 'output', 'track', bench)).toBe(0.15);
  });

  it('can keep the sound: the same value with another taper has the same ratio, and a response equal within 0.2 dB', () => {
    const half = { ...plain, knobs: { ...plain.knobs, output: 0.5 } };
    const rotation = matchedRotation([half, linear], 'output', 'sound', bench);
    expect(rotation).toBeCloseTo(0.15, 1);
    const responseOf = (build: Build) => new FrequencyResponse(networkOf(build, NOMINAL_TEMPERATURE_K));
    const [model, turned] = [
      responseOf(half),
      responseOf({ ...linear, knobs: { ...linear.knobs, output: rotation } }),
    ];
    for (const hz of logarithmicFrequencies(60, 8000, 5)) {
      // knobs are stored in hundredths: near 0.15 of a linear track that is up to 0.3 dB
      expect(Math.abs(model.at(hz, 'out').decibels - turned.at(hz, 'out').decibels)).toBeLessThan(0.35);
    }
  });
});

describe('a name of the builder’s own', () => {
  const named = withAlias(plain, 'R4', 'R7');

  it('is shown beside the designator, in the parts list and in a swap', () => {
    expect(refText(named, 'R4')).toBe('R4 (R7)');
    expect(orderRows(named).flatMap(({ refs }) => refs)).toContain('R4 (R7)');
    const [swap] = swapsWithFigures(named, withPart(named, 'R4', { value: '2k2' }), warm);
    expect(swapText(named, swap!)).toMatch(/^R4 \(R7\) 4k7 to 2k2/);
  });

  it('is kept in a build file, and a build without one has no entry for it', () => {
    expect(parseBuildFile(serialiseBuild(named))).toEqual(named);
    expect(withAlias(named, 'R4', ' ')).toEqual(plain);
    expect(serialiseBuild(plain)).not.toContain('aliases');
  });

  it('is refused where another part has it, where it is too long, or where the part does not exist', () => {
    expect(() => withAlias(named, 'R5', 'R7')).toThrow(/R5 .*"R7".*R4/);
    expect(() => withAlias(plain, 'R5', 'a much too long name')).toThrow(/R5/);
    const file = JSON.parse(serialiseBuild(named));
    expect(() => parseBuildFile(JSON.stringify({ ...file, aliases: { R99: 'x' } }))).toThrow(/R99/);
    expect(() => parseBuildFile(JSON.stringify({ ...file, aliases: { R4: 7 } }))).toThrow(/R4/);
  });
});
