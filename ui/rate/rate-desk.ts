import { type ChainPedal, networkOfPedal } from '../../engine/builds/chain.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { Network } from '../../engine/network/network.ts';
import { circuitValues } from '../../engine/solver/compile.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { AudioSession } from '../audio/audio-session.ts';
import { pedalTitles } from '../pedal-names.ts';
import {
  BreakUpWatch,
  LIVE_FACTORS,
  type LiveFactor,
  type LiveRate,
  measuredFactor,
  type RateChoice,
  STARTING_FACTOR,
  STARTING_RATE,
  stepDown,
  stepDownSentence,
  stepUp,
  tooSlowSentence,
} from './live-rate.ts';
import { exchanged, type MeasuredCause, titledCause } from './rate-cause.ts';
import {
  betterShares,
  type CauseTrial,
  type RateTrial,
  type RateTrialResult,
  type TrialAnswer,
} from './rate-trial.ts';

/** The circuits that play, and the wanted rate. */
export interface RateWish {
  readonly networks: Readonly<Record<Slot, Network>>;
  /** The pedals of each side that are on, in the order of the signal. */
  readonly pedals: Readonly<Record<Slot, readonly ChainPedal[]>>;
  readonly choice: RateChoice;
  /** The rate may not change now: a blind test runs, or levels are measured. */
  readonly isHeld: boolean;
}

/** Part of the session that the desk uses. */
export type RatedSession = Pick<
  AudioSession,
  'state' | 'setRate' | 'report' | 'readTelemetry' | 'readUnderruns'
>;

/** Knowledge about two builds of these structures. */
interface Known {
  /** Undefined while they have not been measured. */
  readonly result?: RateTrialResult;
  /** What takes the time at the next higher factor, and the structure of A when it was measured. */
  readonly cause?: MeasuredCause & { readonly structureOfA: string };
  /** It takes seconds of computing, so it is looked for once. */
  readonly isCauseSought?: boolean;
  /** The factor with dropouts. */
  readonly brokeUpAt?: LiveFactor;
  /** Time without dropouts before that factor is tried again, s. */
  readonly patienceSeconds?: number;
}

/** First waiting time; it doubles after each attempt, up to the second number. */
const PATIENCE_SECONDS = 30;
const MOST_PATIENCE_SECONDS = 480;

/** The replacement for AudioWorklet plays on the page's own thread, so a measurement in a worker says nothing. */
const FALLBACK_RATE: LiveRate = {
  factor: STARTING_FACTOR,
  reason: { kind: 'failed', because: 'without AudioWorklet sound is made on the page’s own thread' },
};
/** Pause before a measurement: the first sound and swaps come first. */
const REST_MS = 1500;
/** Delay before a second measurement, made if the result is below the highest factor: other programs make a machine look slower. */
const SECOND_TRIAL_MS = 1000;
/** With this many more junctions and op-amps than known builds, the time may be several times as long. */
const MANY_DEVICES = 2;

/**
 * Keeps the oversampling of the session at what the machine carries: measured once for two structures,
 * remembered for the visit, stepped down after dropouts, and back up after a time without.
 */
export class RateDesk {
  readonly #session: RatedSession;
  readonly #measure: (trial: RateTrial) => Promise<RateTrialResult>;
  readonly #findCause: (trial: CauseTrial) => Promise<MeasuredCause | undefined>;
  readonly #known = new Map<string, Known>();
  readonly #watch = new BreakUpWatch();
  #wish: RateWish | undefined;
  #key = '';
  #timer: ReturnType<typeof setTimeout> | undefined;
  #isMeasuring = false;
  /** Whether sound ran at the last look. */
  #isRunning = false;
  /** Whether the message without a step down was shown. */
  #isTooSlow = false;
  /** Most junctions and op-amps of two builds that can be played at the highest factor. */
  #carriedDevices = Number.NEGATIVE_INFINITY;

  constructor(
    session: RatedSession,
    measure: (trial: RateTrial) => Promise<RateTrialResult>,
    findCause: (trial: CauseTrial) => Promise<MeasuredCause | undefined>,
  ) {
    this.#session = session;
    this.#measure = measure;
    this.#findCause = findCause;
  }

