import { presetBuild } from '../preset-build.ts';
import type { Aliasing } from './aliasing.ts';
import type { BuildFigures } from './benchmark.ts';
import type { ChainCost } from './chain-benchmark.ts';
import type { ChainLive } from './chain-live.ts';
import type { DenseGrowth, Growth, RowGrowth } from './growth-benchmark.ts';
import { type SolverError, TARGETS_DB } from './reference-errors.ts';
import type { RunningCost } from './running-benchmark.ts';
import type { BuildTiming } from './solver-benchmark.ts';
import type { SpreadCost } from './spread-benchmark.ts';
import type { SpreadLive } from './spread-live.ts';
import type { SwapTraces } from './swap-trace.ts';
import type { VariantCost } from './variant-benchmark.ts';

const percent = (share: number) => `${(100 * share).toFixed(0)} %`;

/** Speed by preset and rate, in node and in Chromium at the same rate. */
export function printBuilds(
  builds: readonly BuildFigures[],
  inChromium: readonly BuildTiming[] | undefined,
): void {
  const header = [
    'preset',
    'rate',
    'ns/sample in step',
    'alone',
    'x real time',
    'wasm/C',
    'A and B, of a core',
    'Newton/sample',
    'worst/median block',
    'in Chromium, ns/sample',
  ];
  const rows = builds.map((figures) => {
    const { preset, oversampling } = figures;
    const other = inChromium?.find(
      (timing) => timing.preset === preset && timing.oversampling === oversampling,
    );
    return [
      preset,
      `${oversampling}x`,
      figures.nsPerSample.toFixed(0),
      figures.aloneNsPerSample.toFixed(0),
      figures.timesRealTime.toFixed(1),
      figures.ratioToC?.toFixed(2) ?? 'not measured',
      percent(2 / figures.timesRealTime),
      figures.newtonIterations.toFixed(2),
      figures.worstOverMedianBlock.toFixed(2),
      other?.nsPerSample.toFixed(0) ?? (inChromium ? '' : 'no browser'),
    ];
  });
  process.stdout.write('\nSpeed over a recording\n');
  printRows([header, ...rows]);
}

/** The time of chains on both sides of the bench. */
export function printChains(costs: readonly ChainCost[]): void {
  process.stdout.write(
    '\nChains on both sides, B with other knobs, with resampling; a fade plays a third circuit\n',
  );
  const rows = costs.map(({ sides, oversampling, nsPerSample, share, shareInFade }) => [
    sides,
    `${oversampling}x`,
    nsPerSample.toFixed(0),
    percent(share),
    percent(shareInFade),
  ]);
  printRows([['A and B', 'rate', 'ns/sample of both', 'of a core', 'in a fade'], ...rows]);
}

/** How the built page plays chains: the rate that it chooses, and why. */
export function printChainsLive(lives: readonly ChainLive[] | undefined): void {
  process.stdout.write('\nChains on the built page in Chromium\n');
  if (!lives) {
    process.stdout.write('not measured (no browser found)\n');
    return;
  }
  const count = (gaps: number | undefined) => gaps?.toFixed(0) ?? 'not counted';
  const share = (each: { readonly music: number } | undefined) => (each ? percent(each.music) : '');
  const rows = lives.map(({ sides, factor, shares, load, underruns, underrunsInFades }) => [
    sides,
    share(shares[16]),
    share(shares[8]),
    `${factor}x`,
    percent(load),
    count(underruns),
    count(underrunsInFades),
  ]);
  const header = ['A and B', 'at 16x', 'at 8x', 'plays at', 'load', 'gaps', 'gaps in four fades'];
  printRows([header, ...rows]);
  for (const { sides, sentence } of lives) process.stdout.write(`${sides}: ${sentence}\n`);
}

/** The time that each kind of swap takes on the page while it plays. */
export function printSwaps(traces: SwapTraces | undefined): void {
  process.stdout.write('\nA swap on the built page at 8x, ms\n');
  if (!traces) {
    process.stdout.write('not measured (no browser found)\n');
    return;
  }
  const header = [
    'swap',
    "page's longest task, of a core",
    'by the clock',
    'action to audio thread',
    'received there in',
  ];
  const rows = traces.swaps.map((trace) => [
    trace.swap,
    trace.longestTaskMs.toFixed(1),
    trace.longestTaskClockMs.toFixed(1),
    trace.toAudioThreadMs.toFixed(0),
    trace.receivedMs.toFixed(2),
  ]);
  printRows([header, ...rows]);
  const gaps = traces.underruns === undefined ? 'not counted by this browser' : String(traces.underruns);
  process.stdout.write(
    `Gaps in the sound over ${traces.count} swaps: ${gaps}. A new circuit is faded in 30 to 50 ms after it was received; values glide at once.\n`,
  );
}

/**
 * Newton iterations in each situation, worst divided by median; white noise compared with the deadline; a turning knob.
 */
export function printRunning(
  costs: readonly RunningCost[],
  turning: readonly { readonly preset: string; readonly knob: string; readonly share: number }[],
): void {
  process.stdout.write('\nEvenness: Newton iterations of 128 frames, worst over median\n');
  const rows = turning.map(({ preset, knob, share }) => {
    const of = (situation: string) =>
      costs.find((cost) => cost.preset === preset && cost.situation === situation);
    const ratio = (situation: string) => of(situation)?.worstOverMedian.toFixed(2) ?? '';
    return [
      preset,
      ratio('silence'),
      ratio('recording'),
      ratio('knobs turning'),
      ratio('white noise'),
      percent(of('white noise')?.worstShareOfDeadline ?? Number.NaN),
      `${percent(share)} (${knob})`,
    ];
  });
  const header = [
    'preset',
    'silence, 16x',
    'recording, 16x',
    'knobs turning, 16x',
    'full white noise, 8x',
    'its worst block, of the deadline',
    'a turning knob, of a block',
  ];
  printRows([header, ...rows]);
}

