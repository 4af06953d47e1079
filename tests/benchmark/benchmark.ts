import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { chromium } from 'playwright-core';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames, presetText } from '../../engine/cli/preset-files.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import { CHROMIUM_FLAGS, installedChromium } from '../chromium.mjs';
import { presetBuild } from '../preset-build.ts';
import { errorTable, measureRandomErrors } from '../random-builds/random-errors.ts';
import { type Aliasing, aliasingOf, aliasingPlot } from './aliasing.ts';
import { hasCompiler, ratioToC } from './c-baseline.ts';
import { CHAIN_CASES, chainCosts } from './chain-benchmark.ts';
import { chainsLive } from './chain-live.ts';
import { denseGrowth, rowGrowth } from './growth-benchmark.ts';
import { measureHeap } from './heap-benchmark.ts';
import { runLive } from './live-run.ts';
import { oversampled, recordingInput } from './recording-input.ts';
import { referenceErrors, type SolverError } from './reference-errors.ts';
import { runningCosts, turningShare } from './running-benchmark.ts';
import { type BuildTiming, SAMPLE_RATE_HZ, timeBuild } from './solver-benchmark.ts';
import { type SpreadCost, spreadCost } from './spread-benchmark.ts';
import { spreadsLive } from './spread-live.ts';
import { traceSwaps } from './swap-trace.ts';
import {
  printAliasing,
  printBuilds,
  printChains,
  printChainsLive,
  printGrowth,
  printReference,
  printRunning,
  printSpreads,
  printSwaps,
  printVariants,
} from './tables.ts';
import { variantCost } from './variant-benchmark.ts';

/** A build's timing in node; the ratio is null where no C compiler is installed. */
export interface BuildFigures extends BuildTiming {
  readonly ratioToC: number | null;
}

/** What `--json` prints. */
interface BenchmarkData {
  readonly builds: readonly BuildFigures[];
  readonly aliasing: readonly Aliasing[];
  readonly reference: readonly SolverError[];
}

/**
 * The size of the benchmark: how many presets, how many seconds of the recording, and how many seconds for the heap.
 */
interface Size {
  readonly presets: number;
  readonly seconds: number;
  readonly chainSeconds: number;
  readonly factors: readonly (8 | 16)[];
  readonly heapSeconds: number;
  /** Rates of the solver error; 32x is that of renders. */
  readonly referenceFactors: readonly number[];
  /** Whether the solver error is also measured with the knobs at their ends. */
  readonly hasKnobs: boolean;
  /** Random builds that are compared with the netlist solver. */
  readonly randomBuilds: number;
  /** Parts of the rows, and the most ports of the blocks, whose time is measured against them. */
  readonly rowParts: readonly number[];
  readonly mostPorts: number;
  /** The number of traces of each kind of swap on the built page. */
  readonly swapRounds: number;
}

const WHOLE: Size = {
  presets: 11,
  seconds: 4,
  chainSeconds: 1,
  factors: [8, 16],
  heapSeconds: 60,
  referenceFactors: [8, 16, 32],
  hasKnobs: true,
  randomBuilds: 60,
  rowParts: [10, 20, 40, 60, 90, 120],
  mostPorts: 16,
  swapRounds: 9,
};
const SHORT: Size = {
  presets: 2,
  seconds: 0.3,
  chainSeconds: 0.1,
  factors: [8],
  heapSeconds: 1,
  referenceFactors: [8],
  hasKnobs: false,
  randomBuilds: 5,
  rowParts: [10, 30],
  mostPorts: 4,
  swapRounds: 1,
};
const LIVE_SECONDS = 60;
/** Seconds of the recording for the comparison of WebAssembly and C. */
const COMPARED_SECONDS = 1;

/**
 * Speed of every preset over a recording, and of chains, in node and Chromium and against C; how evenly it runs; what it leaves on
 * the heap; how the time grows with parts and ports; the solver's error against the reference, and its aliasing; what a swap costs on the built page. The machine may be busy: compare figures of
 * one run only. `--short` takes less time, `--live` also plays the built page for a minute and counts underruns,
 * `--chains` measures chains alone, here and on the built page, `--growth` only how the time grows, `--spread` the time of a spread of
 * every preset, here and on the built page, `--json` prints data only, `--plot FILE` draws the sweep of aliasing as SVG.
 */
export async function runBenchmark(args: readonly string[]): Promise<void> {
  const size = args.includes('--short') ? SHORT : WHOLE;
  if (args.includes('--chains')) {
    printChains(chainCosts(recordingInput(size.chainSeconds)));
    printChainsLive(await chainsLive(CHAIN_CASES));
    return;
  }
  if (args.includes('--growth')) {
    printGrowth(rowGrowth(size.rowParts), denseGrowth(size.mostPorts));
    return;
  }
  const names = plainFirst(presetNames()).slice(0, size.presets);
  if (args.includes('--spread')) {
    const presets = args.includes('--short') ? names : presetNames();
    const costs: SpreadCost[] = [];
    for (const name of presets) costs.push(await spreadCost(name));
    printSpreads(costs, await spreadsLive(presets));
    return;
  }
  const recordingV = recordingInput(size.seconds);
  const plotFile = args.includes('--plot') ? args[args.indexOf('--plot') + 1] : undefined;
  const hasSweep = !args.includes('--short') || plotFile !== undefined;
  const data: BenchmarkData = {
    builds: names.flatMap((name) => size.factors.map((factor) => measureBuild(name, factor, recordingV))),
    aliasing: aliasingOf(names, { factors: size.factors, hasSweep }),
    reference: referenceErrors(size.referenceFactors, { hasKnobs: size.hasKnobs }),
  };
  check(data);
  if (plotFile !== undefined) writeFileSync(plotFile, aliasingPlot(data.aliasing));
  if (args.includes('--json')) {
    process.stdout.write(`${JSON.stringify(data, undefined, 2)}\n`);
    return;
  }
  printBuilds(data.builds, await timeInChromium(names, recordingV));
  printChains(chainCosts(recordingInput(size.chainSeconds)));
  printRunning(
    names.flatMap((name) => runningCosts(name, recordingV)),
    names.map((preset) => ({ preset, ...turningShare(preset) })),
  );
  printVariants(names.map(variantCost));
  printGrowth(rowGrowth(size.rowParts), denseGrowth(size.mostPorts));
  const { seconds, collections, grownBytes } = await measureHeap(size.heapSeconds, recordingV);
  process.stdout.write(
    `\nHeap over ${seconds} s of both builds: ${collections} collections, grown by ${(grownBytes / 1024).toFixed(0)} KiB\n`,
  );
  printReference(data.reference);
  printAliasing(data.aliasing);
  printRandomErrors(size.randomBuilds);
  printSwaps(await traceSwaps(size.swapRounds));
  if (args.includes('--live')) await printLive();
}

