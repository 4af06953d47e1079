import { Refusal } from '../../engine/input/refusal.ts';
import type { RiffBounds, ToProcessor } from '../../worklets/bench-messages.ts';
import { type Riff, riffSeconds } from '../state/ear-state.ts';
import type { AudioState } from './audio-state.ts';
import type { LiveInput } from './live-input.ts';
import { prepareSource, type Source, type SourceTarget, soundOf } from './prepared-source.ts';
import type { SessionStatus } from './session-status.ts';

/** The input's fade and the block that it begins in. */
const GATE_MS = 15;

/** The dry input recorded for a riff. */
export interface Capture {
  /** Volts. */
  readonly samples: Float32Array<ArrayBuffer>;
  readonly sampleRateHz: number;
}

/** The session that a source plays in. */
export interface SourceSession {
  readonly status: SessionStatus;
  readonly start: () => Promise<void>;
  /** Undefined while sound is off. */
  readonly context: () => AudioContext | undefined;
  /** The node of all sources. */
  readonly entry: () => AudioNode | undefined;
  readonly send: (message: ToProcessor) => void;
  readonly setScale: (voltsPerFullScale: number, clipVolts: number) => void;
  readonly measureLoudness: () => void;
}

/** What plays into the builds: opens, changes and ends it. After a failure the source before goes on. */
export class SourcePlayer {
  readonly #session: SourceSession;
  /** Finds a riff to play. */
  findRiff: (id: string) => Riff | undefined = () => undefined;
  /** Full scale of the interface, V. */
  #interfaceVolts = 1;
  #stop: () => void = () => {};
  /** Number of the last request for a source; earlier ones are ignored. */
  #requests = 0;

  constructor(session: SourceSession) {
    this.#session = session;
  }

  /** Requests that are being carried out are ignored from now on. */
  cancel(): void {
    this.#requests++;
  }

  /** Changes the source. If that fails, the old source goes on. @returns False if the source is not available. */
  async use(source: Source): Promise<boolean> {
    const { status, start, send } = this.#session;
    // Before the number, since a failed start cancels its requests.
    const starting = start();
    this.#requests++;
    const request = this.#requests;
    await starting;
    const context = this.#session.context();
    if (!context) return true;
    try {
      const play = await prepareSource(source, this.#targetOf(context));
      if (request === this.#requests) await this.#keepInputOut();
      if (request !== this.#requests) {
        play.discard();
        return true;
      }
      this.#stop();
      this.#stop = play.begin();
      const { facts: input, roundSeconds, warning } = play;
      this.forgetInput();
      this.#session.measureLoudness();
      status.change({ source, input, roundSeconds, problems: status.problems('source', warning) });
      return true;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      status.report('source', error.message);
      return false;
    } finally {
      if (request === this.#requests) send({ type: 'gateInput', isOpen: true });
    }
  }

  /** Waits until the present source has faded out. */
  async #keepInputOut(): Promise<void> {
    const { isRunning, source, latency } = this.#session.status.state;
    if (!isRunning || source.kind === 'none') return;
    this.#session.send({ type: 'gateInput', isOpen: false });
    // A message waits for up to a block, which the fallback makes long.
    const ms = GATE_MS + 2 * latency.baseMs + latency.engineMs;
    await new Promise((resolve) => setTimeout(resolve, ms));
  }

  playNothing(change: Partial<AudioState>): void {
    this.#stop();
    this.#stop = () => {};
    this.#session.measureLoudness();
    const silence = { source: { kind: 'none' }, roundSeconds: undefined, input: undefined } as const;
    this.#session.status.change({ ...change, ...silence });
  }

  /**
   * Samples of a source, V, at the context's rate; undefined for one without an end.
   *
   * @param isQuiet Damage of a file is not reported: it was when the file began to play. @throws SoundError where it cannot be read.
   */
  async read(source: Source, isQuiet: boolean): Promise<Capture | undefined> {
    if (source.kind === 'none' || source.kind === 'live' || source.kind === 'riff') return undefined;
    await this.#session.start();
    // Kept: it may be closed while the source is read.
    const context = this.#session.context();
    if (!context) return undefined;
    const { samples, volts, warning } = await soundOf(source, context, this.#interfaceVolts);
    if (warning !== undefined && !isQuiet) this.#session.status.report('source', warning);
    return { samples: samples.map((sample) => volts * sample), sampleRateHz: context.sampleRate };
  }

  /** Moves the ends of the loop that plays. */
  trimRiff(riff: Riff): void {
    this.#session.status.change({ roundSeconds: riffSeconds(riff) });
    this.#session.send({ type: 'trimRiff', ...this.#boundsOf(riff) });
    this.#session.measureLoudness();
  }

  /** Bounds of a riff's round at the rate of the output. */
  #boundsOf({ startFrame, endFrame, sampleRateHz }: Riff): RiffBounds {
    const scale = this.#session.status.state.sampleRateHz / sampleRateHz;
    return { startFrame: Math.round(startFrame * scale), endFrame: Math.round(endFrame * scale) };
  }

  /** Full scale of the interface, V: scales a live input and the user's own files. */
  setInterfaceVolts(volts: number): void {
    this.#interfaceVolts = volts;
    const { kind } = this.#session.status.state.source;
    if (kind === 'live' || kind === 'file') this.#setScale(volts, volts);
  }

  #setScale(voltsPerFullScale: number, clipVolts: number): void {
    this.#session.setScale(voltsPerFullScale, clipVolts);
    this.forgetInput();
    this.#session.measureLoudness();
  }

  /** From now on the recent input is of this source, in these volts, without a tone that the interface may play back into it. */
  forgetInput(): void {
    this.#session.send({ type: 'forgetInput' });
  }

  #targetOf(context: AudioContext): SourceTarget {
    const player = this;
    return {
      context,
      get node() {
        return player.#session.entry()!;
      },
      get interfaceVolts() {
        return player.#interfaceVolts;
      },
      setScale: (voltsPerFullScale, clipVolts) => this.#setScale(voltsPerFullScale, clipVolts),
      send: (message) => this.#session.send(message),
      findRiff: (id) => this.findRiff(id),
      boundsOf: (riff) => this.#boundsOf(riff),
      lose: (input) => this.#lose(input),
    };
  }

  /** The device was disconnected: silence replaces it, never another device. */
  #lose({ facts }: LiveInput): void {
    const problem = `The input "${facts.label}" was disconnected. Connect it and choose it again; the rest goes on.`;
    this.playNothing({ problems: this.#session.status.problems('source', problem) });
  }
}
