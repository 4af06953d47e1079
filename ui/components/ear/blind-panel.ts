import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import {
  answeredTrials,
  type BlindAnswer,
  type BlindButton,
  type BlindTestKind,
  MOST_TRIALS,
} from '../../../engine/analysis/blind-test.ts';
import { blindTestPlan } from '../../../engine/analysis/blind-test-plan.ts';
import { buttonsOf, whyNoBlindTest } from '../../ear/blind-desk.ts';
import type { BenchState } from '../../state/bench-state.ts';
import type { EarCommand, KeptBlindTest, RunningBlindTest } from '../../state/ear-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { typed } from '../typed.ts';
import { panelStyles } from './panel-styles.ts';

const KINDS: readonly (readonly [kind: BlindTestKind, title: string])[] = [
  ['abx', 'Can I hear it?'],
  ['preference', 'Which do I prefer?'],
];
const ANSWER_WORDS: Readonly<Record<BlindAnswer, string>> = {
  a: 'X is A',
  b: 'X is B',
  '1': '1 is better',
  '2': '2 is better',
};

/** ABX and preference tests: set up, run, and their results. Nothing here depends on which build is which before the end. */
@customElement('blind-panel')
export class BlindPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) isSolverChecked = false;

  static override styles = [
    sharedStyles,
    segmentStyles,
    panelStyles,
    css`
      .buttons {
        display: flex;
        gap: var(--gap-2);
      }
      .buttons button {
        flex: 1;
        min-height: 4rem;
        font-size: 1.5rem;
        font-weight: 600;
      }
      .answers button {
        flex: 1;
        min-height: 2.5rem;
      }
      input.trials {
        width: 4rem;
      }
      ul {
        list-style: none;
        display: grid;
        gap: var(--gap-2);
      }
      li {
        padding-top: var(--gap-2);
        border-top: 1px solid var(--line);
      }
    `,
  ];

  override render() {
    const { blindTest, blindResults } = this.state.ear;
    return html`
      <h2>Blind test</h2>
      ${blindTest ? this.#renderRunning(blindTest) : this.#renderSetUp()}
      ${!blindTest && blindResults.length > 0 ? html`<ul>${blindResults.map((result) => this.#renderResult(result))}</ul>` : nothing}
    `;
  }

  #renderSetUp() {
    const { blindKind, blindTrials } = this.state.ear;
    const why = whyNoBlindTest(this.state, this.isSolverChecked);
    return html`
      <div class="segments" role="radiogroup" aria-label="Kind of blind test">
        ${KINDS.map(
          ([kind, title]) => html`<label><input type="radio" name="kind" .checked=${live(kind === blindKind)}
            @change=${() => this.act({ type: 'ear', change: { blindKind: kind } })} />${title}</label>`,
        )}
      </div>
      <div class="row">
        <label class="small">trials <input class="trials" type="number" min="1" max=${MOST_TRIALS} .value=${typed(String(blindTrials))} @change=${this.#readTrials} /></label>
        <button ?disabled=${why !== undefined} @click=${() => this.#do({ do: 'startBlindTest' })}>Begin</button>
      </div>
      ${why === undefined ? nothing : html`<p class="small">${why}</p>`}
      <p class="soft small">${
        blindKind === 'abx'
          ? `A, B and X are equally loud; X is one of the two, picked at random for each trial; you say which. ${blindTestPlan(blindTrials).text}`
          : 'A and B are called 1 and 2, picked at random for each trial, equally loud; you say which you prefer. This does not show that they differ: the other test does.'
      }</p>
    `;
  }

  #renderRunning(running: RunningBlindTest) {
    const { test, heard, notice } = running;
    const buttons = buttonsOf(running);
    const answers: readonly BlindAnswer[] = test.kind === 'abx' ? ['a', 'b'] : ['1', '2'];
    return html`
      <p role="status">Trial ${answeredTrials(test) + 1} of ${test.plannedTrials}</p>
      <div class="buttons" role="group" aria-label="Hear">
        ${buttons.map(
          (button) =>
            html`<button aria-pressed=${button === heard} @click=${() => this.#hear(button)}>${button.toUpperCase()}</button>`,
        )}
      </div>
      <p class="soft small">Keys ${buttons.map((button) => button.toUpperCase()).join(', ')}, or space and foot switch for the next. Every change is the same short fade
        to silence and back. Hold the foot switch to answer with what plays. Meters, plots and schematic are hidden until the end.</p>
      <div class="row answers">
        ${answers.map((answer) => html`<button @click=${() => this.#do({ do: 'answerBlind', answer })}>${ANSWER_WORDS[answer]}</button>`)}
      </div>
      ${notice === undefined ? nothing : html`<p class="problem small" role="alert">${notice}</p>`}
      <div class="row small">
        <button title="The trial does not count and is repeated" @click=${() => this.#do({ do: 'skipTrial' })}>Skip this trial</button>
        <button @click=${() => this.#do({ do: 'stopBlindTest' })}>Stop and discard</button>
      </div>
    `;
  }

  #renderResult({ finishedAt, title, sentences }: KeptBlindTest) {
    return html`<li>
      <p><strong><bdi>${title}</bdi></strong> <span class="soft small">${finishedAt.slice(0, 16).replace('T', ' ')}</span></p>
      ${sentences.map((sentence) => html`<p class="small">${sentence}</p>`)}
      <div class="row small">
        <button @click=${() => this.#do({ do: 'saveBlindTest', finishedAt, as: 'text' })}>Save text</button>
        <button @click=${() => this.#do({ do: 'saveBlindTest', finishedAt, as: 'json' })}>Save JSON</button>
        <button @click=${() => this.#do({ do: 'removeBlindTest', finishedAt })}>Remove</button>
      </div>
    </li>`;
  }

  #readTrials = (event: Event): void => {
    const field = event.target as HTMLInputElement;
    const trials = Math.round(Number(controlValue(event)));
    if (trials >= 1 && trials <= MOST_TRIALS) this.act({ type: 'ear', change: { blindTrials: trials } });
    // The typed number may be out of range: the field shows the valid one.
    field.value = String(this.state.ear.blindTrials);
  };

  #hear(button: BlindButton): void {
    this.#do({ do: 'hearBlind', button });
  }

  #do(command: EarCommand): void {
    this.act({ type: 'earCommand', command });
  }
}
