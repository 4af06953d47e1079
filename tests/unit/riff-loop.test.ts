import { describe, expect, it } from 'vitest';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import {
  type BenchOptions,
  type CapturedChunk,
  STARTING_SETTINGS,
  TELEMETRY,
  TELEMETRY_LENGTH,
} from '../../worklets/bench-messages.ts';
import { LONGEST_RIFF_SECONDS, RiffCapture } from '../../worklets/riff-capture.ts';
import { RiffPlayer, SEAM_SECONDS } from '../../worklets/riff-player.ts';

const RATE_HZ = 48_000;
const SEAM = SEAM_SECONDS * RATE_HZ;

/** A tone whose period does not fit the loop, so that a hard cut would make a step. */
function tone(frames: number, hz = 147.3): Float32Array<ArrayBuffer> {
  return Float32Array.from({ length: frames }, (_, n) => 0.3 * Math.cos((2 * Math.PI * hz * n) / RATE_HZ));
}

function play(player: RiffPlayer, frames: number, block = 128): Float64Array {
  const output = new Float64Array(frames);
  for (let start = 0; start < frames; start += block) {
    player.process(output.subarray(start), Math.min(block, frames - start));
  }
  return output;
}

/** Largest step from one sample to the next. */
const steepest = (signal: Float64Array) =>
  signal.reduce((most, value, n) => (n === 0 ? 0 : Math.max(most, Math.abs(value - signal[n - 1]!))), 0);

describe('the riff loop', () => {
  it('repeats after exactly the frames between its ends, with the same bits', () => {
    const player = new RiffPlayer(RATE_HZ);
    player.play(tone(20_000), 1000, 9000);
    const heard = play(player, 4 * 8000);
    expect(heard.subarray(8000, 16_000)).toEqual(heard.subarray(16_000, 24_000));
    expect(player.passes).toBe(3);
    // Away from the seam it is the recording itself.
    const middle = tone(20_000).subarray(1000 + SEAM, 9000);
    expect(Float32Array.from(heard.subarray(8000 + SEAM, 16_000))).toEqual(middle);
  });

  it('has no step at its seam, at its start, or where it is stopped', () => {
    const samples = tone(20_000);
    const player = new RiffPlayer(RATE_HZ);
    player.play(samples, 1000, 9000);
    const heard = play(player, 20_000);
    player.stop();
    const ending = play(player, 1000);
    const whole = Float64Array.from([0, ...heard, ...ending]);
    // The tone alone changes by 2π f/fs·A a sample; a fade of F samples adds at most π/2F of twice the peak.
    const allowed = 0.3 * ((2 * Math.PI * 147.3) / RATE_HZ) + (2 * 0.3 * Math.PI) / (2 * SEAM);
    expect(steepest(whole)).toBeLessThan(allowed);
    const hardCut = Math.abs(samples[8999]! - samples[1000]!);
    expect(hardCut).toBeGreaterThan(10 * allowed);
    expect(ending[999]).toBe(0);
    expect(player.isActive).toBe(false);
  });

  it('has no step where its ends are the ends of the recording', () => {
    const player = new RiffPlayer(RATE_HZ);
    player.play(tone(9001), 0, 9001);
    const allowed = 0.3 * ((2 * Math.PI * 147.3) / RATE_HZ) + (2 * 0.3 * Math.PI) / (2 * SEAM);
    expect(steepest(play(player, 30_000))).toBeLessThan(allowed);
  });

  it('gives the same samples in blocks of any length', () => {
    const [whole, odd] = [128, 37].map((block) => {
      const player = new RiffPlayer(RATE_HZ);
      player.play(tone(10_000), 300, 5000);
      return play(player, 20_000, block);
    });
    expect(odd).toEqual(whole);
  });

  it('may be trimmed while it plays: it continues inside the new ends, or from the new start, without a step', () => {
    const player = new RiffPlayer(RATE_HZ);
    player.play(tone(20_000), 0, 15_000);
    const before = play(player, 10_000);
    player.trim(2000, 12_000);
    const within = play(player, 500);
    expect(Float32Array.from(within)).toEqual(tone(20_000).subarray(10_000, 10_500));
    player.trim(2000, 6000);
    const after = play(player, 7000);
    expect(steepest(Float64Array.from([...before, ...within, ...after]))).toBeLessThan(0.02);
    expect(player.share).toBeLessThan(1);
  });

  it('makes a loop as long as its seam even if its ends are exchanged', () => {
    const player = new RiffPlayer(RATE_HZ);
    player.play(tone(2000), 1500, 20);
    expect(play(player, 5000).every(Number.isFinite)).toBe(true);
    expect(player.passes).toBe(Math.floor(4999 / SEAM));
  });
});

