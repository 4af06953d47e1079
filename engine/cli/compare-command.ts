import { compareSignals } from '../analysis/comparison.ts';
import { type Harmonics, harmonicsOf } from '../analysis/harmonics.ts';
import { audibleDifference, nullDepth } from '../analysis/null-depth.ts';
import { renderOffline } from '../analysis/offline-render.ts';
import { NOT_ESTIMATED, type SolverAccuracy } from '../analysis/solver-accuracy.ts';
import { USUAL_TEST } from '../analysis/steady-sine.ts';
import { encodeWav } from '../audio/wav.ts';
import { buildTitle } from '../builds/build-title.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { swapsWithFigures } from '../builds/swaps.ts';
import { inLine } from '../input/shown-text.ts';
import { CliError } from './cli-error.ts';
import { loadBuild, type Options, readBuild, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { checkOutputs, writeOutput } from './output-file.ts';
import { progressOn } from './progress.ts';
import { rateOf } from './rate-option.ts';
import { readInput, resamplingOf } from './recording-input.ts';

/** The lower oversampling of the bench: two builds differ there as at 32x, in a quarter of the time. */
const COMPARE_OVERSAMPLING = 8;

/** Both are solved at a higher rate where one of them is off by more than this, dB. */
const AIM_DB = -70;

/** Two builds over one recording: levels, null depth, bands, harmonics, and what was swapped. */
export function compareCommand(options: Options): void {
  if (options.against === undefined) throw new CliError('--against names no second build.');
  const builds = [readBuild(options), loadBuild(options.against)] as const;
  const titles = builds.map((build) => inLine(buildTitle(build), 100));
  checkOutputs({ in: options.in, build: options.build, against: options.against }, { out: options.out });
  const { inputV, sampleRateHz, voltsPerFullScale } = readInput(options);
  const networks = builds.map((build) => networkOf(build, temperatureOf(options)));
  const { factor, accuracy, ...rate } = rateOf(options, networks, [inputV], {
    from: COMPARE_OVERSAMPLING,
    aimDb: AIM_DB,
    sampleRateHz,
  });
  const warnings = rate.warnings.flatMap((text, index) =>
    text === undefined ? [] : `${'AB'[index]}: ${text}`,
  );
  const settings = { factor, quality: resamplingOf(options), sampleRateHz };
  const progress = progressOn();
  const [a, b] = networks.map((network, index) => {
    const onProgress = (share: number) => progress((index + share) / networks.length);
    return renderOffline(network, inputV, { ...settings, onProgress }).outputV;
  });
  const comparison = compareSignals(a!, b!, sampleRateHz);
  const harmonics = networks.map((network) => harmonicsOf(network, USUAL_TEST));
  const swaps = swapsWithFigures(builds[0], builds[1], temperatureOf(options));
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
      ...comparison,
      factor,
      solverErrorDb: { a: accuracy[0]!.errorDb ?? null, b: accuracy[1]!.errorDb ?? null },
      warnings,
      harmonics: { a: harmonics[0], b: harmonics[1] },
      swaps,
      ...written,
    });
    return;
  }
  process.stdout.write(`A: ${titles[0]}\nB: ${titles[1]}\n\n`);
  const decibels = (value: number) => `${value.toFixed(2)} dB`;
  printTable([
    ['loudness, A over B', decibels(comparison.loudnessDifferenceDb)],
    ['RMS, A over B', decibels(comparison.rmsDifferenceDb)],
    ['null depth', decibels(comparison.null.depthDb)],
    [
      'gain of B for it',
      `${decibels(comparison.null.gainDb)}${comparison.null.isInverted ? ', inverted' : ''}`,
    ],
    ['solver error of A and B', solverErrors(accuracy)],
    ['delay of B for it', `${comparison.null.delaySamples.toFixed(3)} samples`],
  ]);
  warnings.forEach((warning) => {
    process.stdout.write(`${warning}\n`);
  });
  process.stdout.write('\nOctaves, dB of 1 V\n');
  printTable([
    ['Hz', 'A', 'B', 'A over B', 'null'],
    ...comparison.bands.map(({ hz, aDb, bDb, nullDb }) => [
      `${hz}`,
      ...[aDb, bDb, aDb - bDb, nullDb].map((value) => value.toFixed(1)),
    ]),
  ]);
  process.stdout.write(
    `\nHarmonics of ${USUAL_TEST.hz} Hz, ${USUAL_TEST.peakV} V peak, dB of the fundamental\n`,
  );
  printTable(harmonicRows(harmonics));
  if (difference) {
    process.stdout.write(
      `\n${options.out}: what is left of A when B is taken from it, ${difference.gainDb.toFixed(1)} dB louder than it is\n`,
    );
  }
  process.stdout.write('\nA and B differ in\n');
  printTable(swaps.map(({ ref, name, before, after }) => [ref, name, before, after]));
}

/** Both or none are estimated, since they play one recording. */
function solverErrors(accuracy: readonly SolverAccuracy[]): string {
  const errors = accuracy.flatMap(({ errorDb }) => errorDb?.toFixed(0) ?? []);
  return errors.length === 0 ? NOT_ESTIMATED : `${errors.join(', ')} dB at ${accuracy[0]!.factor}x`;
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
