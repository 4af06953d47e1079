import { AWeightedPower } from '../engine/audio/a-weighted-power.ts';
import { Crossfade, SWITCH_FADE_SECONDS } from '../engine/audio/crossfade.ts';
import { GlidingGain } from '../engine/audio/gliding-gain.ts';
import { LevelMeter, METER_BALLISTICS } from '../engine/audio/level-meter.ts';
import { LIMITER_TIMES, Limiter } from '../engine/audio/limiter.ts';
import { oversamplingLatencySamples } from '../engine/audio/oversampler.ts';
import { AutoSwitch } from './auto-switch.ts';
import {
  type BenchOptions,
  type BenchSettings,
  type FromProcessor,
  GLIDE_SECONDS,
  LEVELS_START,
  MOST_LEVELS,
  type Slot,
  STARTING_SETTINGS,
  TELEMETRY,
  type ToProcessor,
} from './bench-messages.ts';
import { BuildVoice } from './build-voice.ts';
import { DifferenceListening } from './difference-listening.ts';
import { InputGate } from './input-gate.ts';
import { LoudnessMeasurement } from './loudness-measurement.ts';
import { QuietSwitch } from './quiet-switch.ts';
import { RecentInput } from './recent-input.ts';
import { RiffCapture } from './riff-capture.ts';
import { RiffPlayer } from './riff-player.ts';
import { ScopeRecorder } from './scope-recorder.ts';
import { SlotInputs } from './slot-inputs.ts';
import { VoicePairing } from './voice-pairing.ts';

/** Lowest base rate, Hz: half of it has to hold the A-weighting's highest corner, 12.2 kHz. */
export const LOWEST_SAMPLE_RATE_HZ = 25_000;

/** Longest run of frames handled at once; longer blocks are divided. */
const MAX_FRAMES = 512;
/** Peak of the output, −1 dB of full scale: the limiter never exceeds it. */
const CEILING = 10 ** (-1 / 20);
const FADE_IN_SECONDS = 0.2;
const FADE_OUT_SECONDS = 0.02;
/** Smaller reductions of the limiter are inaudible. Common practice. */
const LIMITED_DB = -0.1;
/** Inputs above this are the noise of a faulty driver, V. */
const MAX_INPUT_V = 1000;

/** Different seeds, so that the builds' noises are not correlated. */
const NOISE_SEEDS = { a: 0x2545f491, b: 0x6c078965 } as const;

/**
 * The sound of the bench, independent of the browser: both builds in step on one input, level match, crossfade,
 * output gain, limiter, mute gate. `receive` may allocate; `process` and `readTelemetry` do not.
 */
export class BenchEngine {
  /** The engine's delay from input to output, samples: resampling and the limiter's look-ahead. */
  readonly latencySamples: number;
  readonly #options: BenchOptions;
  readonly #inputs: SlotInputs;
  readonly #a: BuildVoice;
  readonly #b: BuildVoice;
  readonly #pairing: VoicePairing;
  readonly #loudness: LoudnessMeasurement;
  readonly #crossfade: Crossfade;
  readonly #riff: RiffPlayer;
  readonly #capture: RiffCapture;
  readonly #recent: RecentInput;
  readonly #emit: (message: FromProcessor) => void;
  readonly #autoSwitch: AutoSwitch;
  readonly #quiet: QuietSwitch;
  readonly #difference: DifferenceListening;
  readonly #limiter: Limiter;
  readonly #scope: ScopeRecorder;
  readonly #ear: AWeightedPower;
  #meter: LevelMeter;
  readonly #volts = new Float64Array(MAX_FRAMES);
  readonly #mixed = new Float64Array(MAX_FRAMES);
  #settings = STARTING_SETTINGS;
  /** Volts of full scale at the input, gains of A, of B and of the output. */
  readonly #scale: GlidingGain;
  readonly #gainA: GlidingGain;
  readonly #gainB: GlidingGain;
  readonly #outputGain: GlidingGain;
  /** Gains of A and of B for equal loudness, as they were last asked for. */
  readonly #matchGains = new Float64Array([1, 1]);
  readonly #gate: InputGate;
  /** Of the output, 0 to 1. */
  readonly #muteGate = new Float64Array(1);
  #muted = true;
  #isScopeWanted = false;
  /** Input samples that were not finite, output peak, limited blocks. */
  readonly #counts = new Float64Array(3);
  /** Largest gain reduction, and frames and iterations at the previous telemetry. */
  readonly #report = new Float64Array(3);

