import { describe, expect, it } from 'vitest';
import { buildWarnings } from '../../engine/analysis/build-warnings.ts';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { withLeakage, withLeakingCapacitors } from '../../engine/builds/leakage.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { USUAL_OUTPUT_LOAD, withOutputLoad } from '../../engine/builds/output-load.ts';
import { ofPart, ofPiece } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Capacitor, Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { bypassBuild } from '../bypass-parts.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const withParts = (parts: Readonly<Record<string, PartSetting>>): Build => ({
  ...soft,
  parts: { ...soft.parts, ...parts },
});
const OPEN: PartSetting = { value: '100k', fit: 'open' };
const at27 = (build: Build) => networkOf(build, NOMINAL_TEMPERATURE_K);
const compiled = (network: Network) => compileCircuit(network, { sampleRateHz: 48_000 });
const voltsOf = (network: Network, net: string) =>
  voltageChart(network).nets.find((each) => each.net === net)!.volts;

describe('an output without a pull-down', () => {
  it('is played: the leakage of its jack holds it at ground, alone and with an amplifier after it', () => {
    const open = at27(withParts({ R14: OPEN }));
    for (const network of [open, withOutputLoad(open, USUAL_OUTPUT_LOAD)]) {
      const simulator = new CircuitSimulator(compiled(network));
      const output = new Float64Array(480);
      simulator.process(new Float64Array(480), output, 480);
      expect(Math.max(...output.map(Math.abs))).toBeLessThan(1e-6);
    }
  });

  it('is held at ground too where its capacitor is one that leaks', () => {
    const open = at27(withParts({ R14: OPEN, C9: { value: '10u', dielectric: 'electrolytic' } }));
    expect(Math.abs(voltsOf(open, 'out'))).toBeLessThan(1e-6);
  });

  it('has a warning with the voltage to which leakage charges it', () => {
    const [warning, ...others] = buildWarnings(withParts({ R14: OPEN }), NOMINAL_TEMPERATURE_K);
    // By hand: 10 µF electrolytic of 0.01·C·V leaks as 10 MΩ does, the jack has 100 MΩ.
    const chargedV = (voltsOf(at27(soft), 'output emitter') * 100) / 110;
    expect(chargedV).toBeGreaterThan(3);
    expect(others).toEqual([]);
    expect(warning!.ref).toBe('R14');
    const said = Number(/charges it to ([\d.]+) V at most/.exec(warning!.message)?.[1]);
    // The bias is a little lower with the leakage of its own capacitor.
    expect(said / chargedV).toBeCloseTo(1, 2);
    expect(buildWarnings(soft, NOMINAL_TEMPERATURE_K)).toEqual([]);
  });

  it('of a buffered bypass has a warning too, at the pull-down of its own', () => {
    const [warning, ...others] = buildWarnings(
      bypassBuild('buffered', { R101: OPEN }),
      NOMINAL_TEMPERATURE_K,
    );
    expect(others).toEqual([]);
    expect(warning).toMatchObject({
      ref: 'R101',
      message: expect.stringMatching(/pops when the pedal is bypassed/),
    });
  });

  it('pops with transistors as switches when a cable is plugged in', () => {
    const build = bypassBuild('transistor-switched', { R14: OPEN });
    const [warning, ...others] = buildWarnings(build, NOMINAL_TEMPERATURE_K);
    expect(others).toEqual([]);
    expect(warning).toMatchObject({
      ref: 'R14',
      message: expect.stringMatching(/when a cable is plugged in/),
    });
  });

  it('that is joined to nothing is refused', () => {
    const parts = { R14: OPEN, R18: { value: '100R', fit: 'open' as const } };
    expect(() => compiled(at27(withParts(parts)))).toThrow(/connected to the output/);
  });
});

describe('a net without a DC path', () => {
  it('between two capacitors is where their leakage divides the voltage', () => {
    // The potentiometer without the lower half of its track: the net between C7 and C8.
    const whole = at27(soft);
    const cut = { ...whole, primitives: whole.primitives.filter(({ ref }) => ref !== 'VR3 ccw') };
    expect(() => compiled(cut)).toThrow(/no DC path/);
    const network = withLeakage(cut, soft);
    // By hand: film of 1 µF with 1250 Ω·F, and of 100 nF with at least 10 GΩ.
    const [fromC7, fromC8] = [1 / 1.25e9, 1 / 10e9];
    const [toned, base] = [voltsOf(network, 'toned'), voltsOf(network, 'output base')];
    const wanted = (toned * fromC7 + base * fromC8) / (fromC7 + fromC8);
    expect(voltsOf(network, 'level') / wanted).toBeCloseTo(1, 6);
  });

  it('at the input of an op-amp is refused: its current decides, not the leakage', () => {
    expect(() => compiled(at27(withParts({ R5: { value: '10k', fit: 'open' } })))).toThrow(
      /gain input has no DC path/,
    );
  });
});

describe('a network with all that leaks', () => {
  it('has leakage through each capacitor that is a part, and none through the capacitances of a transistor', () => {
    const base: Capacitor = {
      kind: 'capacitor',
      ...ofPiece(ofPart('Q1'), 'collector to base'),
      nodes: ['supply', 'base'],
      farads: 4e-12,
    };
    const network = at27(soft);
    const { primitives } = withLeakingCapacitors(
      { ...network, primitives: [...network.primitives, base] },
      soft,
    );
    const leaking = primitives.flatMap(({ origin }) =>
      origin.piece?.endsWith('leakage') ? [origin.ref] : [],
    );
    expect(leaking).toContain('C2');
    expect(leaking).not.toContain('Q1');
  });
});
