import { describe, expect, it, vi } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import {
  BreakUpWatch,
  type LiveRate,
  measuredFactor,
  rateSentence,
  STARTING_RATE,
} from '../../ui/rate/live-rate.ts';
import { RateDesk, type RatedSession, type RateWish } from '../../ui/rate/rate-desk.ts';
import {
  betterShares,
  blocksPerTiming,
  measureShares,
  type RateTrial,
  type RateTrialResult,
} from '../../ui/rate/rate-trial.ts';
import { BenchEngine, benchLatencySamples } from '../../worklets/bench-engine.ts';
import { STARTING_SETTINGS, TELEMETRY, TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const plain = networkOf(presetBuild('soft-plain'));
const led = networkOf(presetBuild('soft-led'));
const loaded = networkOf({
  ...presetBuild('soft-plain'),
  parts: { ...presetBuild('soft-plain').parts, U1: { type: 'LM358' } },
});

describe('the live rate that measured times lead to', () => {
  it('is 16x up to half of the time, since both builds may have to be changed at once', () => {
    expect(measuredFactor({ 16: 0.5 })).toBe(16);
    expect(measuredFactor({ 16: 0.51, 8: 0.26 })).toBe(8);
  });

  it('is 8x where that takes up to half of the time, and 4x beyond', () => {
    expect(measuredFactor({ 16: 1, 8: 0.5 })).toBe(8);
    expect(measuredFactor({ 16: 1.02, 8: 0.51 })).toBe(4);
  });

  it('is said in a sentence, with the times it was decided by', () => {
    const said = (factor: LiveRate['factor'], shares: Record<number, number>) =>
      rateSentence({ factor, reason: { kind: 'measured', shares } });
    expect(said(16, { 16: 0.412 })).toBe(
      '16×, chosen by measuring: both builds take 41 % of the time there.',
    );
    expect(said(8, { 16: 0.91, 8: 0.47 })).toBe(
      '8×, chosen by measuring: both builds would take 91 % of the time at 16× and take 47 % of the time there.',
    );
    expect(said(16, { 16: 0.43, 8: 0.34 })).not.toContain('34');
    expect(said(4, { 16: 3, 8: 1.9 })).toContain('would take 190 % of the time at 8×');
  });

  it.each([4, 8, 16] as const)('keeps the engine’s own delay below 1.2 ms at %ix', (factor) => {
    for (const sampleRateHz of [44_100, 48_000, 96_000]) {
      const samples = benchLatencySamples({ sampleRateHz, factor, quality: 'low-latency' });
      expect((1000 * samples) / sampleRateHz).toBeLessThan(1.2);
    }
  });
});

describe('measuring', () => {
  /** A clock that is read before and after every four blocks, and says that they took such a share of their time. */
  const clockOf = (shareOfGroup: (group: number) => number) => {
    let reading = 0;
    let ms = 0;
    return () => {
      if (reading % 2 === 1) ms += (shareOfGroup(reading >> 1) * 1000 * 512) / RATE_HZ;
      reading++;
      return ms;
    };
  };
  /** 100 ms of warm-up and 150 ms that count are 10 and 15 times four blocks, rounded up. */
  const GROUPS = 25;
  const trial: RateTrial = { networks: { a: plain, b: led }, sampleRateHz: RATE_HZ };

  it('ends with 16x where that is carried, by the median and after the warm-up', () => {
    const share = (group: number) => (group < 10 || group % 3 === 0 ? 2 : 0.3);
    expect(measureShares(trial, clockOf(share), 4)).toEqual({ 16: expect.closeTo(0.3, 9) });
  });

  it('goes on to 8x where 16x takes too long, and no further', () => {
    const share = (group: number) => (group < GROUPS ? 1.6 : 0.8);
    expect(measureShares(trial, clockOf(share), 4)).toEqual({
      16: expect.closeTo(1.6, 9),
      8: expect.closeTo(0.8, 9),
    });
  });

  it('spares itself what is hopeless after a few blocks', () => {
    const share = (group: number) => (group < 4 ? 20 : 0.2);
    expect(measureShares(trial, clockOf(share), 4)).toEqual({
      16: expect.closeTo(20, 9),
      8: expect.closeTo(0.2, 9),
    });
  });

  it('times single blocks by a fine clock, and four at once by one of milliseconds', () => {
    const clockInSteps = (stepMs: number) => {
      let readings = 0;
      return () => stepMs * Math.floor(readings++ / 50);
    };
    expect(blocksPerTiming(clockInSteps(0.005))).toBe(1);
    expect(blocksPerTiming(clockInSteps(0.1))).toBe(1);
    expect(blocksPerTiming(clockInSteps(1))).toBe(4);
  });

  it('counts the better of two measurements, at each factor', () => {
    expect(betterShares({ 16: 0.9, 8: 0.7 }, { 16: 0.4 })).toEqual({ 16: 0.4, 8: 0.7 });
  });
});

describe('sound that breaks up', () => {
  it('is three gaps within five seconds, or a load that leaves no time', () => {
    const watch = new BreakUpWatch();
    expect(watch.look({ seconds: 10, underruns: 40, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 11, underruns: 41, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 12, underruns: 42, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 17.5, underruns: 43, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 18, underruns: 45, load: 0.4 })).toBe(true);
    expect(new BreakUpWatch().look({ seconds: 10, underruns: undefined, load: 0.96 })).toBe(true);
  });

  it('is not what happens while a change is faded in', () => {
    const watch = new BreakUpWatch();
    watch.restart(10);
    expect(watch.look({ seconds: 10.1, underruns: 0, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 11, underruns: 9, load: 2 })).toBe(false);
    expect(watch.look({ seconds: 12, underruns: 9, load: 0.4 })).toBe(false);
  });
});

describe('the desk that keeps the live rate', () => {
  interface Fake extends RatedSession {
    load: number;
    readonly told: LiveRate[];
    readonly problems: string[];
  }

  function fakeSession(): Fake {
    const fake = {
      load: 0.3,
      told: [] as LiveRate[],
      problems: [] as string[],
      state: { isRunning: true, usesFallback: false, sampleRateHz: RATE_HZ, rate: STARTING_RATE },
      setRate(rate: LiveRate, problem: string | undefined) {
        fake.state = { ...fake.state, rate };
        fake.told.push(rate);
        if (problem !== undefined) fake.problems.push(problem);
      },
      readTelemetry: () => ({ load: fake.load }),
      readUnderruns: () => undefined,
    };
    return fake as unknown as Fake;
  }

  const result = (share16: number): RateTrialResult => ({
    kind: 'shares',
    shares: share16 <= 0.5 ? { 16: share16 } : { 16: share16, 8: share16 / 2 },
  });
  const wish = (a = plain, change: Partial<RateWish> = {}): RateWish => ({
    networks: { a, b: led },
    choice: 'measured',
    isHeld: false,
    ...change,
  });

  /** With clocks of the test's own. */
  async function play(
    run: (desk: RateDesk, session: Fake, trials: RateTrial[]) => Promise<void>,
  ): Promise<void> {
    vi.useFakeTimers();
    try {
      const session = fakeSession();
      const trials: RateTrial[] = [];
      const measure = async (trial: RateTrial) => {
        trials.push(trial);
        return result(trial.networks.a === loaded ? 0.9 : 0.3);
      };
      await run(new RateDesk(session, measure), session, trials);
    } finally {
      vi.useRealTimers();
    }
  }
  const rest = () => vi.advanceTimersByTimeAsync(5000);

  it('starts at 8x, measures once and goes to 16x; values that move are not measured again', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish());
      expect(session.told).toEqual([]);
      await rest();
      expect(session.state.rate.factor).toBe(16);
      const turned = networkOf({
        ...presetBuild('soft-plain'),
        knobs: { ...presetBuild('soft-plain').knobs, gain: 0.1 },
      });
      desk.follow(wish(turned));
      await rest();
      expect([trials.length, session.told.length]).toEqual([1, 1]);
    }));

  it('goes to 8x at once with a build of many more junctions, and back with the one before, without measuring that anew', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish());
      await rest();
      desk.follow(wish(loaded));
      expect(session.state.rate.factor).toBe(8);
      await rest();
      expect(rateSentence(session.state.rate)).toContain('would take 90 % of the time at 16×');
      desk.follow(wish());
      expect(session.state.rate.factor).toBe(16);
      await rest();
      // once for what carries 16x, twice for what does not
      expect(trials.length).toBe(3);
    }));

  it('changes nothing while it is held, and catches up afterwards', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish(plain, { isHeld: true }));
      await rest();
      desk.follow(wish(plain, { isHeld: true, choice: 4 }));
      expect([trials.length, session.told.length]).toEqual([0, 0]);
      desk.follow(wish(plain, { choice: 4 }));
      expect(session.told).toEqual([{ factor: 4, reason: { kind: 'chosen' } }]);
    }));

  it('does not change the rate with a result that comes while it is held', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish());
      await vi.advanceTimersByTimeAsync(1499);
      desk.follow(wish(plain, { isHeld: true }));
      await rest();
      expect([trials.length, session.told.length]).toEqual([0, 0]);
    }));

  it('steps down where sound breaks up, says so, and stays there until it is measured again', () =>
    play(async (desk, session) => {
      desk.follow(wish());
      await rest();
      session.load = 1.1;
      await vi.advanceTimersByTimeAsync(2000);
      desk.tick();
      expect(session.state.rate).toEqual({ factor: 8, reason: { kind: 'brokeUp', at: 16 } });
      expect(session.problems).toEqual([
        expect.stringContaining('Sound broke up with the circuits solved 16×'),
      ]);
      session.load = 0.3;
      desk.follow(wish());
      expect(session.state.rate.factor).toBe(8);
      desk.forget();
      desk.follow(wish());
      await rest();
      expect(session.state.rate.factor).toBe(16);
    }));

  it('is 8x and measures nothing where sound is made on the page’s own thread', () =>
    play(async (desk, session, trials) => {
      Object.assign(session.state, { usesFallback: true });
      desk.follow(wish());
      await rest();
      expect(trials.length).toBe(0);
      expect(rateSentence(session.state.rate)).toContain(
        '8×: it could not be measured (without AudioWorklet',
      );
    }));

  it('keeps a rate that was chosen by hand, however sound breaks up', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish(plain, { choice: 16 }));
      session.load = 2;
      await vi.advanceTimersByTimeAsync(5000);
      desk.tick();
      expect(session.state.rate.factor).toBe(16);
      expect(trials.length).toBe(0);
    }));
});

