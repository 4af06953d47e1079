import { css, html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import {
  CLIPPING_LEVEL_NOTE,
  clippingLevelText,
  clippingOrderV,
} from '../../../engine/analysis/clipping-level.ts';
import type { PresentPart, RankedCandidate, RefusedCandidate } from '../../../engine/analysis/rank.ts';
import { NO_VERDICT_NOTE, VERDICT_RULE, type Verdict } from '../../../engine/analysis/rank-verdict.ts';
import { saidOf } from '../../../engine/analysis/render-trouble.ts';
import { NULL_DEPTH_NOTE, type SoundDifference } from '../../../engine/analysis/sound-difference.ts';
import { chainWith, LONE } from '../../../engine/builds/chain.ts';
import { readParts, refsText, settingsText, withSettings } from '../../../engine/builds/part-groups.ts';
import { surroundingsText } from '../../../engine/builds/surroundings.ts';
import { isSameCircuit } from '../../../engine/circuits/circuit.ts';
import { kelvinOf } from '../../../engine/network/temperature.ts';
import { settingGap } from '../../../engine/parts/data-gaps.ts';
import type { AudioSession } from '../../audio/audio-session.ts';
import { renderProblem } from '../../ear/ear-pool.ts';
import { readPhrase } from '../../ear/phrase.ts';
import { RankDesk, type Ranking } from '../../ear/rank-desk.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { indexIn, isAlone } from '../../state/chains.ts';
import { onlyOwned } from '../../state/owned-parts.ts';
import { surroundings } from '../../state/played-network.ts';
import { chosenRefs } from '../../state/reach.ts';
import { BenchElement, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { panelStyles } from './panel-styles.ts';

/** A column by which the table can be sorted; the largest magnitude comes first. */
interface Column {
  readonly id: string;
  readonly title: string;
  readonly unit: string;
  readonly of: (candidate: RankedCandidate) => number;
  /** Of the difference to the present part, or of one of its pieces to another. */
  readonly ofDifference?: (difference: SoundDifference) => string;
  /** Of the sound itself, the present part's too. */
  readonly ofSound?: (sound: Pick<RankedCandidate, 'harmonics' | 'clipping'>) => string;
}

const signed = (value: number) => `${value > 0 ? '+' : value < 0 ? '−' : ''}${Math.abs(value).toFixed(1)}`;

const percentText = (ratio: number) => (100 * ratio).toFixed(ratio < 0.1 ? 1 : 0);

const COLUMNS: readonly Column[] = [
  {
    id: 'spectrum',
    title: 'tone change',
    unit: 'dB',
    of: ({ difference }) => difference.spectrumDb,
    ofDifference: ({ spectrumDb }) => spectrumDb.toFixed(1),
  },
  {
    id: 'loudness',
    title: 'loudness',
    unit: 'LU',
    of: ({ difference }) => difference.loudnessLu,
    ofDifference: ({ loudnessLu }) => signed(loudnessLu),
  },
  {
    id: 'response',
    title: 'response',
    unit: 'dB at Hz',
    of: ({ difference }) => difference.response.differenceDb,
    ofDifference: ({ response }) => `${signed(response.differenceDb)} at ${response.hz.toFixed(0)}`,
  },
  {
    id: 'second',
    title: 'H2, H3',
    unit: 'dB at 200 mV',
    of: ({ harmonics }) => harmonics[1]?.relativeDb[0] ?? 0,
    ofSound: ({ harmonics }) =>
      harmonics[1]?.relativeDb
        .slice(0, 2)
        .map((decibels) => decibels.toFixed(0).replace('-', '−'))
        .join(' ') ?? '',
  },
  {
    id: 'thd',
    title: 'THD',
    unit: '% at 50, 200, 500 mV',
    of: ({ harmonics }) => harmonics[1]?.distortionOfFundamental ?? 0,
    ofSound: ({ harmonics }) =>
      harmonics.map(({ distortionOfFundamental }) => percentText(distortionOfFundamental)).join(' '),
  },
  {
    id: 'clipping',
    title: 'clips from',
    unit: 'peak in, 1 kHz',
    of: ({ clipping }) => clippingOrderV(clipping),
    ofSound: ({ clipping }) => clippingLevelText(clipping),
  },
  {
    id: 'null',
    title: 'null',
    unit: 'dB',
    of: ({ difference }) => difference.nullDb,
    ofDifference: ({ nullDb }) => nullDb.toFixed(0).replace('-', '−'),
  },
];

/** All candidates for the chosen part, ranked by how much they change the playing phrase. */
@customElement('rank-panel')
export class RankPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) session!: AudioSession;
  @state() private ranking: Ranking | undefined;
  @state() private isRunning = false;
  @state() private problem = '';
  @state() private sortedBy = 'spectrum';
  readonly #desk = new RankDesk();

  static override styles = [
    sharedStyles,
    panelStyles,
    css`
      .scroll {
        container-type: inline-size;
        overflow-x: auto;
        max-height: 26rem;
        overflow-y: auto;
      }
      table {
        border-collapse: collapse;
        width: 100%;
        font-size: var(--size-small);
      }
      th,
      td {
        padding: 0.15rem var(--gap-2) 0.15rem 0;
        text-align: right;
        white-space: nowrap;
        border-top: 1px solid var(--line);
      }
      th:first-child,
      td:first-child {
        text-align: left;
      }
      thead th {
        position: sticky;
        top: 0;
        background: var(--sheet);
        border-top: 0;
        font-weight: 400;
        vertical-align: bottom;
      }
      thead button {
        min-height: 1.5rem;
        padding: 0 var(--gap-1);
        border-color: transparent;
        font-size: var(--size-small);
      }
      td button {
        min-height: 1.5rem;
        font-size: var(--size-small);
        padding: 0 var(--gap-2);
      }
      progress {
        width: 100%;
        accent-color: var(--ink);
      }
      tr.piece {
        color: var(--ink-soft);
      }
      tbody th {
        padding-top: var(--gap-2);
        font-weight: 600;
      }
      /* Stays readable where the table is wider than the screen. */
      tbody th span {
        display: inline-block;
        position: sticky;
        left: 0;
        max-width: 100cqi;
        white-space: normal;
      }
      .candidates {
        flex: 1 1 12rem;
        min-width: 0;
      }
    `,
  ];

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#desk.cancel();
  }

  override render() {
    const { heard, builds } = this.state;
    const refs = chosenRefs(this.state);
    const now = settingsText(builds[heard].parts, refs);
    return html`
      <h2>Candidates for ${refsText(refs)}</h2>
      <p class="soft small">Every type of the catalogue, or values about the present one, in place of <span class="figures">${now}</span> in
        ${LETTER[heard]}, over the first seconds of what plays. First come those that differ no more than pieces of one type, then the others, most different first.</p>
      <div class="row">
        <input class="candidates" type="text" aria-label="Candidates" placeholder="all; or 1N34A, 2x BAT46; or E12 10n..100n" />
        ${
          this.isRunning
            ? html`<button @click=${() => this.#cancel()}>Cancel</button>`
            : html`<button @click=${() => void this.#start()}>Rank</button>`
        }
      </div>
      ${this.problem === '' ? nothing : html`<p class="problem small" role="alert">${this.problem}</p>`}
      ${this.ranking ? this.#renderRanking(this.ranking) : nothing}
    `;
  }

  #renderRanking(ranking: Ranking) {
    const { present, judged, ranked, total, factor, around } = ranking;
    const column = COLUMNS.find(({ id }) => id === this.sortedBy) ?? COLUMNS[0]!;
    const rows = [...ranked].sort((one, other) => magnitude(column, other) - magnitude(column, one));
    return html`
      ${!this.isRunning && ranked.length < total ? html`<p class="problem small">Cancelled after ${ranked.length} of ${total} candidates.</p>` : nothing}
      ${this.isRunning ? html`<progress aria-label="Ranking" max=${2 * total} value=${judged + ranked.length}></progress>` : nothing}
      <div class="scroll" tabindex="0" role="region" aria-label="Ranking of ${refsText(ranking.refs)}">
        <table>
          <thead><tr><th scope="col">${refsText(ranking.refs)}</th>${COLUMNS.map(
            ({
              id,
              title,
              unit,
            }) => html`<th scope="col" aria-sort=${id === this.sortedBy ? 'descending' : 'none'}>
              <button aria-pressed=${id === this.sortedBy} title=${unit} @click=${() => this.#sort(id)}>${title}</button><br /><span class="soft">${unit}</span></th>`,
          )}<th scope="col"><span class="visually-hidden">hear it</span></th></tr></thead>
          ${present ? this.#renderUndecided(ranking, present, rows) : nothing}
          ${this.#renderGroup(ranking, 'Differ more than pieces do', withVerdict(rows, 'differs'))}
          ${this.#renderGroup(ranking, 'Not ranked', withVerdict(rows, 'not ranked'))}
          ${this.#renderGroup(ranking, 'Cannot be played', rows.filter(isRefused))}
        </table>
      </div>
      ${
        present
          ? html`<p class="small soft">Spread from piece to piece: ${present.ownSpread.spread.text} (${present.ownSpread.spread.source}). ${VERDICT_RULE}</p>`
          : nothing
      }
      ${present ? html`<p class="small soft">${surroundingsText(around)} Oversampling ${factor}×.</p>` : nothing}
      ${
        ranked.some(isGuess)
          ? html`<p class="small soft">† Not ranked, since its data is a guess: no source for two points of its curve or for its reverse current. You can hear it, but its figures prove nothing.</p>`
          : nothing
      }
      ${guessesNow(ranking).map((text) => html`<p class="small soft">${text}</p>`)}
      ${solverWarnings(ranking).map((text) => html`<p class="problem small">${text}</p>`)}
      <p class="small soft">${CLIPPING_LEVEL_NOTE}</p>
      <p class="small soft">${NULL_DEPTH_NOTE.replace('-18', '−18')}</p>
    `;
  }

  /** The present part, pieces of it, and the candidates that differ no more than pieces do. */
  #renderUndecided(ranking: Ranking, present: PresentPart, rows: readonly Row[]) {
    const undecided = withVerdict(rows, 'none');
    const now = settingsText(ranking.build.parts, ranking.refs);
    return html`<tbody>
      ${undecided.length > 0 ? heading(NO_VERDICT_NOTE) : nothing}
      <tr><td class="figures">${now}, now</td>
        ${COLUMNS.map(({ ofSound }) => html`<td class="figures">${ofSound?.(present.measurement) ?? ''}</td>`)}<td></td></tr>
      ${this.#renderPiece(present, 'low')}
      ${this.#renderPiece(present, 'high')}
      ${undecided.map((row) => this.#renderRow(ranking, row))}
    </tbody>`;
  }

  /** Change by another piece of the same type. */
  #renderPiece({ ownSpread }: PresentPart, end: 'low' | 'high') {
    return html`<tr class="piece"><td>another piece, ${end}</td>
      ${COLUMNS.map(({ ofDifference }) => html`<td class="figures">${ofDifference?.(ownSpread[end]) ?? ''}</td>`)}<td></td></tr>`;
  }

  #renderGroup(ranking: Ranking, title: string, rows: readonly Row[]) {
    if (rows.length === 0) return nothing;
    return html`<tbody>${heading(title)}${rows.map((row) => this.#renderRow(ranking, row))}</tbody>`;
  }

  #renderRow(ranking: Ranking, row: Row) {
    if (isRefused(row))
      return html`<tr><td class="figures">${row.text}</td><td class="soft" colspan=${COLUMNS.length + 1}>${row.problem}</td></tr>`;
    return html`<tr><td class="figures" title=${row.notRanked ?? ''}>${row.text}${isGuess(row) ? ' †' : ''}</td>
      ${COLUMNS.map(({ ofDifference, ofSound }) => html`<td class="figures">${ofDifference?.(row.difference) ?? ofSound?.(row) ?? ''}</td>`)}
      <td><button aria-label="Put ${row.text} into B and hear it" @click=${() => this.#hear(ranking, row)}>hear</button></td></tr>`;
  }

  #sort(id: string): void {
    this.sortedBy = id;
  }

  /** B becomes the ranked build with the candidate in it. */
  #hear({ build, around: { chain = LONE } }: Ranking, { settings }: RankedCandidate): void {
    const { builds, places } = this.state;
    const candidate = withSettings(build, settings);
    // The title of another circuit would be wrong.
    const isSame = isSameCircuit(build.circuit, builds.b.circuit);
    const fitted = isSame ? { ...candidate, title: builds.b.title } : candidate;
    if (isAlone(chain) && isAlone(places.b)) this.act({ type: 'load', slot: 'b', build: fitted });
    else this.act({ type: 'loadChain', slot: 'b', chain: chainWith(fitted, chain), index: indexIn(chain) });
    this.act({ type: 'hear', slot: 'b' });
    if (!this.state.isListening) this.act({ type: 'listen', isListening: true });
  }

  #cancel(): void {
    this.#desk.cancel();
    this.isRunning = false;
  }

  async #start(): Promise<void> {
    const { builds, heard, temperatureC } = this.state;
    const text = this.renderRoot.querySelector<HTMLInputElement>('.candidates')?.value ?? '';
    this.problem = '';
    this.isRunning = true;
    try {
      const phrase = await readPhrase(this.state, this.session);
      const refs = chosenRefs(this.state);
      const request = {
        build: builds[heard],
        refs,
        text,
        owned: onlyOwned(this.state),
        temperatureK: kelvinOf(temperatureC),
        around: surroundings(this.state, heard),
      };
      await this.#desk.rank(request, phrase, (ranking) => {
        this.ranking = ranking;
      });
    } catch (error) {
      this.problem = renderProblem(error);
    } finally {
      this.isRunning = false;
    }
  }
}

/** Of the part that is soldered and of each candidate, where the solver's error should be known. */
function solverWarnings({ present, ranked }: Ranking): string[] {
  const own = saidOf('Present part', present?.measurement.warnings ?? []);
  return [...own, ...ranked.flatMap((row) => ('problem' in row ? [] : saidOf(row.text, row.warnings)))];
}

/** Whether the data of a part that is there now is a guess, to which all differences are relative: the first of them. */
function guessesNow({ build, refs }: Ranking): string[] {
  const guesses = readParts(build, refs.join(',')).flatMap(({ ref, kind }) => {
    const gap = settingGap(kind, build.parts[ref] ?? {});
    return gap === undefined ? [] : `${ref} as it is: ${gap}, so every difference here is uncertain.`;
  });
  return guesses.slice(0, 1);
}

type Row = RankedCandidate | RefusedCandidate;

function isRefused(row: Row): row is RefusedCandidate {
  return 'problem' in row;
}

/** Whether the data of a type has no source: it stands after the others. */
function isGuess(row: Row): boolean {
  return row.notRanked !== undefined;
}

function withVerdict(rows: readonly Row[], verdict: Verdict): readonly RankedCandidate[] {
  return rows.filter((row): row is RankedCandidate => !isRefused(row) && row.verdict === verdict);
}

/** A line above a group of rows, as long as the table. */
function heading(text: string) {
  return html`<tr><th scope="rowgroup" colspan=${COLUMNS.length + 2}><span>${text}</span></th></tr>`;
}

function magnitude(column: Column, row: Row): number {
  return isRefused(row) ? 0 : Math.abs(column.of(row));
}
