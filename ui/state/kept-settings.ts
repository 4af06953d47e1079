import { type Instrument, LONGEST_CABLE_METRES, PICKUPS } from '../../engine/builds/instrument.ts';
import { NEXT_INPUTS, type OutputLoad } from '../../engine/builds/output-load.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import type { RiffBounds } from '../../worklets/bench-messages.ts';
import type { Source } from '../audio/prepared-source.ts';
import { LIVE_FACTORS } from '../rate/live-rate.ts';
import { type BenchState, type MatchedSound, OUTPUT_RANGE_DB, SERIES_OFFERED } from './bench-state.ts';
import { isMatchFresh } from './matched-sound.ts';
import { withinRange } from './reduce.ts';
import { MOST_BOOST_DB, MOST_CUT_DB } from './swap-match.ts';

/** Stored settings of the bench besides its builds. */
export type KeptSettings = Pick<
  BenchState,
  | 'calibration'
  | 'temperatureC'
  | 'rateChoice'
  | 'series'
  | 'isLinked'
  | 'source'
  | 'isBypassed'
  | 'outputDb'
  | 'hasStandIn'
  | 'hearsNoise'
  | 'guitar'
  | 'after'
> & {
  readonly match: Pick<BenchState['match'], 'db' | 'isFollowing' | 'isAutomatic' | 'adjusted'> & {
    /** It belongs to the stored sound, not to an earlier one. */
    readonly isFresh: boolean;
    /** Of a riff, and whether the impulse response was the user's: both are read after the builds. */
    readonly round: RiffBounds | undefined;
    readonly hasOwnSpeaker: boolean;
  };
};

/** The settings as they are stored, without data from files. */
export function settingsToKeep(state: BenchState): Partial<KeptSettings> {
  const { match, calibration, temperatureC, rateChoice, series, isLinked } = state;
  const { source, isBypassed, outputDb, hasStandIn, hearsNoise, guitar, after } = state;
  // A problem is not kept, and plucked notes only stood in: both are computed anew.
  const isWhole = match.problem === undefined && !match.isByNotes;
  const isFresh = source.kind !== 'file' && isWhole && isMatchFresh(state);
  return {
    ...(calibration.isMeasured ? { calibration } : {}),
    ...(source.kind === 'file' ? {} : { source }),
    match: {
      db: match.db,
      isFollowing: match.isFollowing,
      isAutomatic: match.isAutomatic,
      adjusted: match.adjusted,
      isFresh,
      round: match.sound?.round,
      hasOwnSpeaker: isOwn(match.sound?.speaker),
    },
    temperatureC,
    rateChoice,
    series,
    isLinked,
    isBypassed,
    outputDb,
    hasStandIn,
    hearsNoise,
    guitar,
    after,
  };
}

/** The valid ones of the stored settings; the text may come from anybody. */
export function readSettings(kept: Readonly<Record<string, unknown>>): Partial<KeptSettings> {
  const { calibration, temperatureC, rateChoice, series, source, outputDb, guitar, after, match } = kept;
  return defined({
    calibration: readCalibration(calibration),
    temperatureC:
      typeof temperatureC === 'number' ? withinRange(temperatureC, TEMPERATURE_RANGE_C.nominal) : undefined,
    rateChoice: LIVE_FACTORS.find((factor) => factor === rateChoice),
    series: SERIES_OFFERED.find((each) => each === series),
    isLinked: readBoolean(kept['isLinked']),
    source: readSource(source),
    isBypassed: readBoolean(kept['isBypassed']),
    outputDb: readNumber(outputDb, OUTPUT_RANGE_DB),
    hasStandIn: readBoolean(kept['hasStandIn']),
    hearsNoise: readBoolean(kept['hearsNoise']),
    guitar: readGuitar(guitar),
    after: readAfter(after),
    match: readMatch(match),
  });
}

function readBoolean(value: unknown): boolean | undefined {
  return typeof value === 'boolean' ? value : undefined;
}

/** Undefined for what is no number within the range. */
export function readNumber(
  value: unknown,
  { lowest, highest }: Readonly<Record<'lowest' | 'highest', number>>,
): number | undefined {
  return typeof value === 'number' && value >= lowest && value <= highest ? value : undefined;
}

function readCalibration(value: unknown): KeptSettings['calibration'] | undefined {
  const volts = readNumber(fieldOf(value, 'volts'), { lowest: 1e-3, highest: 1e3 });
  return volts === undefined ? undefined : { volts, isMeasured: true };
}

