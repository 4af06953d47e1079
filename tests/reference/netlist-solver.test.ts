import { describe, expect, it } from 'vitest';
import { GROUND } from '../../engine/devices/node.ts';
import { type Netlist, netlistOf } from '../../engine/network/netlist.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { capacitor, network, resistor } from '../unit/small-networks.ts';
import { bandLimit, OUTPUT_RATE_HZ } from './band-limit.ts';
import { errorDb } from './error-db.ts';
import { hasNetlistSolver, NetlistSolver } from './netlist-solver.ts';
import { sampleSignal, signalOf } from './signals.ts';
import { solvedPreset } from './solved-devices.ts';
import { loadPresetVectors } from './vectors.ts';

const FACTOR = 32;

function solved<T>(netlist: Netlist, use: (solver: NetlistSolver) => T): T {
  const solver = new NetlistSolver(netlist);
  try {
    return use(solver);
  } finally {
    solver.close();
  }
}

/** Without a compiler these tests cannot run; other tests still compare with the vectors that this solver made. */
describe.skipIf(!hasNetlistSolver())('the netlist solver in C', () => {
  it('gives the step response of a resistor and a capacitor', () => {
    const circuit = network([resistor('R1', 'in', 'out', 1e3), capacitor('C1', 'out', GROUND, 1e-6)]);
    const rateHz = 48_000;
    const samplesV = new Float64Array(100).fill(1);
    const asked = { samplesV, rateHz, outputRateHz: rateHz, count: samplesV.length };
    const [out] = solved(netlistOf(circuit), (solver) => solver.run(asked, 2)).nets;
    // Only its first step has a corner; 1e-8 is the tolerance.
    for (let n = 1; n < 100; n++)
      expect(Math.abs(out![n]! + Math.expm1(-n / rateHz / 1e-3))).toBeLessThan(1e-7);
  });

  it('gives the means of that step response over each sample', () => {
    const circuit = network([resistor('R1', 'in', 'out', 1e3), capacitor('C1', 'out', GROUND, 1e-6)]);
    const rateHz = 2000;
    const samplesV = new Float64Array(100).fill(1);
    const asked = { samplesV, rateHz, outputRateHz: rateHz, count: 20, areMeans: true };
    const [out] = solved(netlistOf(circuit), (solver) => solver.run(asked, 2)).nets;
    // The mean of exp(-t/τ) over a sample of T around t is exp(-t/τ)·sinh(T/2τ)·2τ/T; here T = τ/2.
    for (let n = 1; n < 20; n++)
      expect(Math.abs(out![n]! - 1 + Math.exp(-n / 2) * Math.sinh(1 / 4) * 4)).toBeLessThan(1e-7);
    // At rest before t = 0, so that only half of the first sample charges.
    expect(Math.abs(out![0]! - (1 / 2 - 2 * -Math.expm1(-1 / 4)))).toBeLessThan(1e-7);
  });

  it.each(['soft-plain', 'clean-plain', 'hard-plain'] as const)(
    'agrees with the hand-written equations of %s',
    (preset) => {
      const { operatingPointV, waves } = loadPresetVectors(preset);
      const netlist = netlistOf(pruneNetwork(solvedPreset(preset)));
      solved(netlist, (solver) => {
        const rest = solver.rest();
        for (const [node, volts] of Object.entries(operatingPointV))
          if (rest[node] !== undefined) expect(Math.abs(rest[node] - volts), node).toBeLessThan(1e-9);
        const wave = waves.find(({ name }) => name === 'plucked-1V')!;
        const rateHz = OUTPUT_RATE_HZ * FACTOR;
        const samplesV = sampleSignal(signalOf(wave.input), rateHz, wave.durationSeconds);
        const { nets } = solver.run({ samplesV, rateHz, outputRateHz: rateHz, count: samplesV.length }, 1);
        // The limit leaves ten decibels for the vectors, which are good to about -150 dB.
        expect(errorDb(bandLimit(nets[0]!, FACTOR), wave.outputV)).toBeLessThan(-140);
      });
    },
  );

  it('refuses an unknown number, so that no term of a device is overlooked', () => {
    const { parts, ...rest } = netlistOf(
      network([resistor('R1', 'in', 'out', 1e3), resistor('R2', 'out', GROUND, 1e3)]),
    );
    const netlist = { ...rest, parts: parts.map((part) => ({ ...part, tunnelV: 0.1 })) };
    expect(() => solved(netlist, (solver) => solver.rest())).toThrow('R1: a resistor with tunnelV');
  });
});
