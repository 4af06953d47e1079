import { css, html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { NULL_DEPTH_NOTE } from '../../../engine/analysis/sound-difference.ts';
import { bothSurroundingsText, type Surroundings } from '../../../engine/builds/surroundings.ts';
import { kelvinOf } from '../../../engine/network/temperature.ts';
import { SLOTS } from '../../../worklets/bench-messages.ts';
import type { AudioSession } from '../../audio/audio-session.ts';
import type { Telemetry } from '../../audio/telemetry.ts';
import type { JudgedComparison } from '../../ear/ear-jobs.ts';
import { EarPool, renderProblem } from '../../ear/ear-pool.ts';
import { readPhrase } from '../../ear/phrase.ts';
import type { BenchState } from '../../state/bench-state.ts';
import type { Sides } from '../../state/chains.ts';
import { isSameSide } from '../../state/matched-sound.ts';
import { guitarAhead, loadBehind, surroundings } from '../../state/played-network.ts';
import { BenchElement } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { panelStyles } from './panel-styles.ts';

const FACTOR = 8;
const MOST_GAIN_DB = 40;

/** A comparison, and what was compared. */
interface Found {
  readonly sides: Sides;
  readonly ends: Surroundings;
  readonly arounds: readonly [Surroundings, Surroundings];
  readonly comparison: JudgedComparison;
}

/** How different A and B are on the phrase that plays: loudness, null depth, and both by octaves. */
@customElement('difference-panel')
export class DifferencePanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) session!: AudioSession;
  @property({ attribute: false }) telemetry!: Telemetry;
  @state() private found: Found | undefined;
  @state() private problem = '';
  @state() private isRunning = false;
  #pool: EarPool | undefined;

  static override styles = [
    sharedStyles,
    panelStyles,
    css`
      table {
        border-collapse: collapse;
        width: 100%;
        font-size: var(--size-small);
      }
      th,
      td {
        text-align: right;
        padding: 0.1rem var(--gap-1);
        border-top: 1px solid var(--line);
        font-weight: 400;
      }
      th:first-child {
        text-align: left;
      }
    `,
  ];

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#pool?.close();
  }

  override render() {
    const { found } = this;
    const isStale = found && !SLOTS.every((slot) => isSameSide(found.sides, this.state, slot));
    const isElsewhere = found && JSON.stringify(found.ends) !== JSON.stringify(endsOf(this.state));
    return html`
      <h2>How different?</h2>
      ${this.#renderLive()}
      <div class="row">
        <button ?disabled=${this.isRunning} @click=${() => void this.#measure()}>${this.isRunning ? 'Comparing…' : 'Compare A and B on what plays'}</button>
        ${isStale ? html`<span class="problem small">A build has changed since.</span>` : nothing}
        ${!isStale && isElsewhere ? html`<span class="problem small">Guitar, cable or next input have changed since.</span>` : nothing}
      </div>
      ${this.problem === '' ? nothing : html`<p class="problem small" role="alert">${this.problem}</p>`}
      ${found ? this.#renderFound(found) : nothing}
    `;
  }

  /** Live A minus B, after the level match: a number, and playing it alone. */
  #renderLive() {
    const { difference } = this.state.ear;
    const { differenceDb } = this.telemetry;
    const isKnown = Number.isFinite(differenceDb) && this.state.isListening;
    return html`
      <div class="row">
        <button aria-pressed=${difference !== undefined} ?disabled=${!isKnown && !difference} @click=${() => this.#hearDifference()}>Hear A − B</button>
        <span class="small">${difference ? `raised by ${difference.gainDb} dB` : ''}</span>
        <span class="small soft">${isKnown ? html`now at <span class="figures">${db(differenceDb)}</span> relative to A, levels as matched` : 'Press Listen to see how far apart they are.'}</span>
      </div>
    `;
  }

  /** About as loud as A, but limited by the noise of a quiet interface. */
  #hearDifference(): void {
    const gainDb = Math.round(Math.min(Math.max(-this.telemetry.differenceDb, 0), MOST_GAIN_DB));
    const difference = this.state.ear.difference ? undefined : { gainDb };
    this.act({ type: 'ear', change: { difference } });
  }

  #renderFound({ comparison, arounds }: Found) {
    const { loudnessDifferenceDb, null: found, bands, warnings } = comparison;
    const louder = loudnessDifferenceDb >= 0 ? 'A' : 'B';
    return html`
      <p>${louder} is louder by <span class="figures">${Math.abs(loudnessDifferenceDb).toFixed(1)} dB</span>. After best gain (B
        ${db(found.gainDb)}) and alignment (${found.delaySamples.toFixed(2)} samples), what remains of A is
        <span class="figures">${db(found.depthDb)}</span>${found.isInverted ? ', with B inverted' : ''}.</p>
      ${warnings.map((text) => html`<p class="problem small">${text}</p>`)}
      <table><thead><tr><th scope="col">octave</th><th scope="col">B − A after gain</th><th scope="col">remains</th></tr></thead>
        <tbody>${bands
          .filter(({ aDb }) => Number.isFinite(aDb))
          .map(
            ({
              hz,
              aDb,
              bDb,
              nullDb,
            }) => html`<tr><th scope="row" class="figures">${hz < 1000 ? hz : `${hz / 1000}k`}</th>
              <td class="figures">${db(bDb + found.gainDb - aDb)}</td><td class="figures">${db(nullDb)}</td></tr>`,
          )}</tbody></table>
      <p class="small soft">${bothSurroundingsText(...arounds)}</p>
      <p class="small soft">${NULL_DEPTH_NOTE.replace('-18', '−18')}</p>
    `;
  }

  async #measure(): Promise<void> {
    const { builds, places, temperatureC } = this.state;
    const ends = endsOf(this.state);
    const arounds = [surroundings(this.state, 'a'), surroundings(this.state, 'b')] as const;
    this.problem = '';
    this.isRunning = true;
    const pool = new EarPool(1);
    this.#pool = pool;
    try {
      const { inputV, sampleRateHz } = await readPhrase(this.state, this.session);
      const comparison = await pool.run({
        kind: 'difference',
        plan: {
          ...builds,
          inputV,
          oversampling: { factor: FACTOR, quality: 'linear-phase', sampleRateHz },
          temperatureK: kelvinOf(temperatureC),
          arounds,
        },
      });
      this.found = { sides: { builds, places }, ends, arounds, comparison };
    } catch (error) {
      this.problem = renderProblem(error);
    } finally {
      pool.close();
      this.isRunning = false;
    }
  }
}

/** What is before and after the chains of both. */
function endsOf(state: BenchState): Surroundings {
  return { instrument: guitarAhead(state), load: loadBehind(state) };
}

const db = (value: number) => `${value > 0 ? '+' : ''}${value.toFixed(1)} dB`.replace('-', '−');
