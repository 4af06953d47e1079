import { type Build, startingBuild } from '../../engine/builds/build.ts';
import type { Circuit } from '../../engine/circuits/circuit.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { presetBuild } from '../preset-build.ts';

/** A starting build of a circuit, by a number in [0, 1): the circuit's own, or one of its presets. */
export function startingBuildOf(circuit: Circuit, place: number): Build {
  const presets = presetNames()
    .map(presetBuild)
    .filter((build) => build.circuit.id === circuit.id);
  const builds = [startingBuild(circuit), ...presets];
  return builds[Math.floor(place * builds.length)]!;
}
