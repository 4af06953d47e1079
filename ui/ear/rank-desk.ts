import {
  atCommonRate,
  inOrder,
  type PresentPart,
  type RankedCandidate,
  type RankSettings,
  type RefusedCandidate,
} from '../../engine/analysis/rank.ts';
import { type Candidate, candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import type { OversamplingFactor } from '../../engine/audio/oversampler.ts';
import type { Build } from '../../engine/builds/build.ts';
import type { DrawerItem } from '../../engine/builds/drawer.ts';
import type { Surroundings } from '../../engine/builds/surroundings.ts';
import { EarPool } from './ear-pool.ts';
import { type Phrase, shortened } from './phrase.ts';

/** A few seconds tell parts apart; each candidate is rendered over them. */
const SECONDS = 4;
/** Oversampling to begin with. */
const FACTOR = 8;

/** The request for a ranking. */
interface RankRequest {
  readonly build: Build;
  /** Places that are swapped together. */
  readonly refs: readonly string[];
  readonly text: string;
  /** Bags to choose from alone; undefined for everything. */
  readonly owned: readonly DrawerItem[] | undefined;
  readonly temperatureK: number;
  readonly around: Surroundings;
}

/** Progress of a ranking. */
export interface Ranking {
  readonly refs: readonly string[];
  readonly build: Build;
  readonly around: Surroundings;
  /** Rate at which all are solved. */
  readonly factor: OversamplingFactor;
  readonly present: PresentPart | undefined;
  /** Candidates whose rate is known; then they are ranked. */
  readonly judged: number;
  readonly ranked: readonly (RankedCandidate | RefusedCandidate)[];
  readonly total: number;
}

/** Ranks all candidates for one place, or for several together, on all cores except the one for the sound. */
export class RankDesk {
  #pool: EarPool | undefined;

  /** Cancels a running ranking. */
  cancel(): void {
    this.#pool?.close();
    this.#pool = undefined;
  }

  /**
   * @param text A list or range of candidates; all that there are, if empty.
   * @param onChange Told after each candidate.
   * @throws BuildError for a text that names no candidates; Error for a build that cannot be played; Cancelled.
   */
  async rank(
    { text, owned, ...request }: RankRequest,
    phrase: Phrase,
    onChange: (ranking: Ranking) => void,
  ): Promise<void> {
    this.cancel();
    const candidates = candidatesFor(
      request.build,
      request.refs,
      text.trim() === '' ? undefined : text,
      owned,
    );
    const pool = new EarPool();
    this.#pool = pool;
    try {
      await this.#rankIn(pool, request, candidates, phrase, onChange);
    } finally {
      pool.close();
    }
  }

  async #rankIn(
    pool: EarPool,
    request: Omit<RankRequest, 'text' | 'owned'>,
    candidates: readonly Candidate[],
    phrase: Phrase,
    onChange: (ranking: Ranking) => void,
  ): Promise<void> {
    const { inputV, sampleRateHz } = shortened(phrase, SECONDS);
    const { build, refs, around } = request;
    const asked: RankSettings = {
      ...request,
      input: { inputV, sampleRateHz, factor: FACTOR, quality: 'linear-phase' },
    };
    let ranking: Ranking = {
      refs,
      build,
      around,
      factor: FACTOR,
      present: undefined,
      judged: 0,
      ranked: [],
      total: candidates.length,
    };
    onChange(ranking);
    const judge = async (candidate?: Candidate) => {
      const need = await pool.run({ kind: 'rateNeed', settings: asked, ...(candidate && { candidate }) });
      ranking = { ...ranking, judged: ranking.judged + (candidate ? 1 : 0) };
      onChange(ranking);
      return need;
    };
    const [own, ...needs] = await Promise.all([undefined, ...candidates].map(judge));
    const settings = atCommonRate(asked, [own, ...needs]);
    const present = await pool.run({ kind: 'present', settings, need: own });
    ranking = { ...ranking, present, factor: settings.input.factor };
    onChange(ranking);
    const add = async (candidate: Candidate, index: number) => {
      const need = needs[index];
      const ranked = await pool.run({ kind: 'candidate', settings, present, candidate, need });
      ranking = { ...ranking, ranked: inOrder([...ranking.ranked, ranked]) };
      onChange(ranking);
    };
    await Promise.all(candidates.map(add));
  }
}
