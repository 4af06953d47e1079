import { Refusal } from '../input/refusal.ts';
import { oneLine, quoted } from '../input/shown-text.ts';
import { circuitCommand } from './circuit-command.ts';
import { CliError } from './cli-error.ts';
import { compareCommand } from './compare-command.ts';
import { excerptCommand } from './excerpt-command.ts';
import { loudnessCommand } from './loudness-command.ts';
import { noiseCommand } from './noise-command.ts';
import { type Options, parseOptions } from './options.ts';
import { partsCommand } from './parts-command.ts';
import { presetsCommand } from './presets-command.ts';
import { rankCommand } from './rank-command.ts';
import { renderCommand } from './render-command.ts';
import { netlistCommand, responseCommand, voltagesCommand } from './report-commands.ts';
import { sineCommand } from './sine-command.ts';

const HELP = `Usage: cliplead COMMAND [options]

  presets    what builds are there
  render     --in a.wav --out b.wav: a whole build over a recording
  response   small-signal gain and phase at the output, or at --net NET
  sine       harmonics of a steady sine at the output, or at --net NET, and levels along the signal path
  voltages   DC of every net, and the supply current
  netlist    the network as the solver sees it, in SI numbers
  noise      what a build hisses at rest, and which part causes it
  compare    --against FILE or PRESET, --in a.wav: two builds over one recording
  parts      the parts list as CSV
  rank       --part D1, --in a.wav: all that could be soldered there, by how much it changes
  excerpt    --in a.wav, --out b.wav: a build to show, or with --against two in turn, equally loud
  circuit    --check FILE: every problem of a circuit file or a build file
  loudness   --in a.wav: integrated, momentary and short-term loudness, true peak

All but presets, circuit and loudness take
  --build FILE or PRESET      the build
  --set REF=VALUE             another part: R4=4k7, C3=47n, D2="2x 1N4148", VR2="25k linear", R5=open, C4=bridged
  --knob NAME=0..1            --switch NAME=POSITION
  --temperature CELSIUS       of the bench, -10 to 60; 27 where nothing is said
  --json                      machine-readable output
render also takes
  --in FILE or RECORDING      WAV or FLAC, or the name of a bundled recording
  --channel 1                 which channel of it
  --volts-per-full-scale V    what full scale of the files means (1 V; bundled recordings bring their own)
  --oversample 1|2|4|8|16|32  or offline, the default, which is 32 (compare: 8)
  --resampling linear-phase|low-latency
  --noise                     with the build's own hiss, as the command noise finds it (--source as there)
compare also takes
  --out DIFFERENCE.wav        what is left of A when the matched B is taken from it, made audible
excerpt also takes
  --turn SECONDS              how long a build plays before the other does; a round of the recording without it
  --rounds N                  of the recording, 1; 4 with --against and no --turn
  --text FILE                 what is heard when
  --stand-in                  through the small amplifier and speaker of the bench
rank also takes
  --candidates LIST           "1N34A, 2x BAT46, open" or "E12 10n..100n"; without it every type, or E6 about the value
  --spread                    how far pieces of each candidate's own type differ, too
response also takes
  --net NET                   --frequencies 100,1000,5000
sine also takes
  --net NET                   --hz 440   --peak 0.2 (volts)
render, response and netlist also take
  --pickup single-coil|humbucker   a guitar ahead of the pedal, its controls full up; --cable METRES (6)
noise also takes
  --source pickup|shorted     what is at the input (a single-coil pickup and its cable)
`;

const COMMANDS: Readonly<Record<string, (options: Options) => void | number | Promise<void>>> = {
  presets: presetsCommand,
  circuit: circuitCommand,
  render: renderCommand,
  response: responseCommand,
  sine: sineCommand,
  voltages: voltagesCommand,
  netlist: netlistCommand,
  noise: noiseCommand,
  compare: compareCommand,
  parts: partsCommand,
  loudness: loudnessCommand,
  rank: rankCommand,
  excerpt: excerptCommand,
};

/** Runs one command. @returns The process's exit code: 0, 2 after a mistake that the user can put right, 1 after one of ours. */
async function run(args: readonly string[]): Promise<number> {
  const [name, ...rest] = args;
  if (name === undefined || name === 'help' || name === '--help' || name === '-h') {
    process.stdout.write(HELP);
    return 0;
  }
  try {
    const command = Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
    if (!command)
      throw new CliError(
        `There is no command ${quoted(name)}. Try one of ${Object.keys(COMMANDS).join(', ')}.`,
      );
    return (await command(parseOptions(rest))) ?? 0;
  } catch (error) {
    if (process.env['CLIPLEAD_DEBUG'])
      process.stderr.write(`${error instanceof Error ? error.stack : error}\n`);
    const isRefused = error instanceof Refusal;
    process.stderr.write(`cliplead: ${isRefused ? oneLine(error.message) : OWN_FAULT}\n`);
    return isRefused ? 2 : 1;
  }
}

/** What no input should bring about. */
const OWN_FAULT =
  'This is a fault of the program, not of what was asked. Please report the command; CLIPLEAD_DEBUG=1 ahead of it shows where.';

// A reader that closes early, such as a pager or `head`, is no failure.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});
process.exitCode = await run(process.argv.slice(2));
