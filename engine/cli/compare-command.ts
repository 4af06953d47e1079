import { compareSignals } from '../analysis/comparison.ts';
import { type Harmonics, harmonicsOf } from '../analysis/harmonics.ts';
import { COMPARED_AIM_DB, solverErrorText } from '../analysis/judged-rate.ts';
import { audibleDifference, nullDepth } from '../analysis/null-depth.ts';
import { renderOffline } from '../analysis/offline-render.ts';
import { renderTrouble, saidOf, sineTrouble } from '../analysis/render-trouble.ts';
import { USUAL_TEST } from '../analysis/steady-sine.ts';
import { encodeWav } from '../audio/wav.ts';
import { buildTitle } from '../builds/build-title.ts';
import { circuitSwapLines, circuitSwaps } from '../builds/circuit-swaps.ts';
import { pinLines, swapsWithFigures, unlikeText } from '../builds/swaps.ts';
import { inLine } from '../input/shown-text.ts';
import { CliError } from './cli-error.ts';
import { loadBuild, type Options, readBuild, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { checkOutputs, writeOutput } from './output-file.ts';
import { progressOn } from './progress.ts';
import { rateOf } from './rate-option.ts';
import { readInput, resamplingOf } from './recording-input.ts';
import { aroundText, loadedNetworkAround, networkAround } from './surroundings.ts';

/** The lower oversampling of the bench: two builds differ there as at 32x, in a quarter of the time. */
const COMPARE_OVERSAMPLING = 8;

/** Two builds over one recording: levels, null depth, bands, harmonics, and what was swapped. */
export function compareCommand(options: Options): void {
  if (options.against === undefined) throw new CliError('--against is missing: give the second build.');
  const builds = [readBuild(options), loadBuild(options.against)] as const;
  const titles = builds.map((build) => inLine(buildTitle(build), 100));
  checkOutputs({ in: options.in, build: options.build, against: options.against }, { out: options.out });
  const { inputV, sampleRateHz, voltsPerFullScale } = readInput(options);
  const networks = builds.map((build) => networkAround(options, build));
  const { factor, accuracy, ...rate } = rateOf(options, networks, [inputV], {
    from: COMPARE_OVERSAMPLING,
    aimDb: COMPARED_AIM_DB,
    sampleRateHz,
  });
  const settings = { factor, quality: resamplingOf(options), sampleRateHz };
  const progress = progressOn();
  const renders = networks.map((network, index) => {
    const onProgress = (share: number) => progress((index + share) / networks.length);
    return renderOffline(network, inputV, { ...settings, onProgress });
  });
  const [a, b] = renders.map(({ outputV }) => outputV);
  const comparison = compareSignals(a!, b!, sampleRateHz);
  const harmonics = builds.map((build) => harmonicsOf(loadedNetworkAround(options, build), USUAL_TEST));
  const warnings = renders.flatMap((render, index) =>
    saidOf('AB'[index]!, [rate.warnings[index], renderTrouble(render), ...sineTrouble([harmonics[index]!])]),
  );
  const swaps = swapsWithFigures(builds[0], builds[1], temperatureOf(options));
  const pins = pinLines(builds[0], builds[1]);
  const difference =
    options.out === undefined ? undefined : audibleDifference(a!, nullDepth(a!, b!).remainder);
  if (difference) {
    const channel = difference.signal.map((volts) => volts / voltsPerFullScale);
    writeOutput('out', options.out!, encodeWav({ sampleRateHz, channels: [channel] }));
  }
  if (options.json) {
    const written = difference ? { difference: { out: options.out, gainDb: difference.gainDb } } : {};
    printJson({
      titles: { a: titles[0], b: titles[1] },
      surroundings: aroundText(options),
      ...comparison,
      factor,
      solverErrorDb: { a: accuracy[0]!.errorDb ?? null, b: accuracy[1]!.errorDb ?? null },
      warnings,
      harmonics: { a: harmonics[0], b: harmonics[1] },
      swaps,
      ...(unlikeText(...builds) !== undefined && { circuitSwaps: circuitSwaps(...builds) }),
      pins,
      ...written,
    });
    return;
  }
  process.stdout.write(`A: ${titles[0]}\nB: ${titles[1]}\n${aroundText(options)}\n\n`);
  const decibels = (value: number) => `${value.toFixed(2)} dB`;
  printTable([
    ['loudness, A over B', decibels(comparison.loudnessDifferenceDb)],
    ['RMS, A over B', decibels(comparison.rmsDifferenceDb)],
    ['null depth', decibels(comparison.null.depthDb)],
    [
      'gain of B for the null',
      `${decibels(comparison.null.gainDb)}${comparison.null.isInverted ? ', inverted' : ''}`,
    ],
    ['solver error of A and B', `${solverErrorText(accuracy)}, at ${factor}x`],
    ['delay of B for the null', `${comparison.null.delaySamples.toFixed(3)} samples`],
  ]);
  warnings.forEach((warning) => {
    process.stdout.write(`${warning}\n`);
  });
  process.stdout.write('\nOctaves, dB relative to 1 V\n');
  printTable([
    ['Hz', 'A', 'B', 'A over B', 'null'],
    ...comparison.bands.map(({ hz, aDb, bDb, nullDb }) => [
      `${hz}`,
      ...[aDb, bDb, aDb - bDb, nullDb].map((value) => value.toFixed(1)),
    ]),
  ]);
  process.stdout.write(
    `\nHarmonics of ${USUAL_TEST.hz} Hz, ${USUAL_TEST.peakV} V peak at the pedal's input, dB relative to the fundamental\n`,
  );
  printTable(harmonicRows(harmonics));
  if (difference) {
    process.stdout.write(
      `\n${options.out}: A minus the matched B, made ${difference.gainDb.toFixed(1)} dB louder\n`,
    );
  }
  process.stdout.write('\nA and B differ in\n');
  for (const line of circuitSwapLines(...builds)) process.stdout.write(`${line}\n`);
  printTable(swaps.map(({ ref, name, before, after }) => [ref, name, before, after]));
  if (pins.length > 0)
    process.stdout.write(
      `\nPins when B replaces A (makers differ: check the datasheet)\n${pins.join('\n')}\n`,
    );
}

function harmonicRows(harmonics: readonly Harmonics[]): string[][] {
  const [a, b] = harmonics;
  const percent = (value: number) => `${(100 * value).toFixed(2)} %`;
  return [
    ['', 'A', 'B'],
    ...a!.relativeDb.map((db, index) => [`H${index + 2}`, db.toFixed(1), b!.relativeDb[index]!.toFixed(1)]),
    ['THD', percent(a!.distortionOfFundamental), percent(b!.distortionOfFundamental)],
  ];
}
