import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import type { ClippingSpread } from '../../engine/analysis/spread-clipping.ts';
import { SpreadRun } from '../../engine/analysis/spread-run.ts';
import { bandOf, summarise } from '../../engine/analysis/spread-summary.ts';
import { USUAL_TEST } from '../../engine/analysis/steady-sine.ts';
import type { Build } from '../../engine/builds/build.ts';
import { USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { Known } from '../../ui/plots/known.ts';
import { LiveLevels, levelsView } from '../../ui/plots/levels-view.ts';
import {
  analyse,
  type PlottedSine,
  RESPONSE_HZ,
  type ResponseAnalysis,
} from '../../ui/plots/plot-analysis.ts';
import { PLOT_KINDS, viewOf } from '../../ui/plots/plot-kinds.ts';
import { csvOf, hertzText, keysOf, type PlotView, roundPeak, voltsText } from '../../ui/plots/plot-view.ts';
import { responseView } from '../../ui/plots/response-view.ts';
import { clippingView, LiveWaveform } from '../../ui/plots/signal-views.ts';
import { LiveSpectrum, SPECTRUM_HZ } from '../../ui/plots/spectrum-view.ts';
import { MOST_LEVELS } from '../../worklets/bench-messages.ts';
import { SCOPE_CHANNELS, SCOPE_FRAMES, SCOPE_LENGTH } from '../../worklets/scope-recorder.ts';
import { presetBuild } from '../preset-build.ts';

function analysed(build: Build, probe?: string) {
  const subject = {
    build,
    isBypassed: false,
    temperatureC: 27,
    probe,
    instrument: undefined,
    load: undefined,
    chain: undefined,
  };
  return {
    response: analyse({ kind: 'response', subject }) as ResponseAnalysis | undefined,
    sine: analyse({ kind: 'sine', subject, test: USUAL_TEST }) as PlottedSine | undefined,
  };
}

function knownOf(buildA: Build, buildB: Build, probe?: string): Known {
  const [a, b] = [analysed(buildA, probe), analysed(buildB, probe)];
  return {
    response: { a: a.response, b: b.response },
    sine: { a: a.sine, b: b.sine },
    spread: { a: undefined, b: undefined },
    clips: { a: undefined, b: undefined },
    place: 'the output',
    pedal: undefined,
    pedals: [{ name: '', circuit: '', units: { a: '', b: '' } }],
    heard: 'a',
    from: 'input',
    ...USUAL_TEST,
  };
}

const plain = presetBuild('soft-plain');
const known = knownOf(plain, presetBuild('clean-plain'));

describe('the gain axis of the response', () => {
  it('has three to five marks, whatever the gain', () => {
    for (const [low, high] of [
      [0, 0],
      [-13, 11],
      [-3, 40],
      [-61, 8],
      [-119, 55],
    ] as const) {
      const column = RESPONSE_HZ.map((_, index) => (index % 2 === 0 ? low : high));
      const { y } = responseView({ ...known, response: { a: column, b: column } });
      const [bottom, top] = y.range;
      const seen = y.ticks!.filter((tick) => tick >= bottom && tick <= top);
      expect(seen.length).toBeGreaterThanOrEqual(3);
      expect(seen.length).toBeLessThanOrEqual(5);
      expect(seen).toEqual(y.ticks);
      expect(bottom).toBeLessThan(low);
      expect(top).toBeGreaterThan(high);
    }
  });
});

describe('the bands of the response', () => {
  const settings = {
    build: plain,
    around: {},
    temperatureK: { low: 300.15, high: 300.15 },
    seed: 1,
    tolerances: {},
  };
  const run = new SpreadRun(settings);
  const summary = summarise(run.columns, run.causes, run.nominal, [run.solve(1, 60)]);
  const view = responseView({ ...known, spread: { a: summary, b: undefined } });
  const columnOf = (name: string) => view.data[1 + view.series.findIndex((each) => each.name === name)]!;

  it('are as high as those of the run, also between its frequencies', () => {
    const at = (hz: number) => view.data[0]!.findIndex((each) => Math.abs(each! / hz - 1) < 1e-9);
    // Both begin at 20 Hz and end at 20 kHz.
    expect(columnOf('A 2.5 %, dB')[at(20)]).toBeCloseTo(summary.response[0]!.low, 9);
    expect(columnOf('A 97.5 %, dB')[at(20_000)]).toBeCloseTo(summary.response[59]!.high, 9);
    // 60 frequencies against 181: the curve bends by less than a hundredth of a decibel between them.
    const median = (hz: number) => new FrequencyResponse(networkOf(plain, 300.15)).at(hz, 'out').decibels;
    const middle = view.data[0]![90]!;
    const [low, high] = [columnOf('A 25 %, dB')[90]!, columnOf('A 75 %, dB')[90]!];
    expect(low).toBeLessThan(median(middle));
    expect(high).toBeGreaterThan(median(middle));
    expect(high - low).toBeLessThan(2);
  });

  it('lie behind the curve of their build, and are in its table', () => {
    expect(view.bands?.map(({ ink }) => ink)).toEqual(['a', 'a']);
    for (const { low, high } of view.bands!) {
      const [below, above] = [view.data[1 + low]!, view.data[1 + high]!];
      expect(below.every((value, index) => value! < above[index]!)).toBe(true);
    }
    expect(csvOf(view).split('\r\n')[0]).toContain('A 2.5 %');
    expect(view.shape).not.toBe(responseView(known).shape);
    expect(keysOf(view.series).map(({ text }) => text)).toEqual(['A', 'B', 'B − A']);
  });

  it('make the plot high enough for all of them', () => {
    const highest = Math.max(...columnOf('A 97.5 %, dB').map((value) => value!));
    expect(view.y.range[1]).toBeGreaterThan(highest);
  });
});

describe('where builds with other parts clip from', () => {
  const band = bandOf(
    Float64Array.from({ length: 41 }, (_, index) => 0.02 + 0.001 * index),
    0.04,
  );
  const run: ClippingSpread = {
    tried: 500,
    found: 500,
    others: { soft: 0, none: 0, silent: 0, failed: 0 },
    band,
    twoSetsDb: 1,
  };
  const clips = { a: undefined, b: run };

  it('is an area on both sides of zero of the clipping curve, in the ink of the build, and in words', () => {
    const { spans = [], hint } = clippingView({ ...known, clips, hz: 1000 });
    expect(spans.map(({ ink }) => ink)).toEqual(['b', 'b', 'b', 'b']);
    // Quantiles of 20 mV to 60 mV in equal steps.
    const [upper, lower, innerUpper, innerLower] = spans;
    for (const [place, wanted] of [
      [upper!.from, 0.021],
      [upper!.to, 0.059],
      [lower!.from, -0.059],
      [lower!.to, -0.021],
      [innerUpper!.from, 0.03],
      [innerUpper!.to, 0.05],
      [innerLower!.from, -0.05],
      [innerLower!.to, -0.03],
    ] as const)
      expect(place).toBeCloseTo(wanted, 12);
    expect(hint).toContain(
      'B begins to clip between 21 mV and 59 mV in 95 % of builds with other parts, in half of them',
    );
  });

  it('says how many have no such level, and that an area lies beyond the plot', () => {
    const some = { a: undefined, b: { ...run, found: 497 } };
    const { hint, spans = [] } = clippingView({ ...known, clips: some, hz: 1000, peakV: 0.02 });
    expect(spans).toHaveLength(4);
    expect(hint).toContain('(3 of 500 have no level where they begin), more than this test tone');
  });

  it('is not drawn for a sine of another frequency, for which it was not computed', () => {
    expect(clippingView({ ...known, clips, hz: 440 }).spans).toEqual([]);
    expect(clippingView({ ...known, hz: 1000 }).spans).toEqual([]);
  });
});

describe('the plots of two builds', () => {
  it('show what is heard: a bypassed pedal with a pickup before it and a cable after it', () => {
    const at4kHz = (cableMetres: number) => {
      const subject = {
        build: { ...plain, bypass: 'true' },
        isBypassed: true,
        temperatureC: 27,
        probe: undefined,
        instrument: USUAL_INSTRUMENT,
        load: { input: 'amplifier', cableMetres },
        chain: undefined,
      } as const;
      const levels = analyse({ kind: 'response', subject }) as ResponseAnalysis;
      return levels[RESPONSE_HZ.findIndex((hz) => hz >= 4000)]!;
    };
    // -4.4 dB by the closed form of tests/unit/output-load.test.ts
    expect(at4kHz(6) - at4kHz(0)).toBeCloseTo(-4.4, 0);
    expect(viewOf('response', { ...known, from: 'the strings' }).hint).toBe(
      'Gain from the strings to the output.',
    );
  });

  it.each(PLOT_KINDS.map(({ id }) => id))(
    'have columns of the same length and a label for every place: %s',
    (kind) => {
      const view = viewOf(kind, known);
      const [x] = view.data;
      expect(view.data).toHaveLength(view.series.length + 1);
      for (const column of view.data) expect(column).toHaveLength(x!.length);
      for (let index = 0; index < x!.length; index++)
        expect(view.readout(index)).not.toMatch(/undefined|NaN/);
      expect(`${view.summary} ${view.hint}`).not.toMatch(/undefined|NaN|Infinity/);
      // uPlot searches the x column, so x must increase.
      for (let index = 1; index < x!.length; index++) expect(x![index]!).toBeGreaterThan(x![index - 1]!);
    },
  );

  it.each(PLOT_KINDS.map(({ id }) => id))('are empty, not wrong, while nothing is known: %s', (kind) => {
    const none = { a: undefined, b: undefined };
    const view = viewOf(kind, { ...known, response: none, sine: none });
    const [low, high] = view.y.range;
    expect(low).toBeLessThan(high);
    expect(
      view.data
        .slice(1)
        .flat()
        .filter((value) => value !== null && kind !== 'levels'),
    ).toEqual([]);
  });

  it('show the output knob’s attenuation as the difference', () => {
    // The output potentiometer at half and at all of its rotation is a ratio that does not depend on frequency.
    const at = (rotation: number) => ({ ...plain, knobs: { ...plain.knobs, output: rotation } });
    const [hz, a, b, difference] = viewOf('response', knownOf(at(0.5), at(1))).data;
    for (const index of [40, 90, 140]) {
      expect(difference![index]).toBeCloseTo(b![index]! - a![index]!, 9);
      expect(difference![index]!, `${hz![index]}`).toBeGreaterThan(6);
    }
  });

  it('draw the clipping curve at the net where the circuit clips, and limit it where its diodes do', () => {
    const view = viewOf('clipping', known);
    expect(view.title).toBe('Clipping curve at net clipped');
    expect(view.data).toEqual(viewOf('clipping', knownOf(plain, presetBuild('clean-plain'), 'clipped')).data);
    const [, rising] = view.data;
    const high = Math.max(...rising!.map((value) => value ?? 0));
    // A 1N4148 takes 0.6 to 0.8 V at 0.1 to 10 mA (its data sheet); the input, up to 0.2 V, comes on top.
    expect(high).toBeGreaterThan(0.5);
    expect(high).toBeLessThan(1);
  });

  it('say where the clipping curve is if a build has no net of its own for it', () => {
    const bare = { ...plain, circuit: { ...plain.circuit, clippingNet: 'nowhere' } };
    expect(viewOf('clipping', knownOf(bare, bare)).title).toBe('Clipping curve at the output');
    expect(viewOf('clipping', knownOf(plain, bare)).title).toBe(
      'Clipping curve at net clipped (A), the output (B)',
    );
  });

  it('give the levels of two circuits net by net', () => {
    const view = viewOf('levels', known);
    expect(view.rowNames).toContain('toned');
    expect(view.rowNames).toContain('shelved');
    expect(view.readout(view.rowNames!.indexOf('toned'))).toMatch(/B has no such net/);
    expect(view.readout(view.rowNames!.indexOf('buffered'))).toMatch(
      /A .*\(Q1, \d+ dB left\); B .*\(U1A, \d+ dB left\)/,
    );
  });

  it('have a column with the limits of the parts in the table of levels', () => {
    const rows = csvOf(viewOf('levels', known)).trimEnd().split('\r\n');
    expect(rows[0]).toBe('Net,"A, V peak","B, V peak","A limit, V peak","B limit, V peak"');
    expect(rows[1]).toBe('in,0.2,0.2,,');
    // RC4558 on ±15 V: ±14 V into 10 kΩ and ±13 V into 2 kΩ (sheet), so 0.726 V of headroom without a load at either end;
    // of 8.9 V this leaves 3.72 V each way, from a bias that is not exactly in the middle.
    expect(Math.abs(Number(rows.find((row) => row.startsWith('toned'))?.split(',')[3]) - 3.72)).toBeLessThan(
      0.1,
    );
  });

  it('state where a build does not have a net', () => {
    expect(analysed(plain, 'shelved')).toEqual({ response: undefined, sine: undefined });
  });
});

describe('the live waveform', () => {
  /** A frame in which the input rises through zero at every multiple of 480 samples, A is half of it on 4.5 V. */
  const frame = (peak: number) => {
    const samples = new Float32Array(SCOPE_LENGTH);
    for (let n = 0; n < SCOPE_FRAMES; n++) {
      const input = peak * Math.sin((2 * Math.PI * (n - 0.5)) / 480);
      samples.set([input], n);
      samples.set([4.5 + input / 2], SCOPE_FRAMES + n);
    }
    return samples;
  };

  it('begins at the rise of the input through zero, without bias', () => {
    const view = new LiveWaveform().viewOf(frame(0.2), 48_000, known);
    const [milliseconds, input, a] = view.data;
    const middle = milliseconds!.findIndex((time) => time! >= 0);
    expect(milliseconds![middle]).toBe(0);
    expect(input![middle - 2]).toBeLessThan(0);
    expect(input![middle + 2]).toBeGreaterThan(0);
    // Half a sample after the crossing.
    expect(input![middle]).toBeCloseTo(0.2 * Math.sin(Math.PI / 480), 6);
    // The mean of 4096 samples with a period of 480 is off by the last half period: 2/π·240/4096 of the peak.
    expect(Math.abs(a![middle]!)).toBeLessThan(0.04 * 0.1 + 0.001);
    expect(milliseconds![0]).toBeCloseTo(-2, 6);
  });

  it('has a line for the net where the heard build clips, if that net is watched', () => {
    const watched = frame(0.2);
    watched.fill(Number.NaN, 3 * SCOPE_FRAMES);
    const live = new LiveWaveform();
    const unwatched = live.viewOf(watched, 48_000, known);
    expect(keysOf(unwatched.series).map(({ text }) => text)).toEqual(['Input', 'A', 'B']);
    expect(csvOf(unwatched).split('\r\n')[0]).toBe('"Time, ms","Input, V","A, V","B, V"');
    for (let n = 0; n < SCOPE_FRAMES; n++)
      watched[SCOPE_CHANNELS.clippedB * SCOPE_FRAMES + n] = 4.5 + watched[n]!;
    const { series, data, shape } = live.viewOf(watched, 48_000, { ...known, heard: 'b' });
    // A plot of another shape is made anew, which would be at each switch of A and B.
    expect([shape, unwatched.data.length]).toEqual([unwatched.shape, data.length]);
    expect(series.map(({ name }) => name)).toEqual(['Input, V', 'A, V', 'B, V', 'B at clipped, V']);
    expect(data).toHaveLength(5);
    for (let index = 0; index < data[1]!.length; index++)
      expect(Math.abs(data[4]![index]! - data[1]![index]!)).toBeLessThan(0.01);
  });

  it('takes from each build’s clipping net its own bias, also just after a switch', () => {
    const watched = frame(0.2);
    for (let n = 0; n < SCOPE_FRAMES; n++) {
      watched[SCOPE_CHANNELS.clippedA * SCOPE_FRAMES + n] = 4.5 + watched[n]!;
      watched[SCOPE_CHANNELS.clippedB * SCOPE_FRAMES + n] = 7 + watched[n]!;
    }
    const live = new LiveWaveform();
    live.viewOf(watched, 48_000, known);
    const { data } = live.viewOf(watched, 48_000, { ...known, heard: 'b' });
    for (const [index, value] of data[4]!.entries())
      expect(Math.abs(value! - data[1]![index]!)).toBeLessThan(0.01);
  });

  it('leaves out what is not known of a clipping net, and keeps its bias meanwhile', () => {
    const watched = frame(0.2);
    const start = SCOPE_CHANNELS.clippedA * SCOPE_FRAMES;
    for (let n = 0; n < SCOPE_FRAMES; n++) watched[start + n] = 4.5 + watched[n]!;
    const live = new LiveWaveform();
    const whole = live.viewOf(watched, 48_000, known).data[4]!;
    watched.fill(Number.NaN, start + SCOPE_FRAMES / 2, start + SCOPE_FRAMES);
    const part = live.viewOf(watched, 48_000, known).data[4]!;
    expect(part).toContain(null);
    for (const [index, value] of part.entries()) if (value !== null) expect(value).toBe(whole[index]);
  });

  it('keeps its scale until a much smaller one would be enough', () => {
    const live = new LiveWaveform();
    const peakOf = (view: PlotView) => view.y.range[1];
    expect(peakOf(live.viewOf(frame(0.9), 48_000, known))).toBe(1);
    expect(peakOf(live.viewOf(frame(0.2), 48_000, known))).toBe(1);
    expect(peakOf(live.viewOf(frame(0.1), 48_000, known))).toBe(0.2);
    expect(peakOf(live.viewOf(frame(3), 48_000, known))).toBe(5);
    for (let count = 0; count < 59; count++) expect(peakOf(live.viewOf(frame(0.9), 48_000, known))).toBe(5);
    expect(peakOf(live.viewOf(frame(0.9), 48_000, known))).toBe(1);
  });
});

describe('live levels', () => {
  const heights = (view: PlotView) => ({ a: view.data[1]!.slice(1), b: view.data[2]!.slice(1) });
  const count = known.sine.a!.levels.length;

  /** The audio thread's report: 1 V up and 2 V down at A's second net, 0.5 V at B's first. */
  function reported(): Float32Array {
    const values = new Float32Array(4 * MOST_LEVELS);
    values.set([1, 2], 2);
    values.set([0.5, 0.25], 2 * MOST_LEVELS);
    values.set([Number.NaN, Number.NaN], 4);
    return values;
  }

  it('replace the levels of the sine, and fall when they are no longer reached', () => {
    const live = new LiveLevels();
    const view = levelsView(live.held(known, reported()), true);
    const { a, b } = heights(view);
    expect(a.slice(0, 3)).toEqual([null, 2, null]);
    expect(b[view.rowNames!.indexOf(known.sine.b!.levels[0]!.net) - 1]).toBe(0.5);
    expect(view.readout(2)).toMatch(/A \+1 V \/ −2 V of/);
    // The limits are still those of the parts.
    expect(view.marks).toEqual(
      levelsView(known).marks?.map((mark) => expect.objectContaining({ x: mark.x })),
    );
    const silence = new Float32Array(4 * MOST_LEVELS);
    for (let look = 0; look < 20; look++) live.held(known, silence);
    // 0.9^21 of 2 V.
    expect(heights(levelsView(live.held(known, silence), true)).a[1]).toBeCloseTo(2 * 0.9 ** 21, 6);
  });

  it('say what to do where there is nothing to show', () => {
    const view = levelsView(new LiveLevels().held(known, new Float32Array(4 * MOST_LEVELS)), true);
    expect(view.hint).toMatch(/play something, with the probe on the output/);
    expect(
      heights(view)
        .a.slice(0, count)
        .every((value) => value === null),
    ).toBe(true);
    expect(view.readout(1)).not.toMatch(/Infinity|NaN/);
  });
});

describe('numbers on plots', () => {
  it('are written with their unit', () => {
    expect([1.234, -0.1764, 34e-6, 0, 12.3456, 0.9996, -1e-9].map(voltsText)).toEqual([
      '1.23 V',
      '−176 mV',
      '34 µV',
      '0 V',
      '12.3 V',
      '1 V',
      '0 V',
    ]);
    expect([82.4, 1500, 20_000].map(hertzText)).toEqual(['82.4 Hz', '1.5 kHz', '20 kHz']);
  });

  it('round a scale up to 1, 2 or 5', () => {
    expect([0.9, 0.99, 1.5, 3, 7, 0.03, 0].map(roundPeak)).toEqual([1, 2, 2, 5, 10, 0.05, 1]);
  });

  it('are written to CSV with headings and quoted commas', () => {
    const view = viewOf('response', known);
    const lines = csvOf(view).split('\r\n');
    expect(lines[0]).toBe('"Frequency, Hz","A, dB","B, dB","B − A, dB"');
    expect(lines).toHaveLength(RESPONSE_HZ.length + 2);
    const [hz, a, b, difference] = lines[1]!.split(',').map(Number);
    expect(hz).toBe(20);
    expect(difference).toBeCloseTo(b! - a!, 4);
  });
});

describe('the spectrum of what plays', () => {
  const RATE_HZ = 48_000;

  /** Sines of a whole number of periods in the frame. */
  function frameOf(...sines: readonly (readonly [channel: number, periods: number, peakV: number])[]) {
    const frame = new Float32Array(SCOPE_LENGTH);
    for (const [channel, periods, peakV] of sines)
      for (let n = 0; n < SCOPE_FRAMES; n++)
        frame[channel * SCOPE_FRAMES + n]! += peakV * Math.sin((2 * Math.PI * periods * n) / SCOPE_FRAMES);
    return frame;
  }
  const strongest = (column: readonly (number | null)[], nearHz: number) =>
    Math.max(
      ...column.flatMap((value, index) =>
        Math.abs(SPECTRUM_HZ[index]! / nearHz - 1) < 0.03 ? [value ?? -999] : [],
      ),
    );

  it('shows the peaks of sines in dB of 1 V, A and B apart, without their bias', () => {
    const frame = frameOf([SCOPE_CHANNELS.a, 85, 1], [SCOPE_CHANNELS.b, 256, 0.1]);
    for (let n = 0; n < SCOPE_FRAMES; n++) frame[SCOPE_CHANNELS.b * SCOPE_FRAMES + n]! += 4.5;
    const [, a, b] = new LiveSpectrum().viewOf(frame, RATE_HZ, 'the output').data;
    const [lowHz, highHz] = [(85 * RATE_HZ) / SCOPE_FRAMES, (256 * RATE_HZ) / SCOPE_FRAMES];
    // A sine of whole periods, through a Hann window: its own bin holds it exactly.
    expect(strongest(a!, lowHz)).toBeCloseTo(0, 2);
    expect(strongest(b!, highHz)).toBeCloseTo(-20, 2);
    expect(strongest(a!, highHz)).toBeLessThan(-100);
    expect(strongest(b!, lowHz)).toBeLessThan(-100);
    // As 32-bit samples have it: 4.5 V to 1e-7.
    expect(strongest(b!, 25)).toBeLessThan(-100);
  });

  it('reads a sine between two bins at most 0.1 dB low, and says from which distance it tells sines apart', () => {
    // Closed form of a Hann window: sinc(x)/(1 − x²), 1.42 dB low at x = 1/2 without zeros after the frame, 0.09 dB at 1/8.
    for (const periods of [85.5, 85.125, 86.25]) {
      const frame = frameOf([SCOPE_CHANNELS.a, periods, 1]);
      const { data, x } = new LiveSpectrum().viewOf(frame, RATE_HZ, 'the output');
      const peakDb = strongest(data[1]!, (periods * RATE_HZ) / SCOPE_FRAMES);
      expect(peakDb).toBeGreaterThan(-0.1);
      expect(peakDb).toBeLessThan(0.01);
      // Two bins of 48000/4096 Hz.
      expect(x.label).toBe('Frequency, Hz (23 Hz resolution)');
    }
  });

  it('follows what plays within half a second, at thirty frames a second', () => {
    const spectrum = new LiveSpectrum();
    spectrum.viewOf(frameOf([SCOPE_CHANNELS.a, 85, 1]), RATE_HZ, 'the output');
    const later = frameOf([SCOPE_CHANNELS.a, 85, 0.1]);
    let view = spectrum.viewOf(later, RATE_HZ, 'the output');
    for (let frame = 1; frame < 15; frame++) view = spectrum.viewOf(later, RATE_HZ, 'the output');
    // An exponential mean with a share of 0.15: 0.85^15 = 0.087 of the old power, 1, with 0.01 of the new one.
    expect(strongest(view.data[1]!, (85 * RATE_HZ) / SCOPE_FRAMES)).toBeCloseTo(
      10 * Math.log10(0.087 + 0.01 * 0.913),
      0,
    );
  });
});
