import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';

/** The result for a build. `steps` are samples in which Newton's iteration did not converge. */
export type Outcome =
  | { readonly kind: 'played'; readonly steps: number; readonly samples: number }
  | { readonly kind: 'refused'; readonly message: string }
  | { readonly kind: 'failed'; readonly why: string };

export interface TrialOptions {
  readonly sampleRateHz: number;
  readonly seconds: number;
}

/** With a supply of 36 V, doubled, and with a coil's kick, no voltage can be farther from ground than this, V. */
const RUNAWAY_V = 1000;
/** A build that takes longer than this hangs the bench; it is a thousand times the usual time on a busy machine. */
const HANGING_SECONDS = 60;
/** Fraction of the samples. Above it the solver has failed; below it, it only has difficulty at corners. */
const LOST_SHARE = 0.01;

/**
 * Sends a build through the same steps as the screen: written to its file, read back, made a network, compiled, and
 * played at several volts, with the pedal on and off.
 */
export function tryBuild(build: Build, options: TrialOptions): Outcome {
  const started = performance.now();
  const outcome = playBuild(build, options);
  const seconds = (performance.now() - started) / 1000;
  if (seconds > HANGING_SECONDS) return { kind: 'failed', why: `took ${seconds.toFixed(0)} s` };
  return outcome;
}

function playBuild(build: Build, options: TrialOptions): Outcome {
  try {
    const read = parseBuildFile(serialiseBuild(build));
    if (serialiseBuild(read) !== serialiseBuild(build))
      return failed('its build file reads back differently');
    const on = playNetwork(networkOf(read, NOMINAL_TEMPERATURE_K), options);
    if (on.kind !== 'played') return on;
    const off = playNetwork(bypassedNetworkOf(read, NOMINAL_TEMPERATURE_K), {
      ...options,
      seconds: options.seconds / 10,
    });
    return off.kind === 'failed' ? failed(`switched off: ${off.why}`) : on;
  } catch (error) {
    return error instanceof Refusal
      ? refused(error)
      : failed(error instanceof Error ? `${error.stack}` : `${error}`);
  }
}

function playNetwork(network: Network, { sampleRateHz, seconds }: TrialOptions): Outcome {
  const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz }));
  const input = hotInput(sampleRateHz, seconds);
  const output = new Float64Array(input.length);
  simulator.process(input, output, input.length);
  const samples = output.length;
  if (!output.every(Number.isFinite)) return failed('a sample is not finite');
  if (simulator.resets > 0) return failed(`put at rest ${simulator.resets} times`);
  const most = output.reduce((peak, volts) => Math.max(peak, Math.abs(volts)), 0);
  if (most > RUNAWAY_V) return failed(`${most.toExponential(1)} V at the output`);
  const steps = simulator.failures;
  if (steps > LOST_SHARE * samples) return failed(`${steps} of ${samples} samples did not converge`);
  return { kind: 'played', steps, samples };
}

/** A sweep from 60 Hz to 6 kHz at 3 V over a low tone, then silence: louder than any instrument. */
function hotInput(sampleRateHz: number, seconds: number): Float64Array {
  const length = Math.round(sampleRateHz * seconds);
  return Float64Array.from({ length }, (_, n) => {
    const t = n / sampleRateHz;
    if (t > 0.8 * seconds) return 0;
    const octaves = Math.log(100) / seconds;
    const phase = (2 * Math.PI * 60 * Math.expm1(octaves * t)) / octaves;
    return 3 * Math.sin(phase) + Math.sin(2 * Math.PI * 83 * t);
  });
}

/** A refusal is a sentence that names its subject: a part or net of the build, or the supply. */
function refused({ message }: Error): Outcome {
  if (!/^\S.{20,}\.$/s.test(message)) return failed(`refused without a sentence: "${message}"`);
  return { kind: 'refused', message };
}

function failed(why: string): Outcome {
  return { kind: 'failed', why };
}
