import { pluckedPhrase } from '../audio/plucked-string.ts';
import { loudnessReadings } from '../audio/programme-loudness.ts';
import { SpeakerStandIn } from '../audio/speaker-stand-in.ts';
import type { Build } from '../builds/build.ts';
import { bypassedNetworkOf } from '../builds/bypassed-network.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { type Surroundings, withSurroundings } from '../builds/surroundings.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { CircuitSimulator } from '../solver/circuit-simulator.ts';
import { circuitNumbers, circuitValues, compileCircuit } from '../solver/compile.ts';
import type { CompiledCircuit } from '../solver/compiled-circuit.ts';
import { type OperatingPoint, operatingPoint } from '../solver/operating-point.ts';
import { VariantAnalysis } from './variant-analysis.ts';

/** A guitar's peak. */
const PEAK_V = 0.3;
/**
 * Without oversampling: the loudness of driven chains differs by less than 0.05 dB from that at eight times the rate, a lower
 * rate or half of the phrase by up to a decibel.
 */
const RATE = { sampleRateHz: 48_000 } as const;
/** Frequency for the gain of the level knob: the circuit after it is flat there. */
const READ_AT_HZ = 500;
/** To 0.0001 of the rotation; to half a percent of it where each position is played. */
const HALVINGS = 14;
const PLAYED_HALVINGS = 9;
/** A search by playing ends here: nobody hears less. */
const CLOSE_DB = 0.05;
/** Secants find it in three or four. */
const MOST_PLAYED = 10;
const LONGEST_STEP_DB = 12;
/** The knob goes no further down. */
const LOWEST_DB = -60;

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
  const turned = (rotation: number): Network => {
    const set = withKnob(build, build.circuit.roles.level, rotation);
    return withSurroundings(networkOf(set, temperatureK), around);
  };
  // A drive that comes after changes loudness by less than the gain, so there positions are played.
  const isDriving = around.chain?.after.some(({ isOn }) => isOn) ?? false;
  const player = new LoudnessPlayer(hasStandIn);
  const bypassedDb = player.loudness(withSurroundings(bypassedNetworkOf(build, temperatureK), around));
  const full = turned(1);
  const headroomDb = player.loudness(full) - bypassedDb;
  if (!(headroomDb >= 0)) return { rotation: undefined, headroomDb };
  const knob = new KnobGain(turned, full);
  if (!isDriving) return { rotation: knob.rotationOf(-headroomDb, HALVINGS), headroomDb };
  const rotationOf = (gainDb: number) => knob.rotationOf(gainDb, PLAYED_HALVINGS);
  const excessDb = (gainDb: number) => player.loudness(turned(rotationOf(gainDb))) - bypassedDb;
  return { rotation: rotationOf(playedGainDb(excessDb, headroomDb)), headroomDb };
}

/** Plays a phrase through networks. */
class LoudnessPlayer {
  readonly #phrase = pluckedPhrase({ ...RATE, peakVolts: PEAK_V, seed: 1 });
  readonly #hasStandIn: boolean;
  /** The last that was compiled, and the last operating point. */
  #circuit: CompiledCircuit | undefined;
  #rest: OperatingPoint | undefined;

  constructor(hasStandIn: boolean) {
    this.#hasStandIn = hasStandIn;
  }

  /** Integrated loudness, LUFS. */
  loudness(network: Network): number {
    const inputV = this.#phrase;
    const outputV = new Float64Array(inputV.length);
    new CircuitSimulator(this.#compiled(network)).process(inputV, outputV, inputV.length);
    const heard = outputV.slice();
    if (this.#hasStandIn) new SpeakerStandIn(RATE.sampleRateHz).process(outputV, heard.length, heard);
    return loudnessReadings([heard], RATE.sampleRateHz).integratedLufs;
  }

  /** Positions of a knob differ in numbers only, which need no compiling. */
  #compiled(network: Network): CompiledCircuit {
    const known = this.#circuit;
    if (known && circuitValues(network, RATE).structureKey === known.structureKey) {
      this.#rest = operatingPoint(pruneNetwork(network), this.#rest);
      return { ...known, ...circuitNumbers(network, this.#rest) };
    }
    this.#rest = undefined;
    this.#circuit = compileCircuit(network, RATE);
    return this.#circuit;
  }
}

/** Small-signal gain of the level knob below that at its end. */
class KnobGain {
  readonly #turned: (rotation: number) => Network;
  readonly #analysis: VariantAnalysis;
  readonly #fullDb: number;

  constructor(turned: (rotation: number) => Network, full: Network) {
    this.#turned = turned;
    this.#analysis = new VariantAnalysis(full, { nets: [full.output], hz: [READ_AT_HZ] });
    this.#fullDb = this.#analysis.gainsDb[0]!;
  }

  rotationOf(gainDb: number, halvings: number): number {
    let [low, high] = [0, 1];
    for (let halving = 0; halving < halvings; halving++) {
      const middle = (low + high) / 2;
      this.#analysis.solveNetwork(this.#turned(middle));
      if (this.#analysis.gainsDb[0]! - this.#fullDb < gainDb) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  }
}

/** A gain of the knob, and how much louder than the bypass the chain is with it. */
interface Played {
  readonly gainDb: number;
  readonly excessDb: number;
}

/**
 * The gain at which the chain is as loud as with the bypass. Loudness follows the gain smoothly, so secants find it soon; where a
 * drive hides the gain at first, the interval is halved.
 *
 * @param excessAt How much louder it is at a gain, dB: at 0 dB the headroom.
 */
export function playedGainDb(excessAt: (gainDb: number) => number, headroomDb: number): number {
  if (headroomDb < CLOSE_DB) return 0;
  let louder: Played = { gainDb: 0, excessDb: headroomDb };
  let quieter: Played | undefined;
  // A drive gives back about half of what the knob takes.
  let gainDb = -Math.min(2 * headroomDb, LONGEST_STEP_DB);
  for (let played = 0; played < MOST_PLAYED; played++) {
    const excessDb = excessAt(gainDb);
    if (Math.abs(excessDb) < CLOSE_DB || (excessDb > 0 && gainDb <= LOWEST_DB)) return gainDb;
    const width = quieter ? louder.gainDb - quieter.gainDb : Number.POSITIVE_INFINITY;
    const before = louder;
    if (excessDb > 0) louder = { gainDb, excessDb };
    else quieter = { gainDb, excessDb };
    if (!quieter) gainDb = Math.max(LOWEST_DB, gainDb - stepBeyond(before, louder));
    else if (louder.gainDb - quieter.gainDb > width / 2) gainDb = (louder.gainDb + quieter.gainDb) / 2;
    else gainDb = louder.gainDb - distanceTo(louder, quieter);
  }
  return gainDb;
}

/** How far on while all positions were too loud, dB. */
function stepBeyond(before: Played, louder: Played): number {
  const step = distanceTo(louder, before);
  return step > 0 ? Math.min(LONGEST_STEP_DB, 1.1 * step) : LONGEST_STEP_DB;
}

/** From the first point down to where the line through both crosses zero, dB. */
function distanceTo(one: Played, other: Played): number {
  return (one.excessDb * (one.gainDb - other.gainDb)) / (one.excessDb - other.excessDb);
}

function withKnob(build: Build, name: string, rotation: number): Build {
  return { ...build, knobs: { ...build.knobs, [name]: rotation } };
}
