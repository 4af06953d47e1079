import { describe, expect, it } from 'vitest';
import { Convolver } from '../../engine/audio/convolver.ts';
import { Crossfade } from '../../engine/audio/crossfade.ts';
import { FilterFade } from '../../engine/audio/filter-fade.ts';
import { GlidingGain } from '../../engine/audio/gliding-gain.ts';
import { LevelMeter, METER_BALLISTICS } from '../../engine/audio/level-meter.ts';
import { LIMITER_TIMES, Limiter } from '../../engine/audio/limiter.ts';
import { LoudnessMeter } from '../../engine/audio/loudness.ts';
import { Downsampler, type OversamplerOptions, Upsampler } from '../../engine/audio/oversampler.ts';
import { ProgrammeLoudness } from '../../engine/audio/programme-loudness.ts';
import { ShapedNoise } from '../../engine/audio/shaped-noise.ts';
import { SpeakerStandIn } from '../../engine/audio/speaker-stand-in.ts';
import { TruePeakMeter } from '../../engine/audio/true-peak.ts';
import { noise } from './audio-signals.ts';
import { expectNoGarbage, garbageOf } from './garbage.ts';

const FRAMES = 128;
const sampleRateHz = 48000;

const input = noise(FRAMES, 1).map((x) => 1.5 * x);
const output = new Float64Array(FRAMES);
const high = new Float64Array(4 * FRAMES);

function oversampling(quality: OversamplerOptions['quality']): () => void {
  const options: OversamplerOptions = { factor: 4, quality, sampleRateHz, maxFrames: FRAMES };
  const up = new Upsampler(options);
  const down = new Downsampler(options);
  return () => {
    up.process(input, FRAMES, high);
    down.process(high, FRAMES, output);
  };
}

function limiting(): () => void {
  const limiter = new Limiter({ sampleRateHz, ceiling: 0.9, ...LIMITER_TIMES });
  return () => limiter.process(input, FRAMES, output);
}

function speaker(): () => void {
  const filter = new SpeakerStandIn(sampleRateHz);
  return () => filter.process(input, FRAMES, output);
}

function loudness(): () => void {
  const meter = new LoudnessMeter(sampleRateHz, FRAMES);
  return () => meter.process(input, FRAMES);
}

function programmeLoudness(): () => void {
  const meter = new ProgrammeLoudness(sampleRateHz, 2, FRAMES);
  const channels = [input, input];
  return () => meter.process(channels, FRAMES);
}

function truePeak(): () => void {
  const meter = new TruePeakMeter();
  return () => meter.process(input, FRAMES);
}

function level(): () => void {
  const meter = new LevelMeter({ sampleRateHz, fullScaleVolts: 1, ...METER_BALLISTICS });
  return () => meter.process(input, FRAMES);
}

function hissing(): () => void {
  const generator = new ShapedNoise({ sampleRateHz, maxFrames: FRAMES, seed: 1 });
  const filters = [0.5, 2].map((gain) => Float64Array.of(gain, 0, 0, -0.9, 0, gain, 0, 0, -0.5, 0));
  let block = 0;
  return () => {
    block = (block + 1) % 40;
    if (block % 20 === 0) generator.setFilter(block === 0 ? filters[0]! : filters[1]!);
    generator.addTo(output, FRAMES);
  };
}

function crossfading(): () => void {
  const fade = new Crossfade(sampleRateHz, 0.02);
  let block = 0;
  return () => {
    block = (block + 1) % 12;
    fade.fadeTo(block < 6 ? 'a' : 'b');
    fade.process(input, high, FRAMES, output);
  };
}

function changingFilters(): () => void {
  const filters = [new SpeakerStandIn(sampleRateHz), new Convolver(noise(1000, 2))];
  const fade = new FilterFade(filters[0]!, sampleRateHz, FRAMES);
  let block = 0;
  return () => {
    block = (block + 1) % 2000;
    // Seldom, because the change itself may allocate.
    if (block % 1000 === 0) fade.fadeTo(filters[block / 1000]!);
    fade.process(input, FRAMES, output);
  };
}

function gliding(): () => void {
  const gain = new GlidingGain(1, sampleRateHz);
  const signal = new Float64Array(FRAMES);
  let block = 0;
  return () => {
    block = (block + 1) % 20;
    gain.glideTo(block < 10 ? 1 : 0.1);
    gain.process(signal, FRAMES);
  };
}

describe('audio processors', () => {
  it.each([
    ['low-latency oversampling', oversampling('low-latency')],
    ['linear-phase oversampling', oversampling('linear-phase')],
    ['the limiter', limiting()],
    ['the speaker stand-in', speaker()],
    ['the loudness meter', loudness()],
    ['gated loudness', programmeLoudness()],
    ['the true-peak meter', truePeak()],
    ['the level meter', level()],
    ['the crossfade', crossfading()],
    ['shaped noise', hissing()],
    ['filters that are faded', changingFilters()],
    ['a gliding gain', gliding()],
  ])('cause no garbage collection: %s', async (_, process) => {
    expectNoGarbage(await garbageOf(process));
  });

  it('would fail this check with one allocated number of 16 bytes in a block', async () => {
    const kept: { value: unknown } = { value: 0 };
    const rounds = await garbageOf(() => {
      kept.value = Math.random();
    });
    for (const round of rounds) expect(round.heapBytes).toBeGreaterThan(8);
    expect(() => expectNoGarbage(rounds)).toThrow();
  });

  it('would fail this check with an array allocated in each sample: the count of collections shows it', async () => {
    let kept: number[] = [];
    const rounds = await garbageOf(() => {
      for (let sample = 0; sample < FRAMES; sample++) kept = [sample, sample];
    });
    expect(kept).toHaveLength(2);
    for (const { collections } of rounds) expect(collections).toBeGreaterThan(0);
  });

  it('would fail this check with a typed array allocated in each block; its memory is outside the young generation', async () => {
    let kept = new Float64Array(0);
    const rounds = await garbageOf(() => {
      kept = new Float64Array(FRAMES);
    });
    expect(kept).toHaveLength(FRAMES);
    expect(() => expectNoGarbage(rounds)).toThrow();
  });
});
