import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { netsOf, networkOf } from '../../engine/builds/network-of-build.ts';
import { figureCondition, figureValue, withPart } from '../../engine/builds/part-figures.ts';
import { circuitDocument, parseCircuit } from '../../engine/circuits/circuit-file.ts';
import type { PartFigure } from '../../engine/circuits/part-figure.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { findOpamp } from '../../engine/parts/catalogue.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');

function figure(build: Build, name: string): PartFigure {
  const found = build.circuit.figures.find((each) => each.name === name);
  if (!found) throw new Error(`there is no figure "${name}"`);
  return found;
}
const numberOf = (build: Build, name: string) =>
  figureValue(build, figure(build, name), NOMINAL_TEMPERATURE_K);
const withParts = (build: Build, parts: Readonly<Record<string, PartSetting>>): Build => ({
  ...build,
  parts: { ...build.parts, ...parts },
});
const networkAt = (build: Build): Network => networkOf(build, NOMINAL_TEMPERATURE_K);

/** The zero of a falling function between two frequencies, by bisection. */
function zeroOf(f: (hz: number) => number, from: number, to: number): number {
  let [low, high] = [from, to];
  for (let halving = 0; halving < 60; halving++) {
    const middle = Math.sqrt(low * high);
    if (f(middle) > 0) low = middle;
    else high = middle;
  }
  return low;
}

/** Relative difference. */
const off = (value: number, expected: number) => Math.abs(value / expected - 1);

