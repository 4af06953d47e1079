import { type Build, startingBuild } from '../engine/builds/build.ts';
import type { BypassKind, Circuit } from '../engine/circuits/circuit.ts';
import { CIRCUITS } from '../engine/circuits/circuits.ts';

export const softWithBypass: Circuit = CIRCUITS.get('soft-clip')!;
export const cleanWithBypass: Circuit = CIRCUITS.get('clean-blend')!;

/** A build with a kind of bypass, and some other parts. */
export function bypassBuild(bypass: BypassKind, parts: Build['parts'] = {}, circuit = softWithBypass): Build {
  const start = startingBuild(circuit);
  return { ...start, bypass, parts: { ...start.parts, ...parts } };
}
