import type { DeviceNoise, NoiseCurrents, NoiseKind } from './device-model.ts';
import { BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C } from './physics.ts';

/** Thermal noise 4kTR of a resistance, as a voltage that draws currents from terminals. */
export function thermalNoise(
  ohms: number,
  temperatureK: number,
  into: NoiseCurrents,
  kind: NoiseKind = 'thermal noise',
): DeviceNoise & { readonly into: NoiseCurrents } {
  return { kind, unit: 'V', into, density: 4 * BOLTZMANN_J_PER_K * temperatureK * ohms, cornerHz: 0 };
}

/** A white noise current from one terminal to another, A²/Hz. */
export function currentNoise(
  kind: NoiseKind,
  [from, to]: readonly [number, number],
  density: number,
): DeviceNoise {
  return {
    kind,
    unit: 'A',
    into: [
      [from, 1],
      [to, -1],
    ],
    density,
    cornerHz: 0,
  };
}

/** Shot noise 2qI of a current from one terminal to another. */
export function shotNoise(kind: NoiseKind, ends: readonly [number, number], amps: number): DeviceNoise {
  return currentNoise(kind, ends, 2 * ELEMENTARY_CHARGE_C * amps);
}
