import { withAlias } from '../../engine/builds/alias.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { copyOf, withTitle } from '../../engine/builds/build-title.ts';
import type { Instrument } from '../../engine/builds/instrument.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { oneLine } from '../../engine/input/shown-text.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import type { PreferredSeries } from '../../engine/units/preferred-numbers.ts';
import type { RiffBounds, Slot } from '../../worklets/bench-messages.ts';
import type { Source } from '../audio/prepared-source.ts';
import type { RateChoice } from '../rate/live-rate.ts';
import type { EarCommand, EarState } from './ear-state.ts';
import { type KeptCalibration, withCalibration } from './kept-calibrations.ts';
import type { SetAside } from './set-aside.ts';

/** Both builds on the bench. */
export type Builds = Readonly<Record<Slot, Build>>;

/** All that sounds ahead of the level match and makes a build louder or quieter; the probe and the output do not. */
export interface MatchedSound {
  readonly builds: Builds;
  readonly source: Source;
  /** Of a riff. */
  readonly round: RiffBounds | undefined;
  /** Of the interface, where what plays is scaled by it. */
  readonly fullScaleVolts: number | undefined;
  readonly instrument: Instrument | undefined;
  readonly temperatureC: number;
  readonly speaker: OwnSpeaker | 'built in' | undefined;
  readonly hearsNoise: boolean;
  readonly isBypassed: boolean;
}

/** Level match as it was last set, and for what: see `soundChange`. */
export interface LevelMatch {
  readonly db: Readonly<Record<Slot, number>>;
  /** Undefined where levels are not matched. */
  readonly sound: MatchedSound | undefined;
  readonly isMeasuring: boolean;
  /** Levels are matched anew all the time. */
  readonly isFollowing: boolean;
}

/** What the interface's full scale stands for. */
export interface Calibration {
  readonly volts: number;
  /** False while the volts are only an assumption. */
  readonly isMeasured: boolean;
}

/** What the middle of the screen shows. */
export type View = 'bench' | 'ear';

/** An impulse response of the user's own, as its file has it. */
export interface OwnSpeaker {
  readonly name: string;
  readonly samples: Float64Array;
  readonly sampleRateHz: number;
}

/** The instrument that is taken to be played, and whether anything is made of it. */
export interface Guitar {
  readonly isOn: boolean;
  readonly instrument: Instrument;
}

/** Everything that the screen shows and the sound follows. Immutable. */
export interface BenchState {
  readonly view: View;
  readonly ear: EarState;
  readonly builds: Builds;
  readonly heard: Slot;
  /** Reference designator of the part on the card. */
  readonly selected: string;
  readonly series: PreferredSeries;
  /** Of the whole bench, both builds alike; within TEMPERATURE_RANGE_C. */
  readonly temperatureC: number;
  /** Knobs and switches of both builds are turned together. */
  readonly isLinked: boolean;
  readonly source: Source;
  readonly isListening: boolean;
  readonly isBypassed: boolean;
  /** Net that is listened to and plotted, by its name in the circuit; undefined for the output. */
  readonly probe: string | undefined;
  readonly outputDb: number;
  readonly hasStandIn: boolean;
  /** How much the circuits that play are oversampled, or that it is to be found by measuring. */
  readonly rateChoice: RateChoice;
  /** What stands in for the built-in speaker, if anything does. */
  readonly speaker: OwnSpeaker | undefined;
  /** The builds' own noise is heard with them. */
  readonly hearsNoise: boolean;
  /** What stands between the strings and the pedals. */
  readonly guitar: Guitar;
  readonly match: LevelMatch;
  readonly calibration: Calibration;
  /** Gain positions of the interface that were measured. */
  readonly calibrations: readonly KeptCalibration[];
  /** What could not be put on the bench and is offered as files. */
  readonly setAside: SetAside | undefined;
  /** Why the last edit was refused, in one sentence; shown at the part or, without one, above. */
  readonly refusal:
    | { readonly ref: string; readonly slot: Slot | undefined; readonly message: string }
    | undefined;
}

/** Line level of a common interface at full scale, +12 dBu as a peak; an assumption until it is entered. */
export const ASSUMED_INTERFACE_V = 4.36;

/** How far the output level goes, dB. */
export const OUTPUT_RANGE_DB = { lowest: -60, highest: 6 } as const;

/** The series that values step along. */
export const SERIES_OFFERED: readonly PreferredSeries[] = ['E6', 'E12', 'E24'];

