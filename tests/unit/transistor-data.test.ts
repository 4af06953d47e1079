import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import { bipolarPrimitives } from '../../engine/parts/bipolar-primitives.ts';
import { BIPOLAR_TRANSISTORS } from '../../engine/parts/bipolar-transistors.ts';
import { findBjt, findFet } from '../../engine/parts/catalogue.ts';
import type { DatasheetPoint } from '../../engine/parts/catalogue-entry.ts';
import { FIELD_EFFECT_TRANSISTORS } from '../../engine/parts/field-effect-transistors.ts';
import { modelFigure } from '../../engine/parts/type-figure.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { bipolar, network, resistor, source } from './small-networks.ts';

/** V_BE in the active region, V_T·ln(I_C/I_S), without the Early effect. */
const baseEmitterV = (type: string, collectorA: number) =>
  thermalVoltage(NOMINAL_TEMPERATURE_K) * Math.log(collectorA / findBjt(type).data.saturationCurrentA);

const saturatedDrainA = (type: string) => {
  const { betaAPerV2, thresholdV } = findFet(type).data;
  return betaAPerV2 * thresholdV ** 2;
};

describe('bipolar transistor data', () => {
  it.each([
    // Published cards (IS, BF, VAF).
    ['2N3906', 1.41e-15, 180.7, 18.7], // from memory
  ])('of %s is the published card', (type, saturation, gain, early) => {
    const { data } = findBjt(type);
    expect([data.saturationCurrentA, data.forwardBeta, data.earlyV]).toEqual([saturation, gain, early]);
  });

  it.each([
    ['2N5088', 5.911e-15, 62.37],
    ['MPSA18', 20.3e-15, 120],
    ['2N3904', 1e-14, 100],
    ['BC549C', 7.049e-15, 23.89],
    ['BC547B', 23.9e-15, 63.2], // from memory
    ['2N2222', 14.34e-15, 74.03], // from memory
  ])('of %s is the published card but for the gain', (type, saturation, early) => {
    const { data } = findBjt(type);
    expect([data.saturationCurrentA, data.earlyV]).toEqual([saturation, early]);
  });

  it('of 2SC1815 does not use the implausible Early voltage of its card, and says so', () => {
    const { data, dataSource } = findBjt('2SC1815');
    expect([data.saturationCurrentA, data.forwardBeta]).toEqual([2.04e-15, 280]);
    expect(data.earlyV).toBeGreaterThan(20);
    expect(dataSource).toMatch(/6 V is implausible/);
  });

  it.each([
    ['2N3904', 100, 300], // MCC: 10 mA
    ['2N5088', 350, 900], // onsemi: 300 to 900 at 100 µA, at least 350 at 1 mA
    ['BC549C', 420, 800], // FCI BC546 to BC550: 2 mA
    ['MPSA18', 500, 1500], // Motorola, from memory: 10 mA
    ['2SC1815', 200, 400], // Toshiba 2003-03-27, rank GR: 2 mA
    ['BC547B', 200, 450], // FCI BC546 to BC550: 2 mA
    ['BC108', 110, 800], // Philips, from memory: 2 mA
    ['2N2222', 100, 300], // Motorola, from memory: 150 mA
    ['2N3906', 100, 300], // Motorola, from memory: 10 mA
  ])('of %s has a current gain between %d and %d', (type, least, most) => {
    const { forwardBeta } = findBjt(type).data;
    expect(forwardBeta).toBeGreaterThanOrEqual(least);
    expect(forwardBeta).toBeLessThanOrEqual(most);
  });

  it('of BC549C has 0.58 to 0.70 V from base to emitter at 2 mA (FCI BC546 to BC550)', () => {
    expect(baseEmitterV('BC549C', 2e-3)).toBeGreaterThan(0.58);
    expect(baseEmitterV('BC549C', 2e-3)).toBeLessThan(0.7);
  });

  it('of BC547B has 0.58 to 0.70 V from base to emitter at 2 mA (FCI BC546 to BC550)', () => {
    expect(baseEmitterV('BC547B', 2e-3)).toBeGreaterThan(0.58);
    expect(baseEmitterV('BC547B', 2e-3)).toBeLessThan(0.7);
  });

  it('of germanium AC128 has a much smaller base voltage than silicon', () => {
    // About 0.14 V at 1 mA, compared with 0.66 V.
    expect(baseEmitterV('AC128', 1e-3)).toBeLessThan(0.2);
    expect(baseEmitterV('2N3904', 1e-3)).toBeGreaterThan(0.6);
  });
});