  /** Sets the session's rate for a wish; measures if needed. */
  follow(wish: RateWish): void {
    this.#wish = wish;
    this.#followStart();
    const key = this.#keyOf(wish);
    if (key !== this.#key) this.#watch.restart(performance.now() / 1000);
    this.#key = key;
    if (wish.isHeld) return;
    this.#tell(this.rateFor(wish));
    if (this.#wantsMeasuring) this.#measureSoon();
  }

  /** The rate that `follow` would tell, as far as it is known now. */
  rateFor(wish: RateWish): LiveRate {
    const { choice, isHeld } = wish;
    if (isHeld) return this.#session.state.rate;
    if (choice !== 'measured') return { factor: choice, reason: { kind: 'chosen' } };
    return this.#session.state.usesFallback ? FALLBACK_RATE : this.#measuredRate(wish);
  }

  /**
   * Gaps from before a stop do not count after it, and few of those that come while sound starts. A message about
   * gaps is out of date once nothing plays.
   */
  #followStart(): void {
    const { isRunning } = this.#session.state;
    if (isRunning === this.#isRunning) return;
    this.#isRunning = isRunning;
    this.#watch.forget(performance.now() / 1000);
    if (isRunning) return;
    this.#isTooSlow = false;
    this.#session.report('dropouts', undefined);
  }

  #keyOf({ networks }: RateWish): string {
    return keyOf(networks, this.#session.state.sampleRateHz);
  }

  /** Forgets what was measured, so that the next `follow` measures anew. */
  forget(): void {
    this.#known.clear();
    this.#session.report('dropouts', undefined);
  }

  /** To be called at display rate while sound runs: steps down after dropouts, and back up later. */
  tick(): void {
    const seconds = performance.now() / 1000;
    const breaksUp = this.#watch.look({
      seconds,
      underruns: this.#session.readUnderruns(),
      load: this.#session.readTelemetry().load,
    });
    if (breaksUp) this.#breakUp(seconds);
    else this.#calmDown(this.#watch.quietSeconds(seconds), seconds);
  }

  #breakUp(seconds: number): void {
    const { rate, usesFallback } = this.#session.state;
    this.#watch.forget(seconds);
    if (this.#wish?.choice !== 'measured' || usesFallback || rate.factor === 4) {
      this.#isTooSlow = true;
      this.#session.report('dropouts', tooSlowSentence(rate));
      return;
    }
    const known = this.#known.get(this.#key);
    const before = known?.patienceSeconds;
    const patienceSeconds = before ? Math.min(2 * before, MOST_PATIENCE_SECONDS) : PATIENCE_SECONDS;
    this.#known.set(this.#key, { ...known, brokeUpAt: rate.factor, patienceSeconds });
    this.follow(this.#wish);
    if (this.#session.state.rate.factor < rate.factor)
      this.#session.report('dropouts', stepDownSentence(rate.factor));
  }

  #calmDown(quietSeconds: number, seconds: number): void {
    if (this.#isTooSlow && quietSeconds >= PATIENCE_SECONDS) {
      this.#isTooSlow = false;
      this.#session.report('dropouts', undefined);
    }
    const known = this.#known.get(this.#key);
    if (!this.#wish || this.#wish.isHeld || this.#wish.choice !== 'measured' || !known?.brokeUpAt) return;
    if (quietSeconds < (known.patienceSeconds ?? PATIENCE_SECONDS)) return;
    const { brokeUpAt, ...others } = known;
    this.#watch.forget(seconds);
    // One step at a time: after two steps down, two steps up.
    const isTop = brokeUpAt === LIVE_FACTORS[0];
    this.#known.set(this.#key, isTop ? others : { ...others, brokeUpAt: stepUp(brokeUpAt) });
    this.follow(this.#wish);
  }

  #measuredRate(wish: RateWish): LiveRate {
    const { result, cause, brokeUpAt } = this.#known.get(this.#keyOf(wish)) ?? {};
    const rate = result ? withCause(resultRate(result), cause, wish) : this.#unmeasuredRate(wish);
    const isLower = brokeUpAt !== undefined && stepDown(brokeUpAt) < rate.factor;
    // Not measured yet, it may be at that factor already.
    const isSame = brokeUpAt !== undefined && !result && stepDown(brokeUpAt) === rate.factor;
    if (!isLower && !isSame) return rate;
    const reason = { kind: 'brokeUp', at: brokeUpAt } as const;
    return withCause({ factor: stepDown(brokeUpAt), reason }, cause, wish);
  }

  /** Keeps the present factor, unless the builds have grown so much that it may be too high. */
  #unmeasuredRate({ networks }: RateWish): LiveRate {
    const { factor } = this.#session.state.rate;
    const isLarger = devicesIn(networks) >= this.#carriedDevices + MANY_DEVICES;
    return {
      factor: isLarger && factor > STARTING_FACTOR ? STARTING_FACTOR : factor,
      reason: STARTING_RATE.reason,
    };
  }

