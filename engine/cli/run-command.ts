import { Refusal } from '../input/refusal.ts';
import { oneLine, quoted } from '../input/shown-text.ts';
import { circuitCommand } from './circuit-command.ts';
import { CliError } from './cli-error.ts';
import type { CommandName } from './command-options.ts';
import { compareCommand } from './compare-command.ts';
import { excerptCommand } from './excerpt-command.ts';
import { fitCommand } from './fit-command.ts';
import { commandText, overviewText } from './help-text.ts';
import { loudnessCommand } from './loudness-command.ts';
import { noiseCommand } from './noise-command.ts';
import { nearestWord, type Options, parseOptions } from './options.ts';
import { pairsCommand } from './pairs-command.ts';
import { partsCommand } from './parts-command.ts';
import { popCommand } from './pop-command.ts';
import { presetsCommand } from './presets-command.ts';
import { rankCommand } from './rank-command.ts';
import { renderCommand } from './render-command.ts';
import { netlistCommand, responseCommand } from './report-commands.ts';
import { sheetCommand } from './sheet-command.ts';
import { sineCommand } from './sine-command.ts';
import { spreadCommand } from './spread-command.ts';
import { stagesCommand } from './stages-command.ts';
import { typesCommand } from './types-command.ts';
import { voltagesCommand } from './voltages-command.ts';
import { wiringCommand } from './wiring-command.ts';

const COMMANDS: Readonly<Record<CommandName, (options: Options) => void | number | Promise<void>>> = {
  presets: presetsCommand,
  circuit: circuitCommand,
  render: renderCommand,
  response: responseCommand,
  sine: sineCommand,
  voltages: voltagesCommand,
  netlist: netlistCommand,
  noise: noiseCommand,
  pop: popCommand,
  compare: compareCommand,
  parts: partsCommand,
  wiring: wiringCommand,
  sheet: sheetCommand,
  stages: stagesCommand,
  loudness: loudnessCommand,
  types: typesCommand,
  fit: fitCommand,
  pairs: pairsCommand,
  rank: rankCommand,
  spread: spreadCommand,
  excerpt: excerptCommand,
};

/** Runs one command. @returns Exit code: 0; 2 after a mistake that the user can correct; 1 after a fault of the program. */
export async function runCommand(args: readonly string[]): Promise<number> {
  const [name = 'help', ...rest] = args;
  try {
    if (HELP_WORDS.includes(name)) return help(rest[0]);
    const command = knownCommand(name);
    if (rest.some((arg) => arg === '--help' || arg === '-h')) return help(command);
    return (await COMMANDS[command](parseOptions(command, rest))) ?? 0;
  } catch (error) {
    if (process.env['CLIPLEAD_DEBUG'])
      process.stderr.write(`${error instanceof Error ? error.stack : error}\n`);
    const isRefused = error instanceof Refusal;
    process.stderr.write(`cliplead: ${isRefused ? oneLine(error.message) : OWN_FAULT}\n`);
    return isRefused ? 2 : 1;
  }
}

const HELP_WORDS = ['help', '--help', '-h'];

/** Prints the help of a command, or the list of commands. */
function help(name: string | undefined): number {
  process.stdout.write(name === undefined ? overviewText() : commandText(knownCommand(name)));
  return 0;
}

/** @throws CliError naming the most similar command, or all. */
function knownCommand(name: string): CommandName {
  if (Object.hasOwn(COMMANDS, name)) return name as CommandName;
  const names = Object.keys(COMMANDS);
  const near = nearestWord(name, names);
  const meant = near === undefined ? `Try one of ${names.join(', ')}.` : `Did you mean ${near}?`;
  throw new CliError(`There is no command ${quoted(name)}. ${meant} "cliplead --help" lists them.`);
}

/** For errors that no input should cause. */
const OWN_FAULT =
  'This is a bug of Cliplead, not a mistake in your command. Please report the command. Run it with CLIPLEAD_DEBUG=1 to see where it failed.';