describe('current gain at the current of use, 0.35 mA', () => {
  it('of 2N5088 is what the printed card gives beside its leakage', () => {
    // 1/β = 1/BF + (ISE/IS)·(I/IS)^(1/NE − 1) with BF 1122, ISE = IS = 5.911 fA, NE 1.394, printed in Fairchild's sheet;
    // then the Early effect at 5 V, VAF 62.37.
    const atUse = 1 / (1 / 1122 + (0.35e-3 / 5.911e-15) ** (1 / 1.394 - 1));
    expect(findBjt('2N5088').data.forwardBeta / (atUse * (1 + 4.4 / 62.37))).toBeCloseTo(1, 1);
  });

  it.each([
    // Typical gains of the sheets at two currents around it (onsemi MPSA18; Motorola BC549B/D).
    ['MPSA18', [0.1e-3, 850], [1e-3, 1100]],
    ['BC549C', [10e-6, 270], [2e-3, 500]],
  ] as const)(
    'of %s follows 1/β = 1/β0 + c/√I between the sheet’s figures',
    (type, [lowA, low], [highA, high]) => {
      const c = (1 / low - 1 / high) / (lowA ** -0.5 - highA ** -0.5);
      const atUse = 1 / (1 / high + c * (0.35e-3 ** -0.5 - highA ** -0.5));
      // Rounded to 10 or 20.
      expect(Math.abs(findBjt(type).data.forwardBeta / atUse - 1)).toBeLessThan(0.02);
    },
  );

  it('of a germanium piece is that of its measured model with its leakage', () => {
    // Computed by tests/reference/germanium_junctions.py: base currents of 14.5 µA (AC128, 1 mA) and 2.0 µA (OC44, 0.35 mA).
    const baseA = (type: string, collectorA: number) => {
      const { forwardBeta, saturationCurrentA, reverseBeta, collectorLeak } = findBjt(type).data;
      return collectorA / forwardBeta - saturationCurrentA / reverseBeta - collectorLeak!.saturationA;
    };
    expect(baseA('OC44', 0.35e-3) / 2.008e-6).toBeCloseTo(1, 1);
    // Without its Early effect, 1.22 at 4.5 V, which raises the collector current by as much.
    expect(baseA('AC128', 1e-3 / 1.22) / 14.48e-6).toBeGreaterThan(0.8);
    expect(baseA('AC128', 1e-3 / 1.22) / 14.48e-6).toBeLessThan(1.25);
  });
});

describe('a saturated transistor', () => {
  it.each([
    // V_CE(sat) at 10 mA with 1 mA into the base: 2N3904 0.2 V, 2N5088 0.5 V, 2N3906 0.25 V at most; from memory of the sheets.
    ['2N3904', 0.2],
    ['2N5088', 0.5],
    ['2N3906', 0.25],
    ['BC549C', 0.25],
  ] as const)(
    'has less than its sheet allows from collector to emitter, without a collector resistance: %s',
    (type, mostV) => {
      const entry = findBjt(type);
      const { kind, data } = { ...entry, data: { ...entry.data, earlyV: 1e9 } };
      const sign = kind === 'npn' ? 1 : -1;
      const { volts } = operatingPoint(
        network([
          source('top', sign * 9),
          resistor('RB', 'top', 'b', 8.3e3),
          resistor('RC', 'top', 'c', 895),
          bipolar(kind, 'Q1', ['c', 'b', GROUND], data),
        ]),
      );
      const [b, c] = [sign * volts.get('b')!, sign * volts.get('c')!];
      const forced = (9 - c) / 895 / ((9 - b) / 8.3e3);
      // Closed form: Sedra & Smith, saturation of the Ebers-Moll model, from memory.
      const { forwardBeta, reverseBeta } = data;
      const expectedV =
        thermalVoltage(NOMINAL_TEMPERATURE_K) *
        Math.log((1 + (1 + forced) / reverseBeta) / (1 - forced / forwardBeta));
      expect(c / expectedV).toBeCloseTo(1, 3);
      expect(c).toBeLessThan(mostV);
    },
  );
});

