import { USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import { STARTING_SETTINGS } from '../../worklets/bench-messages.ts';
import { ASSUMED_INTERFACE_V, type BenchState, type Builds } from './bench-state.ts';
import { STARTING_EAR } from './ear-state.ts';
import { loadCalibrations } from './kept-calibrations.ts';
import { presetNamed } from './presets.ts';
import { loadBench } from './saved-bench.ts';

/** A bench on which nothing has been done yet but to put two builds on it. */
export function freshState(builds: Builds): BenchState {
  return {
    view: 'bench',
    ear: STARTING_EAR,
    builds,
    heard: 'a',
    selected: 'D1',
    series: 'E12',
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
    match: { db: STARTING_SETTINGS.matchDb, sound: undefined, isMeasuring: false, isFollowing: false },
    calibration: { volts: ASSUMED_INTERFACE_V, isMeasured: false },
    calibrations: [],
    refusal: undefined,
  };
}

/**
 * The bench as it was left on the last visit, or as it is on a first one.
 *
 * @param recording The bundled recording that plays first.
 */
export function startingState(recording: string): BenchState {
  let broken: string | undefined;
  const saved = loadBench((reason) => {
    broken = reason;
  });
  const fresh = freshState(saved?.builds ?? { a: presetNamed('soft-plain'), b: presetNamed('soft-led') });
  return {
    ...fresh,
    temperatureC: saved?.temperatureC ?? fresh.temperatureC,
    source: { kind: 'recording', id: recording },
    calibration: saved?.calibration ?? fresh.calibration,
    calibrations: loadCalibrations(),
    rateChoice: saved?.rateChoice ?? fresh.rateChoice,
    refusal:
      broken === undefined
        ? undefined
        : {
            ref: '',
            slot: undefined,
            message: `The builds of the last visit could not be read (${broken}). The bench starts afresh.`,
          },
  };
}
