import { describe, expect, it } from 'vitest';
import { clippingCurve } from '../../engine/analysis/clipping-curve.ts';
import { harmonicsAt, harmonicsOf } from '../../engine/analysis/harmonics.ts';
import { sineTrouble } from '../../engine/analysis/render-trouble.ts';
import { type SteadySine, steadySine } from '../../engine/analysis/steady-sine.ts';
import { swingLimits } from '../../engine/analysis/swing-limits.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import type { OpampData } from '../../engine/devices/opamp-data.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';
import { bipolar, capacitor, network, opamp, resistor, source } from './small-networks.ts';

const RC = network([
  resistor('R1', 'in', 'out', 10_000),
  capacitor('C1', 'out', GROUND, 1 / (2 * Math.PI * 1000 * 10_000)),
]);

/** A record of one period of some function of the input. */
function recorded(hz: number, of: (sine: number) => number): SteadySine {
  const inputV = Float64Array.from({ length: 960 }, (_, n) => Math.sin((2 * Math.PI * n) / 960));
  const volts = new Map([['out', inputV.map(of)]]);
  return { hz, peakV: 1, inputV, volts, restV: new Map([['out', of(0)]]), isSettled: true, failures: 0 };
}

describe('a steady sine', () => {
  it.each([100, 1000, 1234.5, 7000])(
    'through an RC low-pass draws the ellipse of its transfer function: %d Hz',
    (hz) => {
      const { inputV, volts, isSettled } = steadySine(RC, { hz, peakV: 2 }, ['in', 'out']);
      const outV = volts.get('out')!;
      expect(isSettled).toBe(true);
      expect(volts.get('in')).toEqual(inputV);
      // y = 2·|H|·sin(ωt + φ) with H = 1/(1 + jf/f_c): (x/2)² + (y/(2|H|))² − 2·(x/2)·(y/(2|H|))·cos φ = sin² φ.
      const gain = 1 / Math.hypot(1, hz / 1000);
      const phase = -Math.atan(hz / 1000);
      for (const [n, x] of inputV.entries()) {
        const [u, w] = [x / 2, outV[n]! / (2 * gain)];
        // The corner is off by (ωT)³/4, below 8e-5 here with at least 96 samples a period.
        expect(u * u + w * w - 2 * u * w * Math.cos(phase), `${n}`).toBeCloseTo(Math.sin(phase) ** 2, 2.7);
      }
    },
  );

  it('is recorded after a slow coupling has settled', () => {
    // 2 s of time constant: the mean of the output falls from that of a half wave to zero.
    const circuit = network([
      source('vcc', 5),
      capacitor('C1', 'in', 'out', 100e-9),
      resistor('R1', 'out', 'vcc', 2e6),
    ]);
    const { volts, isSettled } = steadySine(circuit, { hz: 440, peakV: 1 }, ['out']);
    const out = volts.get('out')!;
    expect(isSettled).toBe(true);
    expect(out.reduce((sum, v) => sum + v, 0) / out.length).toBeCloseTo(5, 3);
  });

  it('says with its harmonics that it had not become periodic, and that samples were not solved', () => {
    // Ten seconds of time constant behind uneven clipping.
    const build = presetBuild('soft-asymmetric');
    const parts = { ...build.parts, C7: { value: '100u' } };
    const circuit = networkOf({ ...build, parts }, NOMINAL_TEMPERATURE_K);
    const harmonics = harmonicsOf(circuit, { hz: 440, peakV: 0.2 });
    expect(sineTrouble([harmonics])).toEqual([
      'The sine of 440 Hz and 0.2 V peak was not steady after 3 s: the bias drifts or the circuit oscillates. The harmonics are those after 3 s.',
    ]);
    const clean = harmonicsOf(RC, { hz: 1000, peakV: 1 });
    expect(sineTrouble([clean])).toEqual([]);
    const counted = harmonicsAt({ ...recorded(1000, (sine) => sine), failures: 3 }, 'out');
    expect(sineTrouble([clean, counted])).toEqual([
      'The sine of 1000 Hz and 1 V peak: the solver did not converge in 3 samples.',
    ]);
  });

  it.each([
    [0, 1],
    [-5, 1],
    [440, 0],
    [Number.NaN, 1],
  ])('needs a frequency and a level: %d Hz, %d V', (hz, peakV) => {
    expect(() => steadySine(RC, { hz, peakV }, ['out'])).toThrow(RangeError);
  });

  it('is refused at a net that does not exist', () => {
    expect(() => steadySine(RC, { hz: 440, peakV: 1 }, ['nowhere'])).toThrow('nowhere');
  });
});