describe('base resistance', () => {
  const nodes: [string, string, string] = ['c', 'b', GROUND];

  it('lies ahead of the base of a stage, and not of a follower', () => {
    const entry = findBjt('2N5088');
    const ofStage = bipolarPrimitives(entry, 'Q1', nodes, () => false);
    expect(ofStage).toContainEqual(expect.objectContaining({ kind: 'resistor', ohms: 300 }));
    const ofFollower = bipolarPrimitives(entry, 'Q1', nodes, (node) => node === 'c');
    expect(ofFollower).toEqual([expect.objectContaining({ kind: 'npn', noiseBaseOhms: 300 })]);
  });

  it('limits the base current of a stage that a low impedance drives', () => {
    // 0.9 V at the base: what the junction leaves is across 300 Ω.
    const entry = findBjt('2N5088');
    const driven = network([
      source('b', 0.9),
      source('top', 9),
      resistor('RC', 'top', 'c', 10e3),
      ...bipolarPrimitives(entry, 'Q1', nodes, () => false),
    ]);
    const { volts } = operatingPoint(driven);
    const inside = volts.get('Q1 base')!;
    const baseA = (0.9 - inside) / 300;
    const { saturationCurrentA, forwardBeta, reverseBeta } = entry.data;
    const VT = thermalVoltage(NOMINAL_TEMPERATURE_K);
    const expectedA =
      (saturationCurrentA * Math.expm1(inside / VT)) / forwardBeta +
      (saturationCurrentA * Math.expm1((inside - volts.get('c')!) / VT)) / reverseBeta;
    expect(baseA / expectedA).toBeCloseTo(1, 6);
    expect(baseA).toBeGreaterThan(0.3e-3);
    expect(baseA).toBeLessThan(1e-3);
  });
});

describe('a Darlington', () => {
  it('has the gain of two transistors, and twice the voltage of one', () => {
    const entry = findBjt('MPSA13');
    // MCC MPSA13: 10,000 at least at 100 mA; V_BE 2 V at most.
    expect(modelFigure(entry, { quantity: 'currentGain', at: {} })).toBe(101 * 101 - 1);
    const nodes: [string, string, string] = ['top', 'base', GROUND];
    const circuit = network([
      source('top', 9),
      resistor('R1', 'top', 'base', 1e6),
      ...bipolarPrimitives(entry, 'Q1', nodes, () => false),
    ]);
    const { volts } = operatingPoint(circuit);
    const baseA = (9 - volts.get('base')!) / 1e6;
    const collectorA = baseA * 10200;
    const expected = modelFigure(entry, { quantity: 'baseEmitterV', at: { collectorA } })!;
    // The Early effect of both, 1.09, is left out of the closed form: 2 × 2 mV.
    expect(Math.abs(volts.get('base')! - expected)).toBeLessThan(5e-3);
  });
});

describe('a Darlington as a follower', () => {
  it.each(['Q1', 'Q2'])('can be solved sample by sample: %s', (ref) => {
    const build = withPart(presetBuild('soft-plain'), ref, { type: 'MPSA13' });
    const circuit = compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), { sampleRateHz: 192_000 });
    const simulator = new CircuitSimulator(circuit);
    const output = new Float64Array(1920);
    const input = output.map((_, sample) => 0.1 * Math.sin((2 * Math.PI * 440 * sample) / 192_000));
    simulator.process(input, output, output.length);
    expect(simulator.failures).toBe(0);
    expect(Math.max(...output)).toBeGreaterThan(0.01);
  });
});

