import { spawn, spawnSync } from 'node:child_process';
import {
  existsSync,
  linkSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { decodeWav, encodeWav } from '../../engine/audio/wav.ts';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { progressOn } from '../../engine/cli/progress.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { presetBuild } from '../preset-build.ts';
import files from '../reference/audio-files.json' with { type: 'json' };
import { refusalFault } from '../reliability/refusal.ts';

const PROGRAM = fileURLToPath(new URL('../../engine/cli/cliplead.mjs', import.meta.url));
const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-files-'));
const file = (name: string) => path.join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A program starts in one second, or in ten on a busy machine. */
const SLOW_MS = 120_000;
const RATE_HZ = 44_100;

function toneOf(frames: number): Float64Array {
  return Float64Array.from({ length: frames }, (_, n) => 0.2 * Math.sin((2 * Math.PI * 220 * n) / RATE_HZ));
}

function writeTone(name: string, frames: number): string {
  writeFileSync(file(name), encodeWav({ sampleRateHz: RATE_HZ, channels: [toneOf(frames)] }));
  return file(name);
}

function cliplead(...args: string[]): { code: number | null; out: string; err: string } {
  const { status, stdout, stderr } = spawnSync(process.execPath, [PROGRAM, ...args], {
    encoding: 'utf8',
    cwd: folder,
  });
  return { code: status, out: stdout, err: stderr };
}

const render = (input: string, output: string, ...more: string[]) =>
  cliplead('render', '--build', 'soft-plain', '--in', input, '--out', output, '--oversample', '2', ...more);

describe('numbers and texts of the command line', { timeout: SLOW_MS }, () => {
  it.each([
    ['a frequency', ['sine', '--build', 'soft-plain', '--hz', '1e9'], /--hz 1e9 .*10 to 20000 Hz/],
    ['a slow sine', ['sine', '--build', 'soft-plain', '--hz', '0.001'], /--hz 0\.001/],
    ['a peak', ['sine', '--build', 'soft-plain', '--peak', '1e30'], /--peak 1e30/],
    ['a list', ['response', '--build', 'soft-plain', '--frequencies', '1e308'], /--frequencies 1e308/],
    ['a gap in a list', ['response', '--build', 'soft-plain', '--frequencies', '100,,200'], /--frequencies/],
    [
      'many digits',
      ['voltages', '--build', 'soft-plain', '--set', `R4=${'1'.repeat(20_000)}`],
      /R4.*20000 char/,
    ],
    ['a long name', ['voltages', '--build', `soft${'x'.repeat(9000)}`], /name is too long/],
    ['no end', ['voltages', '--build', '/dev/zero'], /longer than 9 MB/],
    ['a folder', ['voltages', '--build', tmpdir()], /it is a folder/],
    ['an escape', ['\u001b[31mdance'], /no command "\\u001b\[31mdance"/],
  ] as const)('that go too far are refused in one line: %s', (_, args, message) => {
    const { code, err } = cliplead(...args);
    expect(code).toBe(2);
    expect(err).toMatch(message);
    expect(err).toMatch(/^cliplead: [^\n]*\n$/);
    expect(refusalFault(err.trim().replace(/^cliplead: /, ''))).toBeUndefined();
  });

  it('cannot make an excerpt longer than the limit', () => {
    const dry = writeTone('dry.wav', 4410);
    const excerpt = (...more: string[]) =>
      cliplead('excerpt', '--build', 'soft-plain', '--in', dry, '--out', file('show.wav'), ...more);
    for (const more of [
      ['--loops', '1e9'],
      ['--turn', '1e-9'],
      ['--loops', '1000', '--in', writeTone('long.wav', 2 * RATE_HZ)],
    ]) {
      const { code, err } = excerpt(...more);
      expect(code).toBe(2);
      expect(err).toMatch(/rounds|loops|turn/);
    }
    expect(existsSync(file('show.wav'))).toBe(false);
  });
});

describe('files of the command line', { timeout: SLOW_MS }, () => {
  it('never overwrite their own input, the recording or the build, whatever path is given', () => {
    const dry = writeTone('own.wav', 441);
    const before = readFileSync(dry);
    mkdirSync(file('below'));
    symlinkSync(dry, file('below/link.wav'));
    linkSync(dry, file('second-name.wav'));
    writeFileSync(file('own.json'), serialiseBuild(presetBuild('soft-plain')));
    for (const out of [dry, 'own.wav', 'below/../own.wav', file('below/link.wav'), file('second-name.wav')]) {
      const { code, err } = render(dry, out);
      expect(code).toBe(2);
      expect(err).toMatch(/--out .* is the file of --in/);
    }
    expect(readFileSync(dry)).toEqual(before);
    const overBuild = render(dry, file('own.json'), '--build', file('own.json'));
    expect(overBuild.err).toMatch(/--out .* is the file of --build/);
    const twice = ['--out', file('one.wav'), '--text', './below/../one.wav'];
    const { code, err } = cliplead('excerpt', '--build', 'soft-plain', '--in', dry, ...twice);
    expect(code).toBe(2);
    expect(err).toMatch(/--text .* is the file of --out/);
    expect(existsSync(file('one.wav'))).toBe(false);
  });

  it('that cannot be written are reported before the work begins', () => {
    // If the recording were read first, the error would be that it is missing.
    for (const [out, reason] of [
      [file('nowhere/x.wav'), /no such file or folder/],
      [folder, /it is a folder/],
    ] as const) {
      const { code, err } = render(file('missing.wav'), out);
      expect(code).toBe(2);
      expect(err).toMatch(reason);
      expect(err).toMatch(/--out/);
    }
  });

  it('stay unchanged when the disk is full', () => {
    const dry = writeTone('full.wav', RATE_HZ);
    writeFileSync(file('kept.wav'), 'what was there before');
    // A limit on the length of a file replaces the end of the disk: node ignores the signal, and the write fails.
    const command = [
      process.execPath,
      PROGRAM,
      'render',
      '--build',
      'soft-plain',
      '--oversample',
      '1',
      '--in',
      dry,
    ];
    const { status, stderr } = spawnSync(
      'bash',
      ['-c', 'ulimit -f 64; exec "$@"', 'bash', ...command, '--out', file('kept.wav')],
      { encoding: 'utf8' },
    );
    expect(status).toBe(2);
    expect(stderr).toMatch(/^cliplead: --out: .*kept\.wav" cannot be written: .*\n$/);
    expect(readFileSync(file('kept.wav'), 'utf8')).toBe('what was there before');
    expect(readdirSync(folder).filter((name) => name.endsWith('-part'))).toEqual([]);
  });

  it('stay unchanged, and no other file remains, when Ctrl-C stops the work', async () => {
    const place = mkdtempSync(path.join(folder, 'interrupted-'));
    const out = path.join(place, 'out.wav');
    writeFileSync(out, 'what was there before');
    const dry = writeTone('interrupted.wav', 120 * RATE_HZ);
    const child = spawn(process.execPath, [
      PROGRAM,
      'render',
      '--build',
      'soft-plain',
      '--in',
      dry,
      '--out',
      out,
    ]);
    const ended = new Promise<number | null>((resolve) => child.on('exit', resolve));
    while (readdirSync(place).length < 2 && child.exitCode === null) await setTimeout(20);
    child.kill('SIGINT');
    // 128 plus the number of the signal, as shells report it.
    expect(await ended).toBe(130);
    expect(readdirSync(place)).toEqual(['out.wav']);
    expect(readFileSync(out, 'utf8')).toBe('what was there before');
  });

  it('hold the samples of a whole render, bit for bit, although the render is made in pieces', () => {
    // This is not a multiple of any piece.
    const dry = writeTone('pieces.wav', 20_011);
    const { code, out } = render(dry, file('pieces-out.wav'), '--json');
    expect(code).toBe(0);
    const input = decodeWav(readFileSync(dry)).channels[0]!;
    const options = { factor: 2, quality: 'linear-phase', sampleRateHz: RATE_HZ } as const;
    const { outputV, failures } = renderOffline(
      networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K),
      input,
      options,
    );
    const { channels } = decodeWav(readFileSync(file('pieces-out.wav')));
    expect(channels[0]).toEqual(outputV.map(Math.fround));
    const report = JSON.parse(out) as Record<string, number>;
    const peakV = outputV.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
    expect(report).toMatchObject({ frames: 20_011, peakV, failures });
  });

  it('show their progress on a terminal, one line for each hundredth, and nothing elsewhere', () => {
    const written: string[] = [];
    const write = (text: string) => written.push(text);
    const onProgress = progressOn({ isTTY: true, write });
    for (let n = 0; n <= 5000; n++) onProgress(n / 5000);
    expect(written).toHaveLength(101);
    expect(written.at(-1)).toBe('\r100 %\n');
    progressOn({ write })(0.5);
    expect(written).toHaveLength(101);
  });
});

describe('a damaged recording', { timeout: SLOW_MS }, () => {
  it('that ends early is rendered up to its end, with a message', () => {
    const whole = encodeWav({ sampleRateHz: RATE_HZ, channels: [toneOf(RATE_HZ)] });
    writeFileSync(file('cut.wav'), whole.subarray(0, 58 + 4 * (RATE_HZ / 2)));
    const { code, err } = render(file('cut.wav'), file('cut-out.wav'));
    expect(code).toBe(0);
    expect(err).toMatch(/^cliplead: ".*cut\.wav": .*ends after 0\.50 of 1\.00 s.*\n$/);
    expect(decodeWav(readFileSync(file('cut-out.wav'))).channels[0]).toHaveLength(RATE_HZ / 2);
  });

  it('with samples that are not numbers is rendered without resets, and these samples are counted', () => {
    const samples = toneOf(4410);
    samples.fill(Number.NaN, 1000, 1500).fill(Number.POSITIVE_INFINITY, 1500, 1553);
    writeFileSync(file('nan.wav'), encodeWav({ sampleRateHz: RATE_HZ, channels: [samples] }));
    const { code, out, err } = render(file('nan.wav'), file('nan-out.wav'), '--json');
    expect(code).toBe(0);
    expect(err).toMatch(/553 samples are not numbers/);
    expect(JSON.parse(out)).toMatchObject({ resets: 0, failures: 0 });
  });

  it('with an impossible sample rate is refused', () => {
    const bytes = encodeWav({ sampleRateHz: 7, channels: [toneOf(441)] });
    writeFileSync(file('slow.wav'), bytes);
    const flac = Buffer.from(files.flac[0]!.base64, 'base64');
    // STREAMINFO: 20 bits of sample rate from the 11th byte of the block (RFC 9639 section 8.2)
    flac[18] = 0;
    flac[19] = 0;
    flac[20]! &= 0x0f;
    writeFileSync(file('none.flac'), flac);
    for (const [name, hz] of [
      ['slow.wav', 7],
      ['none.flac', 0],
    ] as const) {
      const { code, err } = render(file(name), file('never.wav'));
      expect(code).toBe(2);
      expect(err).toMatch(new RegExp(`sample rate of ${hz} Hz; recordings have 8000 to 384000 Hz`));
    }
    expect(existsSync(file('never.wav'))).toBe(false);
  });
});
