import { describe, expect, it, vi } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import {
  BreakUpWatch,
  type LiveRate,
  liveRemedy,
  type MeasuredShares,
  measuredFactor,
  rateSentence,
  rateWord,
  STARTING_RATE,
} from '../../ui/rate/live-rate.ts';
import type { MeasuredCause, RateCause } from '../../ui/rate/rate-cause.ts';
import { RateDesk, type RatedSession, type RateWish } from '../../ui/rate/rate-desk.ts';
import {
  betterShares,
  blocksPerTiming,
  type CauseTrial,
  measureCause,
  measureShares,
  type RateTrial,
  type RateTrialResult,
} from '../../ui/rate/rate-trial.ts';
import { BenchEngine, benchLatencySamples } from '../../worklets/bench-engine.ts';
import { STARTING_SETTINGS, TELEMETRY, TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const plain = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
const led = networkOf(presetBuild('soft-led'), NOMINAL_TEMPERATURE_K);
const loaded = networkOf(
  {
    ...presetBuild('soft-plain'),
    parts: { ...presetBuild('soft-plain').parts, U1: { type: 'LM358' } },
  },
  NOMINAL_TEMPERATURE_K,
);

/** Fractions of the available time, on a machine where noise takes this many times as long as music. */
const shareOf = (music: number, ratio = 1) => ({ music, noise: ratio * music });

describe('what to do where the sound would need a higher rate', () => {
  it('names the setting for a rate that can be chosen, and says of others that they are for renders', () => {
    expect(liveRemedy(16)).toBe('It would need 16x: choose it under Sound…');
    expect(liveRemedy(32)).toBe('It would need 32x: only the command line renders at that rate.');
  });
});

describe('the live rate that measured times lead to', () => {
  it('is 16x up to half of the time, since both builds may have to be changed at once', () => {
    expect(measuredFactor({ 16: shareOf(0.5) })).toBe(16);
    expect(measuredFactor({ 16: shareOf(0.51), 8: shareOf(0.26) })).toBe(8);
  });

  it('is 8x where 8x takes up to half of the time, and 4x above that', () => {
    expect(measuredFactor({ 16: shareOf(1), 8: shareOf(0.5) })).toBe(8);
    expect(measuredFactor({ 16: shareOf(1.02), 8: shareOf(0.51) })).toBe(4);
  });

  it('leaves time for noise too, which takes up to 2.2 times the time of music', () => {
    expect(measuredFactor({ 16: shareOf(0.4, 2.2) })).toBe(16);
    expect(measuredFactor({ 16: shareOf(0.42, 2.2), 8: shareOf(0.21, 2.2) })).toBe(8);
  });

  it('is explained in a sentence, with the measured times', () => {
    const said = (factor: LiveRate['factor'], shares: MeasuredShares) =>
      rateSentence({ factor, reason: { kind: 'measured', shares } });
    expect(said(16, { 16: { music: 0.412, noise: 0.78 } })).toBe(
      '16×, automatic: both builds need 41 % of the time at 16× (noise, the worst case: 78 %).',
    );
    expect(said(8, { 16: { music: 0.45, noise: 0.96 }, 8: { music: 0.23, noise: 0.49 } })).toBe(
      '8×, automatic: both builds need 45 % of the time at 16× (noise, the worst case: 96 %), 23 % of the time at 8× (noise, the worst case: 49 %). The limit is 50 % (noise: 90 %), because during a swap the old and the new circuit play together.',
    );
    expect(said(16, { 16: shareOf(0.43), 8: shareOf(0.34) })).not.toContain('34');
    expect(said(4, { 16: shareOf(3), 8: shareOf(1.9) })).toContain(
      'need 300 % of the time at 16× (noise, the worst case: 300 %), 190 % of the time at 8×',
    );
  });

  describe('where it is not the highest', () => {
    const shares = { 16: shareOf(0.7), 8: shareOf(0.35) };
    const soft = { title: 'Soft clip', share: 0.11 };
    const fuzz = { title: 'Silicon fuzz', share: 0.42 };
    const rateWith = (cause: Omit<RateCause, 'at'>): LiveRate => ({
      factor: 8,
      reason: { kind: 'measured', shares, cause: { at: 16, ...cause } },
    });

    it('is explained by the order, where both sides would be fast enough in one order', () => {
      const rate = rateWith({
        apart: { likeShare: 0.46, isOrder: true },
        pedals: { a: [soft, fuzz], b: [fuzz, soft] },
      });
      expect(rateSentence(rate)).toContain(
        'play together. A and B have the same pedals in different orders, so each is computed alone; in one order they would need 46 % at 16×. Each pedal alone at 16×: A: Soft clip 11 %, Silicon fuzz 42 %; B: Silicon fuzz 42 %, Soft clip 11 %.',
      );
      expect(rateWord(rate)).toBe('automatic: different orders');
    });

    it('is explained by different circuits, where both sides would be fast enough with one', () => {
      const rate = rateWith({ apart: { likeShare: 0.46, isOrder: false }, pedals: { a: [fuzz], b: [soft] } });
      expect(rateSentence(rate)).toContain(
        'A and B differ in pedals or in parts fitted, so each is computed alone; with the same on both sides they would need 46 % at 16×.',
      );
      expect(rateWord(rate)).toBe('automatic: A and B differ');
    });

    it('is explained by the pedal that takes most, or by the number of pedals', () => {
      const apart = { likeShare: 0.9, isOrder: false };
      expect(rateWord(rateWith({ apart, pedals: { a: [soft], b: [soft, fuzz] } }))).toBe(
        'automatic: Silicon fuzz',
      );
      const row = rateWith({
        apart: undefined,
        pedals: { a: [soft, soft, soft], b: [soft, soft, soft] },
      });
      expect(rateWord(row)).toBe('automatic: 3 pedals');
      expect(rateSentence(row)).not.toContain('computed alone');
    });

    it('names no pedal while the bench is bypassed', () => {
      const rate = rateWith({ apart: undefined, pedals: { a: [], b: [] } });
      expect(rateSentence(rate)).not.toContain('Each pedal');
      expect(rateWord(rate)).toBe('automatic');
    });
  });

  it.each([4, 8, 16] as const)('keeps the engine’s own delay below 1.2 ms at %ix', (factor) => {
    for (const sampleRateHz of [44_100, 48_000, 96_000]) {
      const samples = benchLatencySamples({ sampleRateHz, factor, quality: 'low-latency' });
      expect((1000 * samples) / sampleRateHz).toBeLessThan(1.2);
    }
  });
});

describe('measuring', () => {
  /** A clock that is read before and after every four blocks, and shows that they took this fraction of their time. */
  const clockOf = (shareOfGroup: (group: number) => number) => {
    let reading = 0;
    let ms = 0;
    return () => {
      if (reading % 2 === 1) ms += (shareOfGroup(reading >> 1) * 1000 * 512) / RATE_HZ;
      reading++;
      return ms;
    };
  };
  /**
   * 100 ms of warm-up and 150 ms of measurement are 10 and 15 times four blocks, rounded up: first music, then noise.
   */
  const GROUPS = 25;
  const trial: RateTrial = { networks: { a: plain, b: led }, sampleRateHz: RATE_HZ };

  const close = (music: number, noise: number) => ({
    music: expect.closeTo(music, 9),
    noise: expect.closeTo(noise, 9),
  });

  it('ends with 16x where 16x is fast enough, by the median and after the warm-up', () => {
    const share = (group: number) =>
      group % GROUPS < 10 || group % 3 === 0 ? 2 : group < GROUPS ? 0.3 : 0.6;
    expect(measureShares(trial, clockOf(share), 4)).toEqual({ 16: close(0.3, 0.6) });
  });

  it('continues with 8x where 16x takes too long, on music or on noise, and stops there', () => {
    const music = (group: number) => (group < 2 * GROUPS ? 1.6 : 0.8);
    expect(measureShares(trial, clockOf(music), 4)).toEqual({ 16: close(1.6, 1.6), 8: close(0.8, 0.8) });
    const noise = (group: number) => (group < GROUPS ? 0.45 : group < 2 * GROUPS ? 0.95 : 0.4);
    expect(measureShares(trial, clockOf(noise), 4)).toEqual({ 16: close(0.45, 0.95), 8: close(0.4, 0.4) });
  });

  it('stops after a few blocks where a factor is far too slow', () => {
    const share = (group: number) => (group < 4 ? 20 : 0.2);
    expect(measureShares(trial, clockOf(share), 4)).toEqual({ 16: close(20, 20), 8: close(0.2, 0.2) });
  });

  it('measures single blocks with a fine clock, and four blocks at once with a clock of milliseconds', () => {
    const clockInSteps = (stepMs: number) => {
      let readings = 0;
      return () => stepMs * Math.floor(readings++ / 50);
    };
    expect(blocksPerTiming(clockInSteps(0.005))).toBe(1);
    expect(blocksPerTiming(clockInSteps(0.1))).toBe(1);
    expect(blocksPerTiming(clockInSteps(1))).toBe(4);
  });

  it('finds what takes the time: both sides alike, and each pedal alone', () => {
    const fuzz = networkOf(presetBuild('silicon-fuzz-plain'), NOMINAL_TEMPERATURE_K);
    const networks = { a: plain, b: fuzz };
    // Both like A, both like B, then each pedal: 25 groups each.
    const share = (group: number) => [0.3, 0.4, 0.21, 0.32, 0.33, 0.22][Math.floor(group / GROUPS)]!;
    const trial = {
      networks,
      pedals: { a: [plain, fuzz], b: [fuzz, plain] },
      sampleRateHz: RATE_HZ,
      at: 4,
    } as const;
    const cause = measureCause(trial, clockOf(share), 4);
    expect(cause.apart).toEqual({ likeShare: expect.closeTo(0.4, 9), isOrder: true });
    expect(cause.pedals.a).toEqual([expect.closeTo(0.21, 9), expect.closeTo(0.32, 9)]);
    expect(cause.pedals.b).toEqual([expect.closeTo(0.33, 9), expect.closeTo(0.22, 9)]);
    const alike = measureCause({ ...trial, networks: { a: plain, b: plain } }, clockOf(share), 4);
    expect(alike.apart).toBeUndefined();
  });

  it('uses the better of two measurements, at each factor', () => {
    const one = { 16: { music: 0.9, noise: 0.8 }, 8: shareOf(0.7) };
    expect(betterShares(one, { 16: { music: 0.4, noise: 1 } })).toEqual({
      16: { music: 0.4, noise: 0.8 },
      8: shareOf(0.7),
    });
  });
});

describe('dropouts', () => {
  it('mean three gaps within five seconds, or a load that leaves no time', () => {
    const watch = new BreakUpWatch();
    expect(watch.look({ seconds: 10, underruns: 40, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 11, underruns: 41, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 12, underruns: 42, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 17.5, underruns: 43, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 18, underruns: 45, load: 0.4 })).toBe(true);
    expect(new BreakUpWatch().look({ seconds: 10, underruns: undefined, load: 0.96 })).toBe(true);
  });

  it('do not count while a change is faded in', () => {
    const watch = new BreakUpWatch();
    watch.restart(10);
    expect(watch.look({ seconds: 10.1, underruns: 0, load: 0.4 })).toBe(false);
    expect(watch.look({ seconds: 11, underruns: 9, load: 2 })).toBe(false);
    expect(watch.look({ seconds: 12, underruns: 9, load: 0.4 })).toBe(false);
  });

  it('count as ten gaps within ten seconds, even while changes follow each other without a pause', () => {
    const watch = new BreakUpWatch();
    const looks = Array.from({ length: 12 }, (_, second) => {
      watch.restart(second);
      return watch.look({ seconds: second, underruns: second, load: 0.4 });
    });
    expect(looks.indexOf(true)).toBe(10);
    watch.forget(12);
    expect(watch.look({ seconds: 12, underruns: 13, load: 0.4 })).toBe(false);
  });

  it('are timed: the time without a gap is known', () => {
    const watch = new BreakUpWatch();
    watch.look({ seconds: 10, underruns: 0, load: 0.4 });
    watch.look({ seconds: 20, underruns: 1, load: 0.4 });
    watch.look({ seconds: 50, underruns: 1, load: 0.4 });
    expect(watch.quietSeconds(50)).toBe(30);
  });
});

describe('the part of the page that sets the live rate', () => {
  interface Fake extends RatedSession {
    load: number;
    underruns: number;
    readonly told: LiveRate[];
    /** The text on the page. */
    problem: string | undefined;
  }

  function fakeSession(): Fake {
    const fake = {
      load: 0.3,
      underruns: 0,
      told: [] as LiveRate[],
      problem: undefined as string | undefined,
      state: { isRunning: true, usesFallback: false, sampleRateHz: RATE_HZ, rate: STARTING_RATE },
      setRate(rate: LiveRate) {
        fake.state = { ...fake.state, rate };
        fake.told.push(rate);
      },
      report(cause: string, message: string | undefined) {
        expect(cause).toBe('dropouts');
        fake.problem = message;
      },
      readTelemetry: () => ({ load: fake.load }),
      readUnderruns: () => fake.underruns,
    };
    return fake as unknown as Fake;
  }

  const result = (share16: number): RateTrialResult => ({
    kind: 'shares',
    shares: share16 <= 0.5 ? { 16: shareOf(share16) } : { 16: shareOf(share16), 8: shareOf(share16 / 2) },
  });
  const pedal = (name: string) => ({ build: presetBuild(name), isOn: true, cableMetres: 0.3 });
  const wish = (a = plain, change: Partial<RateWish> = {}): RateWish => ({
    networks: { a, b: led },
    pedals: { a: [pedal('soft-plain')], b: [pedal('soft-led')] },
    choice: 'measured',
    isHeld: false,
    ...change,
  });

  /** With clocks that the test controls. */
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
      await run(new RateDesk(session, measure, findCause), session, trials);
    } finally {
      vi.useRealTimers();
    }
  }
  const rest = () => vi.advanceTimersByTimeAsync(5000);
  const findCause = async ({ at, pedals }: CauseTrial): Promise<MeasuredCause> => ({
    at,
    apart: undefined,
    pedals: { a: pedals.a.map(() => 0.4), b: pedals.b.map(() => 0.1) },
  });

  it('starts at 8x, measures once and goes to 16x; changed values alone are not measured again', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish());
      expect(session.told).toEqual([]);
      await rest();
      expect(session.state.rate.factor).toBe(16);
      const turned = networkOf(
        {
          ...presetBuild('soft-plain'),
          knobs: { ...presetBuild('soft-plain').knobs, gain: 0.1 },
        },
        NOMINAL_TEMPERATURE_K,
      );
      desk.follow(wish(turned));
      await rest();
      expect([trials.length, session.told.length]).toEqual([1, 1]);
    }));

  it('goes to 8x at once with a build of many more junctions, and back with the earlier build, without a new measurement', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish());
      await rest();
      desk.follow(wish(loaded));
      expect(session.state.rate.factor).toBe(8);
      await rest();
      expect(rateSentence(session.state.rate)).toContain(
        'need 90 % of the time at 16× (noise, the worst case: 90 %)',
      );
      desk.follow(wish());
      expect(session.state.rate.factor).toBe(16);
      await rest();
      // once for a build that can run at 16x, twice for one that cannot
      expect(trials.length).toBe(3);
    }));

  it('says what takes the time where a factor was too slow, also after the sides were exchanged', () =>
    play(async (desk, session) => {
      desk.follow(wish(loaded));
      await rest();
      const said = () => rateSentence(session.state.rate);
      expect(said()).toContain('Each pedal alone at 16×: A: Soft clip 40 %; B: Soft clip 10 %.');
      desk.follow(wish(loaded, { networks: { a: led, b: loaded } }));
      expect(said()).toContain('Each pedal alone at 16×: A: Soft clip 10 %; B: Soft clip 40 %.');
      expect(session.state.rate.factor).toBe(8);
    }));

  it('changes nothing while it is on hold, and continues afterwards', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish(plain, { isHeld: true }));
      await rest();
      desk.follow(wish(plain, { isHeld: true, choice: 4 }));
      expect([trials.length, session.told.length]).toEqual([0, 0]);
      desk.follow(wish(plain, { choice: 4 }));
      expect(session.told).toEqual([{ factor: 4, reason: { kind: 'chosen' } }]);
    }));

  it('does not change the rate for a result that arrives while it is on hold', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish());
      await vi.advanceTimersByTimeAsync(1499);
      desk.follow(wish(plain, { isHeld: true }));
      await rest();
      expect([trials.length, session.told.length]).toEqual([0, 0]);
    }));

  /** A second of sound with this many gaps. */
  const second = async (desk: RateDesk, session: Fake, gaps = 0) => {
    session.underruns += gaps;
    await vi.advanceTimersByTimeAsync(1000);
    desk.tick();
  };

  it('goes down where there are dropouts, and reports it', () =>
    play(async (desk, session) => {
      desk.follow(wish());
      await rest();
      session.load = 1.1;
      await second(desk, session);
      await second(desk, session);
      expect(session.state.rate).toEqual({ factor: 8, reason: { kind: 'brokeUp', at: 16 } });
      expect(session.problem).toContain('Dropouts at 16×. Now at 8×.');
      session.load = 0.3;
      desk.follow(wish());
      expect(session.state.rate.factor).toBe(8);
      desk.forget();
      desk.follow(wish());
      await rest();
      expect(session.state.rate.factor).toBe(16);
      expect(session.problem).toBeUndefined();
    }));

  it('says what takes the time where there were dropouts, though the measured time was short enough', () =>
    play(async (desk, session) => {
      desk.follow(wish());
      await rest();
      session.load = 1.1;
      await second(desk, session);
      session.load = 0.3;
      await rest();
      expect(rateSentence(session.state.rate)).toBe(
        '8×, because of dropouts at 16×. Each pedal alone at 16×: A: Soft clip 40 %; B: Soft clip 10 %.',
      );
      expect(rateWord(session.state.rate)).toBe('stepped down: Soft clip');
      for (let n = 0; n < 40; n++) await second(desk, session);
      expect([session.state.rate.factor, rateWord(session.state.rate)]).toEqual([16, 'automatic']);
    }));

  it('goes up again after half a minute without a gap, and waits twice as long after the next dropouts', () =>
    play(async (desk, session) => {
      const secondsTo = async (factor: number) => {
        for (let seconds = 0; seconds < 1000; seconds++) {
          if (session.state.rate.factor === factor) return seconds;
          await second(desk, session);
        }
        return Number.POSITIVE_INFINITY;
      };
      const breakUp = async () => {
        for (let n = 0; n < 4; n++) await second(desk, session, 1);
      };
      desk.follow(wish());
      await rest();
      await second(desk, session);
      await breakUp();
      expect(session.state.rate.factor).toBe(8);
      expect(await secondsTo(16)).toBeCloseTo(30, -1);
      expect(session.problem).toBeUndefined();
      await second(desk, session);
      await second(desk, session);
      await breakUp();
      expect(session.state.rate.factor).toBe(8);
      expect(await secondsTo(16)).toBeCloseTo(60, -1);
    }));

  it('goes down where nothing is measured yet because one swap follows another', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish());
      await rest();
      const others = ['soft-germanium', 'soft-asymmetric', 'soft-lifted', 'clean-plain', 'clean-single'];
      const networks = others.map((name) => networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K));
      const measured = trials.length;
      for (let n = 0; n < 12; n++) {
        desk.follow(wish(networks[n % networks.length]));
        await second(desk, session, 11);
      }
      expect(trials.length).toBe(measured);
      expect(session.state.rate.factor).toBe(4);
    }));

  it('reports that the machine is too slow where the lowest rate has dropouts, until they end', () =>
    play(async (desk, session) => {
      desk.follow(wish());
      await rest();
      for (let n = 0; n < 20; n++) await second(desk, session, 2);
      expect(session.state.rate.factor).toBe(4);
      expect(session.problem).toContain('Dropouts at 4×, the lowest rate: this machine is too slow');
      for (let n = 0; n < 40; n++) await second(desk, session);
      expect(session.problem).toBeUndefined();
    }));

  it('no longer reports dropouts once the sound is off, and counts them anew after it', () =>
    play(async (desk, session) => {
      const switchTo = (isRunning: boolean) => {
        Object.assign(session.state, { isRunning });
        desk.follow(wish());
      };
      desk.follow(wish());
      await rest();
      await second(desk, session, 12);
      await second(desk, session, 12);
      const { factor } = session.state.rate;
      expect(session.problem).toMatch(/^Dropouts at 16×\. Now at 8×\./);
      // Two gaps: with one more within five seconds they would count.
      for (let n = 0; n < 3; n++) await second(desk, session);
      await second(desk, session, 2);
      switchTo(false);
      expect(session.problem).toBeUndefined();
      switchTo(true);
      await second(desk, session, 3);
      await second(desk, session);
      expect(session.state.rate.factor).toBe(factor);
      expect(session.problem).toBeUndefined();
      await second(desk, session, 3);
      expect(session.state.rate.factor).toBe(4);
    }));

  it('is 8x and measures nothing where the page’s own thread makes the sound', () =>
    play(async (desk, session, trials) => {
      Object.assign(session.state, { usesFallback: true });
      desk.follow(wish());
      await rest();
      expect(trials.length).toBe(0);
      expect(rateSentence(session.state.rate)).toContain(
        '8×: it could not be measured (without AudioWorklet',
      );
    }));

  it('keeps a rate that was chosen by hand, whatever dropouts there are', () =>
    play(async (desk, session, trials) => {
      desk.follow(wish(plain, { choice: 16 }));
      session.load = 2;
      await vi.advanceTimersByTimeAsync(5000);
      desk.tick();
      expect(session.state.rate.factor).toBe(16);
      expect(session.problem).toBe('Dropouts at 16×, chosen by hand. Choose a lower rate under Sound….');
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

  it('continue to sound without a gap or a click', () => {
    const before = play(undefined).output;
    const after = play(16).output;
    const peak = before.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    expect(after.subarray(0, CHANGE)).toEqual(before.subarray(0, CHANGE));
    // The difference is a seventh of a sample of delay, the solver's error, and coupling capacitors that settle again,
    // which drift by a few percent. A click would be a step from one sample to the next: -60 dB is not audible.
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

  it('count iterations for each solved step, at either rate', () => {
    const iterationsAt = (engine: BenchEngine): number => {
      const values = new Float32Array(TELEMETRY_LENGTH);
      engine.readTelemetry(values, 0);
      for (let start = 0; start < 4864; start += 128)
        engine.process(input.subarray(start, start + 128), new Float32Array(128));
      engine.readTelemetry(values, 4864);
      return values[TELEMETRY.newtonPerSample]!;
    };
    // The same blocks take about one iteration a step at either rate; half or twice as many would show a wrong count.
    const ratio = iterationsAt(play(16).engine) / iterationsAt(play(undefined).engine);
    expect(ratio).toBeGreaterThan(0.8);
    expect(ratio).toBeLessThan(1.2);
  });
});
