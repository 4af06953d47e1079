import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { presetBuild } from '../preset-build.ts';
import { loadPresetVectors, type ReferenceNumbers, type ReferencePreset } from './vectors.ts';

/** What a device's data has beside the numbers of its equations at 27 °C. */
const OF_TEMPERATURE = ['thermal', 'energyGapEv', 'thresholdVPerK'];

/**
 * The network of a preset with the device data that the reference solved. What the vectors check is the solver; with
 * their own numbers they go on doing so when the catalogue's data of a type changes, and need not be solved again.
 *
 * @param knobs Positions that differ from the preset's.
 */
export function solvedPreset(preset: ReferencePreset, knobs: Readonly<Record<string, number>> = {}): Network {
  const build = presetBuild(preset);
  const network = networkOf({ ...build, knobs: { ...build.knobs, ...knobs } }, NOMINAL_TEMPERATURE_K);
  const { devices } = loadPresetVectors(preset).numbers;
  return { ...network, primitives: network.primitives.map((primitive) => solved(primitive, devices)) };
}

function solved(primitive: Primitive, devices: ReferenceNumbers['devices']): Primitive {
  const numbers = devices[primitive.ref];
  if (!numbers) return primitive;
  const { type: _, ...data } = numbers;
  if (!('data' in primitive)) return { ...primitive, ...data } as Primitive;
  const kept = Object.entries(primitive.data).filter(([name]) => OF_TEMPERATURE.includes(name));
  return { ...primitive, data: { ...Object.fromEntries(kept), ...data } } as Primitive;
}
