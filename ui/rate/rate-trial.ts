import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import { ShapedNoise } from '../../engine/audio/shaped-noise.ts';
import type { Network } from '../../engine/network/network.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import {
  isCarried,
  LIVE_FACTORS,
  type LiveFactor,
  type MeasuredShare,
  type MeasuredShares,
} from './live-rate.ts';
import type { MeasuredCause } from './rate-cause.ts';

/** What is to be measured: both builds as they are played. */
export interface RateTrial {
  readonly networks: Readonly<Record<Slot, Network>>;
  readonly sampleRateHz: number;
}

/** Two sides that do not play at a factor: what takes the time there. */
export interface CauseTrial extends RateTrial {
  readonly at: LiveFactor;
  /** Each pedal that is on, in the order of the signal. */
  readonly pedals: Readonly<Record<Slot, readonly Network[]>>;
}

export type RateTrialResult =
  | { readonly kind: 'shares'; readonly shares: MeasuredShares }
  | { readonly kind: 'failed'; readonly because: string };

/** What the worker answers to a trial of either kind. */
export type TrialAnswer = RateTrialResult | { readonly kind: 'cause'; readonly cause: MeasuredCause };

const BLOCK_FRAMES = 128;
/** Played before the measurement: code reaches its full speed only after optimisation. */
const WARM_UP_SECONDS = 0.1;
const MEASURED_SECONDS = 0.15;
/** Peak of the phrase (a plucked string) and RMS of the white noise (a scraped string), V. */
const PHRASE_PEAK_V = 0.3;
const NOISE_RMS_V = 0.1;
/** Blocks that are timed together where the clock is coarse: it goes in steps of up to a millisecond, a block has three. */
const COARSE_GROUP_BLOCKS = 4;
const COARSE_STEP_MS = 0.2;
/** If the fastest of the first blocks takes this many times its duration, the rest is skipped. */
const HOPELESS_SHARE = 3;
const FIRST_BLOCKS = 16;

/**
 * Number of blocks to time together; one if the clock allows it. Other programs interrupt every few
 * milliseconds; more than half of short spans are not interrupted, so their median is the block's own time.
 */
export function blocksPerTiming(now: () => number): number {
  let stepMs = Number.POSITIVE_INFINITY;
  for (let tick = 0; tick < 5; tick++) {
    const before = now();
    let after = before;
    while (after === before) after = now();
    stepMs = Math.min(stepMs, after - before);
  }
  return stepMs > COARSE_STEP_MS ? COARSE_GROUP_BLOCKS : 1;
}

/**
 * Time that both builds take on a plucked phrase and on noise, as the audio thread plays them: with resampling,
 * speaker filter, loudness and limiter. Highest factor first, down to the first that is carried; the lowest is not measured, since it is
 * taken in any case.
 *
 * @param now A clock, ms. @param groupBlocks Blocks that are timed together. @throws NetworkError, OperatingPointError for a network without a solution.
 */
export function measureShares(
  { networks, sampleRateHz }: RateTrial,
  now: () => number,
  groupBlocks: number,
): MeasuredShares {
  const inputs = { music: phrase(sampleRateHz), noise: whiteNoise(sampleRateHz) };
  const shares: Partial<Record<LiveFactor, MeasuredShare>> = {};
  for (const factor of LIVE_FACTORS) {
    if (factor === LIVE_FACTORS.at(-1)) break;
    const engine = engineWith(networks, sampleRateHz, factor);
    const timing = { sampleRateHz, now, groupBlocks };
    const music = shareOf(engine, inputs.music, timing);
    const share = { music, noise: music > HOPELESS_SHARE ? music : shareOf(engine, inputs.noise, timing) };
    shares[factor] = share;
    if (isCarried(factor, share)) break;
  }
  return shares;
}

/**
 * What takes the time of two sides at a factor, on the plucked phrase.
 *
 * @param now A clock, ms. @param groupBlocks Blocks that are timed together. @throws NetworkError, OperatingPointError for a network without a solution.
 */
