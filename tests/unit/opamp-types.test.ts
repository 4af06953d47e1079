import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { swingLimits } from '../../engine/analysis/swing-limits.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { findOpamp } from '../../engine/parts/catalogue.ts';
import { opampPrimitives } from '../../engine/parts/opamp-primitives.ts';
import { OPAMPS } from '../../engine/parts/opamps.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { differenceOf, network, peakOf, resistor, run, sine, source } from './small-networks.ts';

const RATE_HZ = 3_072_000;
/** A slope is measured at this rate: the difference formula overshoots for some samples at the corner of a triangle. */
const SLOPE_RATE_HZ = 4 * RATE_HZ;
/** And over this many samples, 2.6 µs; the shortest flank takes 3.7 µs. */
const RISE_SAMPLES = 32;
const TYPES = OPAMPS.map(({ type }) => type);
/** The supplies in the sheet's measurements, V each way, for every type except the 6 V one. */
const SUPPLY_V = 15;
const supplyOf = (type: string): number => Math.min(SUPPLY_V, findOpamp(type).maxSupplyV / 2 - 0.5);

/** An op-amp of a type with its pins in `plus`, `minus` and `out`, between equal supplies. */
function amplifier(type: string, nodes: readonly [string, string, string], supplyV: number): Primitive[] {
  return [
    source('vcc', supplyV),
    source('vee', -supplyV),
    ...opampPrimitives(findOpamp(type), 'U1', [...nodes, 'vcc', 'vee']),
  ];
}

const follower = (type: string, supplyV = supplyOf(type)): Network =>
  network([...amplifier(type, ['in', 'out', 'out'], supplyV), resistor('RL', 'out', GROUND, 100e3)]);

describe('an op-amp in a stage', () => {
  it.each([
    // f = SR/(2π·Vp), published values to four digits.
    ['LM358', 4, 11.94e3],
    ['LM741', 4, 19.89e3],
    ['BA4558', 3.5, 45.47e3],
  ])('%s at %d V peak has the full-power bandwidth of its slew rate, %d Hz', (type, peakV, hz) => {
    // At three times that frequency the output is a triangle of the slew rate. The steepest undistorted
    // sine of this peak has SR = 2π·f·Vp. The smooth limit of the model leaves half a percent;
    // the difference formula overshoots at the corners by a fifth of a percent.
    const input = sine(SLOPE_RATE_HZ / 1000, SLOPE_RATE_HZ, 3 * hz, peakV);
    const { output } = run(follower(type), SLOPE_RATE_HZ, input);
    const measuredHz = (steepest(output) * SLOPE_RATE_HZ) / (2 * Math.PI * peakV);
    expect(measuredHz / hz).toBeGreaterThan(0.99);
    expect(measuredHz / hz).toBeLessThan(1.005);
  });

  it.each(['LM358', 'LM741', 'BA4558'])(
    '%s follows well below its full-power bandwidth and makes a triangle well above it',
    (type) => {
      const { slewVPerS } = findOpamp(type).data;
      const hz = slewVPerS / (2 * Math.PI * 3);
      const frames = Math.round((12 * RATE_HZ) / hz);
      const settled = (frequencyHz: number) =>
        peakOf(
          run(follower(type), RATE_HZ, sine(frames, RATE_HZ, frequencyHz, 3)).output.subarray(frames / 2),
        );
      expect(settled(hz / 8)).toBeCloseTo(3, 1);
      // Peak of a triangle of the slew rate, SR/(4·f); its corners are rounded by some percent.
      expect(settled(4 * hz) / (slewVPerS / (16 * hz))).toBeCloseTo(0.97, 1);
    },
  );

  it.each(TYPES)('%s has its published gain-bandwidth and output swing, and not more', (type) => {
    const { data, output: published } = findOpamp(type);
    const supplyV = supplyOf(type);
    const stage = network([
      ...amplifier(type, ['in', 'minus', 'out'], supplyV),
      resistor('RF', 'minus', 'out', 99e3),
      resistor('RG', 'minus', GROUND, 1e3),
      // The load at which its sheet gives the swing; rail-to-rail types have it without.
      resistor('RL', 'out', GROUND, (supplyV - data.headroomHighV) / (published?.headroomAtA || 1e-4)),
    ]);
    const response = new FrequencyResponse(stage);
    // A gain of 100 falls by 3.01 dB at GBW/100; the finite gain takes a little: A0 = 6000 at the least, 2 %.
    const corner = response.at(data.gainBandwidthHz / 100, 'out').decibels - response.at(1, 'out').decibels;
    expect(corner).toBeGreaterThan(-3.15);
    expect(corner).toBeLessThan(-2.8);
    const { output } = run(stage, 384_000, sine(3840, 384_000, 200, 1));
    // The limit is soft: it is exact within the 0.1 V of its knee.
    expect(Math.max(...output)).toBeCloseTo(supplyV - data.headroomHighV, 0);
    expect(Math.abs(Math.max(...output) - (supplyV - data.headroomHighV))).toBeLessThan(0.25);
    expect(Math.abs(Math.min(...output) + (supplyV - data.headroomLowV))).toBeLessThan(0.7);
  });
});