function readSource(value: unknown): Source | undefined {
  const kind = fieldOf(value, 'kind');
  const id = fieldOf(value, 'id');
  const deviceId = fieldOf(value, 'deviceId');
  if (kind === 'none' || kind === 'string') return { kind };
  if ((kind === 'recording' || kind === 'riff') && typeof id === 'string') return { kind, id };
  if (kind !== 'live' || typeof deviceId !== 'string') return undefined;
  return { kind, deviceId, channel: fieldOf(value, 'channel') === 1 ? 1 : 0 };
}

function readGuitar(value: unknown): BenchState['guitar'] | undefined {
  const isOn = readBoolean(fieldOf(value, 'isOn'));
  const instrument = readInstrument(fieldOf(value, 'instrument'));
  return isOn !== undefined && instrument ? { isOn, instrument } : undefined;
}

function readInstrument(value: unknown): Instrument | undefined {
  const pickup = (Object.keys(PICKUPS) as Instrument['pickup'][]).find(
    (name) => name === fieldOf(value, 'pickup'),
  );
  const turn = { lowest: 0, highest: 1 };
  const volume = readNumber(fieldOf(value, 'volume'), turn);
  const tone = readNumber(fieldOf(value, 'tone'), turn);
  const cableMetres = readNumber(fieldOf(value, 'cableMetres'), { lowest: 0, highest: LONGEST_CABLE_METRES });
  if (!pickup || volume === undefined || tone === undefined || cableMetres === undefined) return undefined;
  return { pickup, volume, tone, cableMetres };
}

function readAfter(value: unknown): BenchState['after'] | undefined {
  const isOn = readBoolean(fieldOf(value, 'isOn'));
  const load = fieldOf(value, 'load');
  const input = (Object.keys(NEXT_INPUTS) as OutputLoad['input'][]).find(
    (name) => name === fieldOf(load, 'input'),
  );
  const cableMetres = readNumber(fieldOf(load, 'cableMetres'), { lowest: 0, highest: LONGEST_CABLE_METRES });
  if (isOn === undefined || !input || cableMetres === undefined) return undefined;
  return { isOn, load: { input, cableMetres } };
}

/** A match of an earlier version, which matched only on request, is followed by automatic ones. */
function readMatch(value: unknown): KeptSettings['match'] | undefined {
  const range = { lowest: -MOST_CUT_DB, highest: MOST_BOOST_DB };
  const a = readNumber(fieldOf(fieldOf(value, 'db'), 'a'), range);
  const b = readNumber(fieldOf(fieldOf(value, 'db'), 'b'), range);
  if (a === undefined || b === undefined) return undefined;
  const isTrue = (name: string) => fieldOf(value, name) === true;
  // The gain of another sound must not make this one louder.
  const most = isTrue('isFresh') ? MOST_BOOST_DB : 0;
  return {
    db: { a: Math.min(most, a), b: Math.min(most, b) },
    isFollowing: isTrue('isFollowing'),
    isAutomatic: readBoolean(fieldOf(value, 'isAutomatic')) ?? true,
    adjusted: fieldOf(value, 'adjusted') === 'a' ? 'a' : 'b',
    isFresh: isTrue('isFresh'),
    round: readRound(fieldOf(value, 'round')),
    hasOwnSpeaker: isTrue('hasOwnSpeaker'),
  };
}

function readRound(value: unknown): RiffBounds | undefined {
  const range = { lowest: 0, highest: Number.MAX_SAFE_INTEGER };
  const startFrame = readNumber(fieldOf(value, 'startFrame'), range);
  const endFrame = readNumber(fieldOf(value, 'endFrame'), range);
  return startFrame === undefined || endFrame === undefined ? undefined : { startFrame, endFrame };
}

function isOwn(speaker: MatchedSound['speaker']): boolean {
  return speaker !== undefined && speaker !== 'built in';
}

/** A field of data that may be anything. */
export function fieldOf(value: unknown, name: string): unknown {
  return typeof value === 'object' && value !== null ? (value as Record<string, unknown>)[name] : undefined;
}

/** An object without the fields that hold nothing. */
function defined<T extends object>(
  fields: {
    readonly [K in keyof T]: T[K] | undefined;
  },
): Partial<T> {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as Partial<T>;
}