describe('a figure from the network, against the closed form of what is around the part', () => {
  it('has R4 and C3 at 1/(2πRC) while the bias is held: 720 Hz', () => {
    const held = withParts(soft, { C10: { value: '10m' }, C4: { value: '51p', fit: 'open' } });
    const quiet = { ...held, knobs: { ...held.knobs, gain: 0 }, switches: { clipping: 'lifted' } };
    // |1 + (R_f/R_4)·jx/(1 + jx)| is 3 dB under 1 + R_f/R_4 at x² = 1 + 2·(R_4/R_f) − …, here 0.2 % above x = 1;
    // 1 % for what the bias still moves.
    expect(off(numberOf(quiet, 'bass corner of the gain stage'), 720.5)).toBeLessThan(0.01);
  });

  it('has the bass corner of what is clipped at 198 Hz, where R3 and C2 alone have 154: C3 and the knob lie beside C2', () => {
    const level = (hz: number) => {
      // Admittance of C2 beside VR4 (50k and the 2 Ω of its wiper) in series with C3, into R3.
      const omega = 2 * Math.PI * hz;
      const [r, x] = [50e3 + 4, -1 / (omega * 470e-9)];
      const size = r * r + x * x;
      const [g, b] = [r / size, omega * 47e-9 - x / size];
      return Math.hypot(g, b) / Math.hypot(g + 1 / 22e3, b);
    };
    const expected = zeroOf((hz) => Math.SQRT1_2 - level(hz), 50, 1000);
    expect(Math.round(expected)).toBe(198);
    expect(off(numberOf(clean, 'bass corner of what is clipped, bass knob up'), expected)).toBeLessThan(
      0.003,
    );
  });

  it('has the corner into the diodes with the load of the sum: R6 + R7 ∥ R8, three times that of R6 + R7', () => {
    const open = { type: '1N34A', fit: 'open' } as const;
    const bare = withParts(clean, { D1: open, D2: open });
    const ohms = 1000 + 1 / (1 / 47e3 + 1 / 22e3);
    // 2 %, since the bias gives way a little at 10 Hz.
    expect(off(numberOf(bare, 'bass corner into the diodes'), 1 / (2 * Math.PI * ohms * 1e-6))).toBeLessThan(
      0.02,
    );
  });

  it('has the treble corner at full gain with the op-amp’s own bandwidth: H = N/(1 + N·jf/GBW)', () => {
    const gainBandwidthHz = findOpamp('TL072').data.gainBandwidthHz;
    const size = (hz: number, farads: number) => {
      const omega = 2 * Math.PI * hz;
      // N = 1 + Z_f/Z_1, Z_f = R_f ∥ C5, Z_1 = R4 + C4; H = 1/(1/N + jf/GBW).
      const [fRe, fIm] = inverse(1 / (115e3 + 4), omega * farads);
      const [uRe, uIm] = inverse(2200, -1 / (omega * 220e-9));
      const [nRe, nIm] = [1 + fRe * uRe - fIm * uIm, fRe * uIm + fIm * uRe];
      const [re, im] = inverse(nRe, nIm);
      return 1 / Math.hypot(re, im + hz / gainBandwidthHz);
    };
    // The corner of C4 is near, so the passband still rises at that of C5: there the gain without C5 counts.
    const corner = (farads: number, most: number) =>
      zeroOf((hz) => size(hz, farads) - size(hz, 0) * Math.SQRT1_2, 100, most);
    // 1 %, since the bias gives way a little; the diodes lie behind R6 and do not load the feedback.
    expect(off(numberOf(clean, 'treble corner at full gain'), corner(2.7e-9, 2e3))).toBeLessThan(0.01);
    expect(Math.round(corner(2.7e-9, 2e3) / 10)).toBe(52);
    const bright = withPart(clean, 'C5', { value: '100p' });
    expect(off(numberOf(bright, 'treble corner at full gain'), corner(100e-12, 50e3))).toBeLessThan(0.02);
    expect(corner(100e-12, 50e3)).toBeGreaterThan(11e3);
  });

  it('has the gain of a stage with its diodes at rest: a germanium pair takes 10 dB of the highest gain', () => {
    const germanium = withParts(soft, { D1: { type: '1N34A' }, D2: { type: '1N34A' } });
    const open = { type: '1N34A', fit: 'open' } as const;
    const bare = withParts(soft, { D1: open, D2: open });
    // 1 + 551k/4k7 is 41.5 dB; C3 and C4 leave less between them: at √(720·5663) Hz each takes 0.5 dB.
    expect(numberOf(bare, 'highest gain')).toBeGreaterThan(39.5);
    expect(numberOf(bare, 'highest gain')).toBeLessThan(41.5);
    expect(numberOf(germanium, 'highest gain')).toBeLessThan(numberOf(bare, 'highest gain') - 6);
  });

  it('has the load on the pickup as a source with that resistance feels it: half of the voltage', () => {
    for (const build of [soft, clean]) {
      const ohms = numberOf(build, 'load on the pickup at 1 kHz');
      const network = networkAt(build);
      const before: Network = {
        ...network,
        input: 'source',
        primitives: [
          { kind: 'resistor', ...ofPart('R99'), nodes: ['source', 'in'], ohms },
          ...network.primitives,
        ],
      };
      // Half is −6.02 dB for a pure resistance; C1 and the transistor's base turn its phase a little.
      expect(Math.abs(new FrequencyResponse(before).at(1000, 'in').decibels + 6.02)).toBeLessThan(0.05);
    }
  });

  it('has the load of a later stage as the stage before it feels it, without what stands before', () => {
    const build = presetBuild('cascade-plain');
    const load = build.circuit.figures.find(({ name }) => name === 'load on the source at 1 kHz (recovery)')!;
    if (load.formula !== 'parallel resistance') throw new Error('the load is no resistance');
    const own = build.circuit.stages.find(({ parts }) => load.seenAt!.split('.')[0]! in parts)!;
    const network = networkAt(build);
    const start = netsOf(build)(load.seenAt!);
    // A resistor of that size between the two stages: half of the voltage is left behind it.
    const moved = network.primitives.map((each) =>
      each.origin.ref in own.parts
        ? ({
            ...each,
            nodes: each.nodes.map((node) => (node === start ? 'behind' : node)),
          } as unknown as Primitive)
        : each,
    );
    const ohms = figureValue(build, load, NOMINAL_TEMPERATURE_K);
    const between: Primitive = { kind: 'resistor', ...ofPart('R99'), nodes: [start, 'behind'], ohms };
    const response = new FrequencyResponse({ ...network, primitives: [between, ...moved] });
    const fall = response.at(1000, start).decibels - response.at(1000, 'behind').decibels;
    expect(Math.abs(fall - 6.02)).toBeLessThan(0.05);
  });

  it('has the corner of a low-pass with the resistance before it and the load after it: 5.2 kHz and 720 Hz', () => {
    const hard = presetBuild('hard-plain');
    // The 100k of the level knob, 40 % of them beside 1M; each part of a track has 2 Ω of its wiper.
    const [upper, lower] = [68e3, 32e3].map((ohms) => ohms + 2) as [number, number];
    const load = upper + 1 / (1 / lower + 1 / 1e6);
    // R6 and R7 before the low-pass, R8 and what is left of VR2 in it. The diodes at rest are megohms.
    const before = (knob: number) => 1 / (1 / 2200 + 1 / 100e3) + 1000 + knob;
    const expected = (knob: number) => 1 / (2 * Math.PI * 10e-9 * (1 / (1 / before(knob) + 1 / load)));
    expect(off(numberOf(hard, 'corner of the low-pass, tone knob up'), expected(2))).toBeLessThan(0.01);
    expect(off(numberOf(hard, 'corner of the low-pass, tone knob down'), expected(25e3))).toBeLessThan(0.01);
  });

  it('has only the named path in the share of a path: the clean one is R12/R9 and R12/(R9 + VR1B)', () => {
    expect(numberOf(clean, 'largest share of the clean path')).toBeCloseTo(20 * Math.log10(47 / 27), 1);
    expect(numberOf(clean, 'smallest share of the clean path')).toBeCloseTo(20 * Math.log10(47 / 127), 1);
    const jumpered = withPart(clean, 'VR1B', { value: '100k', law: 'linear', fit: 'bridged' });
    expect(numberOf(jumpered, 'smallest share of the clean path')).toBeCloseTo(20 * Math.log10(47 / 27), 1);
  });

  it('has the bias at the divider less what the stages take from it', () => {
    const rest = new Map([...Object.entries({ soft, clean })]);
    for (const build of rest.values()) {
      const bias = numberOf(build, 'bias');
      expect(bias).toBeGreaterThan(4.3);
      expect(bias).toBeLessThan(4.5);
    }
    expect(numberOf(withPart(soft, 'R16', { value: '10k', fit: 'bridged' }), 'bias')).toBe(0);
  });
});