  /** @param emit Called with outgoing messages: recorded chunks. Throws RangeError below LOWEST_SAMPLE_RATE_HZ. */
  constructor(options: BenchOptions, emit: (message: FromProcessor) => void = () => {}) {
    const { sampleRateHz } = options;
    const running = { ...options, maxFrames: MAX_FRAMES };
    this.#options = options;
    this.#inputs = new SlotInputs(sampleRateHz, MAX_FRAMES);
    this.#a = new BuildVoice(running, NOISE_SEEDS.a);
    this.#b = new BuildVoice(running, NOISE_SEEDS.b);
    this.#pairing = new VoicePairing(this.#a, this.#b);
    this.#loudness = new LoudnessMeasurement(this.#a, this.#b, sampleRateHz);
    this.#crossfade = new Crossfade(sampleRateHz, SWITCH_FADE_SECONDS);
    this.#riff = new RiffPlayer(sampleRateHz);
    this.#capture = new RiffCapture(sampleRateHz, emit);
    this.#recent = new RecentInput(sampleRateHz);
    this.#emit = emit;
    this.#autoSwitch = new AutoSwitch(sampleRateHz);
    this.#quiet = new QuietSwitch(sampleRateHz);
    this.#difference = new DifferenceListening(sampleRateHz);
    this.#limiter = new Limiter({ sampleRateHz, ceiling: CEILING, ...LIMITER_TIMES });
    this.#meter = newMeter(sampleRateHz, STARTING_SETTINGS.clipVolts);
    this.#scope = new ScopeRecorder(Math.round(oversamplingLatencySamples(options)));
    this.#ear = new AWeightedPower(sampleRateHz, MAX_FRAMES);
    this.#scale = new GlidingGain(STARTING_SETTINGS.voltsPerFullScale, sampleRateHz);
    this.#gainA = new GlidingGain(1, sampleRateHz);
    this.#gainB = new GlidingGain(1, sampleRateHz);
    this.#outputGain = new GlidingGain(10 ** (STARTING_SETTINGS.outputDb / 20), sampleRateHz);
    this.#gate = new InputGate(sampleRateHz);
    this.latencySamples = benchLatencySamples(options);
  }

  /** Takes a message from the page. */
  receive(message: ToProcessor): void {
    switch (message.type) {
      case 'circuit':
        this.#voice(message.slot).load(message.circuit);
        this.#pairing.prepare();
        return;
      case 'values':
        this.#voice(message.slot).setValues(message.numbers, message.glideSeconds ?? GLIDE_SECONDS);
        return;
      case 'speaker':
        this.#a.setSpeaker(message.response);
        this.#b.setSpeaker(message.response);
        return;
      case 'correctInput':
        this.#inputs.correct(message.slot, message.coefficients);
        return;
      case 'noise':
        this.#voice(message.slot).setNoise(message.coefficients);
        return;
      case 'pop':
        this.#voice(message.slot).pop(message.samples);
        return;
      case 'hear':
        this.#hear(message.slot);
        return;
      case 'difference':
        this.#difference.set(message.isHeard, message.gainDb);
        return;
      case 'blind':
        this.#quiet.set(message.isBlind);
        return;
      case 'riff':
        this.#riff.play(message.samples, message.startFrame, message.endFrame);
        return;
      case 'trimRiff':
        this.#riff.trim(message.startFrame, message.endFrame);
        return;
      case 'stopRiff':
        this.#riff.stop();
        return;
      case 'capture':
        if (message.isCapturing) this.#capture.start();
        else this.#capture.stop();
        return;
      case 'recentInput':
        this.#emit({ type: 'recentInput', samples: this.#recent.read() });
        return;
      case 'forgetInput':
        this.#recent.forget();
        return;
      case 'alternate':
        this.#autoSwitch.begin(message.every, this.#riff.passes);
        return;
      case 'mute':
        this.#muted = message.muted;
        if (message.isAtOnce) this.#muteGate[0] = message.muted ? 0 : 1;
        return;
      case 'probe':
        this.#a.setProbe(message.nets.a);
        this.#b.setProbe(message.nets.b);
        return;
      case 'levels':
        this.#a.setLevels(message.nets.a);
        this.#b.setLevels(message.nets.b);
        return;
      case 'scope':
        this.#isScopeWanted = message.isWanted;
        this.#a.watch(message.nets?.a);
        this.#b.watch(message.nets?.b);
        return;
      case 'measureLoudness':
        this.#loudness.begin(message.number);
        return;
      case 'gateInput':
        this.#gate.set(message.isOpen);
        return;
      case 'settings':
        this.#set(message.settings);
    }
  }

