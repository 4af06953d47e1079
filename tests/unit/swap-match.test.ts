import { describe, expect, it } from 'vitest';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import type { Build } from '../../engine/builds/build.ts';
import { BuildError } from '../../engine/builds/build-error.ts';
import { withSettings } from '../../engine/builds/part-groups.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import type { FoundLoudness } from '../../ui/ear/match-desk.ts';
import { type LoudnessPlan, voiceLoudness } from '../../ui/ear/voice-loudness.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { soundEngaged } from '../../ui/state/matched-sound.ts';
import { playedNetwork } from '../../ui/state/played-network.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { matchAfterSwap } from '../../ui/state/swap-match.ts';
import { PendingMatch, type SwapMatches } from '../../ui/swap/pending-match.ts';
import type { SwapAnswer, SwapRequest } from '../../ui/swap/swap-messages.ts';
import { SwapPath } from '../../ui/swap/swap-path.ts';
import { SwapPreparer } from '../../ui/swap/swap-preparer.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import { STARTING_SETTINGS, TELEMETRY, TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';
import { OPTIONS, peakOf, RATE_HZ, run, sine } from './engine-run.ts';
import { network, resistor } from './small-networks.ts';

const plain = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const start: BenchState = { ...freshState({ a: plain, b: led }), isListening: true };

const planOf = (build: Build, inputV: Float32Array): LoudnessPlan => ({
  played: {
    build,
    temperatureC: 27,
    isBypassed: false,
    instrument: undefined,
    load: undefined,
    chain: undefined,
  },
  speaker: 'built in',
  liveGuitar: undefined,
  hearsNoise: false,
  phrase: { inputV, sampleRateHz: RATE_HZ, isLoop: true },
});

describe('the loudness of a build that is computed before it plays', () => {
  it('differs as the voltage divider says, where a signal is too small to be clipped', () => {
    // 100k instead of 1k before the output potentiometer, which with its load is 83.6k: 6.73 dB less, from the divider.
    const dividedDb = 20 * Math.log10(83.6 / 183.6 / (83.6 / 84.6));
    const full = { ...plain, knobs: { ...plain.knobs, output: 1 } };
    const quiet = withSettings(full, { R11: { value: '100k' } });
    const tone = sine(2, 0.001, 500);
    const [one, other] = [full, quiet].map((build) => voiceLoudness(planOf(build, tone)).whole);
    // Other loads are not counted; they are less than this.
    expect(other! - one!).toBeCloseTo(dividedDb, 0);
    expect(Math.abs(other! - one! - dividedDb)).toBeLessThan(0.1);
  });

  it('is within 0.1 dB what the audio thread measures over a whole loop: the tolerance of ITU-R BS.1116', () => {
    const phrase = Float32Array.from(pluckedPhrase({ sampleRateHz: RATE_HZ, peakVolts: 0.3, seed: 1 }));
    const engine = new BenchEngine(OPTIONS);
    const builds = { a: plain, b: led };
    for (const slot of ['a', 'b'] as const) {
      const net = playedNetwork({ ...start, builds }, slot);
      const circuit = compileCircuit(net, { sampleRateHz: RATE_HZ * OPTIONS.factor, paired: true });
      engine.receive({ type: 'circuit', slot, circuit });
    }
    run(engine, phrase);
    engine.receive({ type: 'measureLoudness', number: 1 });
    // It begins 0.2 s later, and the last blocks of a loop reach 0.3 s into the next.
    run(engine, Float32Array.from([...phrase, ...phrase.subarray(0, RATE_HZ / 2)]));
    const telemetry = new Float32Array(TELEMETRY_LENGTH);
    engine.readTelemetry(telemetry, 128);
    expect(voiceLoudness(planOf(plain, phrase)).whole).toBeCloseTo(telemetry[TELEMETRY.loudnessA]!, 1);
    const differenceDb = telemetry[TELEMETRY.loudnessA]! - telemetry[TELEMETRY.loudnessB]!;
    const computedDb = voiceLoudness(planOf(plain, phrase)).whole - voiceLoudness(planOf(led, phrase)).whole;
    expect(Math.abs(computedDb - differenceDb)).toBeLessThan(0.1);
  });
});

