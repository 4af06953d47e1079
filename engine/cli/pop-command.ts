import { type Pop, type Pops, popSurroundingsText, popsOf, popText } from '../analysis/pop.ts';
import type { Build } from '../builds/build.ts';
import { pedalPrefix, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { type Options, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { aroundPedal, surroundingsOf } from './surroundings.ts';

const SAMPLE_RATE_HZ = 48_000;

/** What each footswitch of a chain does at its output while nothing is played. */
export function popCommand(options: Options): void {
  const chain = readChain(options);
  const temperatureK = temperatureOf(options);
  const found = chain.pedals.map(({ build }, position) => {
    const around = aroundPedal(options, chain, position);
    return {
      build,
      position,
      pops: popsOf(build, { ...around, temperatureK, sampleRateHz: SAMPLE_RATE_HZ }),
    };
  });
  if (found.every(({ pops }) => !pops)) throw new CliError(withoutFootswitch(found[0]!.build));
  if (options.json) {
    const reports = found.map(({ pops }) => pops && reportOf(pops));
    printJson(reports.length === 1 ? reports[0] : { pedals: reports.map((report) => report ?? null) });
    return;
  }
  for (const { build, position, pops } of found) {
    const prefix = pedalPrefix(chain, position);
    if (!pops) process.stdout.write(`${prefix}${withoutFootswitch(build)}\n`);
    else
      printTable([
        [`${prefix}effect on`, popText(pops.on)],
        [`${prefix}bypassed`, popText(pops.bypassed)],
      ]);
  }
  process.stdout.write(`\n${popSurroundingsText(surroundingsOf(options))}\n`);
  process.stdout.write('Capacitors leak as much as their data sheets allow, lugs as 100 MΩ (estimate).\n');
}

function withoutFootswitch({ circuit }: Build): string {
  return `${circuit.title}, revision ${circuit.revision}, has no footswitch among its parts.`;
}

function reportOf({ on, bypassed }: Pops) {
  const data = ({ peakV, seconds }: Pop) => ({ peakV, seconds: Number.isFinite(seconds) ? seconds : null });
  return { on: data(on), bypassed: data(bypassed) };
}
