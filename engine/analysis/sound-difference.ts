import { THIRD_OCTAVES } from './band-levels.ts';
import { RESPONSE_HZ, type SoundMeasurement } from './build-measurement.ts';
import { nullDepth } from './null-depth.ts';

/** Printed with every ranking. */
export const NULL_DEPTH_NOTE =
  'Null depth does not measure audibility: a cutoff moved from 5 to 15 Hz nulls only to -18 dB and is inaudible.';

/** Bands this far below the loudest one are ignored, dB. */
const HEARD_RANGE_DB = 60;

/** Difference between two sounds. */
export interface SoundDifference {
  /** Gated loudness relative to the present part, LU. */
  readonly loudnessLu: number;
  /** Root mean square over the audible third-octaves, after the level match, dB; the list is sorted by it. */
  readonly spectrumDb: number;
  /** Each audible third-octave, after the level match, dB. */
  readonly bands: readonly { readonly hz: number; readonly differenceDb: number }[];
  /** Largest difference of the small-signal responses, dB at Hz; without level match. */
  readonly response: { readonly hz: number; readonly differenceDb: number };
  /** Null depth, dB. See {@link NULL_DEPTH_NOTE}. */
  readonly nullDb: number;
}

/** @param present,other Renders of one recording. @throws Refusal if one is silent. */
export function soundDifference(
  present: SoundMeasurement,
  other: SoundMeasurement,
  sampleRateHz: number,
): SoundDifference {
  const loudnessLu = other.loudnessDb - present.loudnessDb;
  const bands = heardBands(present, other, sampleRateHz / 2).map(({ hz, differenceDb }) => ({
    hz,
    differenceDb: differenceDb - loudnessLu,
  }));
  const squares = bands.reduce((sum, { differenceDb }) => sum + differenceDb * differenceDb, 0);
  return {
    loudnessLu,
    spectrumDb: Math.sqrt(squares / Math.max(1, bands.length)),
    bands,
    response: largestResponseDifference(present.responseDb, other.responseDb),
    nullDb: nullDepth(present.outputV, other.outputV).depthDb,
  };
}

function heardBands(
  present: SoundMeasurement,
  other: SoundMeasurement,
  endHz: number,
): SoundDifference['bands'] {
  const floors = [present, other].map(({ bandsDb }) => Math.max(...bandsDb) - HEARD_RANGE_DB);
  return THIRD_OCTAVES.flatMap(({ hz, toHz }, index) => {
    const [before, after] = [present.bandsDb[index]!, other.bandsDb[index]!];
    const isHeard = toHz <= endHz && before > floors[0]! && after > floors[1]!;
    return isHeard ? [{ hz, differenceDb: after - before }] : [];
  });
}

function largestResponseDifference(
  present: readonly number[],
  other: readonly number[],
): SoundDifference['response'] {
  let largest = { hz: RESPONSE_HZ[0]!, differenceDb: 0 };
  for (const [index, hz] of RESPONSE_HZ.entries()) {
    const differenceDb = other[index]! - present[index]!;
    if (Math.abs(differenceDb) > Math.abs(largest.differenceDb)) largest = { hz, differenceDb };
  }
  return largest;
}
