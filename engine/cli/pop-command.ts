import { type Pop, type Pops, popSurroundingsText, popsOf, popText } from '../analysis/pop.ts';
import { CliError } from './cli-error.ts';
import { type Options, readBuild, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { surroundingsOf } from './surroundings.ts';

const SAMPLE_RATE_HZ = 48_000;

/** What the footswitch of a build does at the output while nothing is played. */
export function popCommand(options: Options): void {
  const build = readBuild(options);
  const temperatureK = temperatureOf(options);
  const around = surroundingsOf(options);
  const pops = popsOf(build, { ...around, temperatureK, sampleRateHz: SAMPLE_RATE_HZ });
  if (!pops)
    throw new CliError(
      `${build.circuit.title}, revision ${build.circuit.revision}, has no footswitch among its parts.`,
    );
  if (options.json) printJson(reportOf(pops));
  else {
    printTable([
      ['effect on', popText(pops.on)],
      ['bypassed', popText(pops.bypassed)],
    ]);
    process.stdout.write(`\n${popSurroundingsText(around)}\n`);
    process.stdout.write('Capacitors leak as much as their data sheets allow, lugs as 100 MΩ (estimate).\n');
  }
}

function reportOf({ on, bypassed }: Pops) {
  const data = ({ peakV, seconds }: Pop) => ({ peakV, seconds: Number.isFinite(seconds) ? seconds : null });
  return { on: data(on), bypassed: data(bypassed) };
}