function measureBuild(name: string, factor: 8 | 16, recordingV: Float64Array): BuildFigures {
  const timing = timeBuild(name, presetText(name)!, factor, {
    inputV: recordingV,
    now: () => performance.now(),
  });
  const circuit = compileCircuit(networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K), {
    sampleRateHz: SAMPLE_RATE_HZ * factor,
  });
  const compared = oversampled(recordingV.subarray(0, COMPARED_SECONDS * SAMPLE_RATE_HZ), factor);
  return { ...timing, ratioToC: hasCompiler() ? ratioToC(circuit, compared) : null };
}

/** Other builds in every run, so that the engine is not fitted to a fixed list of builds. */
function printRandomErrors(count: number): void {
  const seed = Date.now() % 1_000_000;
  const outcomes = measureRandomErrors({ count, seed });
  process.stdout.write(
    outcomes
      ? `\nSolver error on random builds, dB: ${errorTable(outcomes, seed)}\n`
      : '\nSolver error on random builds: not measured (no C compiler found)\n',
  );
}

async function printLive(): Promise<void> {
  const run = await runLive(LIVE_SECONDS);
  if (!run) {
    process.stdout.write('\nLive: not measured (no browser found)\n');
    return;
  }
  const { seconds, sampleRateHz, factor, load, underruns, underrunSeconds, failures, resets, script } = run;
  const lost =
    underruns === undefined
      ? 'not counted by this browser'
      : `${underruns}, ${(1000 * (underrunSeconds ?? 0)).toFixed(0)} ms`;
  process.stdout.write(
    `\nLive in Chromium, ${seconds} s at ${sampleRateHz} Hz solved ${factor}x: load ${(100 * load).toFixed(0)} %, underruns ${lost}, `,
  );
  process.stdout.write(`${failures} samples not converged, ${resets} resets\n`);
  process.stdout.write(
    `The page's scripts with a live plot: ${script.medianMs.toFixed(1)} ms of a frame at the median, ${script.percentile95Ms.toFixed(1)} ms at the 95th percentile\n`,
  );
}

/** Timings at 8x by preset; undefined if there is no browser. */
async function timeInChromium(
  presets: readonly string[],
  recordingV: Float64Array,
): Promise<readonly BuildTiming[] | undefined> {
  const executablePath = installedChromium();
  if (!executablePath) return undefined;
  const bundle = await build({
    entryPoints: [fileURLToPath(new URL('./solver-benchmark.ts', import.meta.url))],
    bundle: true,
    format: 'iife',
    globalName: 'solverBenchmark',
    target: 'es2022',
    write: false,
  });
  const browser = await chromium.launch({ executablePath, args: [...CHROMIUM_FLAGS] });
  try {
    const page = await browser.newPage();
    await page.addScriptTag({ content: bundle.outputFiles[0]!.text });
    await page.evaluate((inputV) => Reflect.set(globalThis, 'recordingV', inputV), [...recordingV]);
    const timings: BuildTiming[] = [];
    for (const name of presets) {
      const call = `solverBenchmark.timeBuild(${JSON.stringify(name)}, ${JSON.stringify(presetText(name))}, 8, { inputV: recordingV, now: () => performance.now() })`;
      timings.push((await page.evaluate(call)) as BuildTiming);
    }
    return timings;
  } finally {
    await browser.close();
  }
}

/** The benchmark fails if an output is not a valid measurement, but never because of time. */
function check({ builds, reference, aliasing }: BenchmarkData): void {
  const numbers = [
    ...builds.flatMap(({ nsPerSample, timesRealTime, newtonIterations, worstOverMedianBlock, ratioToC }) => [
      nsPerSample,
      timesRealTime,
      newtonIterations,
      worstOverMedianBlock,
      ratioToC ?? 0,
    ]),
    ...reference.map(({ errorDb }) => errorDb),
    ...aliasing.map(({ worstInharmonicDb }) => worstInharmonicDb),
  ];
  if (builds.length === 0 || reference.length === 0 || !numbers.every(Number.isFinite))
    throw new Error('the benchmark measured nothing');
}

/** One build of each circuit, then the others. */
function plainFirst(names: readonly string[]): readonly string[] {
  const isPlain = (name: string) => name.endsWith('-plain');
  return [...names.filter(isPlain), ...names.filter((name) => !isPlain(name))];
}
