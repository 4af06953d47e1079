import { describe, expect, it } from 'vitest';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitNumbers, circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { NetworkError } from '../../engine/solver/network-error.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { BenchRemote } from '../../ui/audio/bench-remote.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import {
  type BenchOptions,
  LEVELS_START,
  STARTING_SETTINGS,
  TELEMETRY,
  TELEMETRY_LENGTH,
  type ToProcessor,
} from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';
import { network, resistor } from './small-networks.ts';

const OPTIONS: BenchOptions = { sampleRateHz: 48_000, factor: 4, quality: 'low-latency' };
const CIRCUIT_OPTIONS = { sampleRateHz: 48_000 * OPTIONS.factor };

const plain = presetBuild('soft-plain');
const withParts = (build: Build, parts: Readonly<Record<string, PartSetting>>): Build => ({
  ...build,
  parts: { ...build.parts, ...parts },
});
const restOf = (unpruned: Network) => operatingPoint(pruneNetwork(unpruned));
const numbersFor = (build: Build) =>
  circuitNumbers(networkOf(build, NOMINAL_TEMPERATURE_K), restOf(networkOf(build, NOMINAL_TEMPERATURE_K)));
const compiled = (build: Build) => compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), CIRCUIT_OPTIONS);

/**
 * Two builds with the structure of soft-plain: one with a higher supply, one with another ratio of the bias divider.
 */
const CHANGED: readonly (readonly [what: string, build: Build])[] = [
  ['a supply turned from 9 to 18 V', withParts(plain, { V1: { value: '18V' } })],
  ['a bias divider of another ratio', withParts(plain, { R15: { value: '11k' } })],
];

/** Plays silence, or a sine of 1 kHz, and returns the telemetry after it. */
function play(engine: BenchEngine, seconds: number, peakV = 0): Float32Array {
  const output = new Float32Array(128);
  const rateHz = OPTIONS.sampleRateHz;
  for (let start = 0; start < seconds * rateHz; start += 128) {
    const input = output.map((_, n) => peakV * Math.sin((2 * Math.PI * 1000 * (start + n)) / rateHz));
    engine.process(input, output);
  }
  const telemetry = new Float32Array(TELEMETRY_LENGTH);
  engine.readTelemetry(telemetry, 128);
  return telemetry;
}

function bench(build = plain): BenchEngine {
  const engine = new BenchEngine(OPTIONS);
  engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0 } });
  for (const slot of ['a', 'b'] as const) engine.receive({ type: 'circuit', slot, circuit: compiled(build) });
  engine.receive({ type: 'mute', muted: false });
  return engine;
}

describe.each(CHANGED)('the operating point after %s', (_, changed) => {
  const numbers = numbersFor(changed);
  const fresh = compiled(changed);
  const biasOf = ({ nodeNames }: { readonly nodeNames: readonly string[] }) => nodeNames.indexOf('bias');

  it('is that of the same build compiled again', () => {
    expect(circuitValues(networkOf(changed, NOMINAL_TEMPERATURE_K), CIRCUIT_OPTIONS).structureKey).toBe(
      compiled(plain).structureKey,
    );
    expect(numbers.parameters).toEqual(fresh.parameters);
    expect(numbers.restVolts).toEqual(fresh.restVolts);
    expect(numbers.restInductorA).toEqual(fresh.restInductorA);
    // The bias is the divider's part of the supply, within the few microamperes that the stages draw.
    const [upper, lower] = ['R15', 'R16'].map((ref) => Number.parseFloat(changed.parts[ref]!.value!));
    const supplyV = Number.parseFloat(changed.parts['V1']!.value!);
    expect(fresh.restVolts[biasOf(fresh)]! / ((supplyV * lower!) / (upper! + lower!))).toBeCloseTo(1, 1);
  });

  it.each([true, false])('is where a reset puts the running circuit (interpreter %s)', (interpreted) => {
    const simulator = new CircuitSimulator(
      compileCircuit(networkOf(plain, NOMINAL_TEMPERATURE_K), { ...CIRCUIT_OPTIONS, interpreted }),
    );
    simulator.setParameters(numbers.parameters, 0);
    simulator.setRest(numbers);
    simulator.reset();
    const bias = biasOf(simulator.circuit);
    expect(simulator.voltage(bias)).toBe(fresh.restVolts[bias]);
    const silence = new Float64Array(4800);
    const output = new Float64Array(4800);
    simulator.process(silence, output, output.length);
    // At rest nothing changes except rounding, and the rest of the smoothing of supply currents.
    expect(Math.max(...output.map(Math.abs))).toBeLessThan(1e-6);
    expect(Math.abs(simulator.voltage(bias) - fresh.restVolts[bias]!)).toBeLessThan(1e-6);
  });

  it('is where a block is put after a number in it was not finite', () => {
    const simulator = new CircuitSimulator(compiled(plain));
    simulator.setParameters(numbers.parameters, 0);
    simulator.setRest(numbers);
    simulator.reset();
    const input = new Float64Array(4800);
    input[100] = Number.NaN;
    const output = new Float64Array(4800);
    simulator.process(input, output, output.length);
    expect(simulator.resets).toBeGreaterThan(0);
    expect(Math.max(...output.subarray(200).map(Math.abs))).toBeLessThan(1e-3);
  });

  it('is the zero of the live levels, for nets that were measured before and after', () => {
    const engine = bench();
    engine.receive({ type: 'levels', nets: { a: ['bias'], b: [] } });
    play(engine, 0.1);
    engine.receive({ type: 'values', slot: 'a', numbers });
    // Ten time constants of the bias and its filter of 47u with 5k.
    play(engine, 5);
    const levels = play(engine, 0.1).subarray(LEVELS_START, LEVELS_START + 2);
    // Silence has no level from the new operating point; from the old one it would have volts.
    expect(Math.max(...levels)).toBeLessThan(0.01);
  });

  it('is what a probe subtracts before it measures how loud the net is', () => {
    const gainOf = (engine: BenchEngine): number => {
      play(engine, 5);
      engine.receive({ type: 'probe', nets: { a: 'clipped', b: null } });
      // Quiet enough that volts of bias would show, loud enough to count as a signal.
      return play(engine, 0.3, 5e-4)[TELEMETRY.probeGainDbA]!;
    };
    const [told, anew] = [bench(), bench(changed)];
    told.receive({ type: 'values', slot: 'a', numbers });
    // After five seconds the bias still changes by a thousandth.
    expect(Math.abs(gainOf(told) - gainOf(anew))).toBeLessThan(0.1);
  });

  it.each(['values', 'circuit'] as const)(
    'makes no thump under an active probe when it arrives as %s',
    (way) => {
      const told: ToProcessor =
        way === 'values'
          ? { type: 'values', slot: 'a', numbers }
          : { type: 'circuit', slot: 'a', circuit: compiled(changed) };
      /** The highest peak of the sound in the second after a note. */
      const peakOf = (message: ToProcessor | undefined): number => {
        const engine = bench();
        engine.receive({ type: 'probe', nets: { a: 'clipped', b: null } });
        play(engine, 1, 0.02);
        if (message) engine.receive(message);
        return play(engine, 1)[TELEMETRY.outputPeak]!;
      };
      // The note itself dies away; a bias step of volts would be several times as loud.
      expect(peakOf(told)).toBeLessThan(1.1 * peakOf(undefined));
    },
  );

  it('is sent with the values to a newly opened context', () => {
    class Remote extends BenchRemote {
      connect(told: ToProcessor[]): void {
        this.link.connect({
          postMessage: (message: ToProcessor) => told.push(message),
        } as unknown as MessagePort);
      }
    }
    const remote = new Remote();
    remote.setCircuit('a', compiled(plain));
    remote.setValues('a', numbers);
    const told: ToProcessor[] = [];
    remote.connect(told);
    const engine = new BenchEngine(OPTIONS);
    for (const message of told) engine.receive(message);
    engine.receive({ type: 'levels', nets: { a: ['bias'], b: [] } });
    // At once: a circuit that starts from the operating point of other values moves by volts.
    const levels = play(engine, 0.1).subarray(LEVELS_START, LEVELS_START + 2);
    expect(Math.max(...levels)).toBeLessThan(0.001);
  });
});

