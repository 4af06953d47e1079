import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { buildWarnings } from '../../engine/analysis/build-warnings.ts';
import { decodeWav, encodeWav } from '../../engine/audio/wav.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const PROGRAM = fileURLToPath(new URL('../../engine/cli/cliplead.mjs', import.meta.url));
const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-cli-'));
const file = (name: string) => path.join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the command line', () => {
  it('lists the presets with name, title and circuit', async () => {
    const { code, out } = await cliplead('presets', '--json');
    expect(code).toBe(0);
    const presets = JSON.parse(out) as unknown[];
    expect(presets).toContainEqual({ name: 'soft-plain', title: 'Plain build', circuit: 'soft-clip' });
    expect(presets.length).toBeGreaterThanOrEqual(10);
  });

  it('compares two builds under the titles made from their swaps', async () => {
    const sine = Float64Array.from(
      { length: 4410 },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 220 * n) / 44_100),
    );
    writeFileSync(file('sine.wav'), encodeWav({ sampleRateHz: 44_100, channels: [sine] }));
    const args = [
      'compare',
      '--build',
      'soft-plain',
      '--set',
      'D1=OA91',
      '--set',
      'D2=OA91',
      '--set',
      'D3=OA91',
    ];
    const { code, out, err } = await cliplead(
      ...args,
      '--against',
      'soft-plain',
      '--in',
      file('sine.wav'),
      '--oversample',
      '4',
    );
    expect(err).toBe('');
    expect(code).toBe(0);
    expect(out).toMatch(/^A: Plain build, D1 to D3 OA91\nB: Plain build\n/);
    expect(out).toMatch(
      /\nPins when B replaces A.*\nD1: Another size, DO-35 \(glass\) where DO-7 \(glass\) was; band the same way\.\n/,
    );
  });

  it('says of which build a result cannot be relied on', async () => {
    const sharp = Float64Array.from({ length: 2000 }, (_, n) => Math.sin((2 * Math.PI * 5000 * n) / 44_100));
    writeFileSync(file('sharp.wav'), encodeWav({ sampleRateHz: 44_100, channels: [sharp] }));
    // Ten seconds of time constant at the output, so that the bias still moves after three.
    const slow = ['--build', 'soft-asymmetric', '--set', 'C7=100u', '--oversample', '1'];
    const against = ['--against', 'soft-plain'];
    const { code, out } = await cliplead('compare', ...slow, ...against, '--in', file('sharp.wav'));
    expect(code).toBe(0);
    expect(out).toMatch(/\nA: The solver may be off by −\d\d dB of the output/);
    expect(out).toMatch(/\nA: The sine of 440 Hz and 0\.2 V peak was not steady after 3 s/);
    expect(out).not.toMatch(/\nB: The sine/);
    const excerpt = ['excerpt', ...slow, '--in', file('sharp.wav'), '--out', file('excerpt.wav')];
    const { out: text } = await cliplead(...excerpt);
    expect(text).toMatch(
      /\nOversampling 1x; solver error about -\d\d dB of the output\.\nThe solver may be off/,
    );
  }, 120_000);

  it('renders two builds alternately, with a text that lists which build plays when', async () => {
    const sine = Float64Array.from(
      { length: 4410 },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 220 * n) / 44_100),
    );
    writeFileSync(file('dry.wav'), encodeWav({ sampleRateHz: 44_100, channels: [sine] }));
    const args = ['excerpt', '--build', 'soft-plain', '--against', 'soft-led', '--in', file('dry.wav')];
    const { code, out } = await cliplead(
      ...args,
      '--out',
      file('show.wav'),
      '--oversample',
      '4',
      '--text',
      file('show.txt'),
    );
    expect(code).toBe(0);
    expect(out).toMatch(/^A: Plain build\nB: LED pair\n/);
    expect(readFileSync(file('show.txt'), 'utf8')).toBe(out);
    const { channels } = decodeWav(readFileSync(file('show.wav')));
    // four passes of a tenth of a second, 3 dB below full scale
    expect(channels[0]?.length).toBe(4 * 4410);
    expect(Math.max(...channels[0]!.map(Math.abs))).toBeCloseTo(10 ** (-3 / 20), 4);
    const wrong = await cliplead(...args, '--out', file('show.wav'), '--loops', '1.5');
    expect(wrong.code).toBe(2);
    expect(wrong.err).toMatch(/--loops 1\.5/);
  });

  it('plugs the output into an input, so that a true bypass loads the pickup with two cables', async () => {
    const at4kHz = async (...more: string[]) => {
      const args = ['response', '--build', 'soft-plain', '--frequencies', '4000', '--json'];
      const { points } = JSON.parse((await cliplead(...args, ...more)).out) as {
        points: { decibels: number }[];
      };
      return points[0]!.decibels;
    };
    const off = ['--bypassed', '--pickup', 'single-coil', '--into', 'amplifier', '--into-cable'];
    // Common practice, no source: a cable behind a true bypass dulls the sound as one before it does.
    expect((await at4kHz(...off, '6')) - (await at4kHz(...off, '0'))).toBeLessThan(-4);
    // Behind the follower of a pedal that is on it does nothing.
    const on = off.slice(1);
    expect((await at4kHz(...on, '6')) - (await at4kHz(...on, '0'))).toBeCloseTo(0, 1);
  });

  it('puts a guitar before the pedal, and refuses what is unknown around it', async () => {
    const at = async (...more: string[]) => {
      const args = [
        'response',
        '--build',
        'clean-plain',
        '--net',
        'buffered',
        '--frequencies',
        '100,3600,15000',
      ];
      const { points } = JSON.parse((await cliplead(...args, '--json', ...more)).out) as {
        points: { decibels: number }[];
      };
      return points.map(({ decibels }) => decibels);
    };
    const [low = 0, peak = 0, high = 0] = await at('--pickup', 'single-coil');
    // a resonance near 3.8 kHz above 100 Hz, and two poles above it
    expect(peak).toBeGreaterThan(low + 2);
    expect(high).toBeLessThan(low - 15);
    expect((await at('--pickup', 'single-coil', '--cable', '20'))[2]).toBeLessThan(high - 6);
    for (const [args, reason] of [
      [['--pickup', 'theremin'], /theremin/],
      [['--cable', '3'], /--pickup/],
      [['--into', 'bathtub'], /--into bathtub is none of amplifier, pedal, line/],
      [['--into-cable', '3'], /--into/],
      [['--into', 'line', '--into-cable', '300'], /300/],
      [['--pickup', 'humbucker', '--cable', '300'], /300/],
    ] as const) {
      const { code, err } = await cliplead('response', '--build', 'soft-plain', ...args);
      expect(code).toBe(2);
      expect(err).toMatch(reason);
    }
  });

  it('puts the whole bench at a temperature, and refuses a temperature out of range', async () => {
    const args = ['voltages', '--build', 'soft-plain', '--json'];
    const bufferedV = async (...more: string[]): Promise<number> => {
      const { nets } = JSON.parse((await cliplead(...args, ...more)).out) as {
        nets: { net: string; volts: number }[];
      };
      return nets.find(({ net }) => net === 'buffered')!.volts;
    };
    const nominal = await bufferedV();
    expect(await bufferedV('--temperature', '27')).toBe(nominal);
    // The output of an emitter follower rises with the 2 mV/K of V_BE, and a little more as the base current falls.
    for (const celsius of [-10, 60]) {
      const mvPerK = (1e3 * ((await bufferedV('--temperature', `${celsius}`)) - nominal)) / (celsius - 27);
      expect(mvPerK).toBeGreaterThan(1.7);
      expect(mvPerK).toBeLessThan(3.5);
    }
    const netlist = await cliplead('netlist', '--build', 'soft-plain', '--temperature', '50', '--json');
    expect(JSON.parse(netlist.out)).toMatchObject({ temperatureK: 323.15 });
    for (const text of ['61', '-11', 'warm', '']) {
      const { code, err } = await cliplead(...args, '--temperature', text);
      expect(code).toBe(2);
      expect(err).toContain(`--temperature ${text}`);
    }
  });

  it('reports what a steady sine becomes, and where the headroom ends', async () => {
    const args = ['sine', '--build', 'clean-plain', '--json'];
    const { code, out } = await cliplead(...args, '--peak', '0.5', '--net', 'amplified');
    expect(code).toBe(0);
    const { net, harmonics, levels } = JSON.parse(out) as {
      net: string;
      harmonics: { fundamentalHz: number; inputPeakV: number; distortionOfFundamental: number };
      levels: { net: string; upV: number; limit?: { ref: string; highV: number; restV: number } }[];
    };
    expect([net, harmonics.fundamentalHz, harmonics.inputPeakV]).toEqual(['amplified', 440, 0.5]);
    // Between a clipped sine and a square wave, whose harmonics up to the tenth have 40 %.
    expect(harmonics.distortionOfFundamental).toBeGreaterThan(0.2);
    expect(harmonics.distortionOfFundamental).toBeLessThan(0.4);
    const { limit, upV } = levels.find((level) => level.net === 'amplified')!;
    expect(limit?.ref).toBe('U1B');
    // The limit counts with the load as it is at rest; at the limit the diodes behind it conduct and take some more.
    const reached = upV / (limit!.highV - limit!.restV);
    expect(reached).toBeGreaterThan(0.85);
    expect(reached).toBeLessThan(1.05);
    const printed = (await cliplead('sine', '--build', 'clean-plain')).out;
    expect(printed).toMatch(/THD +[\d.]+ %/);
    expect(printed).toMatch(/clips from +12\.6 mV\n\nClips from: input peak at 1 kHz/);
    for (const wrong of [
      ['--net', 'toned'],
      ['--hz', '0'],
      ['--peak', 'loud'],
    ]) {
      const refused = await cliplead(...args, ...wrong);
      expect(refused.code).toBe(2);
      expect(refused.err).toContain(wrong.join(' '));
    }
  });

  it('renders a WAV with its own scale in volts', async () => {
    const rate = 44_100;
    const samples = Float64Array.from(
      { length: 4410 },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 440 * n) / rate),
    );
    writeFileSync(file('in.wav'), encodeWav({ sampleRateHz: rate, channels: [samples] }));
    const args = ['render', '--build', 'soft-plain', '--in', file('in.wav'), '--out', file('out.wav')];
    const { code, out } = await cliplead(...args, '--volts-per-full-scale', '2', '--json');
    expect(code).toBe(0);
    const report = JSON.parse(out) as { peakV: number; solverErrorDb: number };
    expect(report).toMatchObject({
      frames: 4410,
      // Offline quality is the default.
      factor: 32,
      failures: 0,
      resets: 0,
      voltsPerFullScale: 2,
      sampleRateHz: rate,
      warnings: [],
    });
    // A soft sine through a preset: the accuracy that README states for renders.
    expect(report.solverErrorDb).toBeLessThan(-110);
    const { channels, sampleRateHz } = decodeWav(readFileSync(file('out.wav')));
    expect(sampleRateHz).toBe(rate);
    const peak = channels[0]!.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
    expect(2 * peak).toBeCloseTo(report.peakV, 5);
    expect(peak).toBeGreaterThan(0.01);
  });

  it('measures the loudness of a recording of one channel', async () => {
    // ITU-R BS.1770-5 Annex 1: 0 dBFS at 997 Hz in one channel reads -3.01 LKFS, so 0.1 reads -23.01
    const samples = Float64Array.from(
      { length: 4 * 48_000 },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 997 * n) / 48_000),
    );
    writeFileSync(file('tone.wav'), encodeWav({ sampleRateHz: 48_000, channels: [samples] }));
    const { code, out } = await cliplead('loudness', '--in', file('tone.wav'), '--json');
    expect(code).toBe(0);
    const readings = JSON.parse(out) as Record<string, number>;
    for (const name of ['integratedLufs', 'maximumMomentaryLufs', 'maximumShortTermLufs'])
      expect(Math.abs(readings[name]! + 23.01), name).toBeLessThan(0.01);
    // the tone starts at once, so the interpolation filter adds a ripple
    expect(Math.abs(readings['truePeakDbtp']! + 20)).toBeLessThan(0.2);
    expect(readings['channels']).toBe(1);
  });

  it('warns with the same sentence as on the screen where a part is over its limit', async () => {
    const { code, out } = await cliplead('voltages', '--build', 'clean-plain', '--set', 'U2=TLC2262');
    expect(code).toBe(0);
    const [warning] = buildWarnings(
      withPart(presetBuild('clean-plain'), 'U2', { type: 'TLC2262' }),
      NOMINAL_TEMPERATURE_K,
    );
    expect(out.trimEnd().split('\n').at(-1)).toBe(`Warning: ${warning!.message}`);
  });

  it('ranks candidates for a part in workers, those without a verdict first', async () => {
    const samples = Float64Array.from(
      { length: 4410 },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 220 * n) / 44_100),
    );
    writeFileSync(file('short.wav'), encodeWav({ sampleRateHz: 44_100, channels: [samples] }));
    const args = ['rank', '--build', 'soft-plain', '--in', file('short.wav'), '--oversample', '2', '--json'];
    const { code, out } = await cliplead(...args, '--part', 'D1', '--candidates', '1N914, LED-red, BAT46');
    expect(code).toBe(0);
    const { candidates, note, noVerdict, factor } = JSON.parse(out) as {
      candidates: { text: string; warnings: string[] }[];
      note: string;
      noVerdict: { says: string; candidates: string[] };
      factor: number;
    };
    expect(factor).toBe(2);
    expect(candidates.map(({ text }) => text)).toHaveLength(3);
    // The 1N914 has the same card as the 1N4148 in the build; an LED needs three times the voltage.
    expect(candidates[0]!.text).toBe('1N914');
    expect(noVerdict.says).toMatch(/^No verdict:/);
    expect(noVerdict.candidates).toContain('1N914');
    expect(noVerdict.candidates).not.toContain('LED-red');
    expect(note).toMatch(/does not measure audibility/);
    const table = args.slice(0, -1);
    const printed = await cliplead(...table, '--part', 'D1', '--candidates', '1N914, LED-red');
    expect(printed.out).toMatch(
      /^No verdict:[^\n]*\n1N4148 .*\n1N914 .*\nDiffer more than pieces do:\nLED-red /ms,
    );
    const refused = await cliplead(...args, '--part', 'D1', '--candidates', '1N4148');
    expect(refused.code).toBe(2);
    expect(refused.err).toMatch(/D1.*nothing to try/);
  });

  it('fits a measured piece, writes it, and puts it in by its name', async () => {
    const measured = ['--points', '0.155/10u, 0,215/100u, 0.291/1m', '--reverse', '1.5/1.1uA'];
    const piece = ['fit', 'diode', '--name', 'my OA91', '--like', 'OA91', ...measured];
    const { code, out } = await cliplead(...piece, '--out', file('piece.json'));
    expect(code).toBe(0);
    expect(out).toMatch(/at 1 mA +291 mV/);
    expect(out).toMatch(/Off by \d\.\d mV at most/);
    expect(out).toMatch(/at 27 °C: I_S [\d.]+ [nµ]A, n [\d.]+, R_S [\d.]+ Ω, leak [\d.]+ [nµ]?S/);
    expect(out).toMatch(/With readings to 1 mV: I_S [\d.]+ nA, n at its limit of 1, R_S [\d.]+ Ω ± [\d.]+ Ω/);
    const build = ['--build', 'soft-plain', '--piece', file('piece.json'), '--set', 'D1,D2=my OA91'];
    const list = await cliplead('parts', ...build, '--set', 'D3=OA91 low');
    expect(list.out).toMatch(/^Diodes and LEDs,diode,my OA91,,2,D1 D2/m);
    expect(list.out).toMatch(/^Diodes and LEDs,diode,OA91 low,,1,D3/m);
    const unknown = await cliplead('parts', '--build', 'soft-plain', '--set', 'D1=my OA91');
    expect(unknown.err).toMatch(/"my OA91" is not a diode/);
    const nowhere = await cliplead('parts', '--build', 'soft-plain', '--piece', file('nowhere.json'));
    expect([nowhere.code, nowhere.err]).toEqual([2, expect.stringMatching(/--piece: .*cannot be read/)]);
    const twice = await cliplead('parts', ...build, '--piece', file('piece.json'));
    expect(twice.err).toMatch(/There is a piece "my OA91" already/);
    const falling = await cliplead(...piece.slice(0, 6), '--points', '0.3/1m, 0.2/10u');
    expect([falling.code, falling.err]).toEqual([2, expect.stringMatching(/point 2 does not rise/)]);
  });

  it.each([
    [['--gain', '100/1m/5'], '--gain: 100/1m/5 should be two figures, such as 95/1mA.'],
    [['--gain', '100'], '--gain: 100 should be two figures, such as 95/1mA.'],
    [['--gain', 'x/1m'], '--gain: x is not a current gain: write a number such as 95.'],
    [['--gain', ''], '--gain is empty: write two figures, such as 95/1mA.'],
    [['--gain', '95/1n'], 'the collector current is 1e-9; it should be from 10 nA to 1 A.'],
    [['--fed', '0/2k2'], '0 V with 2k2: nothing flows. Check the pins of the transistor.'],
    [['--points', '0.2/10u'], '--points does not apply to a transistor: it takes --gain,'],
    [['--gain', '95/1m', '--open', '0.4/2k2'], '--open goes with --fed: give both, or --leakage.'],
  ])('refuses %s of a measured piece', async (gain, message) => {
    const { code, err } = await cliplead('fit', 'transistor', '--like', '2N3904', ...gain);
    expect([code, err]).toEqual([2, expect.stringContaining(message)]);
  });

  it('fits a diode to points alone, with the type that is nearest, as data', async () => {
    const { out, code } = await cliplead(
      ...['fit', 'diode', '--points', '0.387/10uA,0.501/100uA,0.618/1mA', '--json'],
    );
    expect(code).toBe(0);
    // Measured curve of one 1N4148, published by dvhx.
    expect(JSON.parse(out)).toMatchObject({
      piece: { name: 'silicon diode no. 1', like: '1N4148', isLikeGuessed: true },
      kind: { kind: 'silicon' },
      ranges: [{ of: 'saturationCurrentA' }, { of: 'emissionCoefficient' }, { of: 'seriesOhms' }],
      leftOpen: ['No leakage was read: it is that of a typical 1N4148.'],
    });
    expect((JSON.parse(out) as { worstMissV: number }).worstMissV).toBeLessThan(2e-3);
  });

  it('draws no legs for a diode with nothing printed on it', async () => {
    const measured = ['--points', '0.45/10uA,0.56/100uA,0.68/1mA', '--name', 'mine'];
    const fit = await cliplead('fit', 'diode', ...measured, '--out', file('mine.json'));
    expect(fit.out).toMatch(/^mine, like \S+;/);
    const build = ['--build', 'soft-plain', '--piece', file('mine.json'), '--set', 'D1=mine'];
    const { out } = await cliplead('wiring', ...build, '--json');
    const { pinouts } = JSON.parse(out) as { pinouts: { ref: string; footprint: object; pins: object[] }[] };
    const { footprint, pins } = pinouts.find(({ ref }) => ref === 'D1')!;
    expect(pins).toEqual([]);
    expect(footprint).toMatchObject({ outline: 'axial', lookAt: 'the part' });
    await cliplead('wiring', ...build, '--out', file('mine.svg'));
    expect(readFileSync(file('mine.svg'), 'utf8')).toContain('pins not known: look at the part');
  });

  it('takes the volts behind a resistor as readings, and corrects the load of the meter', async () => {
    const readings = ['--points', '1.5/820k', '--supply', '9', '--meter', '1M', '--room', '21'];
    const { out } = await cliplead('fit', 'diode', '--like', 'LED-red', ...readings, '--json');
    // By hand: 7.5 V/820k - 1.5 V/1M.
    const { piece } = JSON.parse(out) as { piece: { roomC: number; forward: { currentA: number }[] } };
    expect(piece.forward[0]!.currentA).toBeCloseTo(7.646e-6, 9);
    expect(piece.roomC).toBe(21);
    const mixed = await cliplead('fit', 'diode', '--points', '0.2/820k,0.3/100uA');
    expect(mixed.err).toContain('--points: give a current for each point, or a resistor for each point.');
    const fed = ['--like', 'AC128', '--fed', '1.54/2k2', '--open', '0.44/2k2'];
    const germanium = await cliplead('fit', 'transistor', ...fed);
    expect(germanium.out).toMatch(/leakage, base open +200 µA +200 µA +0\.0 %/);
    const jfet = await cliplead('fit', 'jfet', '--like', 'J201', '--idss', '0.6mA', '--cutoff', '0.6/820k');
    expect(jfet.out).toMatch(/drain current at −0\.6 V +792 nA/);
  });

  it('fits a JFET from volts across a resistor at its drain', async () => {
    const jfet = (...more: readonly string[]) => cliplead('fit', 'jfet', '--like', 'J201', ...more);
    const across = await jfet('--idss', '60mV/100R', '--cutoff', '0.6/820k', '--supply', '9.2', '--json');
    // By hand: 60 mV/100R, and 6 nA through the meter; 9.2 V - 60 mV stay at the drain.
    const { piece } = JSON.parse(across.out) as { piece: { zeroBiasDrainA: number; drainV: number } };
    expect(piece.zeroBiasDrainA).toBeCloseTo(6e-4, 7);
    expect(piece.drainV).toBeCloseTo(9.14, 9);
    const plain = await jfet('--idss', '0.06/100R', '--cutoff', '-0.7', '--json');
    expect(JSON.parse(plain.out)).toMatchObject({ piece: { cutoffV: 0.7, drainV: 8.94 } });
    for (const [idss, cutoff, problem] of [
      ['0.06/', '0.7', '--idss: 0.06/ should be two figures, such as 0.06/100R.'],
      ['0.06/dog', '0.7', '--idss: dog is not a resistance'],
      ['0/100R', '0.7', '0 V with 100R at the drain: nothing flows.'],
      ['8.9/10k', '0.7', 'the drain has 100 mV, and the cutoff voltage is 700 mV: the drain needs more.'],
      ['0.6', '0.7', '600 mA with the gate at the source: no small JFET conducts that much.'],
    ] as const) {
      const { code, err } = await jfet('--idss', idss, '--cutoff', cutoff);
      expect([code, err]).toEqual([2, expect.stringContaining(problem)]);
    }
    const help = await cliplead('fit', '--help');
    expect(help.out).toMatch(/--idss A or READING +of a JFET: .* 0\.06\/100R/s);
  });

  it('pairs measured parts: the nearest two, and the two that are most unlike', async () => {
    for (const [name, volts] of [
      ['a', '0.155/10u,0.215/100u,0.291/1m'],
      ['b', '0.165/10u,0.225/100u,0.301/1m'],
      ['c', '0.159/10u,0.219/100u,0.295/1m'],
    ] as const)
      await cliplead(
        'fit',
        'diode',
        '--like',
        'OA91',
        '--name',
        name,
        '--points',
        volts,
        '--out',
        file(name),
      );
    const given = ['a', 'b', 'c'].flatMap((name) => ['--piece', file(name)]);
    const { out } = await cliplead('pairs', ...given, '--json');
    expect(JSON.parse(out)).toMatchObject([
      { kind: 'diode', nearest: { one: 'a', other: 'c' }, mostUnlike: { one: 'a', other: 'b' } },
    ]);
    const text = await cliplead('pairs', ...given);
    expect(text.out).toMatch(/^diode: RMS between the forward curves/);
    expect(text.out).toMatch(/nearest +a +c +[34]\.\d mV/);
    const alone = await cliplead('pairs', '--piece', file('a'));
    expect(alone.err).toContain('There are no two parts of one kind.');
  });

  it('finds the taper of a potentiometer', async () => {
    const { out } = await cliplead('fit', 'pot', '--ends', '94k', '--middle', '13k', '--like', '100k');
    expect(out).toMatch(/^100k no\. 1: 94k audio 15 %/);
    expect(out).toMatch(/in the middle +13\.8 % +15\.0 % +1\.2 %/);
    const data = await cliplead('fit', 'pot', '--ends', '94k', '--middle', '47k', '--json');
    expect(JSON.parse(data.out)).toMatchObject({
      law: 'linear',
      doubts: [expect.stringContaining('S-shaped')],
    });
    const none = await cliplead('fit', 'toaster');
    expect([none.code, none.err]).toEqual([
      2,
      expect.stringContaining('toaster cannot be fitted: diode, transistor'),
    ]);
  });

  it('writes no measured piece that it would refuse, and takes no stray brace for one', async () => {
    const piece = ['fit', 'jfet', '--name', 'J', '--like', 'J201', '--idss', '10n', '--cutoff', '20'];
    const { code, err } = await cliplead(...piece, '--out', file('odd.json'));
    expect([code, err]).toEqual([
      2,
      expect.stringContaining('J: no part of this kind has these figures: check their units.'),
    ]);
    expect(existsSync(file('odd.json'))).toBe(false);
    const brace = await cliplead('parts', '--build', 'soft-plain', '--set', 'D1={');
    expect(brace.err).toContain('"{" is no type and no piece.');
  });

  it('ranks at a rate at which no error need be reported', async () => {
    const samples = Float64Array.from({ length: 2000 }, (_, n) =>
      Math.sin((2 * Math.PI * 5000 * n) / 44_100),
    );
    writeFileSync(file('sharp.wav'), encodeWav({ sampleRateHz: 44_100, channels: [samples] }));
    // R4 jumpered leaves a resonance that 8x does not follow.
    const args = ['rank', '--build', 'soft-plain', '--in', file('sharp.wav'), '--json'];
    const { code, out } = await cliplead(...args, '--part', 'R4', '--candidates', '10k, bridged');
    expect(code).toBe(0);
    const { factor, candidates } = JSON.parse(out) as {
      factor: number;
      candidates: { warnings: string[] }[];
    };
    expect(factor).toBeGreaterThan(8);
    expect(candidates.map(({ warnings }) => warnings)).toEqual([[], []]);
  }, 120_000);

  it('prints response, voltages, netlist and parts as data', async () => {
    const json = async (...args: string[]): Promise<unknown> =>
      JSON.parse((await cliplead(...args, '--build', 'soft-plain', '--json')).out);
    const { points } = (await json('response', '--frequencies', '100,1000')) as {
      points: { hz: number; decibels: number }[];
    };
    expect(points.map(({ hz }) => hz)).toEqual([100, 1000]);
    const { nets } = (await json('voltages')) as { nets: { net: string; volts: number }[] };
    expect(nets.find(({ net }) => net === 'dc')).toEqual({ net: 'dc', volts: 9 });
    const { parts, ground } = (await json('netlist')) as { parts: { ref: string }[]; ground: string };
    expect(ground).toBe('0');
    expect(parts.find(({ ref }) => ref === 'R4')).toMatchObject({ kind: 'resistor', ohms: 4700 });
    expect(parts.find(({ ref }) => ref === 'U1A')).toMatchObject({ kind: 'opamp', slewVPerS: 1.7e6 });
    const toOrder = (await json('parts')) as { kind: string }[];
    expect(toOrder.find(({ kind }) => kind === 'op-amp')).toMatchObject({
      value: 'RC4558',
      quantity: 1,
      refs: ['U1'],
      package:
        'DIP-8, from above, pin 1 left of the notch: 1 OUT A, 2 −A, 3 +A, 4 V−, 5 +B, 6 −B, 7 OUT B, 8 V+',
    });
  });

  it('prints the noise of a build, of the source at its input, and of each part', async () => {
    const noise = async (...args: string[]) =>
      JSON.parse((await cliplead('noise', '--build', 'clean-plain', '--json', ...args)).out) as {
        outputAWeighted: { microvolts: number; dbu: number };
        contributions: { part: string; kind: string; share: number }[];
        loudestSource: string;
      };
    const shorted = await noise('--source', 'shorted');
    const { microvolts, dbu } = shorted.outputAWeighted;
    // 0 dBu is 0.774597 V.
    expect(20 * Math.log10(microvolts / 774597)).toBeCloseTo(dbu, 4);
    expect(shorted.contributions[0]).toMatchObject({ part: 'U1B', kind: 'voltage noise' });
    expect(shorted.loudestSource).toContain("U1B's voltage noise");
    expect((await noise()).outputAWeighted.dbu).toBeGreaterThan(dbu);
    expect((await cliplead('noise', '--build', 'clean-plain')).out).toContain('single-coil pickup');
  });

  it('prints no level where nothing hisses, and says that the pedal is switched off', async () => {
    // A true bypass is a wire, and without a guitar nothing else makes noise.
    const shorted = ['--source', 'shorted', '--bypassed'];
    const { out } = await cliplead('noise', '--build', 'soft-plain', ...shorted);
    expect(out).toMatch(/^Hiss at rest, 20 Hz to 20 kHz, with the input shorted, the pedal switched off/);
    expect(out).not.toContain('Infinity');
    expect(out).toMatch(/at the output +0\.00 µV +– dBu/);
  });

  it('compares harmonics from the input of the pedal, whatever guitar plays', async () => {
    const sine = Float64Array.from({ length: 2205 }, (_, n) => 0.1 * Math.sin((2 * Math.PI * n) / 200));
    writeFileSync(file('short.wav'), encodeWav({ sampleRateHz: 44_100, channels: [sine] }));
    const builds = ['--build', 'soft-plain', '--against', 'soft-led', '--in', file('short.wav')];
    const compared = async (...guitar: string[]) => {
      const { out } = await cliplead('compare', ...builds, '--oversample', '1', '--json', ...guitar);
      return JSON.parse(out) as { surroundings: string; harmonics: { a: { relativeDb: number[] } } };
    };
    const [alone, played] = [await compared(), await compared('--pickup', 'humbucker')];
    expect(played.surroundings).toContain('humbucker');
    expect(played.harmonics.a.relativeDb).toEqual(alone.harmonics.a.relativeDb);
  });

  it('renders with the hiss of the build when the option is given', async () => {
    const rate = 48_000;
    writeFileSync(
      file('silence.wav'),
      encodeWav({ sampleRateHz: rate, channels: [new Float64Array(4 * rate)] }),
    );
    const args = ['--build', 'clean-plain', '--in', file('silence.wav'), '--oversample', '1', '--json'];
    const rmsV = async (...more: string[]) => {
      const { out } = await cliplead('render', ...args, '--out', file('hiss.wav'), ...more);
      return (JSON.parse(out) as { rmsV: number }).rmsV;
    };
    const { out } = await cliplead('noise', '--build', 'clean-plain', '--json');
    const { output } = JSON.parse(out) as { output: { microvolts: number } };
    expect(await rmsV()).toBeLessThan(1e-9);
    // 4 s of noise gives ±0.05 dB; then the fit of 0.3 dB, and noise below 20 Hz and above 20 kHz.
    expect(Math.abs(20 * Math.log10((1e6 * (await rmsV('--noise'))) / output.microvolts))).toBeLessThan(0.5);
  });

  it.each([
    [['noise', '--build', 'soft-plain', '--source', 'mains'], /--source mains/],
    [
      ['noise', '--build', 'soft-plain', '--source', 'shorted', '--pickup', 'humbucker'],
      /--source shorted.*--pickup/,
    ],
    [['voltages', '--build', 'soft-plain', '--set', 'R4=4kk'], /R4.*4kk/],
    [['voltages', '--build', 'soft-plain', '--set', 'R99=1k'], /no part R99/],
    [['voltages', '--build', 'soft-plain', '--set', 'R5=open'], /gain input.*no DC path/],
    [['voltages', '--build', 'soft-plain', '--knob', 'gain=2'], /gain.*2/],
    [['voltages', '--build', 'soft-plain', '--knob', 'gain=loud'], /gain.*loud/],
    [['voltages', '--build', 'soft-plain', '--switch', 'clipping=up'], /clipping.*up/],
    [['voltages', '--build', 'no-such-build'], /no-such-build/],
    [['voltages'], /--build/],
    [['response', '--build', 'soft-plain', '--net', 'nowhere'], /nowhere/],
    [
      ['render', '--build', 'soft-plain', '--in', PROGRAM, '--out', file('x.wav')],
      /cliplead\.mjs.*not a WAV/,
    ],
    [
      [
        'render',
        '--build',
        'soft-plain',
        '--in',
        'guitar-fifths',
        '--out',
        file('x.wav'),
        '--oversample',
        '3',
      ],
      /oversample 3/,
    ],
    [['render', '--build', 'soft-plain', '--in', 'guitar-fifths', '--out', file('no/x.wav')], /no\/x\.wav/],
    [['dance'], /no command "dance"/],
    [['voltages', '--loud'], /--loud/],
  ])('ends with code 2 and one sentence: %j', async (args, message) => {
    const { code, out, err } = await cliplead(...(args as string[]));
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(message);
    expect(err).not.toContain('    at ');
  });

  it('refuses to compare with a silent recording', async () => {
    const silent = file('silent.wav');
    writeFileSync(silent, encodeWav({ sampleRateHz: 44_100, channels: [new Float64Array(4410)] }));
    const { code, err } = await cliplead(
      ...['compare', '--build', 'soft-plain', '--against', 'soft-led', '--in', silent, '--oversample', '1'],
    );
    expect(err).toMatch(/silent/);
    expect(code).toBe(2);
  });

  it("says where there is nothing to estimate the solver's error by", async () => {
    const [silent, out] = [file('quiet.wav'), file('quiet-out.wav')];
    writeFileSync(silent, encodeWav({ sampleRateHz: 44_100, channels: [new Float64Array(4410)] }));
    const args = ['render', '--build', 'soft-plain', '--in', silent, '--out', out, '--oversample', '1'];
    const printed = await cliplead(...args);
    expect(printed.out).toContain(
      'solver error not estimated: the recording is silent or shorter than 2 ms.',
    );
    expect(JSON.parse((await cliplead(...args, '--json')).out)).toMatchObject({ solverErrorDb: null });
  });

  it('says what it can do when asked nothing', async () => {
    const { code, out } = await cliplead();
    expect(code).toBe(0);
    for (const name of [
      'presets',
      'render',
      'response',
      'voltages',
      'netlist',
      'compare',
      'noise',
      'parts',
      'loudness',
    ])
      expect(out).toContain(name);
  });
});
