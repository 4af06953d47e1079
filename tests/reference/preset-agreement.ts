import { describe, expect, it } from 'vitest';
import { OFFLINE_OVERSAMPLING } from '../../engine/analysis/offline-render.ts';
import type { Primitive } from '../../engine/network/network.ts';
import { presetBuild } from '../preset-build.ts';
import { waveErrorDb } from './error-db.ts';
import { type InputClass, inputClassOf } from './signals.ts';
import { expectResponse, expectRest, expectTracks, type NodeNames, rendererOf } from './solved-checks.ts';
import { solvedPreset } from './solved-devices.ts';
import { loadPresetVectors, type ReferencePreset } from './vectors.ts';

/** Largest solver errors, dB. */
export interface Limits {
  /** At 8x, by how difficult the input is for the solver. */
  readonly at8x: Readonly<Record<InputClass, number>>;
  /** For the most difficult input up to 1 kHz and 1 V at 16x. */
  readonly at16x: number;
  /** The same at the rate of offline renders. */
  readonly offline: number;
}

/** Tests that compare the solver with the continuous-time equations of one preset. */
export function describeAgreement(preset: ReferencePreset, names: NodeNames, limitsDb: Limits): void {
  const vectors = loadPresetVectors(preset);
  const build = presetBuild(preset);
  const network = solvedPreset(preset);
  const hardest = vectors.waves.find(({ name }) => /1000.*1V/.test(name))!;

  describe(`${preset} against the hand-written equations`, () => {
    it('was solved by the reference with the parts of the netlist, and types of the same kind', () => {
      const { numbers } = vectors;
      expect(network.temperatureK).toBe(numbers.temperatureK);
      expect(build.switches).toMatchObject(numbers.switches);
      const byRef = new Map(network.primitives.map((primitive) => [primitive.ref, primitive]));
      for (const [ref, value] of Object.entries(numbers.parts)) {
        const primitive = byRef.get(ref);
        if (primitive) expect(siValueOf(primitive) / value, ref).toBeCloseTo(1, 12);
      }
      expectTracks(network, numbers.tracks);
      for (const [ref, { type }] of Object.entries(numbers.devices)) {
        const own = build.parts[ref] ?? build.parts[ref.replace(/ .*|[A-Z]$/, '')];
        expect(own?.type, ref).toBe(type);
      }
    });

    it('has the same DC voltages within 1 µV', () => expectRest(network, vectors, names));

    it('has the same small-signal response within 0.001 dB and 0.01 degrees from 20 Hz to 20 kHz', () =>
      expectResponse(network, vectors));

    it.each(vectors.waves.map((wave) => [wave.name, limitsDb.at8x[inputClassOf(wave.input)], wave] as const))(
      'has at 8x with %s a solver error below %d dB',
      (_, limitDb, wave) => {
        expect(waveErrorDb(wave, 8, rendererOf(network))).toBeLessThan(limitDb);
      },
    );

    it.each([
      [16, limitsDb.at16x],
      [OFFLINE_OVERSAMPLING, limitsDb.offline],
    ])('has at %dx with a sine of 1 kHz and 1 V a solver error below %d dB', (factor, limitDb) => {
      expect(waveErrorDb(hardest, factor, rendererOf(network))).toBeLessThan(limitDb);
    });

    it('gains 9 dB for each doubling from 4x to 16x, like a second-order method except for corners', () => {
      // One doubling alone may give less if an op-amp reaches its limit between samples at 4x: 8.3 dB for the mid lift.
      const [at4, at16] = [4, 16].map((factor) => waveErrorDb(hardest, factor, rendererOf(network)));
      expect(at4! - at16!).toBeGreaterThan(18);
    });

    it('gives the same samples in the interpreter and in emitted code, within 1e-11 V', () => {
      // The two differ in the order of additions and in the exponential, 1e-12 relative.
      const { input, durationSeconds } = hardest;
      const wave = { input, durationSeconds };
      const [fast, slow] = [false, true].map((interpreted) => {
        let out = new Float64Array(0);
        const render = rendererOf(network, interpreted);
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
