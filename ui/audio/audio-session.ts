import workletUrl from '../../worklets/bench.worklet.ts?worklet';
import {
  type BenchSettings,
  type CapturedChunk,
  type FromProcessor,
  STARTING_SETTINGS,
} from '../../worklets/bench-messages.ts';
import type { LiveRate } from '../rate/live-rate.ts';
import type { Riff } from '../state/ear-state.ts';
import type { AudioState } from './audio-state.ts';
import { makeBenchNode } from './bench-node.ts';
import { BenchRemote } from './bench-remote.ts';
import { ContextWatch } from './context-watch.ts';
import { withDropouts } from './dropouts.ts';
import type { KeptDevice } from './kept-devices.ts';
import { type Latency, latencyOf, NO_LATENCY } from './latency.ts';
import { playToKeptOutput, useOutput } from './output-choice.ts';
import { haltSentence, hasUsualOutput, openOutputContext } from './output-context.ts';
import type { Source } from './prepared-source.ts';
import { isRefused, type ProblemCause, type Problems, startProblem } from './problems.ts';
import { RecentInput } from './recent-input.ts';
import { RiffTape } from './riff-tape.ts';
import { measureRoundTrip } from './round-trip-measurement.ts';
import { ScopeInbox } from './scope-inbox.ts';
import { SessionStatus } from './session-status.ts';
import { SoundsBeside } from './sounds-beside.ts';
import { type Capture, SourcePlayer } from './source-player.ts';
import { StartWatch } from './start-watch.ts';
import { type Telemetry, TelemetryInbox } from './telemetry.ts';
import { Context, setContext } from './tone.ts';

/**
 * The page's side of the sound: context, processor, sources, devices. Emits 'change' when its state does,
 * 'captured' with a `Capture` when a riff is complete, and 'halt' when sound has ended though nobody stopped it. After
 * a failure the present sound goes on, and `state.problems` says what happened.
 */
