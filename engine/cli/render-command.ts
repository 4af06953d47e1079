import { buildNoise } from '../analysis/build-noise.ts';
import { type KnownError, solverErrorText } from '../analysis/judged-rate.ts';
import { noiseFilter, noiseOf } from '../analysis/noise-filter.ts';
import { RENDER_AIM_DB } from '../analysis/offline-rate.ts';
import { OFFLINE_OVERSAMPLING, PiecewiseRender, type RenderCounts } from '../analysis/offline-render.ts';
import { renderTrouble } from '../analysis/render-trouble.ts';
import type { ShapedNoise } from '../audio/shaped-noise.ts';
import { wavHeader, wavSamples } from '../audio/wav.ts';
import type { Chain } from '../builds/chain.ts';
import { printable } from '../input/shown-text.ts';
import { chainFiles, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { noiseInputOf } from './noise-command.ts';
import { type Options, temperatureOf } from './options.ts';
import { printJson } from './output.ts';
import { checkOutputs, interruptible, OutputFile } from './output-file.ts';
import { progressOn } from './progress.ts';
import { rateOf } from './rate-option.ts';
import { resamplingOf, type StreamedInput, streamInput } from './recording-input.ts';
import { aroundPedal, networkAround } from './surroundings.ts';

/** Seed of the hiss, so that it is the same every time. */
const NOISE_SEED = 1;
/** Samples of one write; signals are seen after each. */
const PIECE_FRAMES = 8192;

/** Entries of the report besides the solver's counts. */
interface Levels {
  readonly frames: number;
  readonly peakV: number;
  readonly rmsV: number;
}

/** How it was rendered. */
interface Settings {
  readonly sampleRateHz: number;
  readonly factor: number;
  readonly voltsPerFullScale: number;
  readonly accuracy: KnownError;
  /** What of the solver's error should be known. */
  readonly warnings: readonly string[];
}

/** Plays a recording through a chain into a float32 WAV with the same volts of full scale; neither is ever in memory as a whole. */
export async function renderCommand(options: Options): Promise<void> {
  const chain = readChain(options);
  const { out } = options;
  if (out === undefined) throw new CliError('--out is missing: give a file to write.');
  checkOutputs({ in: options.in, ...chainFiles(options) }, { out });
  const quality = resamplingOf(options);
  const network = networkAround(options, chain);
  const input = streamInput(options);
  const { sampleRateHz, voltsPerFullScale } = input;
  const { factor, accuracy, warnings } = rateOf(options, [network], input.pieces(), {
    from: OFFLINE_OVERSAMPLING,
    aimDb: RENDER_AIM_DB,
    sampleRateHz,
  });
  const render = new PiecewiseRender(network, { factor, quality, sampleRateHz });
  const noise = options.noise ? noiseOfChain(chain, sampleRateHz, options) : undefined;
  await interruptible(async () => {
    const file = new OutputFile('out', out);
    const levels = await writeRender(file, input, render, noise);
    file.finish();
    report(options, levels, render, {
      sampleRateHz,
      factor,
      voltsPerFullScale,
      accuracy: accuracy[0]!,
      warnings: warnings.flatMap((warning) => warning ?? []),
    });
  });
}

/** Renders and writes piece by piece. */
async function writeRender(
  file: OutputFile,
  { frames, sampleRateHz, voltsPerFullScale, pieces }: StreamedInput,
  render: PiecewiseRender,
  noise: ShapedNoise | undefined,
): Promise<Levels> {
  const onProgress = progressOn();
  let [done, peakV, squares] = [0, 0, 0];
  file.write(wavHeader({ frames, channelCount: 1, sampleRateHz }));
  for (const piece of gathered(render.over(pieces()), PIECE_FRAMES)) {
    noise?.addTo(piece, piece.length);
    for (const volts of piece) {
      peakV = Math.max(peakV, Math.abs(volts));
      squares += volts * volts;
    }
    file.write(wavSamples([piece.map((volts) => volts / voltsPerFullScale)]));
    done += piece.length;
    onProgress(done / frames);
    await new Promise((resolve) => setImmediate(resolve));
  }
  return { frames, peakV, rmsV: Math.sqrt(squares / frames) };
}

/** Small pieces in larger ones of one length, the last shorter; each is overwritten by the next. */
function* gathered(pieces: Iterable<Float64Array>, length: number): Generator<Float64Array> {
  const gather = new Float64Array(length);
  let filled = 0;
  for (const piece of pieces) {
    for (let at = 0; at < piece.length; ) {
      const count = Math.min(length - filled, piece.length - at);
      gather.set(piece.subarray(at, at + count), filled);
      filled += count;
      at += count;
      if (filled < length) continue;
      yield gather;
      filled = 0;
    }
  }
  if (filled > 0) yield gather.subarray(0, filled);
}

/** The hiss of the chain. */
function noiseOfChain(chain: Chain, sampleRateHz: number, options: Options): ShapedNoise {
  const { points } = buildNoise(chain.pedals[0]!.build, {
    input: noiseInputOf(options),
    temperatureK: temperatureOf(options),
    isBypassed: false,
    around: aroundPedal(options, chain, 0),
  });
  return noiseOf(noiseFilter(points, sampleRateHz), {
    sampleRateHz,
    maxFrames: PIECE_FRAMES,
    seed: NOISE_SEED,
  });
}

function report(
  options: Options,
  levels: Levels,
  { failures, resets, newtonIterations }: RenderCounts,
  { accuracy, ...settings }: Settings,
): void {
  if (options.json) {
    const solverErrorDb = accuracy.errorDb ?? null;
    printJson({
      out: options.out,
      ...settings,
      solverErrorDb,
      ...levels,
      newtonIterations,
      failures,
      resets,
    });
    return;
  }
  const { frames, peakV, rmsV } = levels;
  const seconds = frames / settings.sampleRateHz;
  process.stdout.write(
    `${printable(options.out ?? '')}: ${seconds.toFixed(2)} s, peak ${peakV.toFixed(3)} V, RMS ${rmsV.toFixed(3)} V, full scale ${settings.voltsPerFullScale.toFixed(3)} V\n`,
  );
  process.stdout.write(`Oversampling ${settings.factor}x; solver error ${solverErrorText([accuracy])}.\n`);
  const trouble = renderTrouble({ failures, resets });
  for (const line of [...settings.warnings, ...(trouble === undefined ? [] : [trouble])])
    process.stdout.write(`${line}\n`);
}