  #tell(rate: LiveRate): void {
    const before = this.#session.state.rate;
    const { reason } = rate;
    const isNew = rate.factor !== before.factor;
    if (isNew) this.#watch.restart(performance.now() / 1000);
    if (!isNew && JSON.stringify(reason) === JSON.stringify(before.reason)) return;
    this.#session.setRate(rate);
    this.#isTooSlow &&= !isNew;
    if (isNew) this.#session.report('dropouts', undefined);
  }

  get #wantsMeasuring(): boolean {
    const { isRunning, usesFallback } = this.#session.state;
    const isWanted = this.#wish?.choice === 'measured' && !this.#wish.isHeld;
    return (
      isWanted && isRunning && !usesFallback && (!this.#known.get(this.#key)?.result || this.#lacksCause)
    );
  }

  /** There were dropouts at a factor that was fast enough when it was measured: nothing says yet what takes the time there. */
  get #lacksCause(): boolean {
    const { result, brokeUpAt, isCauseSought } = this.#known.get(this.#key) ?? {};
    return result?.kind === 'shares' && brokeUpAt !== undefined && !isCauseSought;
  }

  #measureSoon(): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.#measureNow(), REST_MS);
  }

  async #measureNow(): Promise<void> {
    if (this.#isMeasuring || !this.#wantsMeasuring) return;
    this.#isMeasuring = true;
    const key = this.#key;
    const { networks, pedals } = this.#wish!;
    const trial = { networks, sampleRateHz: this.#session.state.sampleRateHz };
    const brokeUpAt = this.#lacksCause ? this.#known.get(key)?.brokeUpAt : undefined;
    if (brokeUpAt) await this.#findCauseOf(key, { ...trial, at: brokeUpAt }, pedals);
    else await this.#measureShares(key, trial, pedals);
    this.#isMeasuring = false;
    if (this.#wish) this.follow(this.#wish);
  }

  async #measureShares(key: string, trial: RateTrial, pedals: RateWish['pedals']): Promise<void> {
    const { networks } = trial;
    const result = await this.#measureTwice(trial);
    const isCarried = result.kind === 'shares' && measuredFactor(result.shares) === LIVE_FACTORS[0];
    if (isCarried) this.#carriedDevices = Math.max(this.#carriedDevices, devicesIn(networks));
    this.#known.set(key, { ...this.#known.get(key), result });
    if (!isCarried && result.kind === 'shares') {
      if (this.#wish) this.follow(this.#wish);
      await this.#findCauseOf(key, { ...trial, at: stepUp(measuredFactor(result.shares)) }, pedals);
    }
  }

  async #findCauseOf(
    key: string,
    trial: Omit<CauseTrial, 'pedals'>,
    pedals: RateWish['pedals'],
  ): Promise<void> {
    this.#known.set(key, { ...this.#known.get(key), isCauseSought: true });
    const cause = await this.#findCause({ ...trial, pedals: pedalNetworks(pedals, trial.networks) });
    const known = this.#known.get(key);
    const structureOfA = structureOf(trial.networks.a);
    if (cause && known) this.#known.set(key, { ...known, cause: { ...cause, structureOfA } });
  }

  async #measureTwice(trial: RateTrial): Promise<RateTrialResult> {
    const first = await this.#measure(trial);
    if (first.kind === 'failed' || measuredFactor(first.shares) === LIVE_FACTORS[0]) return first;
    await new Promise((resolve) => setTimeout(resolve, SECOND_TRIAL_MS));
    const second = await this.#measure(trial);
    if (second.kind === 'failed') return first;
    return { kind: 'shares', shares: betterShares(first.shares, second.shares) };
  }
}