/** What a person can do to the bench; components emit these, the store carries them out. */
export type Action =
  | { readonly type: 'hear'; readonly slot: Slot }
  | { readonly type: 'select'; readonly ref: string }
  | {
      readonly type: 'setPart';
      readonly slot: Slot;
      readonly ref: string;
      readonly setting: PartSetting;
      /** One of many on the way of a dial; undone with its neighbours. */
      readonly isDialled?: boolean;
    }
  /** What a part is called on the builder's own board, in every build of the heard one's circuit. */
  | { readonly type: 'alias'; readonly ref: string; readonly alias: string }
  | {
      readonly type: 'turnKnob';
      readonly slot: Slot;
      readonly name: string;
      readonly rotation: number;
      /** Whether the other build keeps its own even where controls are turned together. */
      readonly isAlone?: boolean;
    }
  | { readonly type: 'throwSwitch'; readonly slot: Slot; readonly name: string; readonly position: string }
  | { readonly type: 'setBypass'; readonly slot: Slot; readonly bypass: Build['bypass'] }
  | { readonly type: 'load'; readonly slot: Slot; readonly build: Build }
  /** An empty title gives back the one that follows the swaps. */
  | { readonly type: 'rename'; readonly slot: Slot; readonly title: string }
  | { readonly type: 'copy'; readonly from: Slot; readonly to: Slot }
  | { readonly type: 'exchange' }
  | { readonly type: 'undo' }
  | { readonly type: 'redo' }
  | { readonly type: 'open'; readonly slot: Slot; readonly file: File }
  | { readonly type: 'save'; readonly slot: Slot }
  | {
      readonly type: 'refuse';
      readonly ref: string;
      readonly slot: Slot | undefined;
      readonly message: string;
    }
  | { readonly type: 'dismiss' }
  | { readonly type: 'dropSetAside' }
  | { readonly type: 'series'; readonly series: PreferredSeries }
  | { readonly type: 'temperature'; readonly celsius: number }
  | { readonly type: 'link'; readonly isLinked: boolean }
  | { readonly type: 'listen'; readonly isListening: boolean }
  | { readonly type: 'source'; readonly source: Source }
  | { readonly type: 'bypass'; readonly isBypassed: boolean }
  | { readonly type: 'speaker'; readonly speaker: OwnSpeaker | undefined }
  | { readonly type: 'guitar'; readonly guitar: Guitar }
  /** Undefined puts the probe back on the output. */
  | { readonly type: 'probe'; readonly net: string | undefined }
  | { readonly type: 'output'; readonly db: number }
  | { readonly type: 'standIn'; readonly hasStandIn: boolean }
  | { readonly type: 'rate'; readonly choice: RateChoice }
  | { readonly type: 'measureRate' }
  | { readonly type: 'soundSettings' }
  | { readonly type: 'measureRoundTrip' }
  | { readonly type: 'hearNoise'; readonly isHeard: boolean }
  | { readonly type: 'match'; readonly match: LevelMatch }
  | { readonly type: 'calibrate'; readonly calibration: Calibration }
  | { readonly type: 'keepCalibration'; readonly kept: KeptCalibration }
  | { readonly type: 'guideCalibration' }
  | { readonly type: 'clearClips' }
  | { readonly type: 'tone'; readonly isPlaying: boolean }
  | { readonly type: 'view'; readonly view: View }
  | { readonly type: 'ear'; readonly change: Partial<EarState> }
  | { readonly type: 'earCommand'; readonly command: EarCommand };

