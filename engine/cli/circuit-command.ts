import { startingBuild } from '../builds/build.ts';
import { BuildError } from '../builds/build-error.ts';
import { BUILD_FORMAT, parseBuildFile } from '../builds/build-file.ts';
import { networkOfChain } from '../builds/chain.ts';
import { CHAIN_FORMAT, parseChainFile } from '../builds/chain-file.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { circuitDocument, parseCircuit } from '../circuits/circuit-file.ts';
import type { CircuitProblem } from '../circuits/circuit-problem.ts';
import { CIRCUITS } from '../circuits/circuits.ts';
import { STAGE_FORMAT } from '../circuits/stages/stage-document.ts';
import { parseStage } from '../circuits/stages/stage-file.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import { drawingProblem } from '../drawing/stage-drawing.ts';
import { isRecord } from '../input/json.ts';
import { Refusal } from '../input/refusal.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NetworkError } from '../solver/network-error.ts';
import { operatingPoint } from '../solver/operating-point.ts';
import { CliError } from './cli-error.ts';
import { named, type Options, readText, sayNewer } from './options.ts';
import { printJson, printTable } from './output.ts';
import { presetNames, presetText } from './preset-files.ts';

/** One problem of a file, on one line. */
interface FileProblem {
  readonly code: string;
  readonly place: string;
  readonly message: string;
}

/**
 * Checks a circuit, stage, build or chain file with the code of the bench, and prints every problem; or prints the document of
 * a circuit of the bench, or lists them.
 *
 * @returns Exit code: 2 where there is a problem.
 * @throws CliError for a file that cannot be read, or a circuit that is not there.
 */
export function circuitCommand(options: Options): number {
  if (options.print !== undefined) return printCircuit(options.print);
  if (options.list) return listCircuits(options);
  if (options.check === undefined) {
    throw new CliError(
      'Give a circuit, stage, build or chain file with --check, the name of a bundled circuit with --print, or --list.',
    );
  }
  const text = readText(options.check);
  const json = jsonOf(text);
  const { check } = options;
  const what = kindOf(json);
  const problems = {
    build: () => chainProblems(text, check),
    chain: () => chainProblems(text, check),
    stage: () => (parseStage(json).problems ?? []).map(fileProblem),
    circuit: () => documentProblems(json),
  }[what]();
  if (options.json) printJson({ file: options.check, what, problems });
  else if (problems.length === 0) process.stdout.write(`${options.check}: a ${what}, no problem found.\n`);
  for (const { code, place, message } of options.json ? [] : problems)
    process.stdout.write(`${code} at ${place === '' ? 'the file' : place}: ${message}\n`);
  return problems.length > 0 ? 2 : 0;
}

function kindOf(json: unknown): 'build' | 'chain' | 'stage' | 'circuit' {
  const format = isRecord(json) ? json['format'] : undefined;
  if (format === BUILD_FORMAT) return 'build';
  if (format === CHAIN_FORMAT) return 'chain';
  return format === STAGE_FORMAT ? 'stage' : 'circuit';
}

/** Id, title, revision and presets of each circuit of the bench. */
function listCircuits(options: Options): number {
  const builds = presetNames().map((name) => ({ name, id: parseBuildFile(presetText(name)!).circuit.id }));
  const circuits = [...CIRCUITS.values()].map((circuit) => ({
    id: circuit.id,
    title: circuit.title,
    revision: circuit.revision,
    stages: circuit.stages.map(({ title }) => title),
    parts: partsOf(circuit).size,
    presets: builds.filter(({ id }) => id === circuit.id).map(({ name }) => name),
  }));
  if (options.json) printJson(circuits);
  else
    printTable(
      circuits.map(({ id, title, revision, parts, presets }) => [
        id,
        title,
        `revision ${revision}`,
        `${parts} parts`,
        presets.join(', '),
      ]),
    );
  return 0;
}

function printCircuit(id: string): number {
  const circuit = CIRCUITS.get(id);
  if (!circuit)
    throw new CliError(
      `--print ${named(id)}: there is no such circuit. Choose one of ${[...CIRCUITS.keys()].join(', ')}.`,
    );
  process.stdout.write(`${JSON.stringify(circuitDocument(circuit), undefined, 2)}\n`);
  return 0;
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

/** Of a build file or a chain file. */
function chainProblems(text: string, name: string): readonly FileProblem[] {
  try {
    const { chain } = parseChainFile(text);
    for (const { build } of chain.pedals) sayNewer(name, build);
    return networkProblems(() => networkOfChain(chain, NOMINAL_TEMPERATURE_K));
  } catch (error) {
    if (!(error instanceof BuildError)) throw error;
    return error.problems.map(({ path, ...problem }) => ({ ...problem, place: path }));
  }
}

function documentProblems(json: unknown): readonly FileProblem[] {
  const { circuit, problems } = parseCircuit(json);
  if (!circuit) return problems.map(fileProblem);
  const walledIn = drawingProblem(circuit);
  return [
    ...(walledIn === undefined ? [] : [{ code: 'walled-in', place: 'stages', message: walledIn }]),
    ...networkProblems(() => startingNetwork(circuit)),
  ];
}

function fileProblem({ code, place, problem, remedy }: CircuitProblem): FileProblem {
  return { code, place, message: `${problem} ${remedy}` };
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
