import type { AudioSession } from './audio/audio-session.ts';
import type { Source } from './audio/prepared-source.ts';
import type { BenchStore } from './state/bench-store.ts';

/**
 * What plays into the builds: asks the session for what was chosen, and has the bench show what plays, or what will
 * once sound is started. A source that cannot be had leaves the one before in place.
 */
export class BenchSource {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  /** The last one that could be had, or the one that the bench starts with. */
  #kept: Source;
  /** What plays, and what played last. */
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
    } else if (this.#store.state.source === source) this.#goBack(source);
  }

  /** Not where something else was chosen meanwhile. */
  #goBack(refused: Source): void {
    this.#show(this.#kept);
    const isSilent = this.#store.state.isListening && this.#session.state.source.kind === 'none';
    if (isSilent && this.#kept !== refused) this.#begin(this.#kept);
  }

  #show(source: Source): void {
    if (this.#store.state.source !== source) this.#store.act({ type: 'source', source });
  }

  /** A live input is opened only where it is chosen, after the cautions; again where the output was lost meanwhile. */
  #begin(source: Source): void {
    if (source.kind !== 'live' || source === this.#played) void this.use(source);
  }

  /** What was chosen before sound was started is asked for with the first Listen. */
  #followListening(): void {
    const { isListening, source } = this.#store.state;
    const hasBegun = isListening && !this.#wasListening;
    this.#wasListening = isListening;
    if (hasBegun && this.#session.state.source.kind === 'none') this.#begin(source);
  }

  /** An input that went away is shown as gone. */
  #followSession(): void {
    const { source, isRunning } = this.#session.state;
    const before = this.#playing;
    this.#playing = source;
    if (source.kind !== 'none') {
      this.#kept = source;
      this.#played = source;
    } else if (isRunning && before.kind === 'live' && this.#kept === before) {
      this.#kept = source;
      if (this.#store.state.source === before) this.#show(source);
    }
  }
}
