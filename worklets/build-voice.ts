import { ProgrammeLoudness } from '../engine/audio/programme-loudness.ts';
import { ShapedNoise } from '../engine/audio/shaped-noise.ts';
import { Speaker } from '../engine/audio/speaker.ts';
import type { CircuitSimulator } from '../engine/solver/circuit-simulator.ts';
import type { CircuitNumbers, CompiledCircuit } from '../engine/solver/compiled-circuit.ts';
import { CircuitRunner, type RunnerOptions } from './circuit-runner.ts';
import { LevelScan } from './level-scan.ts';
import { VoicePop } from './voice-pop.ts';
import { VoiceProbe } from './voice-probe.ts';

/** Time for which a circuit of another structure or rate runs unheard before it is faded in. */
const WARM_UP_SECONDS = 0.03;
const SWAP_FADE_SECONDS = 0.02;
/** With it, a gain of 12 dB leaves at most 1.7 dB too much or too little for some milliseconds of the fade; without, 2.8 dB. */
const GAIN_LEAD_SECONDS = 0.002;
/** After the watched net has changed it is not shown for this time: the filters that lower its rate begin at 0 V. */
const WATCH_SETTLING_SECONDS = 0.004;
/** After a reset of a block, the build is silent for this time and then fades back. */
const RECOVERY_SECONDS = 0.03;
/** The last output decays to zero in this time, so that the silence does not begin with a click; starting from at most this, V. */
const RELEASE_SECONDS = 0.005;
const RELEASE_MOST_V = 10;

/** Which parts of a block are already solved; see VoicePairing. */
export interface SolvedBlock {
  readonly isRunnerSolved: boolean;
  readonly isIncomingSolved: boolean;
}

/**
 * The sound of one build: its circuit at the oversampled rate, back to the base rate, through the speaker
 * filter, with its loudness measured. `load` allocates and must be called from a message handler; `process` does not.
 */
export class BuildVoice {
  readonly output: Float64Array;
  /** Voltage of the probed net, V; without a probe, of the output before the speaker filter. */
  readonly probed: Float64Array;
  /**
   * Voltage of the watched net, V; NaN while none is, while the probe or the levels need the circuit's one probe, and for
   * a moment after it began, also in another circuit.
   */
  readonly watched: Float64Array;
  readonly #options: RunnerOptions;
  readonly #incomingOutput: Float64Array;
  readonly #incomingProbe: Float64Array;
  /** Shift of the probed net's DC voltage while another circuit fades in, V; and its target. */
  readonly #probeShift: Float64Array;
  readonly #probeStep = new Float64Array(1);
  readonly #probe: VoiceProbe;
  /** Net under the probe; undefined for the output, null where the build does not have the net. */
  #net: string | null | undefined;
  /** The requested net: the probe goes there after the old one has faded out. */
  #wantedNet: string | null | undefined;
  #isProbeMoving = false;
  readonly #scan = new LevelScan();
  #watchedNet: string | undefined;
  /** Samples of the watched net left until it is shown. */
  readonly #watchSettling = new Int32Array(1);
  /** DC voltage of the net whose level is measured; NaN if the circuit does not have it. */
  readonly #scanRestV = new Float64Array(1);
  readonly #noise: ShapedNoise;
  readonly #speaker: Speaker;
  readonly #pop: VoicePop;
  readonly #loudness: ProgrammeLoudness;
  /** The one channel that is measured. */
  readonly #measured: readonly Float64Array[];
  #runner: CircuitRunner | undefined;
  #incoming: CircuitRunner | undefined;
  /** The newest circuit that came during a crossfade; it is next. */
  #waiting: CircuitRunner | undefined;
  /** Samples of warm-up left, samples of the swap's fade done, samples of recovery left, resets seen. */
  readonly #state = new Int32Array(4);
  /** Newton iterations, failures and resets of earlier circuits. */
  readonly #past = new Float64Array(3);
  /** Last output before noise and speaker, and the last one before a silence, V. */
  readonly #held = new Float64Array(2);

