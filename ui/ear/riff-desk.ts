import { encodeWav } from '../../engine/audio/wav.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { RiffBounds } from '../../worklets/bench-messages.ts';
import { LONGEST_RIFF_SECONDS } from '../../worklets/riff-capture.ts';
import { SEAM_SECONDS } from '../../worklets/riff-player.ts';
import type { AudioSession } from '../audio/audio-session.ts';
import type { Source } from '../audio/prepared-source.ts';
import { RECORDINGS } from '../audio/recordings.ts';
import type { Capture } from '../audio/source-player.ts';
import type { BenchStore } from '../state/bench-store.ts';
import type { EarCommand, EarState, Riff } from '../state/ear-state.ts';
import { forgetRiff, keepRiff, loadRiffs } from '../state/kept-riffs.ts';
import { databaseReason } from '../storage/database.ts';
import { offerDownload } from './download.ts';
import { sourceName } from './source-name.ts';

/** Beats of the count-in, one bar of four. */
export const COUNT_IN_BEATS = 4;
/** Shortest loop. */
const SHORTEST_ROUND_SECONDS = 0.1;
/** Below this peak nothing was played: a guitar's noise is some tens of microvolts. */
const SILENCE_V = 1e-4;

/** Records, stores and plays riffs for the riff panel. */
export class RiffDesk {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  readonly #useSource: (source: Source) => void;
  #metronome: ReturnType<typeof setInterval> | undefined;
  /** Number of clips before the recording began. */
  #clipsBefore = 0;
  #isDiscarding = false;

  constructor(store: BenchStore, session: AudioSession, useSource: (source: Source) => void) {
    this.#store = store;
    this.#session = session;
    this.#useSource = useSource;
    session.findRiff = (id) => this.#find(id);
    session.addEventListener('captured', (event) => this.#take((event as CustomEvent<Capture>).detail));
    void this.#load();
  }

  async #load(): Promise<void> {
    try {
      const kept = await loadRiffs();
      this.#change({ riffs: [...kept, ...this.#ear.riffs] });
    } catch (error) {
      const databaseTrouble = `Riffs of earlier visits cannot be read: ${databaseReason(error)}.`;
      this.#change({ databaseTrouble });
    }
    this.#leaveMissingRiff();
  }

  /** If the riff of the last visit is gone, the source of a first visit plays. */
  #leaveMissingRiff(): void {
    const { source } = this.#store.state;
    const recording = RECORDINGS[0];
    if (source.kind !== 'riff' || this.#find(source.id) || !recording) return;
    this.#store.act({ type: 'source', source: { kind: 'recording', id: recording.id } });
  }

  /** Stores a riff. If the browser does not store it, a message says so, and it lasts for this visit. */
  async #keep(riff: Riff): Promise<void> {
    const failed = await keepRiff(riff).then(() => undefined, databaseReason);
    const others = this.#ear.unkept.filter(({ id }) => id !== riff.id);
    if (failed !== undefined) this.#change({ unkept: [...others, { id: riff.id, reason: failed }] });
    else if (others.length < this.#ear.unkept.length) this.#change({ unkept: others });
  }

