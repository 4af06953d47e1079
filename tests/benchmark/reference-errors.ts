import { networkOf } from '../../engine/builds/network-of-build.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { waveErrorDb } from '../reference/error-db.ts';
import { loadPresetVectors, REFERENCE_PRESETS } from '../reference/vectors.ts';

export interface SolverError {
  readonly preset: string;
  readonly signal: string;
  readonly oversampling: number;
  readonly errorDb: number;
}

/** Solver error of each preset and rate for each of the reference's inputs. */
export function referenceErrors(factors: readonly number[]): SolverError[] {
  return REFERENCE_PRESETS.flatMap((preset) => {
    const network = networkOf(presetBuild(preset));
    const { waves } = loadPresetVectors(preset);
    return factors.flatMap((oversampling) =>
      waves.map((wave) => ({
        preset,
        signal: wave.name,
        oversampling,
        errorDb: waveErrorDb(wave, oversampling, (inputV, sampleRateHz) => {
          const outputV = new Float64Array(inputV.length);
          new CircuitSimulator(compileCircuit(network, { sampleRateHz })).process(
            inputV,
            outputV,
            inputV.length,
          );
          return outputV;
        }),
      })),
    );
  });
}
