import { type RandomScript, runRandomBuilds } from '../random-builds/random-builds.ts';
import type { TrialOutcome } from '../random-builds/random-trial.ts';
import { randomCircuitTrial } from './random-circuit.ts';
import { agreements } from './response-agreement.ts';

/** Above these, differences at rest (V) and of the gain (relative) are printed. */
const [REST_V, GAIN] = [1e-6, 1e-6];

const SCRIPT: RandomScript = { script: 'random-circuits', trialOf: randomCircuitTrial, more: agreementText };

/**
 * Circuits drawn from stages and parts: they must play, or be refused with a reason. With --errors they play a plucked string,
 * and are compared with the netlist solver; rest state and response are compared with that in SciPy. Options as of
 * random-builds.
 */
export function runRandomCircuits(args: readonly string[]): number {
  return runRandomBuilds(args, SCRIPT);
}

function agreementText(outcomes: readonly TrialOutcome[]): string {
  const measured = outcomes.filter(({ kind }) => kind === 'measured');
  const agreed = agreements(measured.map(({ seed }) => randomCircuitTrial(seed)));
  if (!agreed) return 'Rest state and response: not compared (no python3 with SciPy found)';
  const far = agreed.filter(({ restV, gain }) => restV > REST_V || !(gain <= GAIN));
  const lines = far.map(
    ({ seed, restV, gain }) =>
      `  seed ${seed}: ${restV.toExponential(1)} V at rest, ${gain.toExponential(1)} of the gain`,
  );
  return [
    `Rest state and response of ${agreed.length} circuits: ${far.length} differ by more than ${REST_V} V or ${GAIN} of the gain`,
    ...lines,
  ].join('\n');
}