  async #forget(id: string): Promise<void> {
    const failed = await forgetRiff(id).then(() => undefined, databaseReason);
    const wasKept = !this.#ear.unkept.some((riff) => riff.id === id);
    this.#change({ unkept: this.#ear.unkept.filter((riff) => riff.id !== id) });
    if (failed !== undefined && wasKept)
      this.#change({ databaseTrouble: `The riff could not be removed for good: ${failed}.` });
  }

  /** @returns Whether the command is one of the riff desk's. */
  carryOut(command: EarCommand): boolean {
    switch (command.do) {
      case 'pressCapture':
        this.press();
        return true;
      case 'cancelCapture':
        this.#cancel();
        return true;
      case 'keepSource':
        void this.#keepSource(this.#store.state.source);
        return true;
      case 'addFile':
        void this.#keepSource({ kind: 'file', file: command.file });
        return true;
      case 'playRiff':
        this.#useSource({ kind: 'riff', id: command.id });
        return true;
      case 'trimRiff':
        this.#trim(command.id, command.bounds);
        return true;
      case 'renameRiff':
        this.#edit(command.id, { name: command.name });
        return true;
      case 'removeRiff':
        this.#remove(command.id);
        return true;
      case 'saveRiff':
        this.#save(command.id);
        return true;
      default:
        return false;
    }
  }

  /** Action of a foot switch: prepares, begins (also before the end of a count-in), ends. It never loses a recording. */
  press(): void {
    const { capture, hasCountIn } = this.#ear;
    if (capture === 'idle' && hasCountIn) this.#countIn();
    else if (capture === 'idle') this.#change({ capture: 'armed', beats: 0 });
    else if (capture === 'capturing') this.#end();
    else this.#beginNow();
  }

  /** The first beat is at the press. */
  #beginNow(): void {
    this.#session.endCountIn();
    this.#begin();
    this.#change({ beats: 1 });
    this.#startMetronome();
  }

  #countIn(): void {
    this.#change({ capture: 'counting', beats: 1 });
    this.#session.countIn(COUNT_IN_BEATS, this.#ear.tempoBpm);
    this.#startMetronome();
  }

  #startMetronome(): void {
    clearInterval(this.#metronome);
    this.#metronome = setInterval(() => {
      const beats = this.#ear.beats + 1;
      this.#change({ beats });
      if (this.#ear.capture === 'counting' && beats > COUNT_IN_BEATS) this.#begin();
    }, 60_000 / this.#ear.tempoBpm);
  }

  #begin(): void {
    this.#isDiscarding = false;
    this.#clipsBefore = this.#session.readTelemetry().inputClips;
    this.#session.capture(true);
    this.#change({ capture: 'capturing' });
  }

  #end(): void {
    clearInterval(this.#metronome);
    this.#session.capture(false);
  }

  #cancel(): void {
    this.#isDiscarding = true;
    this.#session.endCountIn();
    if (this.#ear.capture === 'capturing') this.#end();
    clearInterval(this.#metronome);
    this.#change({ capture: 'idle', beats: 0 });
  }

  #take({ samples, sampleRateHz }: Capture): void {
    clearInterval(this.#metronome);
    this.#change({ capture: 'idle', beats: 0 });
    if (this.#isDiscarding) return;
    const clips = this.#session.readTelemetry().inputClips - this.#clipsBefore;
    this.#add({ name: this.#freshName('Riff'), samples, sampleRateHz, clips });
  }

  async #keepSource(source: Source): Promise<void> {
    const name = sourceName(source, this.#ear.riffs);
    try {
      const sound = await this.#session.readSource(source);
      if (sound) this.#add({ ...sound, name, clips: 0 });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.#refuse(error.message);
    }
  }

  #add(sound: Pick<Riff, 'name' | 'samples' | 'sampleRateHz' | 'clips'>): void {
    const longest = LONGEST_RIFF_SECONDS * sound.sampleRateHz;
    const samples = sound.samples.length > longest ? sound.samples.slice(0, longest) : sound.samples;
    const peakV = samples.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
    if (!(peakV > SILENCE_V)) {
      this.#refuse('Nothing came in: choose the guitar as the input, then play.');
      return;
    }
    const seam = Math.ceil(SEAM_SECONDS * sound.sampleRateHz);
    if (samples.length - seam < SHORTEST_ROUND_SECONDS * sound.sampleRateHz) {
      this.#refuse('That was too short for a riff: a tenth of a second is the least.');
      return;
    }
    const riff = {
      ...sound,
      samples,
      id: freshId(),
      startFrame: 0,
      endFrame: samples.length - seam,
    };
    this.#change({ riffs: [...this.#ear.riffs, riff] });
    void this.#keep(riff);
    this.#useSource({ kind: 'riff', id: riff.id });
  }

  #trim(id: string, { startFrame, endFrame }: RiffBounds): void {
    const riff = this.#find(id);
    if (!riff) return;
    const shortest = Math.ceil(SHORTEST_ROUND_SECONDS * riff.sampleRateHz);
    const last = riff.samples.length - Math.ceil(SEAM_SECONDS * riff.sampleRateHz);
    const end = Math.min(last, Math.max(Math.round(endFrame), shortest));
    const start = Math.max(0, Math.min(Math.round(startFrame), end - shortest));
    this.#edit(id, { startFrame: start, endFrame: end });
    const { source } = this.#store.state;
    const trimmed = this.#find(id);
    if (trimmed && source.kind === 'riff' && source.id === id) this.#session.trimRiff(trimmed);
  }

  #edit(id: string, change: Partial<Riff>): void {
    const riffs = this.#ear.riffs.map((riff) => (riff.id === id ? { ...riff, ...change } : riff));
    this.#change({ riffs });
    const edited = this.#find(id);
    if (edited) void this.#keep(edited);
  }

  #remove(id: string): void {
    const { source } = this.#store.state;
    if (source.kind === 'riff' && source.id === id) this.#useSource({ kind: 'none' });
    this.#change({ riffs: this.#ear.riffs.filter((riff) => riff.id !== id) });
    void this.#forget(id);
  }

  #save(id: string): void {
    const riff = this.#find(id);
    if (!riff) return;
    const round = Float64Array.from(riff.samples.subarray(riff.startFrame, riff.endFrame));
    const wav = encodeWav({ channels: [round], sampleRateHz: riff.sampleRateHz });
    offerDownload(new Blob([new Uint8Array(wav)], { type: 'audio/wav' }), riff.name, 'riff.wav');
  }

  #freshName(stem: string): string {
    const taken = new Set(this.#ear.riffs.map(({ name }) => name));
    for (let number = 1; ; number++) if (!taken.has(`${stem} ${number}`)) return `${stem} ${number}`;
  }

  #find(id: string): Riff | undefined {
    return this.#ear.riffs.find((riff) => riff.id === id);
  }

  get #ear(): EarState {
    return this.#store.state.ear;
  }

  #change(change: Partial<EarState>): void {
    this.#store.act({ type: 'ear', change });
  }

  #refuse(message: string): void {
    this.#store.act({ type: 'refuse', ref: '', slot: undefined, message });
  }
}

/** An id that no other riff has; pages that are neither secure nor local lack `randomUUID`. */
function freshId(): string {
  const words = crypto.getRandomValues(new Uint32Array(4));
  return [...words].map((word) => word.toString(16).padStart(8, '0')).join('');
}