describe('the capture of a riff', () => {
  it('returns the input, sample by sample, in chunks', () => {
    const heard: number[] = [];
    let ends = 0;
    const capture = new RiffCapture(RATE_HZ, ({ samples, frames, isLast }: CapturedChunk) => {
      heard.push(...samples.subarray(0, frames));
      if (isLast) ends++;
    });
    const input = tone(20_000);
    capture.process(Float64Array.from(input), 1000);
    capture.start();
    for (let at = 0; at < 20_000; at += 128) {
      capture.process(Float64Array.from(input.subarray(at, at + 128)), Math.min(128, 20_000 - at));
    }
    expect(ends).toBe(0);
    capture.stop();
    capture.stop();
    expect(ends).toBe(1);
    expect(Float32Array.from(heard)).toEqual(input);
    expect(capture.seconds).toBe(20_000 / RATE_HZ);
  });

  it('ends automatically after a minute', () => {
    let frames = 0;
    let ends = 0;
    const capture = new RiffCapture(RATE_HZ, (chunk) => {
      frames += chunk.frames;
      if (chunk.isLast) ends++;
    });
    capture.start();
    const block = new Float64Array(4096);
    for (let n = 0; n < (61 * RATE_HZ) / 4096; n++) capture.process(block, 4096);
    expect([frames, ends]).toEqual([LONGEST_RIFF_SECONDS * RATE_HZ, 1]);
  });
});

describe('the bench with a riff', () => {
  const OPTIONS: BenchOptions = { sampleRateHz: RATE_HZ, factor: 4, quality: 'low-latency' };

  function run(engine: BenchEngine, seconds: number, input?: Float32Array): Float32Array {
    const values = new Float32Array(TELEMETRY_LENGTH);
    const block = new Float32Array(128);
    for (let at = 0; at < seconds * RATE_HZ; at += 128) engine.process(input?.subarray(at, at + 128), block);
    engine.readTelemetry(values, 128);
    return values;
  }

  it('plays it in the volts in which it was captured, instead of the input', () => {
    const engine = new BenchEngine(OPTIONS);
    engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, voltsPerFullScale: 7 } });
    engine.receive({ type: 'riff', samples: tone(RATE_HZ), startFrame: 0, endFrame: RATE_HZ });
    // Silent until the fade to the riff has ended.
    const values = run(engine, 1.5, new Float32Array(2 * RATE_HZ).fill(0.5, 480));
    expect(values[TELEMETRY.inputPeakV]).toBeCloseTo(0.3, 3);
    expect(values[TELEMETRY.riffPasses]).toBe(1);
    expect(values[TELEMETRY.riffShare]).toBeCloseTo(0.5, 1);
    engine.receive({ type: 'stopRiff' });
    expect(run(engine, 1, new Float32Array(2 * RATE_HZ).fill(0.5))[TELEMETRY.inputPeakV]).toBeCloseTo(3.5, 6);
  });

  it('captures the input in volts, whatever the other settings are', () => {
    const chunks: Float32Array[] = [];
    const engine = new BenchEngine(OPTIONS, (message) => {
      if (message.type === 'captured') chunks.push(message.samples.slice(0, message.frames));
    });
    engine.receive({ type: 'settings', settings: { ...STARTING_SETTINGS, voltsPerFullScale: 2 } });
    engine.receive({ type: 'capture', isCapturing: true });
    run(engine, 1, tone(RATE_HZ));
    engine.receive({ type: 'capture', isCapturing: false });
    const captured = chunks.flatMap((chunk) => [...chunk]);
    expect(captured).toHaveLength(RATE_HZ);
    expect(captured[100]).toBeCloseTo(2 * tone(101)[100]!, 6);
  });

  it('switches between A and B after every pass, or after a set time', () => {
    const engine = new BenchEngine(OPTIONS);
    engine.receive({ type: 'riff', samples: tone(RATE_HZ), startFrame: 0, endFrame: RATE_HZ / 4 });
    engine.receive({ type: 'alternate', every: 'pass' });
    expect(run(engine, 1.1)[TELEMETRY.autoSwitches]).toBe(4);
    engine.receive({ type: 'alternate', every: 0.5 });
    expect(run(engine, 1.1)[TELEMETRY.autoSwitches]).toBe(6);
    engine.receive({ type: 'alternate', every: 'off' });
    expect(run(engine, 1.1)[TELEMETRY.autoSwitches]).toBe(6);
  });
});
