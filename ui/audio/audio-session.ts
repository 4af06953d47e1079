import { roundTrip } from '../../engine/analysis/round-trip.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import workletUrl from '../../worklets/bench.worklet.ts?worklet';
import {
  type BenchSettings,
  type CapturedChunk,
  type FromProcessor,
  type RiffBounds,
  STARTING_SETTINGS,
} from '../../worklets/bench-messages.ts';
import { type LiveRate, STARTING_RATE } from '../rate/live-rate.ts';
import { type Riff, riffSeconds } from '../state/ear-state.ts';
import { makeBenchNode } from './bench-node.ts';
import { BenchRemote } from './bench-remote.ts';
import { playCalibrationTone } from './calibration-tone.ts';
import { ContextWatch } from './context-watch.ts';
import { type Dropouts, NO_DROPOUTS, withDropouts } from './dropouts.ts';
import { type Latency, latencyOf, NO_LATENCY } from './latency.ts';
import type { LiveInput, LiveInputFacts } from './live-input.ts';
import { recordLoop } from './loop-recording.ts';
import type { MeasuredRoundTrip } from './measured-round-trip.ts';
import { haltSentence, hasUsualOutput, openOutputContext } from './output-context.ts';
import { prepareSource, type Source, type SourceTarget, soundOf } from './prepared-source.ts';
import { type ProblemCause, type Problems, withProblem } from './problems.ts';
import { RiffTape } from './riff-tape.ts';
import { ScopeInbox } from './scope-inbox.ts';
import { StartWatch } from './start-watch.ts';
import { type Telemetry, TelemetryInbox } from './telemetry.ts';
import { Context, setContext } from './tone.ts';

export interface AudioState {
  readonly isRunning: boolean;
  readonly isMuted: boolean;
  readonly source: Source;
  /** Seconds of one round of the source; undefined for a live input and for silence. */
  readonly roundSeconds: number | undefined;
  readonly input: LiveInputFacts | undefined;
  readonly sampleRateHz: number;
  /** How much circuits are oversampled, and why so much. */
  readonly rate: LiveRate;
  readonly latency: Latency;
  readonly dropouts: Dropouts;
  /** What was last measured with a cable from output to input, and whether it is being measured. */
  readonly roundTrip: MeasuredRoundTrip | undefined;
  readonly isMeasuringRoundTrip: boolean;
  /** The tone for the multimeter sounds. */
  readonly playsTone: boolean;
  /** The stand-in for AudioWorklet is at work, with its high latency. */
  readonly usesFallback: boolean;
  /** What goes wrong, in plain words, until it is mended. */
  readonly problems: Problems;
}

/** The input's fade and the block that it begins in. */
const GATE_MS = 15;

/** What came in dry while a riff was captured. */
export interface Capture {
  /** Volts. */
  readonly samples: Float32Array<ArrayBuffer>;
  readonly sampleRateHz: number;
}

/**
 * The page's side of the sound: context, processor, sources, devices. Emits 'change' when its state does,
 * 'captured' with a `Capture` when a riff is complete, and 'halt' when sound has ended though nobody stopped it. Every
 * failure leaves what plays as it is, and says in `state.problems` what happened.
 */