describe('an operating point near another', () => {
  it('is the same as without a starting point, for every knob at its ends and every temperature', () => {
    for (const name of ['soft-plain', 'clean-plain', 'soft-germanium']) {
      const build = presetBuild(name);
      const near = restOf(networkOf(build, NOMINAL_TEMPERATURE_K));
      for (const end of [0, 1]) {
        const knobs = Object.fromEntries(Object.keys(build.knobs).map((knob) => [knob, end]));
        for (const temperatureK of [263.15, 333.15]) {
          const turned = pruneNetwork(networkOf({ ...build, knobs }, temperatureK));
          const found = operatingPoint(turned, near);
          for (const [net, volts] of operatingPoint(turned).volts) {
            // Both solve the same equations to 1e-12 of the largest voltage; a net of megohms is known to a nanovolt.
            expect(Math.abs(found.volts.get(net)! - volts), `${name} ${net}`).toBeLessThan(1e-8);
          }
        }
      }
    }
  });

  it('is found without a starting point where the starting point does not help', () => {
    const nonsense = { volts: new Map([['bias', Number.NaN]]), inductorA: new Map() };
    const circuit = pruneNetwork(networkOf(plain, NOMINAL_TEMPERATURE_K));
    expect(operatingPoint(circuit, nonsense)).toEqual(operatingPoint(circuit));
  });
});

describe('equations without a solution', () => {
  const ladder = (ohms: number): Network =>
    network([
      resistor('R1', 'in', 'middle', ohms),
      resistor('R2', 'middle', 'out', ohms),
      resistor('R3', 'out', GROUND, ohms),
    ]);
  const broken = ladder(Number.POSITIVE_INFINITY);

  it('are counted when a changed value causes them, and the earlier values continue to play', () => {
    const simulator = new CircuitSimulator(compileCircuit(ladder(1000), CIRCUIT_OPTIONS));
    const { parameters } = circuitValues(broken, CIRCUIT_OPTIONS);
    expect(simulator.failures).toBe(0);
    simulator.setParameters(parameters, 0);
    expect(simulator.failures).toBeGreaterThan(0);
    const output = new Float64Array(1);
    const probed = new Float64Array(1);
    simulator.probe(simulator.circuit.nodeNames.indexOf('middle'));
    simulator.process(Float64Array.of(3), output, 1, probed);
    expect(output[0]).toBeCloseTo(1, 12);
    expect(probed[0]).toBeCloseTo(2, 12);
  });

  it('are refused when a circuit is compiled, with the names of their nets', () => {
    const rest = restOf(ladder(1000));
    const compile = () => compileCircuit(broken, { ...CIRCUIT_OPTIONS, rest });
    expect(compile).toThrow(NetworkError);
    expect(compile).toThrow(/middle.*cannot be solved/);
  });
});
