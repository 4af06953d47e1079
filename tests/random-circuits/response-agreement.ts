import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { netlistOf } from '../../engine/network/netlist.ts';
import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import type { RandomTrial } from '../random-builds/random-trial.ts';

const SCRIPT = fileURLToPath(new URL('./responses.py', import.meta.url));
const FREQUENCIES_HZ = [20, 100, 500, 1000, 3000, 10_000, 20_000];
/** Gains below this, of 1, are compared with this. */
const LEAST_GAIN = 1e-6;

/** How far the engine and the netlist solver in SciPy agree on one circuit without a signal and with a small one. */
export interface Agreement {
  readonly seed: number;
  /** Largest difference of a net at rest, V. */
  readonly restV: number;
  /** Largest difference of a gain from input to output, relative to the gain. */
  readonly gain: number;
}

interface Solved {
  readonly why?: string;
  readonly restV: Readonly<Record<string, number>>;
  readonly gains: readonly (readonly [re: number, im: number])[];
}

/** Of trials that the engine plays; those without an operating point in SciPy are left out. Undefined without SciPy. */
export function agreements(trials: readonly RandomTrial[]): readonly Agreement[] | undefined {
  const networks = trials.map(({ build, temperatureC }) =>
    pruneNetwork(networkOf(build, kelvinOf(temperatureC))),
  );
  const solved = solveAll(trials, networks);
  return (
    solved &&
    trials.flatMap(({ seed }, index) => {
      const reference = solved[seed]!;
      return reference.why === undefined ? [agreementOf(seed, networks[index]!, reference)] : [];
    })
  );
}

function agreementOf(seed: number, network: Network, { restV, gains }: Solved): Agreement {
  const { volts } = operatingPoint(network);
  const differences = Object.entries(restV).map(([net, own]) => Math.abs(own - (volts.get(net) ?? own)));
  const response = new FrequencyResponse(network);
  const gain = FREQUENCIES_HZ.map((hz, index) => {
    const { decibels, phaseDegrees } = response.at(hz, network.output);
    const [size, phase] = [10 ** (decibels / 20), (phaseDegrees * Math.PI) / 180];
    const [re, im] = gains[index]!;
    const off = Math.hypot(size * Math.cos(phase) - re, size * Math.sin(phase) - im);
    return off / Math.max(LEAST_GAIN, Math.hypot(re, im));
  });
  return { seed, restV: Math.max(...differences), gain: Math.max(...gain) };
}

function solveAll(
  trials: readonly RandomTrial[],
  networks: readonly Network[],
): Readonly<Record<number, Solved>> | undefined {
  const folder = mkdtempSync(join(tmpdir(), 'cliplead-responses-'));
  try {
    const [asked, answered] = [join(folder, 'asked.json'), join(folder, 'answered.json')];
    const netlists = Object.fromEntries(trials.map(({ seed }, index) => [seed, netlistOf(networks[index]!)]));
    writeFileSync(asked, JSON.stringify({ hz: FREQUENCIES_HZ, netlists }));
    const { status } = spawnSync('python3', [SCRIPT, asked, answered], { stdio: 'ignore' });
    return status === 0 ? JSON.parse(readFileSync(answered, 'utf8')) : undefined;
  } finally {
    rmSync(folder, { recursive: true });
  }
}