/** The time for a variant of a build after its structure is known. */
export function printVariants(costs: readonly VariantCost[]): void {
  process.stdout.write(
    '\nA variant with other values: DC operating point and 60 frequencies, ms of a core\n',
  );
  const rows = costs.map(({ preset, variantMs, restMs, structureMs, denseSolutions }) => [
    preset,
    variantMs.toFixed(3),
    restMs.toFixed(3),
    structureMs.toFixed(2),
    `${denseSolutions}`,
  ]);
  printRows([['preset', 'variant', 'DC alone', 'structure, once', 'dense solutions'], ...rows]);
}

/**
 * Processor time of a spread, whose builds and clipping levels are shared out to the cores, and the time until the page has the
 * figures of all builds.
 */
export function printSpreads(costs: readonly SpreadCost[], lives: readonly SpreadLive[] | undefined): void {
  process.stdout.write('\nSpread of 10,000 builds, seconds of a core, and seconds on the built page\n');
  const rows = costs.map(({ preset, buildsS, figuresS, clippingS }) => [
    preset,
    buildsS.toFixed(2),
    figuresS.toFixed(2),
    clippingS.toFixed(3),
    lives?.find((live) => live.preset === preset)?.pageS.toFixed(1) ?? 'no browser',
  ]);
  printRows([['preset', 'builds', 'figures', 'a clipping level', 'on the page'], ...rows]);
}

/** Time against parts and against ports of a block; each as one circuit alone and as one of a pair. */
export function printGrowth(rows: readonly RowGrowth[], blocks: readonly DenseGrowth[]): void {
  const header = ['alone, ns/sample', 'in a pair', 'wasm/C', 'steps a sample', 'Newton/sample'];
  const cells = ({ aloneNsPerSample, nsPerSample, ratioToC, steps, newtonIterations }: Growth) => [
    aloneNsPerSample.toFixed(0),
    nsPerSample.toFixed(0),
    ratioToC?.toFixed(2) ?? 'not measured',
    `${steps}`,
    newtonIterations.toFixed(2),
  ];
  process.stdout.write('\nGrowth with the parts: rows of like stages at 16x\n');
  printRows([
    ['row of', 'parts', 'blocks', ...header],
    ...rows.map((row) => [row.name, `${row.parts}`, `${row.blocks}`, ...cells(row)]),
  ]);
  process.stdout.write('\nGrowth with the nonlinear ports of one block at 16x\n');
  printRows([
    ['block', 'ports', ...header],
    ...blocks.map((block) => [block.name, `${block.ports}`, ...cells(block)]),
  ]);
}

/** For each rate, the largest error of every preset in each group of inputs. */
export function printReference(errors: readonly SolverError[]): void {
  const presets = [...new Set(errors.map(({ preset }) => preset))];
  for (const factor of new Set(errors.map(({ oversampling }) => oversampling))) {
    const rows = presets.map((preset) => {
      const worst = (group: SolverError['group']) =>
        errors
          .filter((e) => e.preset === preset && e.oversampling === factor && e.group === group)
          .reduce((a: SolverError | undefined, b) => (a && a.errorDb > b.errorDb ? a : b), undefined);
      const cell = (group: SolverError['group']) => worst(group)?.errorDb.toFixed(1) ?? '';
      const turned = worst('knobs');
      return [
        preset,
        cell('target'),
        TARGETS_DB[presetBuild(preset).circuit.id]?.[factor]?.toFixed(0) ?? '',
        cell('2 V'),
        cell('5 kHz'),
        cell('step'),
        turned ? `${turned.errorDb.toFixed(1)} (${turned.signal})` : '',
      ];
    });
    process.stdout.write(
      `\nSolver error at ${factor}x against the continuous-time reference, dB, worst of each group of inputs\n`,
    );
    const header = ['preset', 'up to 1 kHz and 1 V', 'target', '1 kHz, 2 V', '5 kHz', 'step', 'knobs turned'];
    printRows([header, ...rows]);
  }
}

export function printAliasing(aliasing: readonly Aliasing[]): void {
  process.stdout.write(
    '\nStrongest inharmonic component below 20 kHz, sine of 1 V, against the fundamental, dB\n',
  );
  const sineOf = ({ hz, oversampling }: Aliasing) => `${Math.round(hz)} Hz ${oversampling}x`;
  const sines = [...new Set(aliasing.map(sineOf))];
  const presets = [...new Set(aliasing.map(({ preset }) => preset))];
  const rows = presets.map((name) =>
    sines.map((sine) =>
      aliasing
        .filter((figure) => figure.preset === name && sineOf(figure) === sine)
        .map(({ worstInharmonicDb }) => worstInharmonicDb.toFixed(0))
        .join(),
    ),
  );
  printRows([['preset', ...sines], ...rows.map((cells, index) => [presets[index]!, ...cells])]);
}

export function printRows(rows: readonly (readonly string[])[]): void {
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)));
  for (const row of rows) {
    const cells = row.map((cell, column) =>
      column === 0 ? cell.padEnd(widths[0]!) : cell.padStart(widths[column]!),
    );
    process.stdout.write(`${cells.join('  ')}\n`);
  }
}
