import type { AudioSession } from '../audio/audio-session.ts';
import type { BenchState } from '../state/bench-state.ts';
import { type Phrase, readPhrase } from './phrase.ts';

/** What of the bench decides the phrase. */
export type PhraseState = Pick<BenchState, 'source'> & {
  readonly ear: Pick<BenchState['ear'], 'riffs'>;
  readonly calibration: Pick<BenchState['calibration'], 'volts'>;
};

/** The phrase that plays, kept while the same source plays: to read it takes a tenth of a second. */
export class PlayingPhrase {
  readonly #session: Pick<AudioSession, 'readSource' | 'state'>;
  #last: { readonly key: readonly unknown[]; readonly phrase: Promise<Phrase> } | undefined;

  constructor(session: Pick<AudioSession, 'readSource' | 'state'>) {
    this.#session = session;
  }

  /** The same promise while the same plays. @throws Refusal if nothing plays, and for a live input. */
  of(bench: PhraseState): Promise<Phrase> {
    const key = this.#keyOf(bench);
    const last = this.#last;
    if (last && key.every((each, index) => each === last.key[index])) return last.phrase;
    const phrase = readPhrase(bench, this.#session, { isQuiet: true });
    this.#last = { key, phrase };
    phrase.catch(() => {
      if (this.#last?.phrase === phrase) this.#last = undefined;
    });
    return phrase;
  }

  #keyOf({ source, ear, calibration }: PhraseState): readonly unknown[] {
    const riff = source.kind === 'riff' ? ear.riffs.find(({ id }) => id === source.id) : undefined;
    const volts = source.kind === 'file' ? calibration.volts : undefined;
    return [source, riff?.samples, riff?.startFrame, riff?.endFrame, volts, this.#session.state.sampleRateHz];
  }
}
