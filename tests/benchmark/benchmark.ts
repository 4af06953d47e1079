import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { chromium } from 'playwright-core';
import type { OversamplingFactor } from '../../engine/audio/oversampler.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { CHROMIUM_FLAGS, installedChromium } from '../chromium.mjs';
import { presetBuild } from '../preset-build.ts';
import { waveErrorDb } from '../reference/error-db.ts';
import { loadPresetVectors, REFERENCE_PRESETS } from '../reference/vectors.ts';
import { type LiveRun, runLive } from './live-run.ts';
import { type BuildTiming, timeBuild } from './solver-benchmark.ts';

interface ReferenceError {
  readonly preset: string;
  readonly signal: string;
  readonly oversampling: number;
  readonly errorDb: number;
}

const FACTORS: readonly OversamplingFactor[] = [8, 16];
const SECONDS = 4;
const SHORT_SECONDS = 0.3;
const LIVE_SECONDS = 60;

/**
 * Speed of every preset in node and in Chromium, and the solver's error against the reference. The machine may
 * be busy: compare figures of one run only. `--short` takes less time, `--live` also plays the built page for a
 * minute and counts underruns, `--json` prints data.
 */
export async function runBenchmark(args: readonly string[]): Promise<void> {
  const isShort = args.includes('--short');
  const isJson = args.includes('--json');
  const names = isShort ? presetNames().slice(0, 2) : presetNames();
  const seconds = isShort ? SHORT_SECONDS : SECONDS;
  const presets = names.map((name) => ({
    name,
    text: readFileSync(new URL(`../../presets/${name}.json`, import.meta.url), 'utf8'),
  }));
  const builds = presets.flatMap(({ name, text }) =>
    FACTORS.map((factor) => timeBuild(name, text, factor, { seconds, now: () => performance.now() })),
  );
  const browser = await timeInChromium(presets, seconds);
  const reference = referenceErrors(isShort ? [8] : [8, 16]);
  check(builds, reference);
  const live = args.includes('--live') ? await runLive(LIVE_SECONDS) : undefined;
  if (isJson) {
    process.stdout.write(
      `${JSON.stringify({ builds, chromium: browser ?? 'not measured', reference, live: live ?? 'not measured' }, undefined, 2)}\n`,
    );
    return;
  }
  printTimings('node', builds);
  if (browser) printTimings('Chromium', browser);
  else process.stdout.write('\nChromium: not measured (no browser found)\n');
  printReference(reference);
  if (live) printLive(live);
}

function printLive({
  seconds,
  sampleRateHz,
  load,
  underruns,
  underrunSeconds,
  failures,
  resets,
}: LiveRun): void {
  const lost =
    underruns === undefined
      ? 'not counted by this browser'
      : `${underruns}, ${(1000 * (underrunSeconds ?? 0)).toFixed(0)} ms`;
  process.stdout.write(
    `\nLive in Chromium, ${seconds} s at ${sampleRateHz} Hz: load ${(100 * load).toFixed(0)} %, underruns ${lost}, `,
  );
  process.stdout.write(`${failures} samples not converged, ${resets} resets\n`);
}

async function timeInChromium(
  presets: readonly { name: string; text: string }[],
  seconds: number,
): Promise<BuildTiming[] | undefined> {
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
    const timings: BuildTiming[] = [];
    for (const { name, text } of presets) {
      const call = `solverBenchmark.timeBuild(${JSON.stringify(name)}, ${JSON.stringify(text)}, 8, { seconds: ${seconds}, now: () => performance.now() })`;
      timings.push((await page.evaluate(call)) as BuildTiming);
    }
    return timings;
  } finally {
    await browser.close();
  }
}

/** Worst error of each preset and rate over the reference's inputs. */
function referenceErrors(factors: readonly number[]): ReferenceError[] {
  return REFERENCE_PRESETS.flatMap((preset) => {
    const network = networkOf(presetBuild(preset));
    const { waves } = loadPresetVectors(preset);
    return factors.flatMap((oversampling) =>
      waves.map((wave) => ({
        preset,
        signal: wave.name,
        oversampling,
        errorDb: waveErrorDb(wave, oversampling, (inputV, sampleRateHz) => {
          const outputV = new Float64Array(inputV.length);
          new CircuitSimulator(compileCircuit(network, { sampleRateHz })).process(
            inputV,
            outputV,
            inputV.length,
          );
          return outputV;
        }),
      })),
    );
  });
}

/** The benchmark fails on output that is no measurement, never on time. */
function check(builds: readonly BuildTiming[], reference: readonly ReferenceError[]): void {
  const numbers = [
    ...builds.flatMap(({ nsPerSample, timesRealTime, newtonIterations }) => [
      nsPerSample,
      timesRealTime,
      newtonIterations,
    ]),
    ...reference.map(({ errorDb }) => errorDb),
  ];
  if (numbers.length === 0 || !numbers.every(Number.isFinite))
    throw new Error('the benchmark measured nothing');
}

function printTimings(where: string, timings: readonly BuildTiming[]): void {
  process.stdout.write(`\n${where}\n`);
  const header = [
    'preset',
    'rate',
    'ns/sample',
    'x real time',
    'A and B, % of a core',
    'Newton/sample',
    'worst/median',
    'in loops, ns',
    'gliding/still',
  ];
  const rows = timings.map((timing) => [
    timing.preset,
    `${timing.oversampling}x`,
    timing.nsPerSample.toFixed(0),
    timing.timesRealTime.toFixed(1),
    (200 / timing.timesRealTime).toFixed(0),
    timing.newtonIterations.toFixed(2),
    timing.worstOverMedianBlock.toFixed(2),
    timing.interpreterNsPerSample.toFixed(0),
    timing.glidingOverStill.toFixed(2),
  ]);
  printRows([header, ...rows]);
}

function printReference(errors: readonly ReferenceError[]): void {
  process.stdout.write('\nSolver error against the continuous-time reference, dB, worst of all inputs\n');
  const factors = [...new Set(errors.map(({ oversampling }) => oversampling))];
  const presets = [...new Set(errors.map(({ preset }) => preset))];
  const worst = (preset: string, factor: number) =>
    Math.max(...errors.filter((e) => e.preset === preset && e.oversampling === factor).map((e) => e.errorDb));
  printRows([
    ['preset', ...factors.map((factor) => `${factor}x`)],
    ...presets.map((preset) => [preset, ...factors.map((factor) => worst(preset, factor).toFixed(1))]),
  ]);
}

function printRows(rows: readonly (readonly string[])[]): void {
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)));
  for (const row of rows) {
    process.stdout.write(
      `${row.map((cell, column) => (column === 0 ? cell.padEnd(widths[0]!) : cell.padStart(widths[column]!))).join('  ')}\n`,
    );
  }
}
