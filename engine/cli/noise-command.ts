import {
  buildNoise,
  loudestSource,
  NOISE_INPUTS,
  type NoiseInput,
  noiseInputText,
} from '../analysis/build-noise.ts';
import type { Noise, NoiseContribution, NoisePoint } from '../analysis/noise.ts';
import { voltsToDbu } from '../units/decibels.ts';
import { readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { named, type Options, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { aroundPedal, offText } from './surroundings.ts';

/** The table on the terminal shows every tenth of a decade's points, and so many sources. */
const POINTS_PER_ROW = 10;
const SOURCES_SHOWN = 10;

/** Noise of a chain at its output: density, totals, and what causes it. */
export function noiseCommand(options: Options): void {
  const input = noiseInputOf(options);
  const chain = readChain(options);
  const around = aroundPedal(options, chain, 0);
  if (input === 'shorted' && around.instrument)
    throw new CliError('--source shorted has no guitar at the input: leave out --pickup or --source.');
  const inputText = `${noiseInputText(input, around)}${offText(chain)}`;
  const noise = buildNoise(chain.pedals[0]!.build, {
    input,
    temperatureK: temperatureOf(options),
    isBypassed: false,
    around,
  });
  if (options.json) printJson(reportOf(noise, input, inputText));
  else printReport(noise, inputText);
}

/** The input that --source names; a pickup by default. @throws CliError. */
export function noiseInputOf({ source = 'pickup' }: Options): NoiseInput {
  const input = NOISE_INPUTS.find((candidate) => candidate === source);
  if (input === undefined)
    throw new CliError(`--source ${named(source)} is none of ${NOISE_INPUTS.join(', ')}.`);
  return input;
}

function reportOf(noise: Noise, input: NoiseInput, inputText: string) {
  const { outputV, weightedV, inputV, weightedInputV, contributions, points, unknown } = noise;
  const level = (volts: number) => ({ microvolts: 1e6 * volts, dbu: voltsToDbu(volts) });
  return {
    source: input,
    surroundings: inputText,
    output: level(outputV),
    outputAWeighted: level(weightedV),
    inputReferred: level(inputV),
    inputReferredAWeighted: level(weightedInputV),
    loudestSource: loudestSource(noise),
    contributions: contributions.map(({ part, kind, share, gainDb, ...volts }) => ({
      part,
      kind,
      share,
      gainDb,
      output: level(volts.outputV),
      outputAWeighted: level(volts.weightedV),
    })),
    points,
    unknown,
  };
}

function printReport(noise: Noise, inputText: string): void {
  process.stdout.write(`Hiss at rest, 20 Hz to 20 kHz, with ${inputText}\n\n`);
  const row = (name: string, plainV: number, weightedV: number) => [
    name,
    `${(1e6 * plainV).toFixed(2)} µV`,
    `${dbuText(plainV)} dBu`,
    `${dbuText(weightedV)} dBu A-weighted`,
  ];
  printTable([
    row('at the output', noise.outputV, noise.weightedV),
    row('referred to the input', noise.inputV, noise.weightedInputV),
  ]);
  process.stdout.write(`\n${loudestSource(noise)}\n\n`);
  printTable([
    ['part', 'source', 'share', 'dBu A-weighted', 'dB of gain'],
    ...noise.contributions.slice(0, SOURCES_SHOWN).map(contributionRow),
  ]);
  process.stdout.write('\n');
  printTable([
    ['Hz', 'nV/rtHz at the output', 'nV/rtHz at the input'],
    ...noise.points.filter((_, index) => index % POINTS_PER_ROW === 0).map(pointRow),
  ]);
  for (const ref of noise.unknown)
    process.stdout.write(`The noise of ${ref} is not known: it counts as silent.\n`);
}

function contributionRow({ part, kind, share, weightedV, gainDb }: NoiseContribution): string[] {
  return [
    part,
    kind,
    `${(100 * share).toFixed(1)} %`,
    dbuText(weightedV),
    gainDb === undefined ? '' : levelText(gainDb),
  ];
}

function pointRow({ hz, outputVPerRtHz, inputVPerRtHz }: NoisePoint): string[] {
  return [hz.toFixed(1), (1e9 * outputVPerRtHz).toFixed(2), (1e9 * inputVPerRtHz).toFixed(2)];
}

function dbuText(volts: number): string {
  return levelText(voltsToDbu(volts));
}

/** Nothing at all has no level. */
function levelText(decibels: number): string {
  return Number.isFinite(decibels) ? decibels.toFixed(1) : '–';
}
