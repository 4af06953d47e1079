import { pluckedPhrase } from '../audio/plucked-string.ts';
import { loudnessReadings } from '../audio/programme-loudness.ts';
import { SpeakerStandIn } from '../audio/speaker-stand-in.ts';
import type { Build } from '../builds/build.ts';
import { bypassedNetworkOf } from '../builds/bypassed-network.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { type Surroundings, withSurroundings } from '../builds/surroundings.ts';
import type { Network } from '../network/network.ts';
import { renderOffline } from './offline-render.ts';
import { VariantAnalysis } from './variant-analysis.ts';

/** A guitar's peak, and a sample rate that is enough for loudness to a tenth of a decibel. */
const PEAK_V = 0.3;
const SAMPLE_RATE_HZ = 48_000;
const OVERSAMPLING = { factor: 4, quality: 'low-latency', sampleRateHz: SAMPLE_RATE_HZ } as const;
/** Frequency for the gain of the level knob: the circuit after it is flat there. */
const READ_AT_HZ = 500;
const HALVINGS = 14;
/** To within half a percent of the rotation, where each takes a tenth of a second. */
const PLAYED_HALVINGS = 7;

/** State of the bench for the unity position. */
export interface UnityConditions {
  readonly temperatureK: number;
  readonly hasStandIn: boolean;
  readonly around: Surroundings;
}

/** Position of the level knob at which the pedal is as loud as its bypass. */
export interface Unity {
  /** Rotation of the level knob, 0 to 1; undefined if full output is not loud enough. */
  readonly rotation: number | undefined;
  /** How much louder the pedal is than its bypass at full output, dB. */
  readonly headroomDb: number;
}

/**
 * Plays a plucked phrase through a build at full output and through its bypass, and finds the level knob's
 * position that removes the difference in loudness (ITU-R BS.1770-5, integrated, after the speaker filter if
 * that is on). Both with what is around them: with true bypass a guitar drives both cables. After the clipping everything is linear, so the knob's gain is read from the small-signal response.
 *
 * @throws NetworkError, OperatingPointError. Takes a few tenths of a second.
 */
export function unityOf(build: Build, { temperatureK, hasStandIn, around }: UnityConditions): Unity {
  const phrase = pluckedPhrase({ sampleRateHz: SAMPLE_RATE_HZ, peakVolts: PEAK_V, seed: 1 });
  const loudness = (network: Network) => loudnessThrough(network, phrase, hasStandIn);
  const turned = (rotation: number): Network => {
    const set = withKnob(build, build.circuit.roles.level, rotation);
    return withSurroundings(networkOf(set, temperatureK), around);
  };
  const full = turned(1);
  const analysis = new VariantAnalysis(full, { nets: [full.output], hz: [READ_AT_HZ] });
  const gainDb = (rotation: number) => {
    analysis.solveNetwork(turned(rotation));
    return analysis.gainsDb[0]!;
  };
  const bypassed = withSurroundings(bypassedNetworkOf(build, temperatureK), around);
  const bypassedDb = loudness(bypassed);
  const headroomDb = loudness(turned(1)) - bypassedDb;
  if (!(headroomDb >= 0)) return { rotation: undefined, headroomDb };
  // A drive that comes after changes loudness by less than the gain, so there every position is played.
  const isDriving = around.chain?.after.some(({ isOn }) => isOn) ?? false;
  const wantedDb = isDriving ? bypassedDb : gainDb(1) - headroomDb;
  const levelDb = isDriving ? (rotation: number) => loudness(turned(rotation)) : gainDb;
  let [low, high] = [0, 1];
  for (let halving = 0; halving < (isDriving ? PLAYED_HALVINGS : HALVINGS); halving++) {
    const middle = (low + high) / 2;
    if (levelDb(middle) < wantedDb) low = middle;
    else high = middle;
  }
  return { rotation: (low + high) / 2, headroomDb };
}

function withKnob(build: Build, name: string, rotation: number): Build {
  return { ...build, knobs: { ...build.knobs, [name]: rotation } };
}

function loudnessThrough(network: Network, inputV: Float64Array, hasStandIn: boolean): number {
  const { outputV } = renderOffline(network, inputV, OVERSAMPLING);
  const heard = outputV.slice();
  if (hasStandIn) new SpeakerStandIn(SAMPLE_RATE_HZ).process(outputV, heard.length, heard);
  return loudnessReadings([heard], SAMPLE_RATE_HZ).integratedLufs;
}