  /** @param noiseSeed Seed of the build's hiss. */
  constructor(options: RunnerOptions, noiseSeed: number) {
    this.#options = options;
    this.output = new Float64Array(options.maxFrames);
    this.#incomingOutput = new Float64Array(options.maxFrames);
    this.#incomingProbe = new Float64Array(options.maxFrames);
    this.#probeShift = new Float64Array(options.maxFrames);
    this.probed = new Float64Array(options.maxFrames);
    this.watched = new Float64Array(options.maxFrames).fill(Number.NaN);
    this.#probe = new VoiceProbe(options.sampleRateHz, options.maxFrames);
    this.#noise = new ShapedNoise({ ...options, seed: noiseSeed });
    this.#speaker = new Speaker(options.sampleRateHz, options.maxFrames);
    this.#pop = new VoicePop(options.sampleRateHz, options.maxFrames);
    this.#loudness = new ProgrammeLoudness(options.sampleRateHz, 1, options.maxFrames);
    this.#measured = [this.output];
  }

  /** The circuit that plays, not one that is fading in. */
  get runner(): CircuitRunner | undefined {
    return this.#runner;
  }

  /** The circuit that is fading in. */
  get incomingRunner(): CircuitRunner | undefined {
    return this.#incoming;
  }

  /** The circuit that was loaded last. */
  get newestRunner(): CircuitRunner | undefined {
    return this.#waiting ?? this.#incoming ?? this.#runner;
  }

  /** Whether a circuit plays here or is next. */
  has(runner: CircuitRunner): boolean {
    return runner === this.#runner || runner === this.#incoming || runner === this.#waiting;
  }

  /** Whether the probe's net of the circuit that plays is wanted in every sample. */
  get isProbed(): boolean {
    return this.#net !== undefined || this.#scan.net !== undefined || this.#watchedNet !== undefined;
  }

  /** Whether all changes are complete: nothing fades in, and no value glides. */
  get isSettled(): boolean {
    return this.#incoming === undefined && !this.#runner?.simulator.isGliding;
  }

  /**
   * Whether the gain that belongs to the newest circuit has to wait. It glides for about as long as the circuit fades in,
   * but begins slowly, so it starts a little earlier.
   */
  get isAwaitingFade(): boolean {
    const lead = GAIN_LEAD_SECONDS * this.#options.sampleRateHz;
    return this.#waiting !== undefined || (this.#incoming !== undefined && this.#state[0]! > lead);
  }