describe('harmonics of one period', () => {
  it('are those of a cubic: (x + x³) has a fundamental of 7/4 and a third of 1/4', () => {
    const { fundamentalV, relativeDb, distortionOfFundamental } = harmonicsAt(
      recorded(440, (x) => x + x ** 3),
      'out',
    );
    // Exact but for rounding: sin³ = (3 sin − sin 3)/4.
    expect(fundamentalV).toBeCloseTo(1.75, 12);
    expect(distortionOfFundamental).toBeCloseTo(1 / 7, 12);
    expect(relativeDb).toHaveLength(9);
    expect(relativeDb[1]).toBeCloseTo(-20 * Math.log10(7), 9);
    expect(relativeDb[0]).toBeLessThan(-250);
  });

  it('are those of a square wave: 4/(πk) for odd k', () => {
    const { relativeDb, distortionOfFundamental } = harmonicsAt(
      recorded(440, (x) => Math.sign(x)),
      'out',
    );
    const odd = [3, 5, 7, 9];
    // 960 samples a period: sin(πk/960)/(πk/960) differs from 1 by 1e-4 at k = 9.
    for (const k of odd) expect(relativeDb[k - 2], `H${k}`).toBeCloseTo(-20 * Math.log10(k), 2);
    expect(distortionOfFundamental).toBeCloseTo(Math.hypot(...odd.map((k) => 1 / k)), 3);
  });

  it('end at 20 kHz', () => {
    expect(
      harmonicsAt(
        recorded(5000, (x) => x ** 2 + x),
        'out',
      ).relativeDb,
    ).toHaveLength(3);
    expect(
      harmonicsAt(
        recorded(15_000, (x) => x),
        'out',
      ).distortionOfFundamental,
    ).toBe(0);
  });
});

describe('a clipping curve', () => {
  it('of a circuit without memory is the function itself, in both directions', () => {
    const limiter = (x: number) => 4.5 + Math.max(-0.5, Math.min(0.4, 3 * x));
    const { inputV, risingV, fallingV } = clippingCurve(recorded(440, limiter), 'out');
    expect(inputV).toHaveLength(481);
    expect(inputV[0]).toBeCloseTo(-1, 12);
    expect(inputV[240]).toBeCloseTo(0, 12);
    expect(inputV.at(-1)).toBeCloseTo(1, 12);
    for (const [n, x] of inputV.entries()) {
      expect(risingV[n]).toBeCloseTo(limiter(x) - 4.5, 10);
      expect(fallingV[n]).toBeCloseTo(limiter(x) - 4.5, 10);
    }
  });

  it('of an RC low-pass is an ellipse, whose half height at zero input is the gain times the sine of its phase', () => {
    for (const hz of [200, 1000, 3000]) {
      const { inputV, risingV, fallingV } = clippingCurve(steadySine(RC, { hz, peakV: 1 }, ['out']), 'out');
      const middle = (inputV.length - 1) / 2;
      // |H|·sin φ = (f/f_c)/(1 + (f/f_c)²), below zero while the input rises, above while it falls.
      const half = hz / 1000 / (1 + (hz / 1000) ** 2);
      expect(risingV[middle], `${hz}`).toBeCloseTo(-half, 3);
      expect(fallingV[middle], `${hz}`).toBeCloseTo(half, 3);
      expect(risingV.at(-1)).toBe(fallingV.at(-1));
    }
  });
});

describe('swing limits', () => {
  const BJT = { saturationCurrentA: 5.911e-15, forwardBeta: 300, reverseBeta: 1.3, earlyV: 62 };
  const OPAMP: OpampData = {
    gainBandwidthHz: 3e6,
    slewVPerS: 1.7e6,
    openLoopGain: 1e5,
    headroomHighV: 1,
    headroomLowV: 1.5,
    inputBiasA: 0,
    quiescentA: 1e-3,
  };

  /** A follower from 4.5 V with 10 kΩ, and a load behind a capacitor that is a short circuit at 1 kHz. */
  const follower = (loadOhms: number) =>
    network([
      source('vcc', 9),
      source('bias', 4.5),
      capacitor('C1', 'in', 'base', 100e-6),
      resistor('R1', 'base', 'bias', 100_000),
      bipolar('npn', 'Q1', ['vcc', 'base', 'emitter'], BJT),
      resistor('R2', 'emitter', GROUND, 10_000),
      capacitor('C2', 'emitter', 'out', 100e-6),
      resistor('R3', 'out', GROUND, loadOhms),
    ]);

  it('of an op-amp are its supply pins at rest, less its headroom', () => {
    const circuit = network([
      source('high', 9),
      source('low', -9),
      opamp('U1', ['in', 'out', 'out', 'high', 'low'], OPAMP),
      resistor('R1', 'out', GROUND, 10_000),
    ]);
    const [limit] = swingLimits(circuit, 1000);
    expect(limit).toMatchObject({ ref: 'U1', net: 'out', highV: 8, lowV: -7.5 });
  });

  it.each([10_000, 2000])('of a follower end where the load takes all its current: %d Ω', (loadOhms) => {
    const [limit] = swingLimits(follower(loadOhms), 1000);
    const { restV, highV, lowV } = limit!;
    expect(highV).toBeCloseTo(8.8, 6);
    // When the follower is cut off, the coupling capacitor keeps its charge, so the load pulls the emitter down by a
    // divider: v = V − (V/R_E)·(R_E ∥ R_L) = V·R_E/(R_E + R_L). A reactance of 1.6 Ω compared with kilohms: 1e-6.
    expect(lowV).toBeCloseTo((restV * 10_000) / (10_000 + loadOhms), 4);
  });

  it('of a follower are where a too large sine stops', () => {
    const circuit = follower(5000);
    const [limit] = swingLimits(circuit, 1000);
    const emitter = steadySine(circuit, { hz: 1000, peakV: 2 }, ['emitter']).volts.get('emitter')!;
    // The charge of the capacitors follows the clipped mean by tens of millivolts.
    expect(Math.abs(Math.min(...emitter) - limit!.lowV)).toBeLessThan(0.15);
    expect(Math.max(...emitter)).toBeLessThan(limit!.highV);
  });
});
