import type { Build, PartSetting } from '../../engine/builds/build.ts';
import type { Drawer } from '../../engine/builds/drawer.ts';
import type { Instrument } from '../../engine/builds/instrument.ts';
import type { MeasuredPart } from '../../engine/builds/measured-parts.ts';
import type { OutputLoad } from '../../engine/builds/output-load.ts';
import type { PartSettings } from '../../engine/builds/part-groups.ts';
import type { Circuit } from '../../engine/circuits/circuit.ts';
import type { PartGroup } from '../../engine/circuits/part-group.ts';
import type { PreferredSeries } from '../../engine/units/preferred-numbers.ts';
import type { RiffBounds, Slot } from '../../worklets/bench-messages.ts';
import type { KeptDevice } from '../audio/kept-devices.ts';
import type { Source } from '../audio/prepared-source.ts';
import type { RateChoice } from '../rate/live-rate.ts';
import type { EarVerdict, TriedCandidate } from './candidate-run.ts';
import type { ChainAction, Joining } from './chain-actions.ts';
import type { ChainPlaces } from './chains.ts';
import type { EarCommand, EarState } from './ear-state.ts';
import type { KeptCalibration } from './kept-calibrations.ts';
import type { ControlAction } from './linked-controls.ts';
import type { Reach } from './reach.ts';
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
export type View = 'bench' | 'ear' | 'solder';

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

/** The part that was on the card while another circuit was heard, and the one that stands for it now. */
export interface CameFrom {
  readonly circuit: Circuit;
  readonly ref: string;
  readonly reach: Reach;
  /** The part in the circuit that is heard now. */
  readonly standIn: string;
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
  /** The part before another circuit was heard; undefined if there was none. */
  readonly cameFrom: CameFrom | undefined;
  readonly series: PreferredSeries;
  /** What the builder owns. */
  readonly drawer: Drawer;
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
  /** Parts that the builder has measured, one by one. */
  readonly measured: readonly MeasuredPart[];
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
  /** Shows the link to a side. */
  | { readonly type: 'share'; readonly slot: Slot }
  | {
      readonly type: 'refuse';
      readonly ref: string;
      readonly slot: Slot | undefined;
      readonly message: string;
    }
  | { readonly type: 'dismiss' }
  | { readonly type: 'dropSetAside' }
  | { readonly type: 'series'; readonly series: PreferredSeries }
  | { readonly type: 'drawer'; readonly drawer: Drawer }
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
  /** Opens the measured parts, at a part of the circuit if there is one. */
  | { readonly type: 'measureParts'; readonly place: string | undefined }
  | { readonly type: 'keepMeasured'; readonly parts: readonly MeasuredPart[] }
  | { readonly type: 'clearClips' }
  | { readonly type: 'tone'; readonly isPlaying: boolean }
  | { readonly type: 'view'; readonly view: View }
  | { readonly type: 'log'; readonly command: LogCommand }
  | { readonly type: 'ear'; readonly change: Partial<EarState> }
  | { readonly type: 'earCommand'; readonly command: EarCommand };

/** What the builder does to the mod log. */
export type LogCommand =
  | { readonly do: 'note'; readonly id: number; readonly note: string }
  /** An entry with what is on a side now. */
  | { readonly do: 'addState'; readonly slot: Slot }
  | { readonly do: 'empty' }
  /** After emptying. */
  | { readonly do: 'putBack' };

/** A change of one part and of those that are swapped with it. */
export type PartsChange = Extract<Action, { readonly type: 'setPart' }>;
