import { basename } from 'node:path';
import { meterReadings } from '../analysis/meter-readings.ts';
import type { Build } from '../builds/build.ts';
import { type Chain, chainWith, LONE, networkOfChain } from '../builds/chain.ts';
import { withStiffSupplies } from '../builds/supply-conditions.ts';
import { USUAL_METER_OHMS } from '../parts/battery-measurement.ts';
import { benchSheet } from '../sheet/bench-sheet.ts';
import { type SheetSource, sheetData } from '../sheet/sheet-data.ts';
import type { SheetReadings } from '../sheet/voltage-data.ts';
import { chainFiles, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { type Options, temperatureOf } from './options.ts';
import { printJson } from './output.ts';
import { checkOutputs, writeOutput } from './output-file.ts';
import { presetFile } from './preset-files.ts';
import { meterOf, readingsOf } from './reading-options.ts';

/** Writes the bench sheet of a build or a chain, or prints what it says. */
export function sheetCommand(options: Options): void {
  const chain = readChain(options);
  const source: SheetSource = {
    chain,
    readings: readingsOfPedals(options, chain),
    temperatureK: temperatureOf(options),
    date: new Date().toLocaleDateString('en-CA'),
    fileName: filesOf(options),
  };
  const { out, json } = options;
  if (out === undefined && !json)
    throw new CliError('--out is missing: give an HTML file to write, or --json.');
  if (out !== undefined) checkOutputs(chainFiles(options), { out });
  const data = sheetData(source);
  if (out !== undefined) writeOutput('out', out, benchSheet(source, data));
  if (json) printJson(data);
}

/** Of each pedal; in a chain a net has the number of its pedal, 2:bias. @throws CliError. */
function readingsOfPedals(options: Options, { pedals }: Chain): readonly SheetReadings[] {
  const meterOhms = meterOf(options) ?? USUAL_METER_OHMS;
  if (options.readings === undefined) return pedals.map(() => ({ meterOhms, typed: new Map() }));
  const nets = pedals.map(({ build }, index) =>
    netsOnSheet(build, temperatureOf(options)).map((net) => ({
      net,
      name: pedals.length === 1 ? net : `${index + 1}:${net}`,
    })),
  );
  const read = readingsOf(
    options.readings,
    nets.flat().map(({ name }) => name),
  );
  return nets.map((own) => ({
    meterOhms,
    typed: new Map(own.flatMap(({ net, name }) => (read.has(name) ? [[net, read.get(name)!]] : []))),
  }));
}

/** Nets of a pedal alone that have a row in the table of voltages. */
function netsOnSheet(build: Build, temperatureK: number): readonly string[] {
  const network = networkOfChain(withStiffSupplies(chainWith(build, LONE)), temperatureK);
  return meterReadings(network, Number.POSITIVE_INFINITY).map(({ net }) => net);
}

/** The files that were read, and the options that make the build another one than theirs. */
function filesOf({ build = '', then = [], set = [], switch: thrown = [], knob = [] }: Options): string {
  const files = [build, ...then].map((name) => presetFile(name) ?? basename(name));
  const changes = [...set, ...thrown, ...knob];
  return `${files.join(', ')}${changes.length === 0 ? '' : `, with ${changes.join(', ')}`}`;
}