describe('builds whose rate changes while they play', () => {
  const circuitAt = (factor: number) => compileCircuit(plain, { sampleRateHz: factor * RATE_HZ });
  const circuits = { 8: circuitAt(8), 16: circuitAt(16) };
  const input = Float32Array.from(
    { length: RATE_HZ / 2 },
    (_, n) => 0.1 * Math.sin((2 * Math.PI * 220 * n) / RATE_HZ),
  );
  const CHANGE = 9600;

  function play(changesTo: 8 | 16 | undefined): { output: Float32Array; engine: BenchEngine } {
    const engine = new BenchEngine({ sampleRateHz: RATE_HZ, factor: 8, quality: 'low-latency' });
    engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0 } });
    engine.receive({ type: 'circuit', slot: 'a', circuit: circuits[8] });
    engine.receive({ type: 'circuit', slot: 'b', circuit: circuits[8] });
    engine.receive({ type: 'mute', muted: false });
    const output = new Float32Array(input.length);
    for (let start = 0; start < input.length; start += 128) {
      if (start === CHANGE && changesTo) {
        engine.receive({ type: 'circuit', slot: 'a', circuit: circuits[changesTo] });
        engine.receive({ type: 'circuit', slot: 'b', circuit: circuits[changesTo] });
      }
      engine.process(input.subarray(start, start + 128), output.subarray(start, start + 128));
    }
    return { output, engine };
  }

  it('sound on without a gap or a click', () => {
    const before = play(undefined).output;
    const after = play(16).output;
    const peak = before.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    expect(after.subarray(0, CHANGE)).toEqual(before.subarray(0, CHANGE));
    // What differs: a seventh of a sample of delay, the solver's error, and coupling capacitors that settle anew,
    // which drift by a few percent. A click would be a step from one sample to the next: -60 dB is heard by nobody.
    let step = 0;
    let differs = 0;
    for (let n = CHANGE; n < after.length; n++) {
      const difference = after[n]! - before[n]!;
      step = Math.max(step, Math.abs(difference - (after[n - 1]! - before[n - 1]!)));
      differs = Math.max(differs, Math.abs(difference));
    }
    expect(differs).toBeGreaterThan(0);
    expect(step).toBeLessThan(0.001 * peak);
    expect(differs).toBeLessThan(0.05 * peak);
  });

  it('count iterations by what is solved, at either rate', () => {
    const iterationsAt = (engine: BenchEngine): number => {
      const values = new Float32Array(TELEMETRY_LENGTH);
      engine.readTelemetry(values, 0);
      for (let start = 0; start < 4864; start += 128)
        engine.process(input.subarray(start, start + 128), new Float32Array(128));
      engine.readTelemetry(values, 4864);
      return values[TELEMETRY.newtonPerSample]!;
    };
    // The same blocks take an iteration a step at either rate and hardly more; twice or half as many would be counted wrong.
    const ratio = iterationsAt(play(16).engine) / iterationsAt(play(undefined).engine);
    expect(ratio).toBeGreaterThan(0.8);
    expect(ratio).toBeLessThan(1.2);
  });
});
