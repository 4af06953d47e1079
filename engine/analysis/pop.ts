import type { Build } from '../builds/build.ts';
import { networkWithContacts } from '../builds/footswitch-contacts.ts';
import { USUAL_INSTRUMENT } from '../builds/instrument.ts';
import { USUAL_OUTPUT_LOAD } from '../builds/output-load.ts';
import { type Surroundings, surroundingsText, withSurroundings } from '../builds/surroundings.ts';
import type { FootswitchPosition } from '../circuits/circuit.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { CircuitSimulator } from '../solver/circuit-simulator.ts';
import { compileCircuit } from '../solver/compile.ts';
import { operatingPoint } from '../solver/operating-point.ts';
import { networkParameters } from '../solver/parameters.ts';
import { quantityText } from '../units/quantity-text.ts';

/** What the footswitch does at the output while nothing is played. */
export interface Pop {
  /** Largest change of the output from its voltage before, V. */
  readonly peakV: number;
  /** Until the output stays within a millivolt of its new voltage, s. */
  readonly seconds: number;
  /** The output from the press on, relative to its new voltage, V; as long as `POP_SECONDS`. */
  readonly outputV: Float64Array;
}

/** By the position into which the footswitch goes. */
export type Pops = Readonly<Record<FootswitchPosition, Pop>>;

export interface PopConditions extends Surroundings {
  readonly temperatureK: number;
  /** Of `outputV`, Hz. */
  readonly sampleRateHz: number;
}

/** Time that is simulated; what is left then decays as an exponential. */
export const POP_SECONDS = 0.25;
const OVERSAMPLING = 4;
/** In which the contacts go from open to closed; a sixth of a millisecond at 4 times 48 kHz, of which a few are between 1 kΩ and 1 MΩ. */
const PRESS_SAMPLES = 32;
/** A pop under a millivolt is not heard behind a hundred millivolts of guitar; our choice. */
const HEARD_V = 1e-3;

/**
 * The pops of a build's footswitch in both directions: the pedal has been in one position for minutes, so its capacitors have
 * charged through what leaks, and then the contacts move at once. Where nothing is said of what is before and after the pedal,
 * it is a single coil with its cable, and a cable into an amplifier.
 *
 * Contacts do not bounce, and no moment passes in which all are open.
 *
 * @returns Undefined for a circuit whose footswitch is not among its parts. @throws NetworkError, OperatingPointError.
 */
export function popsOf(build: Build, conditions: PopConditions): Pops | undefined {
  const at = (position: FootswitchPosition) => networkAt(build, position, conditions);
  const [on, bypassed] = [at('on'), at('bypassed')];
  if (!on || !bypassed) return undefined;
  const { sampleRateHz } = conditions;
  return { on: popBetween(bypassed, on, sampleRateHz), bypassed: popBetween(on, bypassed, sampleRateHz) };
}

/** In half a sentence: "34.9 mV, over after 1.04 s". */
export function popText({ peakV, seconds }: Pop): string {
  const peak = popPeakText({ peakV });
  if (peakV < HEARD_V) return peak;
  const end = Number.isFinite(seconds) ? `over after ${quantityText(seconds, 's')}` : 'not over in minutes';
  return `${peak}, ${end}`;
}

/** What is before and after the pedal, stated or assumed, in one sentence. */
export function popSurroundingsText(around: Surroundings): string {
  return surroundingsText(popSurroundings(around));
}

function popSurroundings({
  instrument = USUAL_INSTRUMENT,
  load = USUAL_OUTPUT_LOAD,
  chain,
}: Surroundings): Surroundings {
  return { instrument, load, chain };
}

export function popPeakText({ peakV }: Pick<Pop, 'peakV'>): string {
  return peakV < HEARD_V ? 'under 1 mV' : quantityText(peakV, 'V');
}

/** What the amplifier passes on of a pop: no DC, and no more than its input bears. */
const COUPLING_HZ = 10;
const MOST_HEARD_V = 1;

/** A pop as it is heard behind the coupling capacitor of the next input, V. */
export function heardPop({ outputV }: Pop, sampleRateHz: number): Float64Array<ArrayBuffer> {
  const keep = Math.exp((-2 * Math.PI * COUPLING_HZ) / sampleRateHz);
  const heard = new Float64Array(outputV.length);
  let passed = 0;
  for (let n = 1; n < heard.length; n++) {
    passed = keep * (passed + outputV[n]! - outputV[n - 1]!);
    const fade = 1 - n / heard.length;
    heard[n] = fade * Math.max(-MOST_HEARD_V, Math.min(MOST_HEARD_V, passed));
  }
  return heard;
}

function networkAt(
  build: Build,
  position: FootswitchPosition,
  { temperatureK, ...around }: PopConditions,
): Network | undefined {
  const network = networkWithContacts(build, position, temperatureK);
  return network && pruneNetwork(withSurroundings(network, popSurroundings(around)));
}

function popBetween(before: Network, after: Network, sampleRateHz: number): Pop {
  const [from, to] = [before, after].map((network) => operatingPoint(network));
  const [fromV, toV] = [from!, to!].map(({ volts }) => volts.get(before.output) ?? 0) as [number, number];
  const simulator = new CircuitSimulator(
    compileCircuit(before, { sampleRateHz: OVERSAMPLING * sampleRateHz, rest: from! }),
  );
  const volts = new Float64Array(Math.round(POP_SECONDS * OVERSAMPLING * sampleRateHz));
  press(simulator, networkParameters(before), networkParameters(after), volts);
  const rest = volts.subarray(PRESS_SAMPLES);
  simulator.process(new Float64Array(rest.length), rest, rest.length);
  const peakV = volts.reduce((most, v) => Math.max(most, Math.abs(v - fromV)), Math.abs(toV - fromV));
  const gone = volts.map((v) => v - toV);
  const seconds = secondsUntilQuiet(gone, OVERSAMPLING * sampleRateHz);
  const outputV = gone.filter((_, index) => index % OVERSAMPLING === 0);
  outputV[0] = fromV - toV;
  return { peakV, seconds, outputV };
}

/** Moves the contacts, which are all that differs: sample after sample by the same ratio, so that the solver does not overshoot. */
function press(simulator: CircuitSimulator, from: Float64Array, to: Float64Array, volts: Float64Array): void {
  const silence = new Float64Array(1);
  for (let sample = 0; sample < PRESS_SAMPLES; sample++) {
    const share = (sample + 1) / PRESS_SAMPLES;
    const between = from.map((value, index) => {
      const target = to[index]!;
      return value === target || share === 1 ? target : value ** (1 - share) * target ** share;
    });
    simulator.setParameters(between, 0);
    simulator.process(silence, volts.subarray(sample, sample + 1), 1);
  }
}

/** Until a decay stays under a millivolt; what is above it at the end goes on as an exponential. */
function secondsUntilQuiet(volts: Float64Array, rateHz: number): number {
  let last = volts.length - 1;
  while (last >= 0 && Math.abs(volts[last]!) <= HEARD_V) last--;
  if (last < volts.length - 1) return (last + 1) / rateHz;
  const [half, end] = [volts[volts.length >> 1]!, volts.at(-1)!].map(Math.abs) as [number, number];
  const decay = Math.log(half / end) / (volts.length / 2);
  return decay > 0 ? (volts.length + Math.log(end / HEARD_V) / decay) / rateHz : Number.POSITIVE_INFINITY;
}