describe('the gains of a match', () => {
  const sound = soundEngaged(start);
  const matched = matchAfterSwap(start.match, sound, { a: -20, b: -17.5 });
  const swapped = (slot: 'a' | 'b') =>
    soundEngaged({ ...start, builds: { ...start.builds, [slot]: presetBuild('soft-germanium') } });

  it('make B as loud as A, which keeps its level, and then the swapped build as loud as the other', () => {
    expect(matched).toMatchObject({ db: { a: 0, b: -2.5 }, adjusted: 'b', problem: undefined });
    const other = matchAfterSwap(matched, swapped('b'), { a: -20, b: -23 });
    expect(other).toMatchObject({ db: { a: 0, b: 3 }, adjusted: 'b' });
    // B stays at -17.5 - 2.5 = -20 dB.
    const ofA = matchAfterSwap(matched, swapped('a'), { a: -26, b: -17.5 });
    expect(ofA).toMatchObject({ db: { a: 6, b: -2.5 }, adjusted: 'a' });
  });

  it('leave the reference where it is when the whole phrase follows the estimate, or the same is matched again', () => {
    const swap = swapped('a');
    const estimate = matchAfterSwap(matched, swap, { a: -26, b: -17.5 });
    const whole = matchAfterSwap(estimate, swap, { a: -25.5, b: -17.5 });
    expect(whole).toMatchObject({ db: { a: 5.5, b: -2.5 }, adjusted: 'a' });
  });

  it('go with the builds where these change sides', () => {
    const exchanged = soundEngaged({ ...start, builds: { a: led, b: plain } });
    expect(matchAfterSwap(matched, exchanged, { a: -17.5, b: -20 }).db).toEqual({ a: -2.5, b: 0 });
  });

  it('end at +12 dB, and the rest is said, with no blind test meanwhile', () => {
    const far = matchAfterSwap(matched, swapped('b'), { a: -20, b: -35.25 });
    expect(far.db.b).toBe(12);
    expect(far.problem).toBe('B is 3.3 dB quieter: +12 dB is the most.');
  });

  it('stay as they are where a build is silent, and that is said', () => {
    const silent = matchAfterSwap(matched, swapped('b'), { a: -20, b: Number.NEGATIVE_INFINITY });
    expect(silent.db).toEqual(matched.db);
    expect(silent.problem).toBe('Levels cannot be matched: B is silent.');
  });
});

/** A maker of swaps that answers when the test says so, and matches that are found when it says so. */
function bench() {
  const preparer = new SwapPreparer();
  const answers: (() => void)[] = [];
  const maker = {
    prepare: (request: SwapRequest, answered: (answer: SwapAnswer) => void) => {
      answers.push(() => answered(preparer.prepare(request)));
    },
  };
  const found: ((loudness: FoundLoudness) => void)[] = [];
  const failed: ((error: Error) => void)[] = [];
  const pending: PendingMatch[] = [];
  const asked: BenchState[] = [];
  const matches: SwapMatches = {
    begin: (state) => {
      asked.push(state);
      const finding = new Promise<FoundLoudness>((resolve, reject) => {
        found.push(resolve);
        failed.push(reject);
      });
      pending.push(new PendingMatch(finding, 1e9));
      return pending.at(-1)!;
    },
  };
  const sent: string[] = [];
  const sound = {
    circuitRateHzFor: () => 8 * 48_000,
    setCircuit: () => sent.push('circuit'),
    setValues: () => sent.push('values'),
  };
  const store = new BenchStore(start, new SwapPath(sound, maker), [], matches);
  store.onChange(({ before, after }) => {
    if (before.match !== after.match) sent.push(`gain ${after.match.db.b}`);
  });
  store.follow();
  answers.shift()!();
  sent.length = 0;
  const answer = async () => {
    answers.shift()!();
    await Promise.resolve();
  };
  return { store, answer, found, failed, pending, asked, sent };
}

const r4 = (value: string) => ({ type: 'setPart', slot: 'b', ref: 'R4', setting: { value } }) as const;

