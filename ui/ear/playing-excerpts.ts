import { accuracyExcerptsInSlices } from '../../engine/analysis/solver-accuracy.ts';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import type { AudioSession } from '../audio/audio-session.ts';
import { besidePage } from '../slices.ts';
import type { BenchState } from '../state/bench-state.ts';
import { type Phrase, readPhrase } from './phrase.ts';

/** A live input may be picked so hard, V. */
const LIVE_PEAK_V = 0.5;
/** Samples that are looked at before the page has its turn: about a millisecond's work. */
const PIECE_FRAMES = 8192;

interface Excerpts {
  readonly excerptsV: readonly Float64Array[];
  readonly sampleRateHz: number;
}

type Played = Pick<BenchState, 'source'> & {
  readonly ear: Pick<BenchState['ear'], 'riffs'>;
  readonly calibration: Pick<BenchState['calibration'], 'volts'>;
};

/**
 * Parts of what plays by which the solver is judged. They are kept while the same source plays, since to find them takes
 * a tenth of a second, and every swap asks for them.
 */
export class PlayingExcerpts {
  readonly #session: Pick<AudioSession, 'readSource' | 'state'>;
  #last: { readonly key: readonly unknown[]; readonly excerpts: Promise<Excerpts> } | undefined;

  constructor(session: Pick<AudioSession, 'readSource' | 'state'>) {
    this.#session = session;
  }

  /** @throws Refusal if nothing plays. */
  of(bench: Played): Promise<Excerpts> {
    const key = this.#keyOf(bench);
    const last = this.#last;
    if (last && key.every((each, index) => each === last.key[index])) return last.excerpts;
    const excerpts = this.#find(bench);
    this.#last = { key, excerpts };
    excerpts.catch(() => {
      if (this.#last?.excerpts === excerpts) this.#last = undefined;
    });
    return excerpts;
  }

  #keyOf({ source, ear, calibration }: Played): readonly unknown[] {
    const riff = source.kind === 'riff' ? ear.riffs.find(({ id }) => id === source.id) : undefined;
    const volts = source.kind === 'file' ? calibration.volts : undefined;
    return [source, riff?.samples, riff?.startFrame, riff?.endFrame, volts, this.#session.state.sampleRateHz];
  }

  async #find(bench: Played): Promise<Excerpts> {
    const { inputV, sampleRateHz } = await this.#phraseOf(bench);
    const excerptsV = await besidePage(accuracyExcerptsInSlices(piecesOf(inputV), sampleRateHz));
    return { excerptsV, sampleRateHz };
  }

  /** A live input has no end: plucked notes stand in for it. */
  async #phraseOf(bench: Played): Promise<Phrase> {
    if (bench.source.kind !== 'live') return readPhrase(bench, this.#session, { isQuiet: true });
    const { sampleRateHz } = this.#session.state;
    return { inputV: pluckedPhrase({ sampleRateHz, peakVolts: LIVE_PEAK_V, seed: 1 }), sampleRateHz };
  }
}

function* piecesOf(samples: Float64Array): Generator<Float64Array> {
  for (let start = 0; start < samples.length; start += PIECE_FRAMES)
    yield samples.subarray(start, start + PIECE_FRAMES);
}
