import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { encodeWav } from '../../../engine/audio/wav.ts';
import { Dice } from '../dice.ts';
import { hostileText } from '../hostile-texts.ts';
import type { Kind, Verdict } from '../kind.ts';
import { refusalFault } from '../refusal.ts';

const PROGRAM = fileURLToPath(new URL('../../../engine/cli/cliplead.mjs', import.meta.url));
/** A command that takes longer than this hangs, also on a busy machine. */
const HANGING_SECONDS = 120;

/** Numbers that no option accepts, and texts that are not numbers. */
const NUMBERS = [
  '0',
  '-1',
  '1e9',
  '1e-9',
  '1e308',
  '-1e308',
  '1e999',
  'nan',
  '1.5',
  '0x10',
  '',
  '999999999999999999999',
  '1,2',
];

const COMMANDS: readonly { readonly args: readonly string[]; readonly options: readonly string[] }[] = [
  { args: ['sine', '--build', 'soft-plain'], options: ['hz', 'peak', 'net', 'temperature', 'set', 'knob'] },
  { args: ['response', '--build', 'soft-plain'], options: ['frequencies', 'net', 'cable', 'pickup'] },
  {
    args: ['voltages', '--build', 'clean-plain'],
    options: ['set', 'knob', 'switch', 'temperature', 'build'],
  },
  {
    args: ['render', '--build', 'soft-plain', '--in', 'IN', '--out', 'OUT', '--oversample', '1'],
    options: ['volts-per-full-scale', 'channel', 'oversample', 'resampling', 'in', 'cable'],
  },
  {
    args: ['excerpt', '--build', 'soft-plain', '--in', 'IN', '--out', 'OUT', '--oversample', '1'],
    options: ['loops', 'turn', 'against', 'text'],
  },
  { args: ['rank', '--build', 'soft-plain', '--part', 'C3', '--in', 'IN'], options: ['candidates', 'part'] },
];

/** Commands with one wrong option: each must succeed, or be refused in one line with code 2, within the time. */
export const kind: Kind = {
  name: 'command lines',
  figure: { name: 'slowest', unit: 's, start and all', most: HANGING_SECONDS },
  // A command takes a second to start.
  share: 0.05,
  attempt: (seed) => {
    const dice = new Dice(seed);
    const { args, options } = dice.pick(COMMANDS);
    // A zero byte ends an argument, and on Linux an argument has at most 128 KiB: such inputs are not tried.
    const text =
      dice.draw() < 0.6 ? dice.pick(NUMBERS) : hostileText(dice).replaceAll('\u0000', '').slice(0, 30_000);
    return tryCommand([...args, `--${dice.pick(options)}=${text}`]);
  },
};

/** Runs a command in its own folder. */
export function tryCommand(args: readonly string[]): Verdict {
  const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-reliability-'));
  try {
    const dry = path.join(folder, 'dry.wav');
    const tone = Float64Array.from({ length: 2000 }, (_, n) => 0.1 * Math.sin(n / 30));
    writeFileSync(dry, encodeWav({ sampleRateHz: 44_100, channels: [tone] }));
    const named = args.map((arg) =>
      arg === 'IN' ? dry : arg === 'OUT' ? path.join(folder, 'wet.wav') : arg,
    );
    const started = performance.now();
    const { status, stderr } = spawnSync(process.execPath, [PROGRAM, ...named], {
      encoding: 'utf8',
      cwd: folder,
      timeout: 1000 * HANGING_SECONDS,
    });
    const left = readdirSync(folder).filter((file) => file.endsWith('-part'));
    return {
      fault: left.length > 0 ? `${left} was left behind` : commandFault(status, stderr),
      figure: (performance.now() - started) / 1000,
    };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function commandFault(status: number | null, stderr: string): string | undefined {
  if (status === 0) return undefined;
  if (status !== 2) return `code ${status}: ${stderr.slice(0, 500)}`;
  const message = /^cliplead: (.*)\n$/s.exec(stderr)?.[1];
  return message === undefined ? `not one line: ${stderr.slice(0, 500)}` : refusalFault(message);
}