describe('field-effect transistor data', () => {
  it.each([
    // Published cards (beta, Vto, lambda) and IDSS = beta·Vto², calculated outside the project.
    ['J201', 1.621e-3, -0.6, 2.236e-3, 0.5836e-3],
    ['2N5952', 1.314e-3, -2.021, 4e-3, 5.367e-3],
  ])('of %s is the published card', (type, beta, threshold, lambda, drainA) => {
    const { data } = findFet(type);
    expect([data.betaAPerV2, data.thresholdV, data.lambdaPerV]).toEqual([beta, threshold, lambda]);
    // Four figures are published.
    expect(saturatedDrainA(type) / drainA).toBeCloseTo(1, 3);
  });

  it('of J201 lies within Vishay 70233 rev G', () => {
    const { betaAPerV2, thresholdV } = findFet('J201').data;
    expect(thresholdV).toBeGreaterThanOrEqual(-1.5);
    expect(thresholdV).toBeLessThanOrEqual(-0.3);
    expect(saturatedDrainA('J201')).toBeGreaterThanOrEqual(0.2e-3);
    // g_m at V_GS = 0 is 2·β·|V_to|.
    expect(-2 * betaAPerV2 * thresholdV).toBeGreaterThanOrEqual(0.5e-3);
  });

  it('of 2N5457 lies within onsemi 2N5457/D rev 3', () => {
    expect(saturatedDrainA('2N5457')).toBeGreaterThanOrEqual(1e-3);
    expect(saturatedDrainA('2N5457')).toBeLessThanOrEqual(5e-3);
    expect(findFet('2N5457').data.thresholdV).toBeGreaterThanOrEqual(-6);
  });

  it('of 2N5457 has the typical current and transconductance of onsemi 2N5457/D rev 3, 3 mA and 3 mS', () => {
    const { betaAPerV2, thresholdV } = findFet('2N5457').data;
    expect(saturatedDrainA('2N5457')).toBeCloseTo(3e-3, 9);
    expect(-2 * betaAPerV2 * thresholdV).toBeCloseTo(3e-3, 9);
  });

  it('of 2N7000 has the square-law constants of MIT, with half of K because the square law here has no factor of one half', () => {
    // "Jeff Lang's model of a 2N7000": K 0.138 A/V², threshold 2.0 V.
    const { data, bodyDiode } = findFet('2N7000');
    expect([2 * data.betaAPerV2, data.thresholdV]).toEqual([0.138, 2]);
    expect([bodyDiode?.saturationCurrentA, bodyDiode?.zeroBiasCapacitanceF]).toEqual([0.04e-12, 50e-12]);
    // Vishay 70226 rev F: V_GS(th) 0.8 to 3 V, here at 1 mA.
    const gateV = data.thresholdV + Math.sqrt(1e-3 / data.betaAPerV2);
    expect(gateV).toBeGreaterThan(0.8);
    expect(gateV).toBeLessThan(3);
  });

  it.each([
    // Published cards from memory (beta, Vto, lambda), and IDSS at 15 V, calculated outside the project.
    ['J113', 9.109e-3, -1.382, 9.5e-3, 19.876e-3],
    ['BF245A', 1.16621e-3, -1.7372, 17.7211e-3, 4.455e-3],
    ['BF245B', 1.09045e-3, -2.3085, 23.1754e-3, 7.832e-3],
  ])('of %s is the published card, as remembered', (type, beta, threshold, lambda, drainA) => {
    const { data } = findFet(type);
    expect([data.betaAPerV2, data.thresholdV, data.lambdaPerV]).toEqual([beta, threshold, lambda]);
    expect((saturatedDrainA(type) * (1 + 15 * lambda)) / drainA).toBeCloseTo(1, 3);
  });

  it('of BF245B lists the transconductance, which the card meets only with its own source resistance', () => {
    const { data, knownMisses } = findFet('BF245B');
    const [miss] = knownMisses;
    const transconductanceS = -2 * data.betaAPerV2 * data.thresholdV * (1 + 15 * data.lambdaPerV);
    expect(transconductanceS / miss!.dataGives).toBeCloseTo(1, 3);
    // 7.8 ohm in the source, from memory of the card: g/(1 + g·R_S) is within the 6.5 mS of the sheet.
    expect(transconductanceS / (1 + transconductanceS * 7.8)).toBeLessThan(miss!.sheetSays);
  });

  it('of 2N5484 is in the middle of its limits, 1 to 5 mA and 3 to 6 mS (from memory)', () => {
    // Geometric means: √5 = 2.236 mA, √18 = 4.243 mS. The data has three figures.
    const { betaAPerV2, thresholdV } = findFet('2N5484').data;
    expect(saturatedDrainA('2N5484') / 2.236e-3).toBeCloseTo(1, 2);
    expect((-2 * betaAPerV2 * thresholdV) / 4.243e-3).toBeCloseTo(1, 2);
  });

  it('of 2N7000 has about an ohm when fully on', () => {
    // r_DS(on) = 1/(2·β·u) at V_GS = 10 V, without 0.75 Ω in series: typically 1 to 2 Ω, from memory.
    const { betaAPerV2, thresholdV } = findFet('2N7000').data;
    const onOhms = 1 / (2 * betaAPerV2 * (10 - thresholdV)) + 0.75;
    expect(onOhms).toBeGreaterThan(1);
    expect(onOhms).toBeLessThan(2);
  });
});

describe('transistor data', () => {
  it('meets every limit of its datasheets except the listed misses', () => {
    for (const entry of [...BIPOLAR_TRANSISTORS, ...FIELD_EFFECT_TRANSISTORS]) {
      const missed = entry.limits.filter((point) => !meets(modelFigure(entry, point)!, point));
      expect(
        missed.map(({ quantity }) => quantity),
        entry.type,
      ).toEqual(entry.knownMisses.map(({ quantity }) => quantity));
    }
  });

  it('names a source for itself and for every limit', () => {
    for (const { dataSource, limits } of [...BIPOLAR_TRANSISTORS, ...FIELD_EFFECT_TRANSISTORS]) {
      for (const source of [dataSource, ...limits.map((point) => point.source)]) expect(source).not.toBe('');
    }
  });
});

/** Typical figures of transistors are not limits here: single parts differ by a factor of two. */
function meets(value: number, { minimum, maximum }: DatasheetPoint): boolean {
  return (minimum === undefined || value >= minimum) && (maximum === undefined || value <= maximum);
}
