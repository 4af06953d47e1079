import { compareSignals } from '../analysis/comparison.ts';
import { type Harmonics, harmonicsOf } from '../analysis/harmonics.ts';
import { COMPARED_AIM_DB, solverErrorText } from '../analysis/judged-rate.ts';
import { audibleDifference, nullDepth } from '../analysis/null-depth.ts';
import { renderOffline } from '../analysis/offline-render.ts';
import { renderTrouble, saidOf, sineTrouble } from '../analysis/render-trouble.ts';
import { USUAL_TEST } from '../analysis/steady-sine.ts';
import { encodeWav } from '../audio/wav.ts';
import type { Build } from '../builds/build.ts';
import type { Chain } from '../builds/chain.ts';
import { chainDifferences, heardTitle } from '../builds/chain-swaps.ts';
import { circuitSwapLines, circuitSwaps } from '../builds/circuit-swaps.ts';
import { surroundingsText } from '../builds/surroundings.ts';
import { pinLines, swapsWithFigures, unlikeText } from '../builds/swaps.ts';
import { inLine, printable } from '../input/shown-text.ts';
import { chainFiles, readChain, readOther } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { type Options, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';
import { checkOutputs, writeOutput } from './output-file.ts';
import { progressOn } from './progress.ts';
import { rateOf } from './rate-option.ts';
import { readInput, resamplingOf } from './recording-input.ts';
import { drivenNetworkAround, networkAround, surroundingsOf } from './surroundings.ts';

/** Characters of a title on the terminal. */
const SHOWN_TITLE_CHARACTERS = 100;
/** The lower oversampling of the bench: two builds differ there as at 32x, in a quarter of the time. */
const COMPARE_OVERSAMPLING = 8;

/** Two chains over one recording: levels, null depth, bands, harmonics, and what was swapped. */
export function compareCommand(options: Options): void {
  const other = readOther(options);
  if (!other) throw new CliError('--against is missing: give the second build.');
  const chains = [readChain(options), other] as const;
  const titles = chains.map((chain) => inLine(heardTitle(chain), SHOWN_TITLE_CHARACTERS));
  checkOutputs({ in: options.in, ...chainFiles(options) }, { out: options.out });
  const { inputV, sampleRateHz, voltsPerFullScale } = readInput(options);
  const networks = chains.map((chain) => networkAround(options, chain));
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
  const harmonics = chains.map((chain) => harmonicsOf(drivenNetworkAround(options, chain), USUAL_TEST));
  const warnings = renders.flatMap((render, index) =>
    saidOf('AB'[index]!, [rate.warnings[index], renderTrouble(render), ...sineTrouble([harmonics[index]!])]),
  );
  const around = `${surroundingsText(surroundingsOf(options))}${bypassedText(options, isLone(chains))}`;
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
      surroundings: around,
      ...comparison,
      factor,
      solverErrorDb: { a: accuracy[0]!.errorDb ?? null, b: accuracy[1]!.errorDb ?? null },
      warnings,
      harmonics: { a: harmonics[0], b: harmonics[1] },
      ...differenceData(chains, temperatureOf(options)),
      ...written,
    });
    return;
  }
  process.stdout.write(`A: ${titles[0]}\nB: ${titles[1]}\n${around}\n\n`);
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
    `\nHarmonics of ${USUAL_TEST.hz} Hz, ${USUAL_TEST.peakV} V peak at the input, dB relative to the fundamental\n`,
  );
  printTable(harmonicRows(harmonics));
  if (difference) {
    process.stdout.write(
      `\n${options.out}: A minus the matched B, made ${difference.gainDb.toFixed(1)} dB louder\n`,
    );
  }
  process.stdout.write('\nA and B differ in\n');
  printDifferences(chains, temperatureOf(options));
}

type Chains = readonly [Chain, Chain];

function isLone([a, b]: Chains): boolean {
  return a.pedals.length === 1 && b.pedals.length === 1;
}

/** Whether swaps of parts are all that two chains can differ in. */
function differInPartsOnly([a, b]: Chains): boolean {
  return isLone([a, b]) && a.pedals[0]!.isOn === b.pedals[0]!.isOn;
}

function differenceData(chains: Chains, temperatureK: number) {
  const [a, b] = chains.map(({ pedals }) => pedals[0]!.build) as [Build, Build];
  if (!differInPartsOnly(chains)) return { differences: chainDifferences(...chains, temperatureK) };
  return {
    swaps: swapsWithFigures(a, b, temperatureK),
    ...(unlikeText(a, b) !== undefined && { circuitSwaps: circuitSwaps(a, b) }),
    pins: pinLines(a, b),
  };
}

function printDifferences(chains: Chains, temperatureK: number): void {
  const [a, b] = chains.map(({ pedals }) => pedals[0]!.build) as [Build, Build];
  if (!differInPartsOnly(chains)) {
    for (const line of chainDifferences(...chains, temperatureK))
      process.stdout.write(`${printable(line)}\n`);
    return;
  }
  for (const line of circuitSwapLines(a, b)) process.stdout.write(`${line}\n`);
  const swaps = swapsWithFigures(a, b, temperatureK);
  printTable(swaps.map(({ ref, name, before, after }) => [ref, name, before, after]));
  const pins = pinLines(a, b);
  if (pins.length > 0)
    process.stdout.write(
      `\nPins when B replaces A (makers differ: check the datasheet)\n${pins.join('\n')}\n`,
    );
}

function bypassedText({ bypassed }: Options, isLonePedal: boolean): string {
  if (!bypassed) return '';
  return isLonePedal ? ' The pedal is switched off.' : ' All pedals are switched off.';
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