/** The state after an action, or undefined where the store or the composition has to do more than that. */
export function reduce(state: BenchState, action: Action): BenchState {
  switch (action.type) {
    case 'hear':
      return { ...state, heard: action.slot, ear: { ...state.ear, difference: undefined } };
    case 'select':
      return { ...state, selected: action.ref, refusal: undefined };
    case 'series':
      return { ...state, series: action.series };
    case 'temperature':
      return {
        ...state,
        temperatureC: withinRange(action.celsius, state.temperatureC),
        refusal: withoutPlace(state.refusal),
      };
    case 'link':
      return { ...state, isLinked: action.isLinked };
    case 'listen':
      return { ...state, isListening: action.isListening };
    case 'source':
      return { ...state, source: action.source };
    case 'bypass':
      return { ...state, isBypassed: action.isBypassed };
    case 'speaker':
      return { ...state, speaker: action.speaker, hasStandIn: true };
    case 'guitar':
      return { ...state, guitar: action.guitar };
    case 'probe':
      return { ...state, probe: action.net };
    case 'output':
      return { ...state, outputDb: action.db };
    case 'standIn':
      return { ...state, hasStandIn: action.hasStandIn };
    case 'rate':
      return { ...state, rateChoice: action.choice };
    case 'hearNoise':
      return { ...state, hearsNoise: action.isHeard };
    case 'match':
      return { ...state, match: action.match };
    case 'calibrate':
      return { ...state, calibration: action.calibration, refusal: withoutPlace(state.refusal) };
    case 'keepCalibration':
      return {
        ...state,
        calibration: { volts: action.kept.volts, isMeasured: true },
        calibrations: withCalibration(state.calibrations, action.kept),
      };
    case 'view':
      return { ...state, view: action.view, ear: leftView(state, action.view) };
    case 'ear':
      return { ...state, ear: { ...state.ear, ...action.change } };
    case 'refuse':
      return {
        ...state,
        refusal: { ref: action.ref, slot: action.slot, message: oneLine(action.message) },
      };
    case 'dismiss':
      return { ...state, refusal: undefined };
    case 'dropSetAside':
      return { ...state, setAside: undefined };
    default: {
      const builds = editedBuilds(state, action);
      return builds === state.builds ? state : { ...state, builds, refusal: undefined };
    }
  }
}

/** The difference is heard only where it is said that it is: another view ends it. */
function leftView({ view, ear }: BenchState, next: View): EarState {
  return next === view ? ear : { ...ear, difference: undefined };
}

/** What is left of a refusal once a value of the whole bench was taken: one that stands at a part stays there. */
function withoutPlace(refusal: BenchState['refusal']): BenchState['refusal'] {
  return refusal?.ref === '' ? undefined : refusal;
}

/** A temperature that the bench can be at, °C: the nearest to what was asked for; `otherwise` where that is no number. */
export function withinRange(celsius: number, otherwise: number): number {
  if (!Number.isFinite(celsius)) return otherwise;
  return Math.min(TEMPERATURE_RANGE_C.highest, Math.max(TEMPERATURE_RANGE_C.lowest, celsius));
}

/** The builds after an edit; the same object where the action is none. */
function editedBuilds({ builds, heard, isLinked }: BenchState, action: Action): Builds {
  switch (action.type) {
    case 'setPart':
      return edit(builds, action.slot, ({ parts }) => ({
        parts: { ...parts, [action.ref]: action.setting },
      }));
    case 'alias':
      return editAlias(builds, heard, action.ref, action.alias);
    case 'turnKnob':
      return editControl(builds, action.slot, isLinked && !action.isAlone, ({ knobs }) =>
        action.name in knobs ? { knobs: { ...knobs, [action.name]: action.rotation } } : {},
      );
    case 'throwSwitch':
      return editControl(builds, action.slot, isLinked, ({ switches }) =>
        action.name in switches ? { switches: { ...switches, [action.name]: action.position } } : {},
      );
    case 'setBypass':
      return edit(builds, action.slot, () => ({ bypass: action.bypass }));
    case 'load':
      return { ...builds, [action.slot]: action.build };
    case 'rename':
      return withBuild(builds, action.slot, withTitle(builds[action.slot], action.title));
    case 'copy':
      return withBuild(builds, action.to, copyOf(builds[action.from]));
    case 'exchange':
      return { a: builds.b, b: builds.a };
    default:
      return builds;
  }
}

/** The same object where the build is already there. */
function withBuild(builds: Builds, slot: Slot, build: Build): Builds {
  return builds[slot] === build ? builds : { ...builds, [slot]: build };
}

function edit(builds: Builds, slot: Slot, change: (build: Build) => Partial<Build>): Builds {
  return { ...builds, [slot]: { ...builds[slot], ...change(builds[slot]) } };
}

function editAlias(builds: Builds, heard: Slot, ref: string, alias: string): Builds {
  const { circuit } = builds[heard];
  const named = (build: Build) =>
    isSameCircuit(build.circuit, circuit) ? withAlias(build, ref, alias) : build;
  return { a: named(builds.a), b: named(builds.b) };
}

/** Edits both builds where they are of one circuit and their controls are linked. */
function editControl(
  builds: Builds,
  slot: Slot,
  isLinked: boolean,
  change: (build: Build) => Partial<Build>,
): Builds {
  const other: Slot = slot === 'a' ? 'b' : 'a';
  const edited = edit(builds, slot, change);
  return isLinked && isSameCircuit(builds.a.circuit, builds.b.circuit) ? edit(edited, other, change) : edited;
}
