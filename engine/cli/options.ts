import { parseArgs } from 'node:util';
import type { Build, BuildPart } from '../builds/build.ts';
import { BuildError } from '../builds/build-error.ts';
import { knobProblem, switchProblem } from '../builds/control-positions.ts';
import { parseMeasured } from '../builds/measured-parts.ts';
import { newerCircuit, newerCircuitText } from '../builds/newer-circuit.ts';
import { readParts, withSettings } from '../builds/part-groups.ts';
import { parseSettingText } from '../builds/part-setting.ts';
import { newPiece, piecesOf, withPieces } from '../builds/pieces.ts';
import type { BundledCircuits } from '../circuits/bundled-circuits.ts';
import { BUNDLED } from '../circuits/circuits.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import { editDistance } from '../input/edit-distance.ts';
import { MOST_BUILD_BYTES, MOST_CHAIN_BYTES, MOST_VALUE_CHARACTERS, OPTION_LIMITS } from '../input/limits.ts';
import { inLine, quotedPath } from '../input/shown-text.ts';
import { kelvinOf, TEMPERATURE_RANGE_C } from '../network/temperature.ts';
import { isPassive } from '../parts/passive-piece.ts';
import { type Piece, PieceError } from '../parts/piece.ts';
import { fitWarnings } from '../parts/piece-fit.ts';
import { CliError } from './cli-error.ts';
import {
  COMMAND_TEXTS,
  type CommandName,
  type CommandText,
  OPTIONS,
  type OptionName,
  type OptionText,
} from './command-options.ts';
import { readAtMost, systemReason } from './input-file.ts';
import type { Options } from './option-values.ts';

export type { Options };

/** @throws CliError for an option that the command does not take, or that lacks its value. */
export function parseOptions(command: CommandName, args: readonly string[]): Options {
  const given = withSignedNumbers(withOperand(command, args));
  checkNames(command, given);
  try {
    return parseArgs({ args: given, options: readableOptions(COMMAND_TEXTS[command].options) }).values;
  } catch (error) {
    if (isArgumentError(error)) throw new CliError(`${error.message}${hint(command)}`);
    throw error;
  }
}

/** A first word that is no option is that of the command's operand: "fit diode" is "fit --kind diode". */
function withOperand(command: CommandName, args: readonly string[]): readonly string[] {
  const { operand }: CommandText = COMMAND_TEXTS[command];
  const [first, ...others] = args;
  if (operand === undefined || first === undefined || first.startsWith('-')) return args;
  return [`--${operand}=${first}`, ...others];
}

/** As node's reader wants them. */
function readableOptions(names: readonly OptionName[]) {
  const readable = names.map((name) => {
    const { value, isList }: OptionText = OPTIONS[name];
    const type = value === undefined ? ('boolean' as const) : ('string' as const);
    return [name, { type, multiple: isList ?? false }] as const;
  });
  return Object.fromEntries(readable);
}

/** @throws CliError naming the nearest option of the command. */
function checkNames(command: CommandName, args: readonly string[]): void {
  const names: readonly string[] = COMMAND_TEXTS[command].options;
  for (const arg of args) {
    if (/^-[a-z]/i.test(arg)) throw new CliError(`There is no option ${named(arg)}.${hint(command)}`);
    const name = /^--([^=]+)/.exec(arg)?.[1];
    if (name === undefined || names.includes(name)) continue;
    if (Object.hasOwn(OPTIONS, name)) throw new CliError(`${command} takes no --${name}.${hint(command)}`);
    const near = nearestWord(name, names);
    const meant = near === undefined ? '' : ` Did you mean --${near}?`;
    throw new CliError(`There is no option --${named(name)}.${meant}${hint(command)}`);
  }
}

function hint(command: CommandName): string {
  return ` "cliplead ${command} --help" lists what it takes.`;
}

/** The word that differs least from what was typed, where a third of its letters at most do. */
export function nearestWord(typed: string, words: readonly string[]): string | undefined {
  if (typed.length > MOST_VALUE_CHARACTERS) return undefined;
  const edits = (word: string) => editDistance(typed, word);
  const [nearest] = [...words].sort((one, other) => edits(one) - edits(other));
  return nearest !== undefined && edits(nearest) <= Math.ceil(typed.length / 3) ? nearest : undefined;
}

/** The message of `parseArgs` for an unknown option or a missing value. */
function isArgumentError(error: unknown): error is Error {
  return error instanceof TypeError && 'code' in error && String(error.code).startsWith('ERR_PARSE_ARGS_');
}

/** Allows a negative number after its option, which would otherwise be read as another option. */
function withSignedNumbers(args: readonly string[]): string[] {
  return args.flatMap((arg, index) => {
    if (/^-\d/.test(arg) && args[index - 1]?.startsWith('--')) return [];
    const next = args[index + 1];
    return arg.startsWith('--') && next !== undefined && /^-\d/.test(next) ? [`${arg}=${next}`] : [arg];
  });
}

