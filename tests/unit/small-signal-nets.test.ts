import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { capacitor, inductor, network, opamp, resistor, source } from './small-networks.ts';

const RATE_HZ = 8 * 48_000;
const SETTLE_SECONDS = 0.2;
const MEASURE_SECONDS = 0.2;
/**
 * Some op-amps drive nanoamperes at rest. Where the sign of that current changes, another supply pin carries it: for
 * the supply, larger signals are not small.
 */
const PEAK_V = 1e-9;
/** The rounding of a supply of 9 V (1e-15 V), relative to a sine of that size. */
const LEAST_GAIN = 1e-5;
/** The rounding of a voltage from 8 to 16 V, such as a supply. A rail adds up its changes: those below half of it are lost. */
const RAIL_ROUNDING_V = 8 * Number.EPSILON;
/** Least gain to a rail at a frequency: its change in one sample is then above half the rounding. */
const leastRailGain = (hz: number) => RAIL_ROUNDING_V / 2 / (PEAK_V * ((2 * Math.PI * hz) / RATE_HZ));

/** Gain from the input to every net, measured with a small sine while the circuit runs. */
function transientGains(network: Network, hz: number): ReadonlyMap<string, readonly [number, number]> {
  const { nodeNames } = compileCircuit(network, { sampleRateHz: RATE_HZ, interpreted: true });
  const nets = nodeNames.slice(1);
  const circuit = compileCircuit(network, { sampleRateHz: RATE_HZ, observed: nets });
  const simulator = new CircuitSimulator(circuit);
  const omega = (2 * Math.PI * hz) / RATE_HZ;
  const [settle, measure] = [SETTLE_SECONDS * RATE_HZ, MEASURE_SECONDS * RATE_HZ];
  const sums = nodeNames.map(() => [0, 0] as [number, number]);
  // A rail does not change within a sample; its output already holds the voltage of the next sample.
  const rails = circuit.rails.map(({ node }) => node);
  const volts = new Float64Array(nodeNames.length);
  const sample = new Float64Array(1);
  for (let n = 0; n < settle + measure; n++) {
    sample[0] = PEAK_V * Math.sin(omega * n);
    for (const rail of rails) volts[rail] = simulator.voltage(rail);
    simulator.process(sample, sample, 1);
    if (n < settle) continue;
    // Hann's window: slow drift adds nothing to the sine.
    const weight = (2 * (1 - Math.cos((2 * Math.PI * (n - settle)) / measure))) / measure / PEAK_V;
    const [re, im] = [weight * Math.sin(omega * n), weight * Math.cos(omega * n)];
    for (let node = 1; node < nodeNames.length; node++) {
      if (!rails.includes(node)) volts[node] = simulator.voltage(node);
      const change = volts[node]! - simulator.restVoltage(node);
      sums[node]![0] += re * change;
      sums[node]![1] += im * change;
    }
  }
  return new Map(nodeNames.map((name, node) => [name, sums[node]!] as const).slice(1));
}

describe('the small-signal response', () => {
  it.each(presetNames().flatMap((name) => [440, 5000].map((hz) => [name, hz] as const)))(
    'agrees with a small sine in the running circuit at every net: %s at %d Hz',
    (name, hz) => {
      const network = networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K);
      const response = new FrequencyResponse(network);
      const off: string[] = [];
      for (const [net, [re, im]] of transientGains(network, hz)) {
        const { decibels, phaseDegrees } = response.at(hz, net);
        const gain = 10 ** (decibels / 20);
        const angle = (phaseDegrees * Math.PI) / 180;
        const error = Math.hypot(re - gain * Math.cos(angle), im - gain * Math.sin(angle));
        // 0.05 dB and a third of a degree.
        const least = network.rails.includes(net) ? Math.max(LEAST_GAIN, leastRailGain(hz)) : LEAST_GAIN;
        if (error > 0.006 * gain + least) {
          const found = 20 * Math.log10(Math.hypot(re, im));
          off.push(`${net}: ${decibels.toFixed(2)} dB, running ${found.toFixed(2)} dB`);
        }
      }
      expect(off).toEqual([]);
    },
  );

  it.each(['inductor', 'capacitor'] as const)(
    'has the current of an %s, driven by an op-amp, in the op-amp’s supply',
    (kind) => {
      const [supplyOhms, loadOhms, hz] = [100, 1e3, 1000];
      const load = kind === 'inductor' ? inductor('L1', 'o', 'x', 0.1) : capacitor('C1', 'o', 'x', 1e-7);
      const ideal = {
        gainBandwidthHz: 1e10,
        slewVPerS: 1e12,
        openLoopGain: 1e8,
        headroomHighV: 1,
        headroomLowV: 1,
        inputBiasA: 0,
        quiescentA: 1e-3,
      };
      const circuit = network([
        source('plus', 9),
        source('minus', -9),
        resistor('R1', 'plus', 'out', supplyOhms),
        opamp('U1', ['in', 'o', 'o', 'out', 'minus'], ideal),
        // Its output sources current at rest, so the positive pin carries all of it.
        resistor('R2', 'o', 'minus', 10e3),
        load,
        resistor('R3', 'x', GROUND, loadOhms),
      ]);
      const omega = 2 * Math.PI * hz;
      const reactance = kind === 'inductor' ? omega * 0.1 : -1 / (omega * 1e-7);
      // −R1·(1/R2 + 1/(R3 + jX))
      const square = loadOhms ** 2 + reactance ** 2;
      const re = -supplyOhms * (1 / 10e3 + loadOhms / square);
      const im = (supplyOhms * reactance) / square;
      const { decibels, phaseDegrees } = new FrequencyResponse(circuit).at(hz, 'out');
      expect(decibels).toBeCloseTo(20 * Math.log10(Math.hypot(re, im)), 5);
      expect(phaseDegrees).toBeCloseTo((Math.atan2(im, re) * 180) / Math.PI, 4);
    },
  );
});
