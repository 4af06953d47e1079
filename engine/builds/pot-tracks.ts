import type { Circuit } from '../circuits/circuit.ts';
import { trackFraction } from '../units/taper.ts';
import { parseValue } from '../units/value-code.ts';
import type { Build, PartSetting } from './build.ts';

/** Remaining resistance between the wiper and each end of the track, ohms; from memory, a few ohms on new ones. */
const POT_END_OHMS = 2;

/** How a piece differs from what is printed on it: its track by a factor, its taper by what is added to `bentFraction`. */
export interface PotDeviation {
  readonly track: number;
  readonly taper: number;
}
const AS_PRINTED: PotDeviation = { track: 1, taper: 0 };

/** Where the knob of a potentiometer stands; one section of a dual-gang potentiometer follows the other. */
export function rotationOf(build: Build, circuit: Circuit, ref: string): number {
  const knob = circuit.knobs.find((candidate) => candidate.ref === ref);
  if (!knob) return 0.5;
  const { gang } = knob;
  const leads = gang !== undefined && build.switches[gang.switch] === gang.position;
  return build.knobs[leads ? gang.knob : knob.name] ?? knob.start;
}

/** A potentiometer at its knob's position. */
export interface PotTrack {
  readonly ohms: number;
  /** Share of the track between the counter-clockwise end and the wiper. */
  readonly fraction: number;
}

export function potTrack(build: Build, ref: string, setting: PartSetting): PotTrack {
  const rotation = rotationOf(build, build.circuit, ref);
  return {
    ohms: parseValue(setting.value!, 'ohms'),
    fraction: trackFraction(setting.law ?? 'linear', rotation),
  };
}

/** The two halves of the track, ohms. */
export function trackHalves(
  { ohms, fraction }: PotTrack,
  { track, taper }: PotDeviation = AS_PRINTED,
): readonly [ccw: number, cw: number] {
  const share = bentFraction(fraction, taper);
  return [POT_END_OHMS + share * track * ohms, POT_END_OHMS + (1 - share) * track * ohms];
}

/**
 * A taper that differs: f + 4·a·f·(1 − f), so that the ends stay and the middle of a linear track is off by `a`; an audio
 * taper of 15 % by half of that.
 */
function bentFraction(fraction: number, taper: number): number {
  return fraction + 4 * taper * fraction * (1 - fraction);
}