describe('diodes between the inputs', () => {
  /** Voltage of the input that is driven through 10 kΩ, with the other input at ground. */
  const at = (type: string, drivenV: number): number => {
    const circuit = network([
      ...amplifier(type, ['plus', 'minus', 'out'], SUPPLY_V),
      source('driven', drivenV),
      resistor('R1', 'driven', 'plus', 10e3),
      resistor('R2', 'minus', 'in', 1),
      resistor('RL', 'out', GROUND, 100e3),
    ]);
    return operatingPoint(circuit).volts.get('plus')!;
  };

  it.each(['NE5532', 'LM308A'])(
    'hold the inputs of %s within one diode drop of each other, in both directions',
    (type) => {
      // The sheets give ±0.5 V (NE5532) and 1 V (LM308), from memory: 2 V behind 10 kΩ gives 0.14 mA.
      expect(at(type, 2)).toBeGreaterThan(0.5);
      expect(at(type, 2)).toBeLessThan(0.7);
      // The bias current through 10 kΩ, 2 mV, is the only difference between the two.
      expect(at(type, -2)).toBeGreaterThan(-0.7);
      expect(at(type, -2)).toBeLessThan(-0.5);
    },
  );

  it.each(['TL072', 'RC4558', 'LM741'])(
    'do not exist in %s, whose inputs can be at different voltages',
    (type) => {
      expect(at(type, 2)).toBeGreaterThan(1.99);
    },
  );

  it('do not conduct where feedback keeps the inputs at the same voltage', () => {
    const input = sine(3840, 384_000, 1000, 1);
    const bare = { ...findOpamp('NE5532') };
    const without = network([
      source('vcc', SUPPLY_V),
      source('vee', -SUPPLY_V),
      ...opampPrimitives({ ...bare, inputClamp: { ...bare.inputClamp!, saturationCurrentA: 1e-30 } }, 'U1', [
        'in',
        'out',
        'out',
        'vcc',
        'vee',
      ]),
      resistor('RL', 'out', GROUND, 100e3),
    ]);
    const clamped = run(follower('NE5532'), 384_000, input).output;
    expect(differenceOf(clamped, run(without, 384_000, input).output)).toBeLessThan(1e-6);
  });
});

