import { EMPTY_DRAWER } from '../../engine/builds/drawer.ts';
import { USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { USUAL_OUTPUT_LOAD } from '../../engine/builds/output-load.ts';
import { usualGroup, withSettings } from '../../engine/builds/part-groups.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import { STARTING_SETTINGS } from '../../worklets/bench-messages.ts';
import type { Unsolvable } from '../swap/swap-messages.ts';
import { ASSUMED_INTERFACE_V, type BenchState, type Builds, type LevelMatch } from './bench-state.ts';
import { BOTH_ALONE } from './chains.ts';
import { STARTING_EAR } from './ear-state.ts';
import { partOrFirst } from './followed-part.ts';
import { loadCalibrations } from './kept-calibrations.ts';
import { loadDrawer } from './kept-drawer.ts';
import { loadMeasured } from './kept-measured.ts';
import { soundAhead } from './matched-sound.ts';
import { presetNamed } from './presets.ts';
import { USUAL_REACH } from './reach.ts';
import { loadBench, type SavedBench } from './saved-bench.ts';
import { loadSetAside, type SetAside, saveSetAside, setAsideSides } from './set-aside.ts';

/** Four visits' worth; each is some ten kilobytes. */
const MOST_SET_ASIDE = 8;
/** Of a reason that is told. */
const MOST_CHARACTERS = 120;

const UNMATCHED: LevelMatch = {
  db: STARTING_SETTINGS.matchDb,
  sound: undefined,
  isMeasuring: false,
  isFollowing: false,
  isAutomatic: true,
  adjusted: 'b',
  isEstimate: false,
  isByNotes: false,
  problem: undefined,
};

/** A new bench with two builds. */
export function freshState(builds: Builds): BenchState {
  return {
    view: 'bench',
    ear: STARTING_EAR,
    builds,
    places: BOTH_ALONE,
    heard: 'a',
    selected: partOrFirst(builds.a, 'D1'),
    reach: USUAL_REACH,
    cameFrom: undefined,
    series: 'E12',
    drawer: EMPTY_DRAWER,
    temperatureC: TEMPERATURE_RANGE_C.nominal,
    isLinked: true,
    source: { kind: 'none' },
    isListening: false,
    isBypassed: false,
    probe: undefined,
    outputDb: STARTING_SETTINGS.outputDb,
    hasStandIn: STARTING_SETTINGS.standIn,
    rateChoice: 'measured',
    speaker: undefined,
    hearsNoise: false,
    guitar: { isOn: false, instrument: USUAL_INSTRUMENT },
    after: { isOn: false, load: USUAL_OUTPUT_LOAD },
    match: UNMATCHED,
    calibration: { volts: ASSUMED_INTERFACE_V, isMeasured: false },
    calibrations: [],
    measured: [],
    setAside: undefined,
    refusal: undefined,
  };
}

/** What replaces the bench of the last visit if it cannot be played. */
export type Remedy = (state: BenchState, problem: Unsolvable) => BenchState;

/** The bench at the start, and what is tried, in this order, if it cannot be played; known once it is prepared. */
export interface StartingBench {
  readonly state: BenchState;
  readonly remedies: readonly Remedy[];
}

/**
 * The bench of the last visit, or of a first one. Builds that cannot be played are set aside, and two others replace
 * them.
 *
 * @param recording The bundled recording that plays first.
 */
export function startingBench(recording: string): StartingBench {
  const first: BenchState = {
    ...freshState(firstBuilds()),
    source: { kind: 'recording', id: recording },
    calibrations: loadCalibrations(),
    measured: loadMeasured(),
    drawer: loadDrawer(),
    setAside: loadSetAside(),
  };
  const saved = loadBench();
  if (!saved) return { state: first, remedies: [] };
  if (saved.kind === 'whole')
    return { state: withKeptSettings(first, saved), remedies: [underUsualConditions, withBuildsOf(first)] };
  const state = withSetAside(first, unreadable(saved));
  saveSetAside(state.setAside);
  return { state, remedies: [] };
}

/** B is A but for its clipping diodes, which make a difference that is heard at once. */
export function firstBuilds(): Builds {
  const a = presetNamed('soft-plain');
  const { parts } = usualGroup(a, 'D1')!;
  return { a, b: withSettings(a, Object.fromEntries(parts.map((ref) => [ref, { type: 'LED-red' }]))) };
}

/** At 27 °C, with the effect on, without pickup and cables. */
function underUsualConditions(state: BenchState, { slot, message }: Unsolvable): BenchState {
  const guitar = { ...state.guitar, isOn: false };
  const after = { ...state.after, isOn: false };
  const text = `Build ${slot.toUpperCase()} of the last visit cannot be played with the settings of that visit. ${message} It is at ${USUAL_CONDITIONS.temperatureC} °C now, with the effect on and without pickup and cables.`;
  return { ...state, ...USUAL_CONDITIONS, guitar, after, refusal: { ref: '', slot, message: text } };
}

function withBuildsOf({ builds, match }: BenchState): Remedy {
  return (state, { slot, message }) => {
    const text = `Build ${slot.toUpperCase()} of the last visit cannot be played: ${message} Two presets are loaded instead; save your builds as files.`;
    const replaced = { ...state, builds, places: BOTH_ALONE, match, refusal: undefined };
    return withSetAside(replaced, setAsideSides(text, state));
  };
}

const USUAL_CONDITIONS = { temperatureC: TEMPERATURE_RANGE_C.nominal, isBypassed: false } as const;

function withKeptSettings(
  first: BenchState,
  { builds, places, settings: { match, ...settings } }: Extract<SavedBench, { kind: 'whole' }>,
): BenchState {
  const state: BenchState = { ...first, ...settings, builds, places };
  if (!match) return state;
  const { db, isFollowing, isAutomatic, adjusted, isFresh, round, hasOwnSpeaker } = match;
  const ahead = soundAhead(state);
  const speaker = hasOwnSpeaker && state.hasStandIn ? 'own' : ahead.speaker;
  const sound = isFresh ? { ...ahead, round, speaker } : undefined;
  return { ...state, match: { ...first.match, db, isFollowing, isAutomatic, adjusted, sound } };
}

/** Earlier files that were set aside stay available. */
function withSetAside(state: BenchState, added: SetAside): BenchState {
  const files = [...added.files, ...(state.setAside?.files ?? [])].slice(0, MOST_SET_ASIDE);
  return { ...state, setAside: { message: added.message, files } };
}

/** The text itself becomes the file, which can be repaired by hand. */
function unreadable({ reason, text }: Extract<SavedBench, { kind: 'broken' }>): SetAside {
  const short = reason.length > MOST_CHARACTERS ? `${reason.slice(0, MOST_CHARACTERS)}…` : reason;
  return {
    message: `The builds of the last visit could not be read (${short}). Two presets are loaded instead; save the stored text as a file.`,
    files: [{ title: 'what was kept', name: 'cliplead-bench', ending: 'txt', text }],
  };
}
