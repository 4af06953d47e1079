import { describe, expect, it } from 'vitest';
import { waveErrorDb } from './error-db.ts';
import { expectResponse, expectRest, expectTracks, type NodeNames, rendererOf } from './solved-checks.ts';
import { solvedPreset } from './solved-devices.ts';
import { type KnobPreset, loadKnobVectors } from './vectors.ts';

/** Largest solver error at 8x for both inputs, dB, by title of the position. */
type KnobLimits = Readonly<Record<string, number>>;

/** Tests that compare the solver with the continuous-time equations, with the preset's knobs at other positions. */
export function describeKnobAgreement(preset: KnobPreset, names: NodeNames, limitsDb: KnobLimits): void {
  describe.each(loadKnobVectors(preset).map((vectors) => [vectors.title, vectors] as const))(
    `${preset} at %s against the hand-written equations`,
    (title, vectors) => {
      // The two files of a preset are made with the same device data.
      const network = solvedPreset(preset, vectors.knobs);

      it('has the same potentiometers, DC voltages and small-signal response', () => {
        expectTracks(network, vectors.tracks);
        expectRest(network, vectors, names);
        expectResponse(network, vectors);
      });

      const limitDb = limitsDb[title] ?? Number.NaN;
      it(`has a solver error below ${limitDb} dB at 8x: plucked and 440 Hz, 1 V`, () => {
        const errors = vectors.waves.map((wave) => waveErrorDb(wave, 8, rendererOf(network)));
        expect(errors).toHaveLength(2);
        expect(Math.max(...errors)).toBeLessThan(limitDb);
      });
    },
  );
}
