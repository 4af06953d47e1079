import { networkOfChain } from '../../engine/builds/chain.ts';
import { readChain } from '../../engine/cli/chain-options.ts';
import { CliError } from '../../engine/cli/cli-error.ts';
import { parseOptions, temperatureOf } from '../../engine/cli/options.ts';
import { hasNetlistSolver } from './netlist-solver.ts';
import { referenceAnswer, solverErrorDb } from './solver-trial.ts';
import { DENSE_FACTOR, inputText, type TrialInput } from './trial-input.ts';

/*
 *   npm run solver-error -- --build clean-plain --set D1=1N5817 --set R6=bridged --knob gain=1 --hz 1000 --peak 2
 *
 * prints the solver's error in decibels at 8x, 16x and offline, relative to the reference, which gets only the netlist
 * and states its own error. The build is given as on the command line (--build, --then, --set, --knob, --switch,
 * --temperature). The input is a sine of --hz and --peak for --seconds (0.2); --signal burst, plucked or recording is
 * another one, for which --hz is the second at which the recording starts. --oversample N gives that factor alone.
 * The error is relative to the larger of the output's RMS and 1 mV, behind the same low-pass at 19 kHz, so that it is
 * only the solver's: it contains no resampling filter. Needs a C compiler, `cc`.
 */
const FACTORS = [8, 16, DENSE_FACTOR];

export function printSolverError(args: readonly string[]): number {
  if (!hasNetlistSolver()) {
    process.stderr.write('There is no reference here: it is compiled by cc, which is missing.\n');
    return 2;
  }
  try {
    const { own, rest } = parted(args, ['signal', 'seconds', 'oversample']);
    const options = parseOptions('sine', rest);
    const network = networkOfChain(readChain(options), temperatureOf(options));
    const input: TrialInput = {
      kind: (own.get('signal') ?? 'sine') as TrialInput['kind'],
      place: Number(options.hz ?? 1000),
      peakV: Number(options.peak ?? 0.5),
      seconds: Number(own.get('seconds') ?? 0.2),
    };
    const started = performance.now();
    const answer = referenceAnswer(network, input);
    const seconds = ((performance.now() - started) / 1000).toFixed(1);
    process.stdout.write(
      `${inputText(input)}; reference: own error ${answer.ownErrorDb.toFixed(1)} dB, ${seconds} s` +
        `${answer.isUnstable ? ', an unstable circuit' : ''}; rest apart by ${answer.restV.toExponential(1)} V\n`,
    );
    const oversample = own.get('oversample');
    for (const factor of oversample === undefined ? FACTORS : [Number(oversample)]) {
      const { errorDb, failures } = solverErrorDb(network, input, factor, answer);
      const trouble = failures > 0 ? `  ${failures} samples not solved` : '';
      process.stdout.write(`${String(factor).padStart(4)}x ${errorDb.toFixed(1)} dB${trouble}\n`);
    }
    return 0;
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : error}\n`);
    return error instanceof CliError ? 2 : 1;
  }
}

/** Options of this script, and the remaining ones, which the command line reads. */
function parted(args: readonly string[], names: readonly string[]) {
  const own = new Map<string, string>();
  const rest: string[] = [];
  for (let k = 0; k < args.length; k++) {
    const name = names.find((candidate) => args[k] === `--${candidate}`);
    if (name === undefined) rest.push(args[k]!);
    else own.set(name, args[++k] ?? '');
  }
  return { own, rest };
}
