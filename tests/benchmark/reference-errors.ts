import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { waveErrorDb } from '../reference/error-db.ts';
import { type InputClass, inputClassOf } from '../reference/signals.ts';
import { solvedPreset } from '../reference/solved-devices.ts';
import {
  KNOB_PRESETS,
  loadKnobVectors,
  loadPresetVectors,
  REFERENCE_PRESETS,
  type WaveVector,
} from '../reference/vectors.ts';

export interface SolverError {
  readonly preset: string;
  /** For example "sine-440Hz-1V"; with knobs that differ from the preset, "sine-440Hz-1V gain=0 tone=0". */
  readonly signal: string;
  readonly oversampling: number;
  readonly errorDb: number;
  /** How difficult the input is for the solver with the knobs of the preset; "knobs" for other knob positions. */
  readonly group: InputClass | 'knobs';
}

/** The wanted solver error for inputs of the group "target", dB, by circuit and oversampling. */
export const TARGETS_DB: Readonly<Record<string, Readonly<Record<number, number>>>> = {
  'soft-clip': { 8: -80, 16: -92, 32: -105 },
  'clean-blend': { 8: -62, 16: -80, 32: -95 },
};

/** Solver error of each preset and rate for each of the reference's inputs, and with the knobs at other positions. */
export function referenceErrors(
  factors: readonly number[],
  { hasKnobs }: { readonly hasKnobs: boolean },
): SolverError[] {
  const atOwnKnobs = REFERENCE_PRESETS.flatMap((preset) => {
    const network = solvedPreset(preset);
    return loadPresetVectors(preset).waves.flatMap((wave) =>
      errorsOf(network, wave, factors).map((error) => ({
        preset,
        signal: wave.name,
        ...error,
        group: inputClassOf(wave.input),
      })),
    );
  });
  return hasKnobs
    ? [...atOwnKnobs, ...KNOB_PRESETS.flatMap((preset) => knobErrors(preset, factors))]
    : atOwnKnobs;
}

function knobErrors(preset: (typeof KNOB_PRESETS)[number], factors: readonly number[]): SolverError[] {
  return loadKnobVectors(preset).flatMap(({ knobs, title, waves }) => {
    const network = solvedPreset(preset, knobs);
    return waves.flatMap((wave) =>
      errorsOf(network, wave, factors).map((error) => ({
        preset,
        signal: `${wave.name} ${title}`,
        ...error,
        group: 'knobs' as const,
      })),
    );
  });
}

function errorsOf(network: Network, wave: WaveVector, factors: readonly number[]) {
  return factors.map((oversampling) => ({
    oversampling,
    errorDb: waveErrorDb(wave, oversampling, (inputV, sampleRateHz) => {
      const outputV = new Float64Array(inputV.length);
      new CircuitSimulator(compileCircuit(network, { sampleRateHz })).process(inputV, outputV, inputV.length);
      return outputV;
    }),
  }));
}