export class AudioSession extends BenchRemote {
  #state: AudioState = {
    isRunning: false,
    isMuted: true,
    source: { kind: 'none' },
    roundSeconds: undefined,
    input: undefined,
    sampleRateHz: 48_000,
    rate: STARTING_RATE,
    latency: NO_LATENCY,
    dropouts: NO_DROPOUTS,
    roundTrip: undefined,
    isMeasuringRoundTrip: false,
    playsTone: false,
    usesFallback: !isNative(globalThis.AudioWorkletNode),
    problems: {},
  };
  #settings: BenchSettings = STARTING_SETTINGS;
  /** Full scale of the interface, V. */
  #interfaceVolts = 1;
  /** Where a riff is found that is to be played. */
  findRiff: (id: string) => Riff | undefined = () => undefined;
  /** Resolves once circuits have been given for the rate in the state. */
  circuitsReady: () => Promise<void> = async () => {};
  readonly #inbox = new TelemetryInbox();
  readonly #scope = new ScopeInbox();
  readonly #tape = new RiffTape();
  readonly #watch = new ContextWatch();
  readonly #startWatch = new StartWatch();
  #starting: Promise<void> | undefined;
  #context: AudioContext | undefined;
  /** Where sources come in, ahead of the processor: also where the round trip is taken from. */
  #entry: GainNode | undefined;
  #stopSource: () => void = () => {};
  #stopTone: () => void = () => {};
  /** Requests for a source by number; only the last one may have its way. */
  #requests = 0;

  get state(): AudioState {
    return this.#state;
  }

  /** Rate at which circuits are to be compiled, Hz; known before the start as the rate that is likely. */
  get circuitRateHz(): number {
    return this.#state.sampleRateHz * this.#state.rate.factor;
  }

  /** Changes how much circuits are oversampled from now on; those that play have to be given anew. */
  setRate(rate: LiveRate): void {
    this.#state = { ...this.#state, rate };
    this.#change({ latency: this.#latency() });
  }

  /** Gaps in the sound since it was started; undefined before the first look. */
  readUnderruns(): number | undefined {
    return this.#watch.underruns;
  }

  /** What the audio thread last said; of loudness nothing that was measured before `measureLoudness`. */
  readTelemetry(): Telemetry {
    return this.#inbox.read(this.measurement);
  }

  /**
   * Opens the context and the processor, muted, or lets a context that was stopped from outside go on. To be called from
   * a user's gesture; while sound runs it does nothing. A context that did not start gives way to another: an output may
   * be there by now.
   */
  start(): Promise<void> {
    if (this.#context?.state === 'closed') this.#release();
    if (this.#startWatch.isOverdue) void this.stop();
    if (this.#starting) {
      if (!this.#state.isRunning) this.#context?.resume().catch(() => this.#halt());
      return this.#starting;
    }
    this.#startWatch.begin((reason) => this.#halt(reason));
    const starting = this.#open().catch(async (error: unknown) => {
      // Stopped meanwhile: it is the closed context that complains.
      if (starting !== this.#starting) return;
      await this.stop();
      this.#halt(startProblem(error));
      if (!isRefused(error)) reportError(error);
    });
    this.#starting = starting;
    return starting;
  }

  /**
   * Lets go of the input and of the output, at once: mute first for a fade. `start` opens them anew, with circuits
   * and settings as they are.
   */
  async stop(): Promise<void> {
    const context = this.#context;
    this.#release();
    if (context && context.state !== 'closed') await context.close();
  }

  #release(): void {
    this.#requests++;
    this.#context = undefined;
    this.#entry = undefined;
    this.#watch.end();
    this.#startWatch.end();
    this.link.disconnect();
    this.#starting = undefined;
    this.#inbox.clear();
    this.#playNothing({ isRunning: false });
  }

  async #open(): Promise<void> {
    const { context, caution } = openOutputContext();
    this.#context = context;
    // A listener, since Tone sets `onstatechange`.
    context.addEventListener('statechange', () => this.#follow(context));
    setContext(new Context({ context, lookAhead: 0 }));
    await context.audioWorklet.addModule(workletUrl);
    if (context !== this.#context) return;
    const node = this.#makeNode(context);
    node.connect(context.destination);
    const entry = new GainNode(context, { channelCount: 1, channelCountMode: 'explicit' });
    entry.connect(node);
    navigator.mediaDevices?.addEventListener?.('devicechange', this.#onDeviceChange);
    // Ahead of the node, so that circuits are compiled for this rate before any is sent.
    this.#change({
      sampleRateHz: context.sampleRate,
      latency: this.#latency(),
      problems: this.#problems('outputRate', caution),
    });
    await this.circuitsReady();
    if (context !== this.#context) return;
    this.#entry = entry;
    this.link.connect(node.port);
    this.measureLoudness();
    await context.resume();
    if (context === this.#context) this.#watch.begin(context, (gaps) => this.#followPlayback(gaps));
    this.#follow(context);
  }

  /** Says whether sound runs, and where it was stopped by something else, by what. */
  #follow(context: AudioContext): void {
    if (context !== this.#context) return;
    const { isRunning } = this.#state;
    if (context.state === 'running') {
      // Opening is not over until there is a way in.
      if (!isRunning && this.#entry) {
        this.#startWatch.end();
        this.#change({
          isRunning: true,
          latency: this.#latency(),
          problems: this.#problems('sound', undefined),
        });
      }
      return;
    }
    if (context.state === 'closed') this.#release();
    if (isRunning) this.#halt(haltSentence(context.state));
  }

  /** Sound has ended though nobody stopped it. @param problem Why; as was said before where nothing is. */
  #halt(problem: string | undefined = this.#state.problems.sound): void {
    this.#endTone();
    // It goes on with a fade.
    this.link.send({ type: 'mute', muted: true, isAtOnce: true });
    this.#inbox.clear();
    this.#change({ isRunning: false, playsTone: false, problems: this.#problems('sound', problem) });
    this.dispatchEvent(new Event('halt'));
  }

  #makeNode(context: AudioContext): AudioWorkletNode {
    const node = makeBenchNode(context, this.#state.rate.factor, {
      telemetry: this.#inbox.shared,
      scope: this.#scope.shared,
    });
    node.port.onmessage = ({ data }: MessageEvent<FromProcessor>) => this.#receive(data);
    node.onprocessorerror = () => void this.#loseProcessor(context);
    return node;
  }

  /** A processor that has failed once is silent for good: the next start makes another. */
  async #loseProcessor(context: AudioContext): Promise<void> {
    if (context !== this.#context) return;
    await this.stop();
    this.#halt('The audio thread has stopped. Press Listen to start it again.');
  }

  #receive(message: FromProcessor): void {
    if (message.type === 'telemetry') this.#inbox.receive(message.values);
    else if (message.type === 'scope') this.#scope.receive(message.values);
    else this.#receiveCapture(message);
  }

  #receiveCapture(message: CapturedChunk): void {
    const samples = this.#tape.receive(message);
    const detail: Capture | undefined = samples && { samples, sampleRateHz: this.#state.sampleRateHz };
    if (detail) this.dispatchEvent(new CustomEvent('captured', { detail }));
  }

  readonly #onDeviceChange = (): void => {
    if (this.#state.roundTrip) this.#change({ roundTrip: undefined });
    if (this.#state.problems.outputRate !== undefined) void this.#checkOutputRate();
    this.dispatchEvent(new Event('devices'));
  };

  async #checkOutputRate(): Promise<void> {
    if (await hasUsualOutput()) this.report('outputRate', undefined);
  }

  /** Levels of those nets: see LEVELS_START. */
  readLevels(): Float32Array {
    return this.#inbox.readLevels();
  }

  /** The newest scope frame, or undefined where none has come since the last one. Overwritten by the next. */
  readScope(): Float32Array | undefined {
    return this.#scope.read();
  }

  /** Captures the dry input from now on, or ends that; what was captured comes with the event 'captured'. */
  capture(isCapturing: boolean): void {
    this.link.send({ type: 'capture', isCapturing });
  }

  /** Moves the ends of the round that plays. */
  trimRiff(riff: Riff): void {
    const { startFrame, endFrame, sampleRateHz } = riff;
    this.#change({ roundSeconds: riffSeconds(riff) });
    this.link.send({ type: 'trimRiff', ...this.#boundsHere({ startFrame, endFrame }, sampleRateHz) });
    this.measureLoudness();
  }

  #boundsHere({ startFrame, endFrame }: RiffBounds, sampleRateHz: number): RiffBounds {
    const scale = this.#state.sampleRateHz / sampleRateHz;
    return { startFrame: Math.round(startFrame * scale), endFrame: Math.round(endFrame * scale) };
  }

  setMuted(isMuted: boolean): void {
    this.link.keep('mute', { type: 'mute', muted: isMuted });
    this.#change({ isMuted });
  }

  setSettings(settings: Partial<Omit<BenchSettings, 'voltsPerFullScale' | 'clipVolts'>>): void {
    const { standIn } = this.#settings;
    this.#settings = { ...this.#settings, ...settings };
    this.link.keep('settings', { type: 'settings', settings: this.#settings });
    if (this.#settings.standIn !== standIn) this.measureLoudness();
  }

  /** Full scale of the interface, V: what a live input and the user's own files are scaled by. */
  setInterfaceVolts(volts: number): void {
    this.#interfaceVolts = volts;
    const { kind } = this.#state.source;
    if (kind === 'live' || kind === 'file') this.#setScale(volts, volts);
  }

  /** A tone for the multimeter, past the builds, about a quarter of full scale. Its level is the interface's affair. */
  async playTone(isPlaying: boolean): Promise<void> {
    this.#endTone();
    if (this.#state.playsTone !== isPlaying) this.#change({ playsTone: isPlaying });
    if (!isPlaying) return;
    await this.start();
    const context = this.#context;
    // It may have been stopped, or have failed to start, meanwhile.
    if (context && this.#state.playsTone) this.#stopTone = playCalibrationTone(context);
    else this.#change({ playsTone: false });
  }

  #endTone(): void {
    this.#stopTone();
    this.#stopTone = () => {};
  }

  /**
   * Measures the delay from the output to the live input that is open, while the builds are muted; does nothing
   * otherwise. What comes of it is in the state.
   */
  async measureRoundTrip(): Promise<void> {
    const { isMuted, isMeasuringRoundTrip, input, sampleRateHz, latency } = this.#state;
    if (!(this.#context && this.#entry && input && isMuted) || isMeasuringRoundTrip) return;
    const problems = this.#problems('roundTrip', undefined);
    this.#change({ isMeasuringRoundTrip: true, roundTrip: undefined, problems });
    try {
      const result = roundTrip(await recordLoop(this.#context, this.#entry), sampleRateHz);
      const measured = { result, inputLabel: input.label, sampleRateHz, baseMs: latency.baseMs };
      this.#change({ roundTrip: measured, isMeasuringRoundTrip: false });
    } catch (error) {
      this.#change({ isMeasuringRoundTrip: false });
      if (!isRefused(error)) throw error;
      this.report('roundTrip', `The delay could not be measured (${error.message}).`);
    }
  }

  /** Changes what plays. Where that fails, what played goes on. @returns False where the source cannot be had. */
  async useSource(source: Source): Promise<boolean> {
    // Ahead of the number, since a start that failed is given up, and its requests with it.
    const starting = this.start();
    this.#requests++;
    const request = this.#requests;
    await starting;
    const context = this.#context;
    if (!context) return true;
    try {
      const play = await prepareSource(source, this.#targetOf(context));
      if (request === this.#requests) await this.#keepInputOut();
      if (request !== this.#requests) {
        play.discard();
        return true;
      }
      this.#stopSource();
      this.#stopSource = play.begin();
      const { facts: input, roundSeconds, warning } = play;
      this.measureLoudness();
      this.#change({ source, input, roundSeconds, problems: this.#problems('source', warning) });
      return true;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.report('source', error.message);
      return false;
    } finally {
      if (request === this.#requests) this.link.send({ type: 'gateInput', isOpen: true });
    }
  }

  /** Waits until what plays has been faded out. */
  async #keepInputOut(): Promise<void> {
    const { isRunning, source, latency } = this.#state;
    if (!isRunning || source.kind === 'none') return;
    this.link.send({ type: 'gateInput', isOpen: false });
    // A message waits for up to a block, which the fallback makes long.
    const ms = GATE_MS + 2 * latency.baseMs + latency.engineMs;
    await new Promise((resolve) => setTimeout(resolve, ms));
  }

  /** Says what goes wrong; undefined where that is mended, or dismissed. */
  report(cause: ProblemCause, message: string | undefined): void {
    const problems = this.#problems(cause, message);
    if (problems !== this.#state.problems) this.#change({ problems });
  }

  #problems(cause: ProblemCause, message: string | undefined): Problems {
    return withProblem(this.#state.problems, cause, message);
  }

  /**
   * What a source plays, V, at the context's rate; undefined for one that has no end.
   *
   * @throws SoundError where it cannot be read.
   */
  async readSource(source: Source): Promise<Capture | undefined> {
    if (source.kind === 'none' || source.kind === 'live' || source.kind === 'riff') return undefined;
    await this.start();
    if (!this.#context) return undefined;
    const { samples, volts, warning } = await soundOf(source, this.#context, this.#interfaceVolts);
    if (warning !== undefined) this.#change({ problems: this.#problems('source', warning) });
    return { samples: samples.map((sample) => volts * sample), sampleRateHz: this.#context.sampleRate };
  }

  #targetOf(context: AudioContext): SourceTarget {
    const session = this;
    return {
      context,
      get node() {
        return session.#entry!;
      },
      get interfaceVolts() {
        return session.#interfaceVolts;
      },
      setScale: (voltsPerFullScale, clipVolts) => this.#setScale(voltsPerFullScale, clipVolts),
      send: (message) => this.link.send(message),
      findRiff: (id) => this.findRiff(id),
      boundsOf: (riff) => this.#boundsHere(riff, riff.sampleRateHz),
      lose: (input) => this.#lose(input),
    };
  }

  /** The device went away: silence takes its place, never another device. */
  #lose({ facts }: LiveInput): void {
    const problem = `The input "${facts.label}" was disconnected. Connect it and choose it again; the rest goes on.`;
    this.#playNothing({ problems: this.#problems('source', problem) });
  }

  #playNothing(change: Partial<AudioState>): void {
    this.#stopSource();
    this.#stopSource = () => {};
    this.measureLoudness();
    this.#change({ ...change, source: { kind: 'none' }, roundSeconds: undefined, input: undefined });
  }

  #setScale(voltsPerFullScale: number, clipVolts: number): void {
    // The last code of a converter counts as clipped, whatever its width.
    this.#settings = { ...this.#settings, voltsPerFullScale, clipVolts: 0.999 * clipVolts };
    this.link.keep('settings', { type: 'settings', settings: this.#settings });
    this.measureLoudness();
  }

  #latency(): Latency {
    const { usesFallback, rate } = this.#state;
    return this.#context ? latencyOf(this.#context, rate.factor, usesFallback) : NO_LATENCY;
  }

  /** Output latency is known only after a while of playing. @param gaps That have come since this was last called. */
  #followPlayback(gaps: number): void {
    const latency = this.#latency();
    const moved = (latency.outputMs ?? 0) - (this.#state.latency.outputMs ?? 0);
    if (Math.abs(moved) > 0.5) this.#change({ latency });
    if (gaps <= 0) return;
    const entry = { count: gaps, factor: this.#state.rate.factor, atMs: Date.now() };
    this.#change({ dropouts: withDropouts(this.#state.dropouts, entry) });
  }

  #change(change: Partial<AudioState>): void {
    this.#state = { ...this.#state, ...change };
    this.dispatchEvent(new Event('change'));
  }
}

function startProblem(error: unknown): string {
  if (error instanceof Refusal) return error.message;
  return `Sound could not be started (${error instanceof Error ? error.message : error}). Press Listen to try again.`;
}

/** Whether the bench or the browser refuses, and not the program fails. */
function isRefused(error: unknown): error is Error {
  return error instanceof Refusal || error instanceof DOMException;
}

/** Whether the browser itself has what may also have been put in its place. */
function isNative(candidate: unknown): boolean {
  return (
    typeof candidate === 'function' && Function.prototype.toString.call(candidate).includes('[native code]')
  );
}
