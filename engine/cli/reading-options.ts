import { METER_OHMS } from '../input/limits.ts';
import { parseValue } from '../units/value-code.ts';
import { CliError } from './cli-error.ts';
import { named, numberIn, type Options } from './options.ts';

/**
 * The texts of --readings, by net.
 *
 * @param nets Those that can be read. @throws CliError that names the entry.
 */
export function readingsOf(text: string, nets: readonly string[]): ReadonlyMap<string, string> {
  const readings = new Map<string, string>();
  // A comma between two digits is a decimal one.
  for (const entry of text.split(/,(?!\d)/)) {
    const [net = '', volts, ...more] = entry.split('=').map((each) => each.trim());
    if (volts === undefined || more.length > 0)
      throw new CliError(`--readings ${named(entry)} is not NET=VOLTS, such as bias=4.5.`);
    if (!nets.includes(net))
      throw new CliError(
        `--readings ${named(entry)}: there is no net ${named(net)}; there are ${nets.join(', ')}.`,
      );
    if (readings.has(net)) throw new CliError(`--readings has ${named(net)} twice.`);
    voltsOf(volts);
    readings.set(net, volts);
  }
  return readings;
}

/** A text of --readings in volts. @throws CliError for one that is none. */
export function voltsOf(text: string): number {
  return numberIn('readings', text.replace(',', '.'));
}

/** Input resistance of the meter, ohms; undefined where none is given. @throws CliError. */
export function meterOf({ meter }: Options): number | undefined {
  if (meter === undefined) return undefined;
  const ohms = ohmsOf(meter);
  if (!(ohms >= METER_OHMS.least && ohms <= METER_OHMS.most))
    throw new CliError(`--meter ${named(meter)} is not a resistance from 1k to 1000G, such as 10M.`);
  return ohms;
}

function ohmsOf(text: string): number {
  try {
    return parseValue(text, 'ohms');
  } catch {
    return Number.NaN;
  }
}
