import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { OFFLINE_OVERSAMPLING } from '../../engine/analysis/offline-render.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { Primitive } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { type Render, waveErrorDb } from './error-db.ts';
import { loadPresetVectors, type ReferencePreset } from './vectors.ts';

export interface Agreement {
  /** Net of the engine for each node of the reference whose name differs. */
  readonly nets: Readonly<Record<string, string>>;
  /** Nodes that a switch can leave unconnected, so that the engine has no net for them. */
  readonly looseNodes: readonly string[];
  /** Largest solver error at 8x, dB. */
  readonly limitDb: number;
  /** Largest solver error of the hardest input at the rate of offline renders, dB. */
  readonly offlineLimitDb: number;
}

/** The tests that hold the solver against the continuous-time equations of one preset. */
export function describeAgreement(
  preset: ReferencePreset,
  { nets, looseNodes, limitDb, offlineLimitDb }: Agreement,
): void {
  const vectors = loadPresetVectors(preset);
  const build = presetBuild(preset);
  const network = networkOf(build);
  const hardest = vectors.waves.find(({ name }) => /1000.*1V/.test(name))!;

  describe(`${preset} against the hand-written equations`, () => {
    it('was solved by the reference with the numbers of the netlist', () => {
      const { numbers } = vectors;
      expect(network.temperatureK).toBe(numbers.temperatureK);
      expect(build.switches).toMatchObject(numbers.switches);
      const byRef = new Map(network.primitives.map((primitive) => [primitive.ref, primitive]));
      for (const [ref, value] of Object.entries(numbers.parts)) {
        const primitive = byRef.get(ref);
        if (primitive) expect(siValueOf(primitive) / value, ref).toBeCloseTo(1, 12);
      }
      for (const [ref, track] of Object.entries(numbers.tracks)) {
        expect(byRef.get(`${ref} ccw`)).toMatchObject({ ohms: expect.closeTo(track.ccwWiperOhms, 6) });
        expect(byRef.get(`${ref} cw`)).toMatchObject({ ohms: expect.closeTo(track.wiperCwOhms, 6) });
      }
      for (const [ref, device] of Object.entries(numbers.devices)) {
        const own = deviceNumbersOf(byRef.get(ref)!);
        for (const [key, expected] of Object.entries(device)) {
          if (typeof expected === 'number' && expected !== 0) {
            expect((own[key] as number) / expected, `${ref} ${key}`).toBeCloseTo(1, 12);
          } else if (typeof expected === 'object') expect(own[key], `${ref} ${key}`).toEqual(expected);
        }
      }
    });

    it('has the same DC voltages within 1 µV', () => {
      // The two solve the same algebraic equations, each to better than a nanovolt.
      const { volts } = operatingPoint(network);
      for (const [node, expected] of Object.entries(vectors.operatingPointV)) {
        const own = volts.get(nets[node] ?? node);
        if (own === undefined) expect(looseNodes).toContain(node);
        else expect(Math.abs(own - expected), node).toBeLessThan(1e-6);
      }
    });

    it('has the same small-signal response within 0.001 dB and 0.01 degrees from 20 Hz to 20 kHz', () => {
      // 4e-4 dB is what two derivations of the reference differ by where an op-amp's supply draw has its corner.
      const response = new FrequencyResponse(network);
      vectors.response.frequenciesHz.forEach((hz, index) => {
        const own = response.at(hz, network.output);
        expect(Math.abs(own.decibels - vectors.response.magnitudeDb[index]!), `${hz} Hz`).toBeLessThan(1e-3);
        const turn = own.phaseDegrees - vectors.response.phaseDeg[index]!;
        expect(Math.abs(turn - 360 * Math.round(turn / 360)), `${hz} Hz`).toBeLessThan(1e-2);
      });
    });

    it.each(vectors.waves.map((wave) => [wave.name, wave] as const))(
      `has a solver error below ${limitDb} dB at 8x: %s`,
      (_, wave) => {
        expect(waveErrorDb(wave, 8, rendererOf(preset, false))).toBeLessThan(limitDb);
      },
    );

    it(`has a solver error below ${offlineLimitDb} dB in an offline render`, () => {
      const error = waveErrorDb(hardest, OFFLINE_OVERSAMPLING, rendererOf(preset, false));
      expect(error).toBeLessThan(offlineLimitDb);
    });

    it('gains 9 dB a doubling from 4x to 16x, as a second-order method does but for corners', () => {
      // One step alone may give less where 4x straddles an op-amp's arrival on its rails: 8.3 dB for the mid lift.
      const [at4, at16] = [4, 16].map((factor) => waveErrorDb(hardest, factor, rendererOf(preset, false)));
      expect(at4! - at16!).toBeGreaterThan(18);
    });

    it('gives the same samples in the interpreter as in emitted code, within 1e-11 V', () => {
      // The two differ in the order of additions and in the exponential, 1e-12 relative.
      const { input, durationSeconds } = hardest;
      const wave = { input, durationSeconds };
      const [fast, slow] = [false, true].map((interpreted) => {
        let out = new Float64Array(0);
        const render = rendererOf(preset, interpreted);
        waveErrorDb({ ...wave, name: '', outputV: new Float64Array(1153) }, 8, (inputV, rate) => {
          out = Float64Array.from(render(inputV, rate));
          return out;
        });
        return out;
      });
      const difference = fast!.reduce(
        (most, value, index) => Math.max(most, Math.abs(value - slow![index]!)),
        0,
      );
      expect(fast!.length).toBeGreaterThan(0);
      expect(difference).toBeLessThan(1e-11);
    });
  });
}

function rendererOf(preset: ReferencePreset, interpreted: boolean): Render {
  const network = networkOf(presetBuild(preset));
  return (inputV, sampleRateHz) => {
    const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz, interpreted }));
    const outputV = new Float64Array(inputV.length);
    simulator.process(inputV, outputV, inputV.length);
    expect(simulator.failures).toBe(0);
    expect(simulator.resets).toBe(0);
    return outputV;
  };
}

/** Ohms, farads or volts of a part with one value. */
function siValueOf(primitive: Primitive): number {
  switch (primitive.kind) {
    case 'resistor':
      return primitive.ohms;
    case 'capacitor':
      return primitive.farads;
    case 'voltageSource':
      return primitive.volts;
    default:
      return Number.NaN;
  }
}

/** The numbers of a netlist's device as the reference names them. */
function deviceNumbersOf(primitive: Primitive): Record<string, unknown> {
  return 'data' in primitive ? { ...primitive.data } : { ...primitive };
}
