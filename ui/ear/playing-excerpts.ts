import { accuracyExcerptsInSlices } from '../../engine/analysis/solver-accuracy.ts';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import type { AudioSession } from '../audio/audio-session.ts';
import { besidePage } from '../slices.ts';
import type { Phrase } from './phrase.ts';
import { type PhraseState, PlayingPhrase } from './playing-phrase.ts';

/** A live input may be picked so hard, V. */
export const LIVE_PEAK_V = 0.5;
/** Samples that are looked at before the page has its turn: about a millisecond's work. */
const PIECE_FRAMES = 8192;

interface Excerpts {
  readonly excerptsV: readonly Float64Array[];
  readonly sampleRateHz: number;
}

/**
 * Parts of what plays by which the solver is judged. They are kept while the same source plays, since to find them takes
 * a tenth of a second, and every swap asks for them.
 */
export class PlayingExcerpts {
  readonly #session: Pick<AudioSession, 'readSource' | 'state'>;
  readonly #phrases: PlayingPhrase;
  #last: { readonly phrase: Promise<Phrase>; readonly excerpts: Promise<Excerpts> } | undefined;
  /** For a live input, and the rate that it is for. */
  #plucked: { readonly rateHz: number; readonly phrase: Promise<Phrase> } | undefined;

  constructor(
    session: Pick<AudioSession, 'readSource' | 'state'>,
    phrases: PlayingPhrase = new PlayingPhrase(session),
  ) {
    this.#session = session;
    this.#phrases = phrases;
  }

  /** @throws Refusal if nothing plays. */
  of(bench: PhraseState): Promise<Excerpts> {
    const phrase = bench.source.kind === 'live' ? this.#pluckedPhrase() : this.#phrases.of(bench);
    if (this.#last?.phrase === phrase) return this.#last.excerpts;
    const excerpts = excerptsOf(phrase);
    this.#last = { phrase, excerpts };
    excerpts.catch(() => {
      if (this.#last?.excerpts === excerpts) this.#last = undefined;
    });
    return excerpts;
  }

  /** A live input has no end: plucked notes stand in for it. */
  #pluckedPhrase(): Promise<Phrase> {
    const { sampleRateHz } = this.#session.state;
    if (this.#plucked?.rateHz !== sampleRateHz) {
      const inputV = pluckedPhrase({ sampleRateHz, peakVolts: LIVE_PEAK_V, seed: 1 });
      this.#plucked = { rateHz: sampleRateHz, phrase: Promise.resolve({ inputV, sampleRateHz }) };
    }
    return this.#plucked.phrase;
  }
}

async function excerptsOf(phrase: Promise<Phrase>): Promise<Excerpts> {
  const { inputV, sampleRateHz } = await phrase;
  const excerptsV = await besidePage(accuracyExcerptsInSlices(piecesOf(inputV), sampleRateHz));
  return { excerptsV, sampleRateHz };
}

function* piecesOf(samples: Float64Array): Generator<Float64Array> {
  for (let start = 0; start < samples.length; start += PIECE_FRAMES)
    yield samples.subarray(start, start + PIECE_FRAMES);
}