function resultRate(result: RateTrialResult): LiveRate {
  return result.kind === 'shares'
    ? { factor: measuredFactor(result.shares), reason: { kind: 'measured', shares: result.shares } }
    : { factor: STARTING_FACTOR, reason: result };
}

/** The sides may have been exchanged since, and the titles may be others. */
function withCause(rate: LiveRate, known: Known['cause'], { networks, pedals }: RateWish): LiveRate {
  const { factor, reason } = rate;
  const isLower = factor !== LIVE_FACTORS[0] && (reason.kind === 'measured' || reason.kind === 'brokeUp');
  if (!known || !isLower) return rate;
  const { structureOfA, ...measured } = known;
  const own = structureOf(networks.a) === structureOfA ? measured : exchanged(measured);
  const titles = (slot: Slot) => pedals[slot].map(({ build }) => pedalTitles(build).circuit);
  const cause = titledCause(own, { a: titles('a'), b: titles('b') });
  return { factor, reason: { ...reason, cause } };
}

/** None where one cannot be solved alone. */
function pedalNetworks(
  pedals: RateWish['pedals'],
  { a: { temperatureK } }: RateWish['networks'],
): CauseTrial['pedals'] {
  try {
    const networks = (slot: Slot) => pedals[slot].map((pedal) => networkOfPedal(pedal, temperatureK));
    return { a: networks('a'), b: networks('b') };
  } catch (error) {
    if (error instanceof Refusal) return { a: [], b: [] };
    throw error;
  }
}

/** Measures in a worker that ends with the result. */
export async function measureInWorker(trial: RateTrial): Promise<RateTrialResult> {
  const answer = await answerOfWorker(trial);
  return answer.kind === 'cause' ? { kind: 'failed', because: 'the worker that measures failed' } : answer;
}

/** @returns Undefined where it could not be measured. */
export async function findCauseInWorker(trial: CauseTrial): Promise<MeasuredCause | undefined> {
  const answer = await answerOfWorker(trial);
  return answer.kind === 'cause' ? answer.cause : undefined;
}

async function answerOfWorker(trial: RateTrial | CauseTrial): Promise<TrialAnswer> {
  const worker = trialWorker();
  if (!worker) return { kind: 'failed', because: 'this browser runs no workers' };
  return new Promise<TrialAnswer>((resolve) => {
    worker.onmessage = ({ data }: MessageEvent<TrialAnswer>) => resolve(data);
    worker.onerror = () => resolve({ kind: 'failed', because: 'the worker that measures failed' });
    worker.postMessage(trial);
  }).finally(() => worker.terminate());
}

function trialWorker(): Worker | undefined {
  try {
    return new Worker(new URL('./rate-trial.worker.ts', import.meta.url), { type: 'module' });
  } catch {
    return undefined;
  }
}

/** Equal for two structures in any order and with any values. */
function keyOf(networks: RateWish['networks'], sampleRateHz: number): string {
  const keys = SLOTS.map((slot) => structureOf(networks[slot]));
  return [String(sampleRateHz), ...keys.sort()].join('\n');
}

/** At the fastest usual circuit rate, so that it does not depend on the chosen rate. */
function structureOf(network: Network): string {
  const known = structures.get(network);
  if (known !== undefined) return known;
  const { structureKey } = circuitValues(network, { sampleRateHz: 16 * 48_000 });
  structures.set(network, structureKey);
  return structureKey;
}

const structures = new WeakMap<Network, string>();

function devicesIn(networks: RateWish['networks']): number {
  const passive = new Set(['resistor', 'capacitor', 'inductor', 'voltageSource', 'converter']);
  const count = ({ primitives }: Network) => primitives.filter(({ kind }) => !passive.has(kind)).length;
  return count(networks.a) + count(networks.b);
}
