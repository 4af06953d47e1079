import { withAlias } from '../../engine/builds/alias.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { withTitle } from '../../engine/builds/build-title.ts';
import type { Instrument } from '../../engine/builds/instrument.ts';
import type { OutputLoad } from '../../engine/builds/output-load.ts';
import { type PartSettings, withSettings } from '../../engine/builds/part-groups.ts';
import { piecesIn, piecesOf, withPieces } from '../../engine/builds/pieces.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import type { PartGroup } from '../../engine/circuits/part-group.ts';
import { oneLine } from '../../engine/input/shown-text.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import type { PreferredSeries } from '../../engine/units/preferred-numbers.ts';
import { type RiffBounds, SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { KeptDevice } from '../audio/kept-devices.ts';
import type { Source } from '../audio/prepared-source.ts';
import type { RateChoice } from '../rate/live-rate.ts';
import {
  type CandidateRun,
  type EarVerdict,
  nextUnjudged,
  sidesBefore,
  steppedIndex,
  type TriedCandidate,
  withCandidateAt,
  withVerdict,
} from './candidate-run.ts';
import { afterChainAction, type ChainAction, isChainAction, type Joining } from './chain-actions.ts';
import { type ChainPlaces, indexIn, type Sides } from './chains.ts';
import type { EarCommand, EarState } from './ear-state.ts';
import { type KeptCalibration, withCalibration } from './kept-calibrations.ts';
import { type ControlAction, withControl } from './linked-controls.ts';
import { type Reach, reachAt } from './reach.ts';
import type { SetAside } from './set-aside.ts';

/** Both builds on the bench: in a chain the pedal that is looked at. */
export type Builds = Readonly<Record<Slot, Build>>;

/** Everything before the level match that makes a build louder or quieter; not probe and output. */
export interface MatchedSound {
  readonly builds: Builds;
  readonly places: ChainPlaces;
  readonly source: Source;
  /** Of a riff. */
  readonly round: RiffBounds | undefined;
  /** Of the interface, if it scales the source. */
  readonly fullScaleVolts: number | undefined;
  readonly instrument: Instrument | undefined;
  readonly load: OutputLoad | undefined;
  readonly temperatureC: number;
  /** 'own' until the impulse response of an earlier visit has been read. */
  readonly speaker: OwnSpeaker | 'built in' | 'own' | undefined;
  readonly hearsNoise: boolean;
  readonly isBypassed: boolean;
}

/** The last level match, and its sound: see `soundChange`. */
export interface LevelMatch {
  readonly db: Readonly<Record<Slot, number>>;
  /** Undefined if levels are not matched. */
  readonly sound: MatchedSound | undefined;
  readonly isMeasuring: boolean;
  /** Levels are matched all the time. */
  readonly isFollowing: boolean;
  /** Every swap is matched by computing, before it is heard if that is quick enough. */
  readonly isAutomatic: boolean;
  /** The build whose gain the last match has set. */
  readonly adjusted: Slot;
  /** The last match was made with the loudest passage alone; the one over the whole phrase follows. */
  readonly isEstimate: boolean;
  /** The last match was computed with plucked notes, since the live guitar was not played. */
  readonly isByNotes: boolean;
  /** Why the levels of `sound` cannot be made equal, in a sentence. */
  readonly problem: string | undefined;
}

/** Volts of the interface's full scale. */
export interface Calibration {
  readonly volts: number;
  /** False while the volts are only an assumption. */
  readonly isMeasured: boolean;
}

/** View in the middle of the screen. */
export type View = 'bench' | 'ear';

/** An impulse response of the user's own, as its file has it. */
export interface OwnSpeaker {
  readonly name: string;
  readonly samples: Float64Array;
  readonly sampleRateHz: number;
}

/** The guitar's data, and whether they are used. */
export interface Guitar {
  readonly isOn: boolean;
  readonly instrument: Instrument;
}

/** What the pedals' output is plugged into, and whether it is used. */
export interface After {
  readonly isOn: boolean;
  readonly load: OutputLoad;
}

/** Everything that the screen shows and the sound follows. Immutable. */
export interface BenchState {
  readonly view: View;
  readonly ear: EarState;
  readonly builds: Builds;
  /** Where the builds stand in their chains. */
  readonly places: ChainPlaces;
  readonly heard: Slot;
  /** Reference designator of the part on the card. */
  readonly selected: string;
  /** Whether a change of it changes its group. */
  readonly reach: Reach;
  readonly series: PreferredSeries;
  /** Of the whole bench, both builds alike; within TEMPERATURE_RANGE_C. */
  readonly temperatureC: number;
  /** Knobs and switches of both builds are turned together. */
  readonly isLinked: boolean;
  readonly source: Source;
  readonly isListening: boolean;
  readonly isBypassed: boolean;
  /** Net of the probe, by its name in the circuit; undefined for the output. */
  readonly probe: string | undefined;
  readonly outputDb: number;
  readonly hasStandIn: boolean;
  /** The oversampling, chosen by hand or automatic. */
  readonly rateChoice: RateChoice;
  /** Impulse response instead of the built-in speaker, if any. */
  readonly speaker: OwnSpeaker | undefined;
  /** The builds' own noise is heard with them. */
  readonly hearsNoise: boolean;
  /** Guitar and cable before the pedals. */
  readonly guitar: Guitar;
  /** Cable and next input behind the pedals. */
  readonly after: After;
  readonly match: LevelMatch;
  readonly calibration: Calibration;
  /** Gain positions of the interface that were measured. */
  readonly calibrations: readonly KeptCalibration[];
  /** Builds that could not be loaded and are offered as files. */
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
  | { readonly type: 'reach'; readonly reach: Reach }
  /** The builder's own groups of the heard build; other builds of its circuit get the same changes. */
  | { readonly type: 'groups'; readonly groups: readonly PartGroup[] }
  | {
      readonly type: 'setPart';
      readonly slot: Slot;
      readonly ref: string;
      readonly setting: PartSetting;
      /** Settings of the parts that are swapped with it. */
      readonly others?: PartSettings;
      /** One of many edits of a dial; undone together. */
      readonly isDialled?: boolean;
    }
  /**
   * The next or previous candidate in B, which is heard then. Without candidates it steps the chosen part of B, to the
   * change that the store has found for it.
   */
  | { readonly type: 'candidate'; readonly step: 1 | -1; readonly change?: PartsChange }
  /** Puts the first of a list in B; they are stepped through from now on. */
  | {
      readonly type: 'startCandidates';
      readonly refs: readonly string[];
      readonly list: readonly TriedCandidate[];
      readonly isHidden: boolean;
      /** Why others are left out. */
      readonly refused?: readonly string[];
    }
  | { readonly type: 'pickCandidate'; readonly index: number }
  /** B becomes what it was before the first, or keeps the candidate that is in it. */
  | { readonly type: 'endCandidates'; readonly keeps: boolean }
  /** What the ear says of the candidate in B; the next one without a verdict follows. */
  | { readonly type: 'verdict'; readonly verdict: EarVerdict }
  /** What a part is called on the builder's own board, in every build of the heard one's circuit. */
  | { readonly type: 'alias'; readonly ref: string; readonly alias: string }
  | ControlAction
  | { readonly type: 'setBypass'; readonly slot: Slot; readonly bypass: Build['bypass'] }
  | { readonly type: 'load'; readonly slot: Slot; readonly build: Build }
  /** An empty title brings back the automatic title. */
  | { readonly type: 'rename'; readonly slot: Slot; readonly title: string }
  | ChainAction
  | { readonly type: 'undo' }
  | { readonly type: 'redo' }
  | { readonly type: 'open'; readonly slot: Slot; readonly file: File; readonly joins: Joining }
  /** Of a chain the whole, or only the pedal that is looked at. */
  | { readonly type: 'save'; readonly slot: Slot; readonly isPedal?: boolean }
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
  | { readonly type: 'after'; readonly after: After }
  /** Undefined puts the probe back on the output. */
  | { readonly type: 'probe'; readonly net: string | undefined }
  | { readonly type: 'output'; readonly db: number }
  | { readonly type: 'standIn'; readonly hasStandIn: boolean }
  | { readonly type: 'rate'; readonly choice: RateChoice }
  | { readonly type: 'measureRate' }
  | { readonly type: 'soundSettings' }
  /** Undefined for the system's. */
  | { readonly type: 'outputDevice'; readonly device: KeptDevice | undefined }
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

/** A change of one part and of those that are swapped with it. */
export type PartsChange = Extract<Action, { readonly type: 'setPart' }>;

/** The state after an action; undefined if store or bench must do more. */
export function reduce(state: BenchState, action: Action): BenchState {
  switch (action.type) {
    case 'hear':
      return { ...state, heard: action.slot, ear: { ...state.ear, difference: undefined } };
    case 'select':
      return {
        ...state,
        selected: action.ref,
        reach: reachAt(state, action.ref),
        refusal: undefined,
      };
    case 'reach':
      return { ...state, reach: action.reach };
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
    case 'after':
      return { ...state, after: action.after };
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
    case 'candidate':
      return steppedCandidate(state, action);
    case 'startCandidates':
      return startedCandidates(state, action);
    case 'pickCandidate':
      return pickedCandidate(state, action.index);
    case 'endCandidates':
      return endedCandidates(state, action.keeps);
    case 'verdict':
      return judgedCandidate(state, action.verdict);
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
      if (isChainAction(action)) return withChain(state, action);
      const builds = editedBuilds(state, action);
      if (builds === state.builds) return state;
      const after = { builds, places: state.places };
      const ear = BESIDE_CANDIDATES.has(action.type) ? state.ear : earAfterEdit(state, after);
      return { ...withSides(state, after), ear };
    }
  }
}

function withChain(state: BenchState, action: ChainAction): BenchState {
  const sides = { builds: state.builds, places: state.places };
  const after = afterChainAction(sides, action);
  if (after === sides) return state;
  // A look changes nothing that is heard: candidates go on.
  const ear = action.type === 'look' ? state.ear : earAfterEdit(state, after);
  return { ...withSides(state, after), ear };
}

/** A probed net is one of a circuit, so the probe goes back to the output where another circuit is on the sheet. */
export function withSides(state: BenchState, { builds, places }: Sides): BenchState {
  const isOther = SLOTS.some((slot) => !isSameCircuit(state.builds[slot].circuit, builds[slot].circuit));
  return { ...state, builds, places, probe: isOther ? undefined : state.probe, refusal: undefined };
}

/** The difference plays only in the view that shows it: another view ends it. */
function leftView({ view, ear }: BenchState, next: View): EarState {
  return next === view ? ear : { ...ear, difference: undefined };
}

/** Edits of build B after which a candidate is still in it. */
const BESIDE_CANDIDATES: ReadonlySet<Action['type']> = new Set([
  'turnKnob',
  'throwSwitch',
  'setBypass',
  'alias',
  'groups',
  'rename',
]);

/** Candidates are over once B becomes something else, or the chain of a side does; their verdicts stay. */
export function earAfterEdit({ ear, builds, places }: BenchState, after: Sides): EarState {
  const run = ear.candidates;
  if (run?.at === undefined || (after.builds.b === builds.b && after.places === places)) return ear;
  return { ...ear, candidates: { ...run, at: undefined, isHidden: false } };
}

function startedCandidates(
  state: BenchState,
  { refs, list, isHidden, refused = [] }: Extract<Action, { readonly type: 'startCandidates' }>,
): BenchState {
  const { candidates } = state.ear;
  const isFirst = candidates?.at === undefined;
  const before = isFirst ? state.builds.b : candidates.before;
  const placeBefore = isFirst ? state.places.b : candidates.placeBefore;
  const pedal = indexIn(state.places.a);
  const run = { refs, pedal, list, isHidden, at: undefined, before, placeBefore, refused };
  return list.length === 0 ? state : atCandidate(state, run, 0);
}

function pickedCandidate(state: BenchState, index: number): BenchState {
  const run = state.ear.candidates;
  return run?.at === undefined || run.list[index] === undefined ? state : atCandidate(state, run, index);
}

function endedCandidates(state: BenchState, keeps: boolean): BenchState {
  const run = state.ear.candidates;
  if (run?.at === undefined) return state;
  const candidates = { ...run, at: undefined, isHidden: false };
  const ended = { ...state, ear: { ...state.ear, candidates }, refusal: undefined };
  return keeps ? ended : withSides(ended, sidesBefore(state, run));
}

function steppedCandidate(
  state: BenchState,
  { step, change }: Extract<Action, { readonly type: 'candidate' }>,
): BenchState {
  const run = state.ear.candidates;
  if (run?.at !== undefined) return atCandidate(state, run, steppedIndex(run, step));
  return change ? { ...reduce(state, change), heard: 'b' } : state;
}

function judgedCandidate(state: BenchState, verdict: EarVerdict): BenchState {
  const run = state.ear.candidates;
  if (run?.at === undefined) return state;
  const judged = withVerdict(run, verdict);
  return atCandidate(state, judged, nextUnjudged(judged));
}

/** With a candidate in B, which is heard. */
function atCandidate(state: BenchState, before: CandidateRun, index: number): BenchState {
  const { run, ...sides } = withCandidateAt(state, before, index);
  const ear = { ...state.ear, candidates: run, difference: undefined };
  return { ...withSides(state, sides), heard: 'b', ear };
}

/** What is left of a refusal once a value of the whole bench was taken: one that stands at a part stays there. */
function withoutPlace(refusal: BenchState['refusal']): BenchState['refusal'] {
  return refusal?.ref === '' ? undefined : refusal;
}

/** The nearest allowed temperature, °C; `otherwise` if the number is NaN. */
export function withinRange(celsius: number, otherwise: number): number {
  if (!Number.isFinite(celsius)) return otherwise;
  return Math.min(TEMPERATURE_RANGE_C.highest, Math.max(TEMPERATURE_RANGE_C.lowest, celsius));
}

/** The builds after an edit; the same object if the action is not an edit. */
function editedBuilds({ builds, heard, isLinked }: BenchState, action: Action): Builds {
  switch (action.type) {
    case 'setPart':
      return withBuild(builds, action.slot, withParts(builds[action.slot], action));
    case 'alias':
      return editAlias(builds, heard, action.ref, action.alias);
    case 'groups':
      return editGroups(builds, heard, action.groups);
    case 'turnKnob':
      return withControl(builds, action, isLinked && !action.isAlone);
    case 'throwSwitch':
      return withControl(builds, action, isLinked);
    case 'setBypass':
      return edit(builds, action.slot, () => ({ bypass: action.bypass }));
    case 'load':
      // What the builder has measured stays on the list.
      return withBuild(builds, action.slot, withPieces(action.build, piecesOf(builds[action.slot])));
    case 'rename':
      return withBuild(builds, action.slot, withTitle(builds[action.slot], action.title));
    default:
      return builds;
  }
}

/** A build with other parts. It keeps the pieces among them, so that they stay on its list when they are swapped out. */
function withParts(build: Build, { ref, setting, others }: Extract<Action, { type: 'setPart' }>): Build {
  const changed = withSettings(build, { ...others, [ref]: setting });
  return withPieces(changed, [setting, ...Object.values(others ?? {})].flatMap(piecesIn));
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

function editGroups(builds: Builds, heard: Slot, groups: readonly PartGroup[]): Builds {
  const { circuit, groups: before = [] } = builds[heard];
  const touched = new Set([...before, ...groups].map(({ name }) => name));
  const grouped = (build: Build): Build => {
    const { groups: own = [], ...plain } = build;
    if (!isSameCircuit(build.circuit, circuit)) return build;
    const merged = [...own.filter(({ name }) => !touched.has(name)), ...groups];
    return merged.length > 0 ? { ...plain, groups: merged } : plain;
  };
  return { a: grouped(builds.a), b: grouped(builds.b) };
}