describe('a swap and its match', () => {
  const loudnessOf = (state: BenchState): FoundLoudness => ({
    sound: soundEngaged(state),
    loudness: { a: -20, b: -22 },
    isByNotes: false,
    isEstimate: false,
  });

  it('go to the audio thread together: parts first, and the gain in the same task', async () => {
    const { store, answer, found, asked, sent } = bench();
    store.act(r4('2k2'));
    await answer();
    expect(sent).toEqual([]);
    found[0]!(loudnessOf(asked[0]!));
    await store.settled();
    expect(sent).toEqual(['values', 'gain 2']);
    expect(store.state.builds.b.parts['R4']).toEqual({ value: '2k2' });
    expect(store.state.match).toMatchObject({ db: { a: 0, b: 2 }, adjusted: 'b' });
  });

  it('do not wait for each other longer than the patience: then the swap has the old gain', async () => {
    const { store, answer, pending, sent } = bench();
    store.act(r4('2k2'));
    await answer();
    pending[0]!.hurry();
    await store.settled();
    expect(sent).toEqual(['values']);
    expect(store.state.match).toBe(start.match);
  });

  it('are not held up by a match that fails', async () => {
    const { store, answer, failed, sent } = bench();
    store.act(r4('2k2'));
    await answer();
    failed[0]!(new BuildError([]));
    await store.settled();
    expect(sent).toEqual(['values']);
  });

  it('are not held up once the next swap has been asked for', async () => {
    const { store, answer, sent } = bench();
    store.act(r4('2k2'));
    await answer();
    store.act(r4('3k3'));
    expect(sent.filter((each) => each.startsWith('gain'))).toEqual([]);
    await answer();
    store.act({ type: 'hear', slot: 'b' });
    expect(store.wanted.builds.b.parts['R4']).toEqual({ value: '3k3' });
  });

  it('belong together: the match of another sound is not taken', async () => {
    const { store, answer, found, asked } = bench();
    store.act(r4('2k2'));
    await answer();
    found[0]!(loudnessOf({ ...asked[0]!, temperatureC: 40 }));
    await store.settled();
    expect(store.state.match).toBe(start.match);
  });
});

describe('the gain of a swap in the audio thread', () => {
  const divider = (ohms: number) =>
    compileCircuit(network([resistor('R1', 'in', 'out', ohms), resistor('R2', 'out', GROUND, 1000)]), {
      sampleRateHz: RATE_HZ * OPTIONS.factor,
    });

  it('comes with the crossfade, so that a part four times as loud is heard as loud as the one before', () => {
    const engine = new BenchEngine(OPTIONS);
    const settings = { ...STARTING_SETTINGS, standIn: false, outputDb: 0 };
    const set = (b: number) =>
      engine.receive({ type: 'settings', settings: { ...settings, matchDb: { a: 0, b } } });
    set(0);
    for (const slot of ['a', 'b'] as const) engine.receive({ type: 'circuit', slot, circuit: divider(7000) });
    engine.receive({ type: 'hear', slot: 'b' });
    engine.receive({ type: 'mute', muted: false, isAtOnce: true });
    const tone = sine(2, 0.2, 1000);
    const before = peakOf(run(engine, tone).subarray(RATE_HZ));
    engine.receive({ type: 'circuit', slot: 'b', circuit: divider(1000) });
    set(-20 * Math.log10(4));
    const swap = run(engine, tone);
    // 1/8 and 1/2 of the input. The two curves are not of one shape: between them stay less than 2 of the 12 dB.
    const cycles = Array.from({ length: 200 }, (_, index) =>
      peakOf(swap.subarray(48 * index, 48 * (index + 1))),
    );
    const levels = cycles.map((peak) => 20 * Math.log10(peak / before));
    expect(Math.max(...levels)).toBeLessThan(2);
    expect(Math.min(...levels)).toBeGreaterThan(-2);
    expect(Math.abs(levels.at(-1)!)).toBeLessThan(0.01);
    expect(Math.max(...levels.slice(0, 20).map(Math.abs))).toBeLessThan(0.01);
  });
});
