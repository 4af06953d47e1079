import type { AudioSession } from './audio/audio-session.ts';
import type { Source } from './audio/prepared-source.ts';
import type { BenchStore } from './state/bench-store.ts';

/**
 * The source of the builds: requests the chosen source from the session, and shows the one that plays, or will
 * play after the start. If a source is not available, the old one stays.
 */
export class BenchSource {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  /** The last available source, or the starting one. */
  #kept: Source;
  /** The present source, and the last one. */
  #playing: Source = { kind: 'none' };
  #played: Source | undefined;
  #wasListening: boolean;

  constructor(store: BenchStore, session: AudioSession) {
    this.#store = store;
    this.#session = session;
    this.#kept = store.state.source;
    this.#wasListening = store.state.isListening;
    store.addEventListener('change', () => this.#followListening());
    session.addEventListener('change', () => this.#followSession());
  }

  async use(source: Source): Promise<void> {
    this.#show(source);
    const couldBeHad = await this.#session.useSource(source);
    if (couldBeHad) {
      if (this.#session.state.source === source) this.#kept = source;
    } else if (this.#store.wanted.source === source) this.#goBack(source);
  }

  /** Does nothing if another source was chosen meanwhile. */
  #goBack(refused: Source): void {
    this.#show(this.#kept);
    const isSilent = this.#store.state.isListening && this.#session.state.source.kind === 'none';
    if (isSilent && this.#kept !== refused) this.#begin(this.#kept);
  }

  #show(source: Source): void {
    if (this.#store.wanted.source !== source) this.#store.act({ type: 'source', source });
  }

  /** A live input is opened only by a choice, after the cautions; and again after the output was lost. */
  #begin(source: Source): void {
    if (source.kind !== 'live' || source === this.#played) void this.use(source);
  }

  /** A source chosen before the start is requested with the first Listen. */
  #followListening(): void {
    const { isListening, source } = this.#store.state;
    const hasBegun = isListening && !this.#wasListening;
    this.#wasListening = isListening;
    if (hasBegun && this.#session.state.source.kind === 'none') this.#begin(source);
  }

  /** Shows that an input was disconnected. */
  #followSession(): void {
    const { source, isRunning } = this.#session.state;
    const before = this.#playing;
    this.#playing = source;
    if (source.kind !== 'none') {
      this.#kept = source;
      this.#played = source;
    } else if (isRunning && before.kind === 'live' && this.#kept === before) {
      this.#kept = source;
      if (this.#store.wanted.source === before) this.#show(source);
    }
  }
}
