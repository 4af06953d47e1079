import type { Build } from '../builds/build.ts';
import { networkWithin, type PlayedConditions } from '../builds/surroundings.ts';
import { trackFraction } from '../units/taper.ts';
import { logarithmicFrequencies } from './frequency-response.ts';
import { VariantAnalysis } from './variant-analysis.ts';

/** What to keep when a potentiometer is replaced by one of another taper or value. */
export type KnobMatch = 'position' | 'track' | 'sound';

/** Frequencies at which the ear hears differences of responses, Hz. */
const HEARD_HZ = logarithmicFrequencies(60, 8000, 31);
const COARSE_STEPS = 12;
const HALVINGS = 24;
/** Golden-section steps from two coarse steps down to a thousandth of the rotation. */
const SECTIONS = 12;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * Rotation of a build's knob that comes closest to its effect in another build of the circuit. 'position' keeps
 * the clock position, 'track' the ratio in which the wiper divides the track, 'sound' the small-signal response from 60 Hz to 8 kHz (least RMS difference in dB).
 *
 * @returns 0 to 1, rounded to a hundredth as knobs are stored.
 * @throws NetworkError, OperatingPointError for a build that cannot be solved.
 */
export function matchedRotation(
  [model, build]: readonly [Build, Build],
  knob: string,
  match: KnobMatch,
  conditions: PlayedConditions,
): number {
  const rotation = model.knobs[knob] ?? 0.5;
  const found = {
    position: () => rotation,
    track: () => trackRotation(model, build, knob, rotation),
    sound: () => soundRotation(model, build, knob, conditions),
  }[match]();
  return Math.round(found * 100) / 100;
}

/** Tapers rise, so the rotation of a ratio is found by bisection. */
function trackRotation(model: Build, build: Build, knob: string, rotation: number): number {
  const ref = model.circuit.knobs.find(({ name }) => name === knob)?.ref ?? '';
  const lawOf = ({ parts }: Build) => parts[ref]?.law ?? 'linear';
  const wanted = trackFraction(lawOf(model), rotation);
  let [low, high] = [0, 1];
  for (let halving = 0; halving < HALVINGS; halving++) {
    const middle = (low + high) / 2;
    if (trackFraction(lawOf(build), middle) < wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The best of a coarse grid of positions, refined by golden section between its neighbours. */
function soundRotation(
  model: Build,
  build: Build,
  knob: string,
  { temperatureK, around }: PlayedConditions,
): number {
  const analysisOf = (of: Build) => {
    const network = networkWithin(of, temperatureK, around);
    return new VariantAnalysis(network, { nets: [network.output], hz: HEARD_HZ });
  };
  const wanted = analysisOf(model).gainsDb;
  const analysis = analysisOf(build);
  const miss = (rotation: number) => {
    const turned = { ...build, knobs: { ...build.knobs, [knob]: rotation } };
    analysis.solveNetwork(networkWithin(turned, temperatureK, around));
    return analysis.gainsDb.reduce((sum, decibels, index) => sum + (decibels - wanted[index]!) ** 2, 0);
  };
  const coarse = Array.from({ length: COARSE_STEPS + 1 }, (_, step) => miss(step / COARSE_STEPS));
  const best = coarse.indexOf(Math.min(...coarse));
  let low = Math.max(best - 1, 0) / COARSE_STEPS;
  let high = Math.min(best + 1, COARSE_STEPS) / COARSE_STEPS;
  for (let section = 0; section < SECTIONS; section++) {
    const a = high - GOLDEN * (high - low);
    const b = low + GOLDEN * (high - low);
    if (miss(a) < miss(b)) high = b;
    else low = a;
  }
  return (low + high) / 2;
}