/** Says on the error output where a build's circuit has a newer revision, and what that changes. */
export function sayNewer(name: string, build: Build, bundled: BundledCircuits = BUNDLED): void {
  const newer = newerCircuit(build, bundled);
  if (newer) process.stderr.write(`${quotedPath(name)}: ${newerCircuitText(newer)}\n`);
}

/** The build with the pieces of a file, which --set and --candidates can name. Says where a fit is poor. */
export function withPieceOf(build: Build, path: string): Build {
  try {
    const { parts, problems } = parseMeasured(pieceFile(path));
    const pieces = parts.filter((part): part is Piece => !isPassive(part));
    for (const piece of pieces) newPiece(piecesOf(build), piece);
    const warnings = [...problems, ...pieces.flatMap(fitWarnings)];
    for (const warning of warnings) process.stderr.write(`${warning}\n`);
    return withPieces(build, pieces);
  } catch (error) {
    if (error instanceof PieceError) throw new CliError(`--piece ${quotedPath(path)}: ${error.message}`);
    throw error;
  }
}

function pieceFile(path: string): string {
  try {
    return Buffer.from(readAtMost(path, MOST_BUILD_BYTES)).toString('utf8');
  } catch (error) {
    throw new CliError(`--piece: ${quotedPath(path)} cannot be read: ${systemReason(error)}.`, 'file');
  }
}

/** @throws CliError, BuildError naming the part and the value. */
export function setPart(build: Build, entry: string): Build {
  const [where, text] = splitEntry('set', 'REF=VALUE', entry);
  const settings = partsOfSet(build, where, entry).map((part) => {
    return [part.ref, parseSettingText(part, text, build.parts[part.ref]!, piecesOf(build))] as const;
  });
  return withSettings(build, Object.fromEntries(settings));
}

function partsOfSet(build: Build, where: string, entry: string): readonly BuildPart[] {
  try {
    return readParts(build, where);
  } catch (error) {
    if (error instanceof BuildError) throw new CliError(`--set ${named(entry)}: ${error.message}`);
    throw error;
  }
}

/** @throws CliError naming the knob and the text. */
export function turnKnob(build: Build, entry: string): Build {
  const [name, text] = splitEntry('knob', 'NAME=0..1', entry);
  const rotation = text.trim() === '' ? Number.NaN : Number(text);
  const problem = knobProblem(build.circuit, name, Number.isFinite(rotation) ? rotation : text);
  if (problem !== undefined) throw new CliError(problem);
  return { ...build, knobs: { ...build.knobs, [name]: rotation } };
}

/** @throws CliError naming the switch and the text. */
export function throwSwitch(build: Build, entry: string): Build {
  const [name, position] = splitEntry('switch', 'NAME=POSITION', entry);
  const problem = switchProblem(build.circuit, name, position);
  if (problem !== undefined) throw new CliError(problem);
  return { ...build, switches: { ...build.switches, [name]: position } };
}

function splitEntry(option: string, form: string, entry: string): [string, string] {
  const equals = entry.indexOf('=');
  if (equals < 1) throw new CliError(`--${option} ${named(entry)} should have the form ${form}.`);
  return [entry.slice(0, equals), entry.slice(equals + 1)];
}

/** Temperature of the bench, K. @throws CliError for a text that is not a temperature in range. */
export function temperatureOf({ temperature }: Options): number {
  if (temperature === undefined) return NOMINAL_TEMPERATURE_K;
  const celsius = temperature.trim() === '' ? Number.NaN : Number(temperature);
  const { lowest, highest } = TEMPERATURE_RANGE_C;
  if (!(celsius >= lowest && celsius <= highest))
    throw new CliError(
      `--temperature ${named(temperature)} is out of range. Choose ${lowest} to ${highest} °C.`,
    );
  return kelvinOf(celsius);
}

/** A number of an option within its limits, or its default. @throws CliError naming the option and the text. */
export function numberOf(
  option: keyof typeof OPTION_LIMITS,
  text: string | undefined,
  otherwise: number,
): number {
  return text === undefined ? otherwise : numberIn(option, text);
}

/** @throws CliError naming the option and the text. */
export function numberIn(option: keyof typeof OPTION_LIMITS, text: string): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  const { least, most, unit } = OPTION_LIMITS[option];
  if (!(value >= least && value <= most))
    throw new CliError(`--${option} ${named(text)} is not a number from ${least} to ${most}${unit}.`);
  return value;
}

/** A text of the command line, quoted for a sentence. */
export function named(text: string): string {
  return inLine(text, 40);
}

export function readText(path: string): string {
  try {
    return Buffer.from(readAtMost(path, MOST_CHAIN_BYTES)).toString('utf8');
  } catch (error) {
    throw new CliError(
      `${quotedPath(path)} is not a preset ("cliplead presets" lists them) and not a readable file: ${systemReason(error)}.`,
      'file',
    );
  }
}
