import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Netlist } from '../../engine/network/netlist.ts';

/*
 * The reference for any circuit: `netlist-solver/` in C, which gets only a netlist and writes its
 * equations anew. Radau IIA of fifth order with sparse factorisations chooses its own steps; with two tolerances
 * it states its own error. The machine's `cc` compiles it at its first use; it is kept in the folder for
 * temporary files. Without a compiler, `hasNetlistSolver` is false and whatever needs it says so.
 */

const SOURCES = fileURLToPath(new URL('./netlist-solver', import.meta.url));
const FLAGS = ['-std=c99', '-O3', '-march=native', '-Wall', '-Wextra'];
/** Tolerances of a step. The result is that of the second run; its difference to the first run bounds its error. */
const TOLERANCES = [
  { relative: 1e-6, absoluteV: 1e-9 },
  { relative: 1e-7, absoluteV: 1e-10 },
  { relative: 1e-8, absoluteV: 1e-11 },
  { relative: 1e-9, absoluteV: 1e-12 },
] as const;
const MOST_OUTPUT_BYTES = 2 ** 30;
/** Longer than any circuit needs, except one that oscillates at megahertz, ms. */
const LONGEST_MS = 120_000;

export interface ReferenceInput {
  /** Volts at `rateHz`, far above twice their highest frequency, from t = 0. */
  readonly samplesV: Float64Array;
  readonly rateHz: number;
  /** Sample rate of the output, and the number of its samples, the first at t = 0. */
  readonly outputRateHz: number;
  readonly count: number;
  /** Each sample is the mean over its length, so that an edge far shorter than a sample does not alias. */
  readonly areMeans?: boolean;
}

export interface ReferenceRun {
  /** Volts of each requested net. */
  readonly nets: readonly Float64Array[];
  readonly steps: number;
}

/** The solver failed with this circuit: there is no operating point, or a time at which no step succeeds. */
export class ReferenceFailure extends Error {}

export function hasNetlistSolver(): boolean {
  return spawnSync('cc', ['--version'], { stdio: 'ignore' }).status === 0;
}

/** One netlist with its files for the solver, until `close`. */
export class NetlistSolver {
  readonly #folder = mkdtempSync(join(tmpdir(), 'cliplead-netlist-'));
  readonly #program = compiledSolver();

  constructor(netlist: Netlist) {
    writeFileSync(this.#file('netlist.json'), JSON.stringify(netlist));
  }

  /** Volts of every net at rest, by name. @param near Volts near which the search begins. @throws ReferenceFailure. */
  rest(near?: Readonly<Record<string, number>>): Readonly<Record<string, number>> {
    return JSON.parse(this.#run(['rest', ...this.#near(near)]).stdout.toString('utf8'));
  }

  /**
   * @param level Index of the tolerance, from 0; each is a tenth of the one before.
   * @param nets Names of nets; none for the output. @throws ReferenceFailure.
   */
  run(
    { samplesV, rateHz, outputRateHz, count, areMeans = false }: ReferenceInput,
    level: number,
    {
      nets = [],
      near,
    }: { nets?: readonly string[]; near?: Readonly<Record<string, number>> | undefined } = {},
  ): ReferenceRun {
    writeFileSync(this.#file('signal'), samplesV);
    const { relative, absoluteV } = TOLERANCES[level]!;
    const words = [this.#file('signal'), rateHz, outputRateHz, count, relative, absoluteV, nets.join(',')];
    const { stdout, stderr } = this.#run([
      areMeans ? 'means' : 'run',
      ...words.map(String),
      ...this.#near(near),
    ]);
    const all = new Float64Array(
      stdout.buffer.slice(stdout.byteOffset, stdout.byteOffset + stdout.byteLength),
    );
    const width = Math.max(1, nets.length);
    return {
      nets: Array.from({ length: width }, (_, net) =>
        Float64Array.from({ length: count }, (_, sample) => all[sample * width + net]!),
      ),
      steps: (JSON.parse(stderr) as { steps: number }).steps,
    };
  }

  close(): void {
    rmSync(this.#folder, { recursive: true });
  }

  #file(name: string): string {
    return join(this.#folder, name);
  }

  #near(near: Readonly<Record<string, number>> | undefined): string[] {
    if (!near) return [];
    writeFileSync(this.#file('near.json'), JSON.stringify(near));
    return [this.#file('near.json')];
  }

  #run(words: readonly string[]): { stdout: Buffer; stderr: string } {
    const result = spawnSync(this.#program, [this.#file('netlist.json'), ...words], {
      maxBuffer: MOST_OUTPUT_BYTES,
      timeout: LONGEST_MS,
    });
    const stderr = result.stderr?.toString('utf8') ?? '';
    if (result.status !== 0) throw new ReferenceFailure(stderr.trim() || `${result.error ?? result.signal}`);
    return { stdout: result.stdout, stderr };
  }
}

/** Path of the program, which is compiled first if necessary. */
function compiledSolver(): string {
  const sources = readdirSync(SOURCES).sort();
  const hash = createHash('sha256').update(FLAGS.join(' '));
  for (const name of sources) hash.update(readFileSync(join(SOURCES, name)));
  const folder = join(tmpdir(), 'cliplead-netlist-solver');
  const program = join(folder, hash.digest('hex').slice(0, 16));
  if (existsSync(program)) return program;
  mkdirSync(folder, { recursive: true });
  const made = `${program}-${process.pid}`;
  const files = sources.filter((name) => name.endsWith('.c')).map((name) => join(SOURCES, name));
  execFileSync('cc', [...FLAGS, '-o', made, ...files, '-lm']);
  renameSync(made, program);
  return program;
}