export function measureCause(
  { networks, pedals, sampleRateHz, at }: CauseTrial,
  now: () => number,
  groupBlocks: number,
): MeasuredCause {
  const input = phrase(sampleRateHz);
  const shareFor = (sides: Partial<Record<Slot, Network>>) =>
    shareOf(engineWith(sides, sampleRateHz, at), input, { sampleRateHz, now, groupBlocks });
  const keysOf = (each: readonly Network[]) =>
    each.map((network) => circuitValues(network, { sampleRateHz: at * sampleRateHz }).structureKey);
  const [a, b] = keysOf(SLOTS.map((slot) => networks[slot]));
  const isOrder = isReordered(keysOf(pedals.a), keysOf(pedals.b));
  const likeShare = () =>
    Math.max(...SLOTS.map((slot) => shareFor({ a: networks[slot], b: networks[slot] })));
  const alone = (slot: Slot) => pedals[slot].map((network) => shareFor({ a: network }));
  return {
    at,
    apart: a === b ? undefined : { likeShare: likeShare(), isOrder },
    pedals: { a: alone('a'), b: alone('b') },
  };
}

/** Whether the same is in both, in another order. */
function isReordered(one: readonly string[], other: readonly string[]): boolean {
  const isSame = (a: readonly string[], b: readonly string[]) => a.join('\n') === b.join('\n');
  return !isSame(one, other) && isSame([...one].sort(), [...other].sort());
}

function engineWith(
  networks: Partial<Record<Slot, Network>>,
  sampleRateHz: number,
  factor: LiveFactor,
): BenchEngine {
  const engine = new BenchEngine({ sampleRateHz, factor, quality: 'low-latency' });
  for (const slot of SLOTS) {
    const network = networks[slot];
    if (!network) continue;
    const circuit = compileCircuit(network, { sampleRateHz: factor * sampleRateHz, paired: true });
    engine.receive({ type: 'circuit', slot, circuit });
  }
  return engine;
}

const phrase = (sampleRateHz: number): Float32Array =>
  Float32Array.from(pluckedPhrase({ sampleRateHz, peakVolts: PHRASE_PEAK_V, seed: 1 }));

function whiteNoise(sampleRateHz: number): Float32Array {
  const samples = new Float64Array(Math.ceil((WARM_UP_SECONDS + MEASURED_SECONDS + 0.05) * sampleRateHz));
  const noise = new ShapedNoise({ sampleRateHz, maxFrames: samples.length, seed: 1 });
  noise.startWith(Float64Array.of(NOISE_RMS_V, 0, 0, 0, 0));
  noise.addTo(samples, samples.length);
  return Float32Array.from(samples);
}

/** The better of two measurements: other programs can only add time. */
export function betterShares(one: MeasuredShares, other: MeasuredShares): MeasuredShares {
  return Object.fromEntries(
    LIVE_FACTORS.flatMap((factor) => {
      const shares = [one[factor], other[factor]].filter((share) => share !== undefined);
      return shares.length > 0 ? [[factor, shares.reduce(better)]] : [];
    }),
  );
}

function better(one: MeasuredShare, other: MeasuredShare): MeasuredShare {
  return { music: Math.min(one.music, other.music), noise: Math.min(one.noise, other.noise) };
}

interface Timing {
  readonly sampleRateHz: number;
  readonly now: () => number;
  readonly groupBlocks: number;
}

/** Median time of a block, share of its duration. */
function shareOf(
  engine: BenchEngine,
  input: Float32Array,
  { sampleRateHz, now, groupBlocks }: Timing,
): number {
  const groupFrames = groupBlocks * BLOCK_FRAMES;
  const groupMs = (1000 * groupFrames) / sampleRateHz;
  const output = new Float32Array(BLOCK_FRAMES);
  const warmUp = Math.ceil((WARM_UP_SECONDS * sampleRateHz) / groupFrames);
  const groups = warmUp + Math.ceil((MEASURED_SECONDS * sampleRateHz) / groupFrames);
  const shares: number[] = [];
  let fastest = Number.POSITIVE_INFINITY;
  for (let group = 0; group < groups; group++) {
    const beforeMs = now();
    for (let block = 0; block < groupBlocks; block++) {
      const start = group * groupFrames + block * BLOCK_FRAMES;
      engine.process(input.subarray(start, start + BLOCK_FRAMES), output);
    }
    const share = (now() - beforeMs) / groupMs;
    fastest = Math.min(fastest, share);
    if (group + 1 === FIRST_BLOCKS / groupBlocks && fastest > HOPELESS_SHARE) return fastest;
    if (group >= warmUp) shares.push(share);
  }
  shares.sort((a, b) => a - b);
  return shares[shares.length >> 1]!;
}