describe('an output stage of class B', () => {
  /** LM358 on ±7 V as a follower into a load, with or without a resistor that keeps its sourcing transistor on. */
  const loaded = (type: string, ohms: number, pullDownOhms?: number): Network =>
    network([
      ...amplifier(type, ['in', 'out', 'out'], 7),
      resistor('RL', 'out', GROUND, ohms),
      ...(pullDownOhms === undefined ? [] : [resistor('RP', 'out', 'vee', pullDownOhms)]),
    ]);

  it('stops for the time that the amplifier needs to cross its dead zone', () => {
    // While the output stops, the input changes at F = 2π·f·Vp, so the amplifier moves by S·s(w·F·t/S):
    // D = S²/(w·F)·(√(1 + (w·F·t/S)²) − 1), solved for t. D is the junctions' voltage drop at 10 µA in both directions.
    const { slewVPerS, gainBandwidthHz } = findOpamp('LM358').data;
    const [hz, peakV, ohms] = [1000, 2, 2e3];
    const flank = 2 * Math.PI * hz * peakV;
    const unit = (2 * Math.PI * gainBandwidthHz * flank) / slewVPerS;
    const dead = 3 * thermalVoltage(300.15) * Math.log(10e-6 / 1e-14);
    const expected = Math.sqrt((1 + (dead * unit) / slewVPerS) ** 2 - 1) / unit;
    const frames = RATE_HZ / hz;
    const { output, simulator } = run(loaded('LM358', ohms), RATE_HZ, sine(2 * frames, RATE_HZ, hz, peakV));
    let still = 0;
    for (let n = 1.375 * frames; n < 1.625 * frames; n++) {
      if (Math.abs(output[n]! - output[n - 1]!) * RATE_HZ < flank / 2) still += 1;
    }
    expect(simulator.failures).toBe(0);
    // An exponential has no edges: the ends of D are known within a decade of current, a fifth of D.
    expect(still / RATE_HZ / expected).toBeGreaterThan(0.75);
    expect(still / RATE_HZ / expected).toBeLessThan(1.25);
  });

  it('works without a dead zone with a resistor to the negative supply, as the sheet advises', () => {
    // TI SLOS068, from memory: a pull-down raises the class-A current. 4 mA is more than the 0.5 mA of the load.
    expect(distortion(loaded('LM358', 2e3), 1)).toBeGreaterThan(
      20 * distortion(loaded('LM358', 2e3, 1.8e3), 1),
    );
  });

  it('distorts LM358 audibly, but not types with a biased output stage', () => {
    // LM358 compared with others of its speed: the difference is the crossover distortion.
    expect(distortion(loaded('LM358', 2e3), 0.5)).toBeGreaterThan(1e-3);
    expect(distortion(loaded('LM741', 2e3), 0.5)).toBeLessThan(1e-4);
  });

  it('reaches the swing of its sheet at its pin, and the calculated swing limit is the same', () => {
    // TI SLOS068V: VOH 1.5 V below the supply; sinking current, it stops one junction above the negative supply.
    const { output } = run(loaded('LM358', 10e3), RATE_HZ, sine(6144, RATE_HZ, 1000, 9));
    expect(Math.max(...output)).toBeCloseTo(5.5, 0);
    expect(Math.max(...output)).toBeLessThan(5.7);
    expect(Math.min(...output)).toBeGreaterThan(-6.7);
    expect(Math.min(...output)).toBeLessThan(-6.2);
    const [limit] = swingLimits(loaded('LM358', 10e3), 1000);
    expect(limit).toMatchObject({ ref: 'U1', net: 'out', highV: 5.5 });
  });
});

describe('a swapped op-amp', () => {
  const withType = (type: string) => {
    const build = presetBuild('soft-plain');
    return networkOf({ ...build, parts: { ...build.parts, U1: { type } } }, NOMINAL_TEMPERATURE_K);
  };

  it.each(TYPES)('plays in emitted code as in the interpreter: %s', (type) => {
    const input = sine(3840, 384_000, 440, 1);
    const emitted = run(withType(type), 384_000, input);
    const interpreted = run(withType(type), 384_000, input, { interpreted: true });
    expect(emitted.simulator.failures).toBe(0);
    // As for all devices: sums in a different order, and an exponential to 1e-12.
    expect(emitted.output).toEqual(interpreted.output);
  });
});

function steepest(volts: Float64Array): number {
  let most = 0;
  for (let n = RISE_SAMPLES; n < volts.length; n++) {
    most = Math.max(most, Math.abs(volts[n]! - volts[n - RISE_SAMPLES]!));
  }
  return most / RISE_SAMPLES;
}

/** RMS of everything except the fundamental, divided by the fundamental, of a 1 kHz sine in its last period. */
function distortion(circuit: Network, peakV: number): number {
  const period = 3072;
  const { output } = run(circuit, RATE_HZ, sine(4 * period, RATE_HZ, 1000, peakV));
  const last = output.subarray(3 * period);
  const mean = last.reduce((sum, v) => sum + v, 0) / period;
  let [sine1, cosine1, power] = [0, 0, 0];
  last.forEach((v, n) => {
    const angle = (2 * Math.PI * n) / period;
    sine1 += ((v - mean) * Math.sin(angle) * 2) / period;
    cosine1 += ((v - mean) * Math.cos(angle) * 2) / period;
    power += (v - mean) ** 2 / period;
  });
  const fundamental = (sine1 ** 2 + cosine1 ** 2) / 2;
  return Math.sqrt(Math.max(power - fundamental, 0) / fundamental);
}