  #set(settings: BenchSettings): void {
    if (settings.clipVolts !== this.#settings.clipVolts) {
      this.#meter = newMeter(this.#options.sampleRateHz, settings.clipVolts);
    }
    this.#settings = settings;
    this.#a.setStandIn(settings.standIn);
    this.#b.setStandIn(settings.standIn);
    this.#scale.glideTo(settings.voltsPerFullScale);
    this.#matchGains[0] = 10 ** (settings.matchDb.a / 20);
    this.#matchGains[1] = 10 ** (settings.matchDb.b / 20);
    this.#outputGain.glideTo(10 ** (settings.outputDb / 20));
  }

  #hear(slot: Slot): void {
    this.#autoSwitch.hear(slot);
    if (this.#quiet.isOn) this.#quiet.hear(slot);
    else this.#crossfade.fadeTo(slot);
  }

  #voice(slot: Slot): BuildVoice {
    return slot === 'a' ? this.#a : this.#b;
  }

  /**
   * One block of any length.
   *
   * @param input One channel in units of full scale, or undefined for silence. @param output One channel.
   */
  process(input: Float32Array | undefined, output: Float32Array): void {
    for (let start = 0; start < output.length; ) {
      let frames = output.length - start;
      if (frames > this.#a.mostFrames) frames = this.#a.mostFrames;
      if (frames > this.#b.mostFrames) frames = this.#b.mostFrames;
      this.#processPiece(input, output, start, frames);
      start += frames;
    }
  }

  #processPiece(input: Float32Array | undefined, output: Float32Array, start: number, frames: number): void {
    this.#readInput(input, start, frames);
    this.#capture.process(this.#volts, frames);
    this.#recent.write(this.#volts, frames);
    this.#riff.process(this.#volts, frames);
    this.#gate.process(this.#volts, frames);
    if (this.#autoSwitch.advance(frames, this.#riff.passes)) this.#crossfade.fadeTo(this.#autoSwitch.heard);
    this.#meter.process(this.#volts, frames);
    this.#inputs.process(this.#volts, frames);
    this.#pairing.process(this.#inputs.a, this.#inputs.b, frames);
    this.#a.process(this.#inputs.a, frames, this.#pairing);
    this.#b.process(this.#inputs.b, frames, this.#pairing);
    this.#loudness.process(frames);
    if (this.#isScopeWanted) this.#scope.write(this.#volts, this.#a, this.#b, frames);
    this.#glideToMatch();
    this.#gainA.process(this.#a.output, frames);
    this.#gainB.process(this.#b.output, frames);
    if (this.#quiet.takeSwitch()) this.#crossfade.jumpTo(this.#quiet.wanted);
    this.#crossfade.process(this.#a.output, this.#b.output, frames, this.#mixed);
    this.#difference.process(this.#a.output, this.#b.output, frames, this.#mixed);
    this.#quiet.process(this.#mixed, frames);
    this.#outputGain.process(this.#mixed, frames);
    this.#limit(frames);
    this.#writeOutput(output, start, frames);
    this.#ear.process(this.#mixed, frames);
  }

  /** The gain of a swap comes with its crossfade, not while the circuit before is still heard alone. */
  #glideToMatch(): void {
    if (!this.#a.isAwaitingFade) this.#gainA.glideTo(this.#matchGains[0]!);
    if (!this.#b.isAwaitingFade) this.#gainB.glideTo(this.#matchGains[1]!);
  }

  #limit(frames: number): void {
    this.#limiter.process(this.#mixed, frames, this.#mixed);
    const reductionDb = this.#limiter.gainReductionDb;
    if (reductionDb < this.#report[0]!) this.#report[0] = reductionDb;
    if (reductionDb < LIMITED_DB) this.#counts[2]! += 1;
  }

  #readInput(input: Float32Array | undefined, start: number, frames: number): void {
    const most = MAX_INPUT_V / this.#settings.voltsPerFullScale;
    let isSilent = true;
    for (let frame = 0; frame < frames; frame++) {
      const sample = input === undefined ? 0 : input[start + frame]!;
      if (sample !== 0) isSilent = false;
      if (sample < most && sample > -most) {
        this.#volts[frame] = sample;
      } else {
        this.#volts[frame] = 0;
        this.#counts[0]! += 1;
      }
    }
    // Another source follows, with its own volts from its first sample on.
    if (isSilent) this.#scale.jump();
    this.#scale.process(this.#volts, frames);
  }

  #writeOutput(output: Float32Array, start: number, frames: number): void {
    const { sampleRateHz } = this.#options;
    const step = this.#muted ? -1 / (FADE_OUT_SECONDS * sampleRateHz) : 1 / (FADE_IN_SECONDS * sampleRateHz);
    let gate = this.#muteGate[0]!;
    let peak = this.#counts[1]!;
    for (let frame = 0; frame < frames; frame++) {
      gate += step;
      if (gate > 1) gate = 1;
      if (gate < 0) gate = 0;
      const sample = gate * gate * (3 - 2 * gate) * this.#mixed[frame]!;
      output[start + frame] = sample;
      this.#mixed[frame] = sample;
      const size = sample < 0 ? -sample : sample;
      if (size > peak) peak = size;
    }
    this.#muteGate[0] = gate;
    this.#counts[1] = peak;
  }

  /** Whether the page wants scope frames. */
  get isScopeWanted(): boolean {
    return this.#isScopeWanted;
  }

  /** Fills a scope frame. */
  readScope(samples: Float32Array): void {
    this.#scope.read(samples);
  }

  /** Fills the telemetry except the load. @param frames Frames since it was last read. */
  readTelemetry(values: Float32Array, frames: number): void {
    const iterations = this.#a.newtonIterations + this.#b.newtonIterations;
    const samples = frames * (this.#a.factor + this.#b.factor);
    values[TELEMETRY.inputPeakV] = this.#meter.peakVolts;
    values[TELEMETRY.inputRmsV] = this.#meter.rmsVolts;
    values[TELEMETRY.inputClips] = this.#meter.clips;
    // These values would tell which build is heard.
    values[TELEMETRY.outputPeak] = this.#quiet.isOn ? 0 : this.#counts[1]!;
    values[TELEMETRY.limiterReductionDb] = this.#quiet.isOn ? 0 : this.#report[0]!;
    values[TELEMETRY.limitedBlocks] = this.#counts[2]!;
    values[TELEMETRY.differenceDb] = this.#difference.depthDb;
    this.#loudness.write(values);
    values[TELEMETRY.newtonPerSample] = samples > 0 ? (iterations - this.#report[1]!) / samples : 0;
    values[TELEMETRY.failures] = this.#a.failures + this.#b.failures;
    values[TELEMETRY.resets] = this.#a.resets + this.#b.resets;
    values[TELEMETRY.nonFiniteInputs] = this.#counts[0]!;
    values[TELEMETRY.probeGainDbA] = this.#a.probeGainDb;
    values[TELEMETRY.probeGainDbB] = this.#b.probeGainDb;
    this.#a.turnLevels(values, LEVELS_START);
    this.#b.turnLevels(values, LEVELS_START + 2 * MOST_LEVELS);
    values[TELEMETRY.riffPasses] = this.#riff.passes;
    values[TELEMETRY.riffShare] = this.#riff.share;
    values[TELEMETRY.capturedSeconds] = this.#capture.seconds;
    values[TELEMETRY.autoSwitches] = this.#autoSwitch.count;
    // Keeps its value from before a blind test: levels are matched, so it is still valid for either build.
    if (!this.#quiet.isOn) values[TELEMETRY.outputAWeightedSquare] = this.#ear.take();
    this.#report[0] = 0;
    this.#report[1] = iterations;
    this.#counts[1] = 0;
  }
}

/** Delay that a bench of these options adds, samples. */
export function benchLatencySamples(options: BenchOptions): number {
  const lookAhead = Math.max(1, Math.round(LIMITER_TIMES.lookAheadSeconds * options.sampleRateHz));
  return oversamplingLatencySamples(options) + lookAhead;
}

function newMeter(sampleRateHz: number, clipVolts: number): LevelMeter {
  return new LevelMeter({ sampleRateHz, fullScaleVolts: clipVolts, ...METER_BALLISTICS });
}