export class AudioSession extends BenchRemote {
  readonly #status = new SessionStatus(() => this.dispatchEvent(new Event('change')));
  readonly #player = new SourcePlayer({
    status: this.#status,
    start: () => this.start(),
    context: () => this.#context,
    entry: () => this.#entry,
    send: (message) => this.link.send(message),
    setScale: (voltsPerFullScale, clipVolts) => this.#setScale(voltsPerFullScale, clipVolts),
    measureLoudness: () => this.measureLoudness(),
  });
  #settings: BenchSettings = STARTING_SETTINGS;
  /** Resolves once circuits have been given for the rate in the state. */
  circuitsReady: () => Promise<void> = async () => {};
  readonly #inbox = new TelemetryInbox();
  readonly #scope = new ScopeInbox();
  readonly #tape = new RiffTape();
  readonly #recent = new RecentInput();
  readonly #watch = new ContextWatch();
  readonly #startWatch = new StartWatch();
  #starting: Promise<void> | undefined;
  #context: AudioContext | undefined;
  /** The node of all sources, before the processor; the round trip is also measured here. */
  #entry: GainNode | undefined;
  readonly #beside = new SoundsBeside();

  get state(): AudioState {
    return this.#status.state;
  }

  /** Finds a riff to play. */
  set findRiff(find: (id: string) => Riff | undefined) {
    this.#player.findRiff = find;
  }

  /** Rate for compiling circuits, Hz; before the start, the likely rate. */
  get circuitRateHz(): number {
    return this.state.sampleRateHz * this.state.rate.factor;
  }

  /** Changes the oversampling from now on; the circuits that play must be sent again. */
  setRate(rate: LiveRate): void {
    this.#change({ rate, latency: this.#latency(rate) });
  }

  /** Gaps in the sound since the start; undefined before the first reading. */
  readUnderruns(): number | undefined {
    return this.#watch.underruns;
  }

  /** The last telemetry of the audio thread, without loudness that was measured before `measureLoudness`. */
  readTelemetry(): Telemetry {
    return this.#inbox.read(this.measurement);
  }

  /**
   * Opens the context and the processor, muted, or resumes a context that was stopped from outside. To be
   * called from a user's gesture; does nothing while sound runs. A context that did not start is replaced: an
   * output may be available now.
   */
  start(): Promise<void> {
    if (this.#context?.state === 'closed') this.#release();
    if (this.#startWatch.isOverdue) void this.stop();
    if (this.#starting) {
      if (!this.state.isRunning) this.#context?.resume().catch(() => this.#halt());
      return this.#starting;
    }
    this.#watchStart();
    const starting = this.#open().catch(async (error: unknown) => {
      // Stopped meanwhile: the error comes from the closed context.
      if (starting !== this.#starting) return;
      await this.stop();
      this.#halt(startProblem(error));
      if (!isRefused(error)) reportError(error);
    });
    this.#starting = starting;
    return starting;
  }

  /**
   * Closes input and output at once; mute first for a fade. `start` opens them again, with the same circuits
   * and settings.
   */
  async stop(): Promise<void> {
    const context = this.#context;
    this.#release();
    if (context && context.state !== 'closed') await context.close();
  }

  #release(): void {
    this.#player.cancel();
    this.#context = undefined;
    this.#entry = undefined;
    this.#watch.end();
    this.#startWatch.end();
    this.link.disconnect();
    this.#starting = undefined;
    this.#inbox.clear();
    this.#recent.give(new Float32Array(0));
    this.#player.playNothing({ isRunning: false });
  }

  async #open(): Promise<void> {
    const { context, caution } = openOutputContext();
    this.#context = context;
    // A listener, since Tone sets `onstatechange`.
    context.addEventListener('statechange', () => this.#follow(context));
    setContext(new Context({ context, lookAhead: 0 }));
    await playToKeptOutput(this.#status, context, () => context === this.#context);
    await context.audioWorklet.addModule(workletUrl);
    if (context !== this.#context) return;
    const node = this.#makeNode(context);
    node.connect(context.destination);
    const entry = new GainNode(context, { channelCount: 1, channelCountMode: 'explicit' });
    entry.connect(node);
    navigator.mediaDevices?.addEventListener?.('devicechange', this.#onDeviceChange);
    // Before the node, so that circuits are compiled for this rate before any is sent.
    this.#change({
      sampleRateHz: context.sampleRate,
      latency: this.#latency(),
      problems: this.#problems('outputRate', caution),
    });
    // While circuits are prepared, no output is to blame for the silence.
    this.#startWatch.end();
    await this.circuitsReady();
    if (context !== this.#context) return;
    this.#watchStart();
    this.#entry = entry;
    this.link.connect(node.port);
    this.measureLoudness();
    await context.resume();
    this.#follow(context);
  }

  #watchStart(): void {
    this.#startWatch.begin((reason) => this.#halt(reason));
  }

  /** Updates whether sound runs, and if something else stopped it, what. */
  #follow(context: AudioContext): void {
    if (context !== this.#context) return;
    const { isRunning } = this.state;
    if (context.state === 'running') {
      // Opening is complete only when there is an input node.
      if (!isRunning && this.#entry) {
        this.#startWatch.end();
        this.#watch.begin(context, (gaps) => this.#followPlayback(gaps));
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

  /** Sound has ended though nobody stopped it. @param problem Why; by default the reason given before. */
  #halt(problem: string | undefined = this.state.problems.sound): void {
    this.#endTone();
    // While sound is paused its clock stands still, which is no gap.
    this.#watch.end();
    // It goes on with a fade.
    this.link.send({ type: 'mute', muted: true, isAtOnce: true });
    this.#inbox.clear();
    this.#change({ isRunning: false, playsTone: false, problems: this.#problems('sound', problem) });
    this.dispatchEvent(new Event('halt'));
  }

  #makeNode(context: AudioContext): AudioWorkletNode {
    const node = makeBenchNode(context, this.state.rate.factor, {
      telemetry: this.#inbox.shared,
      scope: this.#scope.shared,
    });
    node.port.onmessage = ({ data }: MessageEvent<FromProcessor>) => this.#receive(data);
    node.onprocessorerror = () => void this.#loseProcessor(context);
    return node;
  }

  /** A processor that has failed stays silent: the next start makes another. */
  async #loseProcessor(context: AudioContext): Promise<void> {
    if (context !== this.#context) return;
    await this.stop();
    this.#halt('The audio thread has stopped. Press Listen to start it again.');
  }

  #receive(message: FromProcessor): void {
    if (message.type === 'telemetry') this.#inbox.receive(message.values);
    else if (message.type === 'scope') this.#scope.receive(message.values);
    else if (message.type === 'recentInput') this.#recent.give(message.samples);
    else this.#receiveCapture(message);
  }

  #receiveCapture(message: CapturedChunk): void {
    const samples = this.#tape.receive(message);
    const detail: Capture | undefined = samples && { samples, sampleRateHz: this.state.sampleRateHz };
    if (detail) this.dispatchEvent(new CustomEvent('captured', { detail }));
  }

  readonly #onDeviceChange = (): void => {
    if (this.state.roundTrip) this.#change({ roundTrip: undefined });
    if (this.state.problems.outputRate !== undefined) void this.#checkOutputRate();
    this.dispatchEvent(new Event('devices'));
  };

  async #checkOutputRate(): Promise<void> {
    if (await hasUsualOutput()) this.report('outputRate', undefined);
  }

  /** Levels of those nets: see LEVELS_START. */
  readLevels(): Float32Array {
    return this.#inbox.readLevels();
  }

  /** The newest scope frame; undefined if none has come since the last one. Overwritten by the next. */
  readScope(): Float32Array | undefined {
    return this.#scope.read();
  }

  /** Starts or ends recording the dry input; the recording comes with the event 'captured'. */
  capture(isCapturing: boolean): void {
    this.link.send({ type: 'capture', isCapturing });
  }

  /** The last seconds of the dry input, V; empty while no sound runs. */
  readRecentInput(): Promise<Float32Array<ArrayBuffer>> {
    if (!this.state.isRunning) return Promise.resolve(new Float32Array(0));
    const asked = this.#recent.ask();
    this.link.send({ type: 'recentInput' });
    return asked;
  }

  /** Lets the beats before a recording be heard, the first one now; silent while muted. */
  countIn(beats: number, tempoBpm: number): void {
    this.endCountIn();
    if (!this.#context || this.state.isMuted) return;
    const level = 10 ** (this.#settings.outputDb / 20);
    this.#beside.playCountIn(this.#context, { beats, tempoBpm, level });
  }

  endCountIn(): void {
    this.#beside.stopCountIn();
  }

  setMuted(isMuted: boolean): void {
    if (isMuted) this.endCountIn();
    this.link.keep('mute', { type: 'mute', muted: isMuted });
    this.#change({ isMuted });
  }

  setSettings(settings: Partial<Omit<BenchSettings, 'voltsPerFullScale' | 'clipVolts'>>): void {
    const { standIn } = this.#settings;
    this.#settings = { ...this.#settings, ...settings };
    this.link.keep('settings', { type: 'settings', settings: this.#settings });
    if (this.#settings.standIn !== standIn) this.measureLoudness();
  }

  /** Plays to another output, now and on the next visit; undefined for the system's. */
  useOutput(output: KeptDevice | undefined): Promise<void> {
    return useOutput(this.#status, this.#context, output);
  }

  /** A tone for the multimeter, not through the builds, about a quarter of full scale. The interface sets its volts. */
  async playTone(isPlaying: boolean): Promise<void> {
    this.#endTone();
    if (this.state.playsTone !== isPlaying) this.#change({ playsTone: isPlaying });
    if (!isPlaying) return;
    await this.start();
    const context = this.#context;
    // It may have been stopped, or have failed to start, meanwhile.
    if (context && this.state.playsTone) this.#beside.playTone(context);
    else this.#change({ playsTone: false });
  }

  #endTone(): void {
    this.#beside.stopTone();
    if (this.state.playsTone) this.#player.forgetInput();
  }

  /**
   * Measures the delay from the output to the live input that is open, while the builds are muted; does nothing
   * otherwise. The result is in the state.
   */
  async measureRoundTrip(): Promise<void> {
    if (!this.#context || !this.#entry) return;
    await measureRoundTrip(this.#status, this.#context, this.#entry, () => this.#player.forgetInput());
  }

  /** Sets the problem of a cause; undefined when it is solved or dismissed. */
  report(cause: ProblemCause, message: string | undefined): void {
    this.#status.report(cause, message);
  }

  #problems(cause: ProblemCause, message: string | undefined): Problems {
    return this.#status.problems(cause, message);
  }

  /** Changes the source. If that fails, the old source goes on. @returns False if the source is not available. */
  useSource(source: Source): Promise<boolean> {
    return this.#player.use(source);
  }

  /** Samples of a source: see `SourcePlayer.read`. */
  readSource(source: Source, { isQuiet = false } = {}): Promise<Capture | undefined> {
    return this.#player.read(source, isQuiet);
  }

  /** Moves the ends of the loop that plays. */
  trimRiff(riff: Riff): void {
    this.#player.trimRiff(riff);
  }

  /** Full scale of the interface, V: scales a live input and the user's own files. */
  setInterfaceVolts(volts: number): void {
    this.#player.setInterfaceVolts(volts);
  }

  #setScale(voltsPerFullScale: number, clipVolts: number): void {
    // The last code of a converter counts as clipped, whatever its width.
    this.#settings = { ...this.#settings, voltsPerFullScale, clipVolts: 0.999 * clipVolts };
    this.link.keep('settings', { type: 'settings', settings: this.#settings });
  }

  #latency(rate: LiveRate = this.state.rate): Latency {
    const { usesFallback } = this.state;
    return this.#context ? latencyOf(this.#context, rate.factor, usesFallback) : NO_LATENCY;
  }

  /** Output latency is known only after a while of playing. @param gaps Since the last call. */
  #followPlayback(gaps: number): void {
    const latency = this.#latency();
    const moved = (latency.outputMs ?? 0) - (this.state.latency.outputMs ?? 0);
    if (Math.abs(moved) > 0.5) this.#change({ latency });
    if (gaps <= 0) return;
    const entry = { count: gaps, factor: this.state.rate.factor, atMs: Date.now() };
    this.#change({ dropouts: withDropouts(this.state.dropouts, entry) });
  }

  #change(change: Partial<AudioState>): void {
    this.#status.change(change);
  }
}
