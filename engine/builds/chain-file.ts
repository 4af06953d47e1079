import type { BundledCircuits } from '../circuits/bundled-circuits.ts';
import { CIRCUIT_FORMAT } from '../circuits/circuit-shape.ts';
import { BUNDLED } from '../circuits/circuits.ts';
import { isRecord, jsonDepth, readJson } from '../input/json.ts';
import { MOST_CHAIN_CHARACTERS, MOST_JSON_DEPTH, MOST_TITLE_CHARACTERS } from '../input/limits.ts';
import { shownValue } from '../input/shown-text.ts';
import type { Build } from './build.ts';
import { BuildError, type BuildProblem } from './build-error.ts';
import { BUILD_FORMAT, parseBuildFile, readText, serialiseBuild, unknownKeys } from './build-file.ts';
import { buildTitle } from './build-title.ts';
import { type Chain, type ChainPedal, MOST_PEDALS, USUAL_PATCH_METRES } from './chain.ts';
import { LONGEST_CABLE_METRES } from './instrument.ts';

/** Name and version that a chain file carries. */
export const CHAIN_FORMAT = 'cliplead-chain';
export const CHAIN_VERSION = 1;

/** A chain with its title, as a file holds it. */
export interface TitledChain {
  readonly title: string;
  readonly chain: Chain;
}

const KEYS = ['$schema', 'format', 'version', 'title', 'pedals'];
const PEDAL_KEYS = ['build', 'isOn', 'cableMetres'];
/** A chain file has a build file two levels down, in a list and an object. */
const MOST_DEPTH = MOST_JSON_DEPTH + 3;

/**
 * Reads a chain file, whole or not at all. A build file reads as a chain of one pedal.
 *
 * @param bundled The circuits that its builds may name. @throws BuildError with the path of every problem.
 */
export function parseChainFile(text: string, bundled: BundledCircuits = BUNDLED): TitledChain {
  if (typeof text === 'string' && text.length > MOST_CHAIN_CHARACTERS)
    throw refusal(
      'too-long',
      '',
      `This file is ${text.length} characters long; a chain file has at most ${MOST_CHAIN_CHARACTERS}.`,
    );
  const file = typeof text === 'string' && jsonDepth(text) <= MOST_DEPTH ? readJson(text) : undefined;
  if (!isRecord(file) || file['format'] !== CHAIN_FORMAT) return chainOfOne(text, file, bundled);
  const { version } = file;
  if (version !== CHAIN_VERSION) {
    const isNewer = typeof version === 'number' && version > CHAIN_VERSION;
    const message = isNewer
      ? `This chain file is of version ${version}; this bench reads up to ${CHAIN_VERSION}. Update it.`
      : `A chain file of version ${shownValue(version)} does not exist.`;
    throw refusal('unknown-version', 'version', message);
  }
  const problems: BuildProblem[] = unknownKeys(file, KEYS, '');
  const title = readText(file['title'] ?? '', 'title', MOST_TITLE_CHARACTERS, problems);
  const pedals = readPedals(file['pedals'], problems, bundled);
  if (problems.length > 0) throw new BuildError(problems);
  return { title, chain: { pedals } };
}

/** The text of a chain file. @param bundled The circuits that it may name. */
export function serialiseChain(
  { title, chain: { pedals } }: TitledChain,
  bundled: BundledCircuits = BUNDLED,
): string {
  const file = {
    format: CHAIN_FORMAT,
    version: CHAIN_VERSION,
    title,
    pedals: pedals.map(({ build, isOn, cableMetres }) => ({
      build: JSON.parse(serialiseBuild(build, bundled)) as unknown,
      isOn,
      cableMetres,
    })),
  };
  return `${JSON.stringify(file, undefined, 2)}\n`;
}

/** What is not a chain file is a build file or a circuit file, or is refused as one; a text that claims to be neither is told of both. */
function chainOfOne(text: string, file: unknown, bundled: BundledCircuits): TitledChain {
  if (isRecord(file) && file['format'] !== BUILD_FORMAT && file['format'] !== CIRCUIT_FORMAT)
    throw refusal(
      'not-a-build',
      'format',
      `This is no build or chain file: its format is ${shownValue(file['format'])}, not "${BUILD_FORMAT}" or "${CHAIN_FORMAT}".`,
    );
  const build = parseBuildFile(text, bundled);
  return {
    title: buildTitle(build),
    chain: { pedals: [{ build, isOn: true, cableMetres: USUAL_PATCH_METRES }] },
  };
}

function readPedals(
  value: unknown,
  problems: BuildProblem[],
  bundled: BundledCircuits,
): readonly ChainPedal[] {
  if (!Array.isArray(value) || value.length < 1 || value.length > MOST_PEDALS) {
    problems.push({
      code: 'wrong-shape',
      path: 'pedals',
      message: `"pedals" is ${shownValue(value)}; it should be a list of 1 to ${MOST_PEDALS} pedals.`,
    });
    return [];
  }
  return value.flatMap((pedal: unknown, index) => readPedal(pedal, index, problems, bundled) ?? []);
}

function readPedal(
  value: unknown,
  index: number,
  problems: BuildProblem[],
  bundled: BundledCircuits,
): ChainPedal | undefined {
  const path = `pedals.${index}`;
  const place = `Pedal ${index + 1}`;
  if (!isRecord(value)) {
    const message = `${place} is ${shownValue(value)}; it should be an object.`;
    problems.push({ code: 'wrong-shape', path, message });
    return undefined;
  }
  problems.push(...unknownKeys(value, PEDAL_KEYS, `${path}.`));
  const { isOn = true, cableMetres = USUAL_PATCH_METRES } = value;
  if (typeof isOn !== 'boolean') {
    const message = `${place}: isOn is ${shownValue(isOn)}; it should be true or false.`;
    problems.push({ code: 'wrong-shape', path: `${path}.isOn`, message });
  }
  if (!(typeof cableMetres === 'number' && cableMetres >= 0 && cableMetres <= LONGEST_CABLE_METRES)) {
    const message = `${place}: cableMetres is ${shownValue(cableMetres)}; it should be a number from 0 to ${LONGEST_CABLE_METRES}.`;
    problems.push({ code: 'wrong-shape', path: `${path}.cableMetres`, message });
  }
  const build = readBuild(value['build'], { path, place }, problems, bundled);
  return build && { build, isOn: isOn === true, cableMetres: Number(cableMetres) };
}

function readBuild(
  value: unknown,
  { path, place }: { readonly path: string; readonly place: string },
  problems: BuildProblem[],
  bundled: BundledCircuits,
): Build | undefined {
  try {
    return parseBuildFile(JSON.stringify(value ?? null), bundled);
  } catch (error) {
    if (!(error instanceof BuildError)) throw error;
    const inChain = (problem: BuildProblem) => ({
      ...problem,
      path: [path, 'build', problem.path].filter((part) => part !== '').join('.'),
      message: `${place}: ${problem.message}`,
    });
    problems.push(...error.problems.map(inChain));
    return undefined;
  }
}

function refusal(code: BuildProblem['code'], path: string, message: string): BuildError {
  return new BuildError([{ code, path, message }]);
}
