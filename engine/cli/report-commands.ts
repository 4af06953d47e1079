import { buildWarnings } from '../analysis/build-warnings.ts';
import { FrequencyResponse, logarithmicFrequencies } from '../analysis/frequency-response.ts';
import { voltageChart } from '../analysis/voltage-chart.ts';
import { type Chain, networkOfChain } from '../builds/chain.ts';
import { MOST_FREQUENCIES } from '../input/limits.ts';
import { netlistOf } from '../network/netlist.ts';
import { pruneNetwork } from '../network/prune.ts';
import { netOf, pedalPrefix, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { numberIn, type Options, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { networkAround } from './surroundings.ts';

/** Default frequencies: ten a decade from 20 Hz to 20 kHz. */
const DEFAULT_FREQUENCIES = logarithmicFrequencies(20, 20_000, 31);

/** Small-signal magnitude and phase from the input to the output or any net. */
export function responseCommand(options: Options): void {
  const chain = readChain(options);
  const network = networkAround(options, chain);
  const response = new FrequencyResponse(network);
  const net = netOf(options, chain, network);
  const points = frequenciesOf(options).map((hz) => response.at(hz, net));
  if (options.json) printJson({ net, points });
  else {
    printTable([
      ['Hz', 'dB', 'degrees'],
      ...points.map(({ hz, decibels, phaseDegrees }) => [
        hz.toFixed(1),
        decibels.toFixed(3),
        phaseDegrees.toFixed(2),
      ]),
    ]);
  }
}

function frequenciesOf({ frequencies }: Options): readonly number[] {
  if (frequencies === undefined) return DEFAULT_FREQUENCIES;
  const texts = frequencies.split(',');
  if (texts.length > MOST_FREQUENCIES)
    throw new CliError(`--frequencies: ${texts.length} are too many; ${MOST_FREQUENCIES} are the most.`);
  return texts.map((text) => numberIn('frequencies', text));
}

/** A node behind the resistance of a part, "Q1 base", which no meter reaches; names of nets have small letters. */
const INSIDE_A_PART = /(^|:)[A-Z]+[0-9]+[A-Z]? /;

/**
 * DC of every net, and the current of each supply. A pedal off with true bypass keeps its power: its volts are those with the
 * effect on, since its footswitch cuts the signal and not the supply.
 */
export function voltagesCommand(options: Options): void {
  const given = readChain(options);
  const cutOff = given.pedals.flatMap(({ isOn, build }, position) =>
    isOn || build.bypass !== 'true' ? [] : [position],
  );
  const chain = poweredChain(given, cutOff);
  const temperatureK = temperatureOf(options);
  const { nets, supplies } = voltageChart(networkOfChain(chain, temperatureK));
  const chart = { nets: nets.filter(({ net }) => !INSIDE_A_PART.test(net)), supplies };
  const warnings = chain.pedals.flatMap(({ build }, position) =>
    buildWarnings(build, temperatureK).map(({ message, ...warning }) => ({
      ...warning,
      message: `${pedalPrefix(chain, position)}${message}`,
    })),
  );
  if (options.json) {
    printJson({ ...chart, off: cutOff.map((position) => position + 1), warnings });
    return;
  }
  printTable([
    ...chart.nets.map(({ net, volts }) => [net, `${withoutMinusZero(volts.toFixed(3))} V`]),
    ...chart.supplies.map(({ ref, amps }) => [`current of ${ref}`, `${(1000 * amps).toFixed(3)} mA`]),
  ]);
  for (const position of cutOff) process.stdout.write(`${cutOffText(chain, position)}\n`);
  for (const { message } of warnings) process.stdout.write(`Warning: ${message}\n`);
}

function poweredChain({ pedals }: Chain, cutOff: readonly number[]): Chain {
  return {
    pedals: pedals.map((pedal, position) => (cutOff.includes(position) ? { ...pedal, isOn: true } : pedal)),
  };
}

function cutOffText({ pedals }: Chain, position: number): string {
  const pedal = pedals.length === 1 ? 'The pedal' : `Pedal ${position + 1}`;
  return `${pedal} is off, but still powered: these are its volts with the effect on.`;
}

/** The network that the solver gets. */
export function netlistCommand(options: Options): void {
  const netlist = netlistOf(pruneNetwork(networkAround(options, readChain(options))));
  if (options.json) {
    printJson(netlist);
    return;
  }
  printTable(
    netlist.parts.map(({ ref, origin: _, kind, nodes, ...numbers }) => [
      ref,
      kind,
      nodes.join(', '),
      Object.entries(numbers)
        .map(([key, value]) => `${key} ${value}`)
        .join(', '),
    ]),
  );
}

function withoutMinusZero(text: string): string {
  return /^-0\.?0*$/.test(text) ? text.slice(1) : text;
}
