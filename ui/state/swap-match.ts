import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { LevelMatch, MatchedSound } from './bench-state.ts';
import { afterChainAction } from './chain-actions.ts';
import { isSameSide, soundChange } from './matched-sound.ts';

/** Most that a build is turned up, dB: more would let its hiss, or a part that comes in louder, be much too loud. */
export const MOST_BOOST_DB = 12;
/** Most that it is turned down. */
export const MOST_CUT_DB = 60;

/** Loudness of each build before the match, dB of 1 V. */
export type Loudness = Readonly<Record<Slot, number>>;

/**
 * The match after a swap. The build that was swapped gets the gain that makes it as loud as the other, which keeps its
 * own: so the reference of a comparison never changes its level. After a change of both it is B.
 *
 * @param before The match until now. @param sound What the loudness was computed for.
 */
export function matchAfterSwap(before: LevelMatch, sound: MatchedSound, loudness: Loudness): LevelMatch {
  if (isExchange(before.sound, sound)) return exchanged(before, sound);
  const adjusted = swappedSlot(before, sound);
  const other = adjusted === 'a' ? 'b' : 'a';
  const wanted = loudness[other] + before.db[other] - loudness[adjusted];
  const matched = { ...before, sound, adjusted, isMeasuring: false, problem: undefined };
  if (!Number.isFinite(wanted)) return { ...matched, problem: silenceText(loudness) };
  const gainDb = Math.max(-MOST_CUT_DB, Math.min(MOST_BOOST_DB, wanted));
  const problem = gainDb === wanted ? undefined : tooFarText(adjusted, gainDb, wanted);
  return { ...matched, db: { ...before.db, [adjusted]: gainDb }, problem };
}

/** The build that the change has changed alone; where nothing has changed, the one of the match before, such as an estimate. */
function swappedSlot({ sound: before, adjusted }: LevelMatch, sound: MatchedSound): Slot {
  if (!before) return 'b';
  if (soundChange(before, sound) === undefined) return adjusted;
  return isSameSide(before, sound, 'b') && !isSameSide(before, sound, 'a') ? 'a' : 'b';
}

function isExchange(before: MatchedSound | undefined, now: MatchedSound): boolean {
  if (!before) return false;
  const turned = { ...before, ...afterChainAction(before, { type: 'exchange' }) };
  // Equal sides were not exchanged.
  const isEqual = SLOTS.every((slot) => isSameSide(before, turned, slot));
  return !isEqual && soundChange(turned, now) === undefined;
}

/** Each build keeps its gain. */
function exchanged(before: LevelMatch, sound: MatchedSound): LevelMatch {
  const { a, b } = before.db;
  return { ...before, db: { a: b, b: a }, adjusted: before.adjusted === 'a' ? 'b' : 'a', sound };
}

function silenceText(loudness: Loudness): string {
  const silent = (['a', 'b'] as const).filter((slot) => !Number.isFinite(loudness[slot]));
  const names = silent.map((slot) => slot.toUpperCase()).join(' and ');
  return `Levels cannot be matched: ${names} ${silent.length > 1 ? 'are' : 'is'} silent.`;
}

function tooFarText(slot: Slot, gainDb: number, wanted: number): string {
  const name = slot.toUpperCase();
  const side = wanted > gainDb ? 'quieter' : 'louder';
  const sign = gainDb > 0 ? '+' : '−';
  return `${name} is ${Math.abs(wanted - gainDb).toFixed(1)} dB ${side}: ${sign}${Math.abs(gainDb)} dB is the most.`;
}
