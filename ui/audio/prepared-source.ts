import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import { resample } from '../../engine/audio/resample.ts';
import type { RiffBounds, ToProcessor } from '../../worklets/bench-messages.ts';
import { type Riff, riffSeconds } from '../state/ear-state.ts';
import { InputError, type LiveInput, type LiveInputFacts, openLiveInput } from './live-input.ts';
import { loadBundled, loadFile, RECORDINGS, SoundError } from './recordings.ts';
import { connect, Player, ToneAudioBuffer } from './tone.ts';

/** The source that plays into the builds. All except a live input loop. */
export type Source =
  | { readonly kind: 'none' }
  | { readonly kind: 'recording'; readonly id: string }
  | { readonly kind: 'string' }
  | { readonly kind: 'file'; readonly file: File }
  | { readonly kind: 'riff'; readonly id: string }
  | { readonly kind: 'live'; readonly deviceId: string; readonly channel: 0 | 1 };

/** A source that is ready: `begin` connects it and returns what stops it. */
export interface PreparedSource {
  readonly facts: LiveInputFacts | undefined;
  /** Seconds of one round; undefined for a live input and for silence. */
  readonly roundSeconds: number | undefined;
  /** Damage of a file that plays all the same, in a sentence. */
  readonly warning?: string | undefined;
  readonly begin: () => () => void;
  readonly discard: () => void;
}

/** Destination of a source. */
export interface SourceTarget {
  readonly context: AudioContext;
  /** Read when the source begins, since it does not exist before. */
  readonly node: AudioNode;
  /** Volts of the interface's full scale. */
  readonly interfaceVolts: number;
  readonly setScale: (voltsPerFullScale: number, clipVolts: number) => void;
  readonly send: (message: ToProcessor) => void;
  readonly findRiff: (id: string) => Riff | undefined;
  /** Bounds of a riff's round at the context's rate. */
  readonly boundsOf: (riff: Riff) => RiffBounds;
  readonly lose: (input: LiveInput) => void;
}

const PHRASE = { peakVolts: 0.3, seed: 1 } as const;

/** A sound that plays in a loop, one channel at the context's rate. */
export interface LoopedSound {
  readonly samples: Float32Array<ArrayBuffer>;
  /** What a sample of 1 means, V, and from which volts it counts as clipped. */
  readonly volts: number;
  readonly clipVolts: number;
  readonly warning?: string | undefined;
}

/** @throws SoundError, InputError with a sentence for the screen. */
export async function prepareSource(source: Source, target: SourceTarget): Promise<PreparedSource> {
  switch (source.kind) {
    case 'none':
      return { begin: () => () => {}, discard: () => {}, facts: undefined, roundSeconds: undefined };
    case 'riff':
      return riffSource(source.id, target);
    case 'live':
      return liveSource(source, target);
    default:
      return loopSource(await soundOf(source, target.context, target.interfaceVolts), target);
  }
}

/** The looped sound, as samples at the context's rate. @throws SoundError if it cannot be read. */
export async function soundOf(
  source: Exclude<Source, { kind: 'none' | 'riff' | 'live' }>,
  context: AudioContext,
  interfaceVolts: number,
): Promise<LoopedSound> {
  const clipVolts = Number.POSITIVE_INFINITY;
  switch (source.kind) {
    case 'string': {
      const phrase = Float32Array.from(pluckedPhrase({ sampleRateHz: context.sampleRate, ...PHRASE }));
      return { samples: phrase, volts: 1, clipVolts };
    }
    case 'recording': {
      const { samples, peak } = await loadBundled(source.id, context);
      const peakVolts = RECORDINGS.find(({ id }) => id === source.id)?.peakVolts ?? 1;
      return { samples, volts: peakVolts / peak, clipVolts };
    }
    case 'file': {
      const { samples, warning } = await loadFile(source.file, context);
      return { samples, volts: interfaceVolts, clipVolts: interfaceVolts, warning };
    }
  }
}

function loopSource(
  { samples, volts, clipVolts, warning }: LoopedSound,
  target: SourceTarget,
): PreparedSource {
  const { context, setScale } = target;
  const buffer = context.createBuffer(1, samples.length, context.sampleRate);
  buffer.copyToChannel(samples, 0);
  return {
    facts: undefined,
    warning,
    roundSeconds: samples.length / context.sampleRate,
    discard: () => {},
    begin: () => {
      const player = new Player({ url: new ToneAudioBuffer(buffer), loop: true });
      connect(player, target.node);
      setScale(volts, clipVolts);
      player.start();
      return () => player.dispose();
    },
  };
}

/** A riff plays in the processor itself, so that A and B can switch exactly at the end of a loop. */
function riffSource(
  id: string,
  { context, findRiff, setScale, send, boundsOf }: SourceTarget,
): PreparedSource {
  const riff = findRiff(id);
  if (!riff) throw new SoundError('That riff is no longer there. Choose another.');
  const samples =
    riff.sampleRateHz === context.sampleRate
      ? riff.samples
      : Float32Array.from(resample(Float64Array.from(riff.samples), riff.sampleRateHz, context.sampleRate));
  return {
    facts: undefined,
    roundSeconds: riffSeconds(riff),
    discard: () => {},
    begin: () => {
      setScale(1, Number.POSITIVE_INFINITY);
      send({
        type: 'riff',
        samples,
        ...boundsOf({ ...(findRiff(id) ?? riff), sampleRateHz: riff.sampleRateHz }),
      });
      return () => send({ type: 'stopRiff' });
    },
  };
}

async function liveSource(source: Source & { kind: 'live' }, target: SourceTarget): Promise<PreparedSource> {
  const { context, setScale, lose } = target;
  const input = await openLiveInput(source.deviceId, () => lose(input));
  const { channelCount } = input.facts;
  if (source.channel === 1 && channelCount === 1) {
    input.close();
    throw new InputError(`"${input.facts.label}" has one channel only: choose channel 1.`);
  }
  const stream = streamSource(input, context);
  const splitter = context.createChannelSplitter(2);
  stream.connect(splitter);
  return {
    facts: input.facts,
    roundSeconds: undefined,
    discard: () => input.close(),
    begin: () => {
      splitter.connect(target.node, source.channel);
      setScale(target.interfaceVolts, target.interfaceVolts);
      return () => {
        splitter.disconnect();
        stream.disconnect();
        input.close();
      };
    },
  };
}

/** @throws InputError where the browser cannot join the two rates. */
function streamSource(input: LiveInput, context: AudioContext): MediaStreamAudioSourceNode {
  try {
    return context.createMediaStreamSource(input.stream);
  } catch {
    input.close();
    throw new InputError(
      `"${input.facts.label}" runs at another sample rate than the output. Set both to the same rate in the settings of the system, then choose it again.`,
    );
  }
}
