import type { Build } from '../../engine/builds/build.ts';
import type { ChainPedal } from '../../engine/builds/chain.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Source } from '../audio/prepared-source.ts';
import type { BenchState, MatchedSound } from './bench-state.ts';
import { pedalsOf, type Sides } from './chains.ts';
import { loadBehind } from './played-network.ts';

/** The present sound before the level match. */
export function soundAhead(state: BenchState): MatchedSound {
  const {
    builds,
    places,
    source,
    guitar,
    calibration,
    temperatureC,
    hasStandIn,
    speaker,
    hearsNoise,
    isBypassed,
  } = state;
  const isScaled = source.kind === 'live' || source.kind === 'file';
  return {
    builds,
    places,
    source,
    round: roundOf(state),
    fullScaleVolts: isScaled ? calibration.volts : undefined,
    instrument: guitar.isOn ? guitar.instrument : undefined,
    load: loadBehind(state),
    temperatureC,
    speaker: hasStandIn ? (speaker ?? 'built in') : undefined,
    hearsNoise,
    isBypassed,
  };
}

/** The same with the effect on: for that, levels are matched while it is bypassed too. */
export function soundEngaged(state: BenchState): MatchedSound {
  return { ...soundAhead(state), isBypassed: false };
}

/** Whether the last match is for the present sound, over the whole phrase. */
export function isMatchFresh(state: BenchState): boolean {
  const { sound, isEstimate } = state.match;
  return sound !== undefined && !isEstimate && soundChange(sound, soundAhead(state)) === undefined;
}

/**
 * The change that makes a match of the first sound invalid for the second, in the words of the screen ("a build
 * has changed"); undefined if it is still valid. It stays valid while the bypass is on.
 */
export function soundChange(before: MatchedSound, now: MatchedSound): string | undefined {
  if (!isSameSide(before, now, 'a') || !isSameSide(before, now, 'b')) return 'a build has changed';
  if (!isSameSource(before.source, now.source)) return 'the input has changed';
  if (!isSameText(before.round, now.round)) return 'the riff has other ends';
  if (before.fullScaleVolts !== now.fullScaleVolts)
    return 'the volts at which the interface clips have changed';
  if (!isSameText(before.instrument, now.instrument)) return 'pickup and cable have changed';
  if (!isSameText(before.load, now.load)) return 'what follows the pedal has changed';
  if (before.temperatureC !== now.temperatureC) return 'the temperature has changed';
  if (before.speaker !== now.speaker) return 'the speaker has changed';
  if (before.hearsNoise !== now.hearsNoise) return 'the hiss was switched';
  return before.isBypassed && !now.isBypassed ? 'the bypass was switched off' : undefined;
}

export function isSameSource(one: Source, other: Source): boolean {
  if (one.kind === 'file' && other.kind === 'file') return one.file === other.file;
  return isSameText(one, other);
}

/** Whether a side sounds the same; which pedal is looked at is not heard. */
export function isSameSide(one: Sides, other: Sides, slot: Slot): boolean {
  if (one.builds[slot] === other.builds[slot] && one.places[slot] === other.places[slot]) return true;
  const [before, now] = [pedalsOf(one, slot), pedalsOf(other, slot)];
  return (
    before.length === now.length &&
    before.every((pedal, index) => isSamePedal(pedal, now[index]!, index === now.length - 1))
  );
}

/** @param isLast What follows it is none of the chain's cables. */
function isSamePedal(one: ChainPedal, other: ChainPedal, isLast: boolean): boolean {
  return (
    one.isOn === other.isOn &&
    (isLast || one.cableMetres === other.cableMetres) &&
    (one.isOn || one.build.bypass === other.build.bypass) &&
    isSameBuild(one.build, other.build)
  );
}

/** Names, notes and the kind of bypass are not audible. */
export function isSameBuild(one: Build, other: Build): boolean {
  if (one === other) return true;
  return HEARD.every((name) => isSameText(one[name], other[name]));
}

const HEARD = ['circuit', 'parts', 'knobs', 'switches'] as const;

function roundOf({ source, ear }: BenchState): MatchedSound['round'] {
  const riff = source.kind === 'riff' ? ear.riffs.find(({ id }) => id === source.id) : undefined;
  return riff && { startFrame: riff.startFrame, endFrame: riff.endFrame };
}

/** Of plain data. Fields in another order count as a difference, after which levels are matched once too often. */
function isSameText(one: unknown, other: unknown): boolean {
  return one === other || JSON.stringify(one) === JSON.stringify(other);
}