  /** Takes a circuit; the first at once, others by a crossfade. Allocates. */
  load(circuit: CompiledCircuit): void {
    const runner = new CircuitRunner(circuit, this.#options);
    runner.probe(this.#net);
    if (!this.#runner) {
      this.#runner = runner;
      // The probe may have been set before there was a circuit.
      this.#chooseProbed();
      this.#probeScanned();
    } else if (this.#incoming) this.#waiting = runner;
    else this.#beginSwap(runner);
  }

  #beginSwap(runner: CircuitRunner): void {
    this.#incoming = runner;
    this.#state[0] = Math.round(WARM_UP_SECONDS * this.#options.sampleRateHz);
    this.#state[1] = 0;
  }

  /** Gives the newest circuit other numbers. */
  setValues(numbers: CircuitNumbers, glideSeconds: number): void {
    const runner = this.newestRunner;
    if (!runner || runner.simulator.circuit.parameters.length !== numbers.parameters.length) return;
    runner.simulator.setParameters(numbers.parameters, glideSeconds);
    runner.simulator.setRest(numbers);
    this.#probeScanned();
  }

  /**
   * Sets the probe to a net of the newest circuit, which is heard in place of the output.
   *
   * @param net Undefined for the output; null where the build does not have the net, which is silence.
   */
  setProbe(net: string | null | undefined): void {
    if (net === this.#wantedNet) return;
    this.#wantedNet = net;
    this.#isProbeMoving = true;
    if (!this.#probe.isAudible) this.#moveProbe();
    else if (net === undefined) this.#probe.release();
    else this.#probe.leave();
  }

  /** Real-time safe. */
  #moveProbe(): void {
    const net = this.#wantedNet;
    this.#isProbeMoving = false;
    this.#net = net;
    this.#settleWatched();
    this.#runner?.probe(net);
    this.#incoming?.probe(net);
    this.#waiting?.probe(net);
    this.#chooseProbed();
    this.#probeScanned();
  }

  /** Real-time safe. */
  #chooseProbed(): void {
    const net = this.#net;
    if (net === undefined) return;
    const nets = this.newestRunner?.simulator.circuit.nodeNames;
    const isPresent = typeof net === 'string' && nets?.includes(net) === true;
    // While another circuit fades in, the probe first hears the one that plays.
    this.#probe.choose(probedRest(this.#runner, net), isPresent);
  }

  /** Measures the levels of these nets, one after another, while the probe is on the output. */
  setLevels(nets: readonly string[]): void {
    this.#scan.choose(nets);
    this.#probeScanned();
  }

  /** Shows a net to the scope while the circuit's one probe is free; undefined for none. */
  watch(net: string | undefined): void {
    if (net !== this.#watchedNet) this.#settleWatched();
    this.#watchedNet = net;
    this.#probeScanned();
  }

  /** Whether the probe of the circuit is at the watched net. */
  get #isWatching(): boolean {
    return this.#watchedNet !== undefined && this.#net === undefined && this.#scan.net === undefined;
  }

  /** Real-time safe. */
  #settleWatched(): void {
    this.#watchSettling[0] = Math.round(WATCH_SETTLING_SECONDS * this.#options.sampleRateHz);
  }

  /** Writes the level of the measured net, and goes on to the next one: see LevelScan. Real-time safe. */
  turnLevels(values: Float32Array, start: number): void {
    if (this.#scan.net === undefined) return;
    this.#scan.turn(values, start, this.#net === undefined && !Number.isNaN(this.#scanRestV[0]!));
    this.#probeScanned();
  }

  #probeScanned(): void {
    const simulator = this.#runner?.simulator;
    if (!simulator || this.#net !== undefined) return;
    const net = this.#scan.net ?? this.#watchedNet;
    const node = net === undefined ? -1 : simulator.circuit.nodeNames.indexOf(net);
    this.#scanRestV[0] = node < 0 ? Number.NaN : simulator.restVoltage(node);
    simulator.probe(node);
  }

  /** Gain of the probed net for the loudness of the output, dB; −Infinity until it is known. */
  get probeGainDb(): number {
    return this.#probe.gainDb;
  }

  /** Fades to another hiss of the build, added to its output; empty for none. */
  setNoise(coefficients: Float64Array): void {
    this.#noise.setFilter(coefficients);
  }

  /** Another impulse response in place of the built-in speaker; empty for that. Allocates. */
  setSpeaker(response: Float64Array): void {
    this.#speaker.setResponse(response);
    this.#pop.setSpeaker(response);
    this.#probe.setSpeaker(response);
  }

  /** Adds the pop of the footswitch to the output, as the circuit of its other position fades in; volts at the base rate. */
  pop(samples: Float64Array<ArrayBuffer>): void {
    this.#pop.start(samples, this.#incoming ? this.#state[0]! : 0);
  }

  /** Whether it is heard through the speaker. Allocates. */
  setStandIn(isOn: boolean): void {
    this.#speaker.setOn(isOn);
    this.#pop.setStandIn(isOn);
    this.#probe.setStandIn(isOn);
  }

  measureLoudness(): void {
    this.#loudness.reset();
  }

  /** Gated loudness since it was last measured anew, dB of 1 V; −Infinity in silence. */
  get loudness(): number {
    return this.#loudness.integrated;
  }

  /** Oversampling factor of the circuit. */
  get factor(): number {
    return this.#runner ? this.#runner.factor : 0;
  }

  /** Newton iterations of all circuits of the slot since the start. */
  get newtonIterations(): number {
    const incoming = this.#incoming ? this.#incoming.simulator.newtonIterations : 0;
    return this.#past[0]! + incoming + (this.#runner ? this.#runner.simulator.newtonIterations : 0);
  }

  /** Samples in which an iteration did not converge, since the start. */
  get failures(): number {
    const incoming = this.#incoming ? this.#incoming.simulator.failures : 0;
    return this.#past[1]! + incoming + (this.#runner ? this.#runner.simulator.failures : 0);
  }

  /** Number of resets of blocks since the start. */
  get resets(): number {
    const incoming = this.#incoming ? this.#incoming.simulator.resets : 0;
    return this.#past[2]! + incoming + (this.#runner ? this.#runner.simulator.resets : 0);
  }

  /** Longest next block, samples: at its end the probe goes to another net. */
  get mostFrames(): number {
    const left = this.#isProbeMoving ? this.#probe.samplesToLeave : 0;
    return left > 0 && left < this.#options.maxFrames ? left : this.#options.maxFrames;
  }

  /**
   * One block into `output`, V. Real-time safe.
   *
   * @param volts The input at the base rate.
   * @param pairing Parts that it has already solved are not solved again.
   */
  process(volts: Float64Array, frames: number, pairing: SolvedBlock): void {
    if (this.#runner) {
      this.#run(this.#runner, volts, frames, this.output, this.probed, pairing.isRunnerSolved);
    } else this.#fallSilent();
    if (this.#incoming) this.#swap(this.#incoming, volts, frames, pairing.isIncomingSolved);
    this.#hushAfterReset(frames);
    this.#noise.addTo(this.output, frames);
    if (!this.#isWatching || !this.#runner) this.#watchNothing();
    if (this.#net === undefined) for (let n = 0; n < frames; n++) this.probed[n] = this.output[n]!;
    this.#speaker.process(this.output, frames, this.output);
    this.#loudness.process(this.#measured, frames);
    if (this.#net === undefined) this.#pop.addTo(this.output, frames);
    else this.#pop.drop();
    if (this.#probe.isAudible) this.#probe.process(this.probed, this.#probeShift, this.output, frames);
    this.#settleProbe();
    this.#beginWaiting();
    if (this.#isProbeMoving && this.#probe.samplesToLeave === 0) this.#moveProbe();
  }

  /** Only where the probe has settled: its next shift counts from the circuit that plays now. */
  #beginWaiting(): void {
    if (this.#incoming || !this.#waiting) return;
    this.#beginSwap(this.#waiting);
    this.#waiting = undefined;
  }

  /** From now on the probed net has the DC voltage of the new circuit. */
  #settleProbe(): void {
    if (this.#incoming) return;
    this.#probe.shift(this.#probeStep[0]!);
    this.#probeStep[0] = 0;
    this.#probeShift.fill(0);
  }

  #fallSilent(): void {
    this.output.fill(0);
    this.probed.fill(0);
  }

  #run(
    runner: CircuitRunner,
    volts: Float64Array,
    frames: number,
    output: Float64Array,
    probed: Float64Array,
    isSolved: boolean,
  ): void {
    if (!isSolved) runner.solve(volts, frames, this.isProbed);
    runner.lower(frames, output);
    this.#readProbe(runner, frames, probed);
  }

  #readProbe(runner: CircuitRunner, frames: number, probed: Float64Array): void {
    if (this.#net !== undefined) runner.lowerProbe(frames, probed);
    else if (this.#scan.net !== undefined && runner === this.#runner) {
      this.#scan.watch(runner.denseProbe, frames * runner.factor, this.#scanRestV[0]!);
    } else if (this.#watchedNet !== undefined && runner === this.#runner) {
      if (Number.isNaN(this.#scanRestV[0]!)) this.#watchNothing();
      else this.#lowerWatched(runner, frames);
    }
  }

  #lowerWatched(runner: CircuitRunner, frames: number): void {
    const settling = this.#watchSettling;
    runner.lowerProbe(frames, this.watched);
    for (let frame = 0; frame < frames && settling[0]! > 0; frame++) {
      this.watched[frame] = Number.NaN;
      settling[0]!--;
    }
  }

  #watchNothing(): void {
    this.watched.fill(Number.NaN);
    this.#settleWatched();
  }

  #swap(incoming: CircuitRunner, volts: Float64Array, frames: number, isSolved: boolean): void {
    this.#run(incoming, volts, frames, this.#incomingOutput, this.#incomingProbe, isSolved);
    const state = this.#state;
    const fadeSamples = SWAP_FADE_SECONDS * this.#options.sampleRateHz;
    const step = probedRest(incoming, this.#net) - probedRest(this.#runner, this.#net);
    this.#probeStep[0] = step;
    for (let frame = 0; frame < frames; frame++) {
      this.#probeShift[frame] = 0;
      if (state[0]! > 0) {
        state[0]!--;
        continue;
      }
      const share = state[1]! >= fadeSamples ? 1 : state[1]! / fadeSamples;
      state[1]!++;
      const gain = 0.5 - 0.5 * Math.cos(Math.PI * share);
      this.output[frame] = (1 - gain) * this.output[frame]! + gain * this.#incomingOutput[frame]!;
      this.probed[frame] = (1 - gain) * this.probed[frame]! + gain * this.#incomingProbe[frame]!;
      this.#probeShift[frame] = gain * step;
    }
    if (state[1]! < fadeSamples) return;
    if (this.#runner) this.#keepCounts(this.#runner.simulator);
    this.#runner = incoming;
    this.#incoming = undefined;
    this.#settleWatched();
    this.#probeScanned();
  }

  #keepCounts({ newtonIterations, failures, resets }: CircuitSimulator): void {
    this.#past[0]! += newtonIterations;
    this.#past[1]! += failures;
    this.#past[2]! += resets;
  }

  /**
   * After a number that was not finite: the old output decays to zero, and after a silence the circuit fades
   * back; later if it happens again meanwhile.
   */
  #hushAfterReset(frames: number): void {
    const state = this.#state;
    const length = Math.round(RECOVERY_SECONDS * this.#options.sampleRateHz);
    if (this.resets > state[3]!) {
      // If resetting a block does not help, the fault has spread to a supply.
      if (state[2]! > 0) this.#restart();
      state[3] = this.resets;
      state[2] = 2 * length;
      this.#hold();
    }
    const release = Math.round(RELEASE_SECONDS * this.#options.sampleRateHz);
    for (let frame = 0; frame < frames && state[2]! > 0; frame++) {
      state[2]!--;
      const silent = 2 * length - state[2]!;
      const left = silent < release ? 0.5 + 0.5 * Math.cos((Math.PI * silent) / release) : 0;
      const back = state[2]! >= length ? 0 : 1 - state[2]! / length;
      this.output[frame] = (back > 0 ? back * this.output[frame]! : 0) + left * this.#held[1]!;
    }
    if (frames > 0) this.#held[0] = this.output[frames - 1]!;
  }

  #hold(): void {
    const last = this.#held[0]!;
    this.#held[1] = last > RELEASE_MOST_V ? RELEASE_MOST_V : last < -RELEASE_MOST_V ? -RELEASE_MOST_V : last;
  }

  #restart(): void {
    if (this.#runner) this.#runner.simulator.reset();
    if (this.#incoming) this.#incoming.simulator.reset();
  }
}

/** DC voltage of a net by its name, V; 0 if the circuit does not have it. Real-time safe. */
function probedRest(runner: CircuitRunner | undefined, net: string | null | undefined): number {
  if (!runner || typeof net !== 'string') return 0;
  const node = runner.simulator.circuit.nodeNames.indexOf(net);
  return node < 0 ? 0 : runner.simulator.restVoltage(node);
}
