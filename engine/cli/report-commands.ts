import { FrequencyResponse, logarithmicFrequencies } from '../analysis/frequency-response.ts';
import { MOST_FREQUENCIES } from '../input/limits.ts';
import { netlistOf } from '../network/netlist.ts';
import { pruneNetwork } from '../network/prune.ts';
import { netOf, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { numberIn, type Options } from './options.ts';
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
