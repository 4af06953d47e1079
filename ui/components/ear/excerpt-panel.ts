import { css, html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { EXCERPT_OVERSAMPLING, excerptText } from '../../../engine/analysis/excerpt.ts';
import { speakerResponse } from '../../../engine/audio/speaker.ts';
import { encodeWav } from '../../../engine/audio/wav.ts';
import { kelvinOf } from '../../../engine/network/temperature.ts';
import type { AudioSession } from '../../audio/audio-session.ts';
import { offerDownload } from '../../ear/download.ts';
import { EarPool, renderProblem } from '../../ear/ear-pool.ts';
import { readPhrase } from '../../ear/phrase.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { sideTitle } from '../../state/chains.ts';
import { surroundings } from '../../state/played-network.ts';
import { BenchElement, controlValue, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { typed } from '../typed.ts';
import { panelStyles } from './panel-styles.ts';

/** One loop of the phrase, or a number of seconds. */
const TURNS = [undefined, 2, 4, 8] as const;

interface Made {
  readonly wav: Blob;
  readonly text: string;
  /** Undefined if it could not be drawn. */
  readonly picture: Blob | undefined;
  readonly name: string;
}

/** Makes an excerpt to share: sound, a text of what plays when, and a picture. */
@customElement('excerpt-panel')
export class ExcerptPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) session!: AudioSession;
  @state() private hasTwo = true;
  @state() private rounds = 2;
  @state() private turnSeconds: number | undefined = undefined;
  @state() private progress: number | undefined;
  @state() private problem = '';
  @state() private made: Made | undefined;
  #pool: EarPool | undefined;

  static override styles = [
    sharedStyles,
    panelStyles,
    css`
      progress {
        width: 100%;
        accent-color: var(--ink);
      }
      pre {
        margin: 0;
        padding: var(--gap-2);
        max-height: 12rem;
        overflow: auto;
        font: var(--size-small) / 1.4 var(--figures);
        white-space: pre-wrap;
        background: var(--paper);
      }
      input.rounds {
        width: 3.5rem;
      }
    `,
  ];

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#pool?.close();
  }

  override render() {
    const { heard } = this.state;
    const isRunning = this.progress !== undefined;
    return html`
      <h2>Excerpt</h2>
      <p class="soft small">A recording to share: what plays through ${this.hasTwo ? 'A and B in turn, equally loud' : LETTER[heard]}, at offline
        quality, with a text (what is heard when) and a picture.</p>
      <div class="row small">
        <label class="option"><input type="checkbox" ?disabled=${isRunning} .checked=${live(this.hasTwo)}
          @change=${(event: Event) => {
            this.hasTwo = (event.target as HTMLInputElement).checked;
          }} /> A and B in turn</label>
        <label>loops <input class="rounds" type="number" min=${this.#leastRounds} max="20" .value=${typed(String(this.#playedRounds))}
          @change=${(event: Event) => {
            this.rounds = Math.min(20, Math.max(1, Math.round(Number(controlValue(event)) || 1)));
            this.requestUpdate();
          }} /></label>
        ${
          this.hasTwo
            ? html`<label>switch A/B <select aria-label="Switch A/B" @change=${(event: Event) => {
                this.turnSeconds = TURNS[Number(controlValue(event))];
              }}>${TURNS.map((seconds, index) => html`<option value=${index} .selected=${live(seconds === this.turnSeconds)}>${seconds === undefined ? 'every loop' : `every ${seconds} s`}</option>`)}</select></label>`
            : nothing
        }
      </div>
      <div class="row">
        ${
          isRunning
            ? html`<progress aria-label="Making the excerpt" max="1" value=${this.progress ?? 0}></progress><button @click=${() => this.#pool?.close()}>Cancel</button>`
            : html`<button @click=${() => void this.#render()}>Make excerpt</button>`
        }
      </div>
      ${this.problem === '' ? nothing : html`<p class="problem small" role="alert">${this.problem}</p>`}
      ${this.made ? this.#renderMade(this.made) : nothing}
    `;
  }

  /** With a switch at every loop, B needs a second loop. */
  get #leastRounds(): number {
    return this.hasTwo && this.turnSeconds === undefined ? 2 : 1;
  }

  get #playedRounds(): number {
    return Math.max(this.rounds, this.#leastRounds);
  }

  #renderMade({ wav, text, picture, name }: Made) {
    return html`
      <div class="row small">
        <button @click=${() => offerDownload(wav, name, 'wav')}>Save WAV</button>
        <button @click=${() => offerDownload(new Blob([text], { type: 'text/plain' }), name, 'txt')}>Save text</button>
        ${picture ? html`<button @click=${() => offerDownload(picture, name, 'png')}>Save picture</button>` : nothing}
      </div>
      <pre tabindex="0" aria-label="What is heard when">${text}</pre>
    `;
  }

  async #render(): Promise<void> {
    const { state, hasTwo, turnSeconds } = this;
    const { builds, heard, temperatureC, hasStandIn, speaker } = state;
    this.problem = '';
    this.made = undefined;
    this.progress = 0;
    const pool = new EarPool(1);
    this.#pool = pool;
    try {
      const { inputV, sampleRateHz } = await readPhrase(state, this.session);
      const plan = {
        ...(hasTwo ? builds : { a: builds[heard] }),
        inputV,
        oversampling: { factor: EXCERPT_OVERSAMPLING, quality: 'linear-phase', sampleRateHz } as const,
        temperatureK: kelvinOf(temperatureC),
        around: surroundings(state, hasTwo ? 'a' : heard),
        ...(hasTwo ? { aroundB: surroundings(state, 'b') } : {}),
        hasStandIn,
        ...(speaker && hasStandIn
          ? { speaker: speakerResponse(speaker.samples, speaker.sampleRateHz, sampleRateHz) }
          : {}),
        rounds: this.#playedRounds,
        ...(turnSeconds === undefined || !hasTwo ? {} : { turnSeconds }),
      };
      const excerpt = await pool.run({ kind: 'excerpt', plan }, (share) => {
        this.progress = share;
      });
      this.made = {
        wav: new Blob([new Uint8Array(encodeWav({ channels: [excerpt.samples], sampleRateHz }))], {
          type: 'audio/wav',
        }),
        text: excerptText(plan, excerpt),
        picture: await this.#drawn(state, hasTwo),
        name: hasTwo ? `${sideTitle(state, 'a')} and ${sideTitle(state, 'b')}` : sideTitle(state, heard),
      };
    } catch (error) {
      this.problem = renderProblem(error);
    } finally {
      pool.close();
      this.progress = undefined;
    }
  }

  /** If the picture fails, sound and text remain. */
  async #drawn(state: BenchState, hasTwo: boolean): Promise<Blob | undefined> {
    try {
      const { stillPicture } = await import('../../ear/still-picture.ts');
      return await stillPicture(state, hasTwo);
    } catch {
      this.problem = 'The picture could not be drawn. The sound and its text are here.';
      return undefined;
    }
  }
}