interface SolvedCorner {
  readonly preset: string;
  readonly figure: string;
  readonly hz: number;
}
const SOLVED: { readonly corners: readonly SolvedCorner[] } = JSON.parse(
  readFileSync(new URL('../reference/vectors/figures.json', import.meta.url), 'utf8'),
);

describe('a cutoff frequency from the network, against hand-written equations solved with NumPy and SciPy', () => {
  // tests/reference/figures.py; 0.4 %, since the vectors have other device data than the catalogue now.
  it.each(SOLVED.corners)('$preset: $figure is $hz Hz', ({ preset, figure: name, hz }) => {
    expect(off(numberOf(presetBuild(preset), name), hz)).toBeLessThan(4e-3);
  });
});

describe('a figure of a circuit of one’s own', () => {
  const document = () => JSON.parse(JSON.stringify(circuitDocument(soft.circuit)));
  const problemsAfter = (change: (document: ReturnType<typeof JSON.parse>) => void) => {
    const changed = document();
    change(changed);
    return (parseCircuit(changed).problems ?? []).map(({ code, place, problem }) => ({
      code,
      place,
      problem,
    }));
  };

  it('comes from its parts alone where the circuit names no nets, and says so', () => {
    const corner = figure(soft, 'bass corner of the input');
    const { transfer: _transfer, ...alone } = corner as PartFigure & { transfer?: unknown };
    // 1/(2π·510k·22n)
    expect(figureValue(soft, alone as PartFigure, NOMINAL_TEMPERATURE_K)).toBeCloseTo(14.185, 2);
    expect(figureCondition(alone as PartFigure, NOMINAL_TEMPERATURE_K)).toBe(' (these parts alone)');
    expect(figureCondition(corner, NOMINAL_TEMPERATURE_K)).toBe('');
    expect(numberOf(soft, 'bass corner of the input')).toBeGreaterThan(15.5);
  });

  it('is refused at a net, a knob or a resistor that the circuit does not have, with its name', () => {
    expect(problemsAfter((each) => (each.figures[1].transfer.to = 'nowhere'))).toEqual([
      {
        code: 'figure-net',
        place: 'figures[1].transfer.to',
        problem:
          'The figure "bass corner of the input" is measured at "nowhere", which is no net and no pin of the circuit.',
      },
    ]);
    expect(problemsAfter((each) => (each.figures[1].transfer.knobs = { drive: 1 }))[0]).toMatchObject({
      code: 'figure-knob',
      place: 'figures[1].transfer.knobs',
    });
    expect(problemsAfter((each) => (each.figures[5].transfer.through = ['C3']))[0]).toMatchObject({
      code: 'figure-part',
      place: 'figures[5].transfer.through',
    });
    expect(problemsAfter((each) => (each.figures[0].seenAt = 'R99.1'))[0]).toMatchObject({
      code: 'figure-net',
      place: 'figures[0].seenAt',
    });
  });

  it('is taken where the circuit does say so, at a pin too', () => {
    expect(problemsAfter((each) => (each.figures[1].transfer.to = 'C1.2'))).toEqual([]);
  });
});

function inverse(re: number, im: number): readonly [number, number] {
  const size = re * re + im * im;
  return [re / size, -im / size];
}
