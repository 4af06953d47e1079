import { startingBuild } from '../builds/build.ts';
import { BuildError } from '../builds/build-error.ts';
import { BUILD_FORMAT, parseBuildFile } from '../builds/build-file.ts';
import { networkOf } from '../builds/network-of-build.ts';
import type { Circuit } from '../circuits/circuit.ts';
import { parseCircuit } from '../circuits/circuit-file.ts';
import { isRecord } from '../circuits/document-shape.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import { drawingProblem } from '../drawing/stage-drawing.ts';
import { Refusal } from '../input/refusal.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NetworkError } from '../solver/network-error.ts';
import { operatingPoint } from '../solver/operating-point.ts';
import { CliError } from './cli-error.ts';
import { type Options, readText } from './options.ts';
import { printJson } from './output.ts';

/** One problem of a file, on one line. */
interface FileProblem {
  readonly code: string;
  readonly place: string;
  readonly message: string;
}

/**
 * Checks a circuit file or a build file with the code of the bench, and prints every problem.
 *
 * @returns Exit code: 2 where there is a problem.
 * @throws CliError for a file that cannot be read.
 */
export function circuitCommand(options: Options): number {
  if (options.check === undefined) throw new CliError('--check names no file: give a circuit or build file.');
  const text = readText(options.check);
  const json = jsonOf(text);
  const isBuild = isRecord(json) && json['format'] === BUILD_FORMAT;
  const problems = isBuild ? buildProblems(text) : documentProblems(json);
  const what = isBuild ? 'build' : 'circuit';
  if (options.json) printJson({ file: options.check, what, problems });
  else if (problems.length === 0) process.stdout.write(`${options.check}: a ${what}, without a problem.\n`);
  for (const { code, place, message } of options.json ? [] : problems)
    process.stdout.write(`${code} at ${place === '' ? 'the whole' : place}: ${message}\n`);
  return problems.length > 0 ? 2 : 0;
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    if (error instanceof SyntaxError)
      throw new CliError(`--check: this is not JSON (${error.message}).`, 'file');
    throw error;
  }
}

function buildProblems(text: string): readonly FileProblem[] {
  try {
    const build = parseBuildFile(text);
    return networkProblems(() => networkOf(build, NOMINAL_TEMPERATURE_K));
  } catch (error) {
    if (!(error instanceof BuildError)) throw error;
    return error.problems.map(({ path, ...problem }) => ({ ...problem, place: path }));
  }
}

function documentProblems(json: unknown): readonly FileProblem[] {
  const { circuit, problems } = parseCircuit(json);
  if (!circuit) {
    return problems.map(({ code, place, problem, remedy }) => ({
      code,
      place,
      message: `${problem} ${remedy}`,
    }));
  }
  const walledIn = drawingProblem(circuit);
  return [
    ...(walledIn === undefined ? [] : [{ code: 'walled-in', place: 'stages', message: walledIn }]),
    ...networkProblems(() => startingNetwork(circuit)),
  ];
}

function startingNetwork(circuit: Circuit) {
  return networkOf(startingBuild(circuit), NOMINAL_TEMPERATURE_K);
}

/** Why a network cannot be solved: a net without a DC path, two outputs on one net, no operating point. */
function networkProblems(make: () => ReturnType<typeof networkOf>): readonly FileProblem[] {
  try {
    const network = pruneNetwork(make());
    checkNetwork(network);
    operatingPoint(network);
    return [];
  } catch (error) {
    if (error instanceof NetworkError) return error.problems;
    if (error instanceof Refusal) return [{ code: error.code, place: '', message: error.message }];
    throw error;
  }
}
