import { css, html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { type Candidate, candidatesFor } from '../../../engine/analysis/rank-candidates.ts';
import { refsText, settingsText } from '../../../engine/builds/part-groups.ts';
import { Refusal } from '../../../engine/input/refusal.ts';
import { oneLine } from '../../../engine/input/shown-text.ts';
import { candidateKeysText } from '../../ear/candidate-keys.ts';
import {
  CANDIDATES_RANGE,
  type PreparedCandidates,
  prepareCandidates,
  randomBelow,
  shuffled,
} from '../../ear/candidate-list.ts';
import { Cancelled } from '../../ear/ear-pool.ts';
import { loadBindings } from '../../hands/hand-bindings.ts';
import { keyText } from '../../hands/keys.ts';
import type { BenchState } from '../../state/bench-state.ts';
import {
  type CandidateRun,
  type EarVerdict,
  type TriedCandidate,
  VERDICT_WORDS,
} from '../../state/candidate-run.ts';
import { onlyOwned } from '../../state/owned-parts.ts';
import { selectedInA } from '../../state/part-in-a.ts';
import { chosenRefs } from '../../state/reach.ts';
import { BenchElement } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { panelStyles } from './panel-styles.ts';

const VERDICTS: readonly (readonly [verdict: EarVerdict, title: string])[] = [
  ['better', 'Better'],
  ['same', 'Same'],
  ['worse', 'Worse'],
];

/** Candidates for one place or group: picked, then stepped through in build B, each with a verdict against build A. */
@customElement('candidates-panel')
export class CandidatesPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Computes the loudness of build B of a state in advance. */
  @property({ attribute: false }) prepareB!: (state: BenchState) => Promise<number>;
  @state() private picked: readonly string[] = [];
  @state() private added: readonly Candidate[] = [];
  @state() private hides = false;
  @state() private problem = '';
  @state() private refused: readonly string[] = [];
  /** Of how many candidates the levels are known, while they are computed. */
  @state() private done: number | undefined;
  /** The place that the picked ones are for. */
  #place = '';
  /** Of the levels that are computed now. */
  #preparing: AbortController | undefined;

  static override styles = [
    sharedStyles,
    panelStyles,
    css`
      .choices {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-1);
        max-height: 11rem;
        overflow-y: auto;
        scrollbar-width: thin;
      }
      .choices button {
        min-height: 1.75rem;
        padding: 0 var(--gap-2);
        font-size: var(--size-small);
      }
      .judge {
        display: flex;
        gap: var(--gap-1);
      }
      .judge button {
        flex: 1;
        min-height: 2.75rem;
      }
      ol {
        display: grid;
        gap: 2px;
        margin: 0;
        padding: 0;
        list-style: none;
      }
      li {
        display: grid;
        grid-template-columns: minmax(5rem, 1fr) 7.5rem auto;
        gap: var(--gap-2);
        align-items: center;
      }
      li > button:first-child {
        text-align: start;
      }
      li button {
        min-height: 2rem;
        font-size: var(--size-small);
      }
      @media (pointer: coarse) {
        li button,
        .choices button {
          min-height: 44px;
        }
      }
    `,
  ];

  override render() {
    const run = this.state.ear.candidates;
    if (run?.at !== undefined) return this.#renderRun(run, run.at);
    return html`${this.#renderChoice()} ${run ? this.#renderLast(run) : nothing}`;
  }

  get #refs(): readonly string[] {
    const selected = selectedInA(this.state);
    return selected === undefined ? [] : chosenRefs({ ...this.state, heard: 'a', selected });
  }

  #renderChoice() {
    const refs = this.#refs;
    if (refs.length === 0) return this.#renderNone();
    const choices = this.#choices();
    const { fewest, most } = CANDIDATES_RANGE;
    const count = this.picked.length;
    const isFit = count >= fewest && count <= most;
    return html`
      <h2>Candidates for ${refsText(refs)}</h2>
      <p class="soft small">Pick ${fewest} to ${most}. They play in B, in place of ${settingsText(this.state.builds.a.parts, refs)} in A, equally loud.</p>
      <div class="choices" role="group" aria-label="Candidates">${choices.map(
        ({
          text,
        }) => html`<button aria-pressed=${this.picked.includes(text)} ?disabled=${this.done !== undefined}
          @click=${() => this.#pick(text)}>${text}</button>`,
      )}</div>
      <div class="row small">
        <input class="others" type="text" aria-label="Other candidates" placeholder="others: 2x BAT46; E12 1n..100n" />
        <button @click=${() => this.#add()}>Add</button>
      </div>
      <label class="option small"><input type="checkbox" .checked=${live(this.hides)} @change=${(
        event: Event,
      ) => {
        this.hides = (event.target as HTMLInputElement).checked;
      }} />hide names: 1, 2, 3 in an order picked at random</label>
      <div class="row">
        <button ?disabled=${!isFit || this.done !== undefined} @click=${() => void this.#start()}>Start</button>
        ${this.done === undefined ? nothing : html`<button @click=${this.#stop}>Stop</button>`}
        <span class="small" role="status">${
          this.done === undefined ? `${count} picked` : `Matching levels: ${this.done} of ${count}`
        }</span>
        ${this.done === undefined ? nothing : html`<progress aria-label="Matching levels" max=${count} value=${this.done}></progress>`}
      </div>
      ${this.problem === '' ? nothing : html`<p class="problem small" role="alert">${this.problem}</p>`}
      ${this.#renderRefused(this.refused)}
    `;
  }

  #renderNone() {
    const { selected, heard } = this.state;
    return html`<h2>Candidates</h2>
      <p class="soft small">Candidates play in place of a part of A. ${
        heard === 'b'
          ? `A has no part that does what ${selected} does in B: switch to A and choose another part.`
          : `A has no ${selected}: choose another part.`
      }</p>`;
  }

  #renderRefused(refused: readonly string[]) {
    return refused.map((text) => html`<p class="problem small">${text}</p>`);
  }

  /** Names of hidden candidates stand nowhere in here: neither as text nor in a title or label. */
  #renderRun(run: CandidateRun, at: number) {
    const judged = run.list.filter(({ verdict }) => verdict !== undefined).length;
    const { keys } = loadBindings();
    return html`
      <h2>Candidates for ${refsText(run.refs)}</h2>
      <p role="status" class="small">B: <strong>${nameOf(run, at)}</strong>, ${at + 1} of ${run.list.length}. ${judged} judged.</p>
      <div class="judge" role="group" aria-label="Verdict on B, against A">${VERDICTS.map(
        ([verdict, title]) =>
          html`<button title=${keys[verdict] ? `Key ${keyText(keys[verdict].key)}` : nothing} @click=${() => this.act({ type: 'verdict', verdict })}>${title}</button>`,
      )}</div>
      <p class="soft small">${candidateKeysText({ keys })}</p>
      <div class="row small">
        <button @click=${() => this.act({ type: 'candidate', step: -1 })}>Previous</button>
        <button @click=${() => this.act({ type: 'candidate', step: 1 })}>Next</button>
        ${
          run.isHidden
            ? html`<button @click=${() => this.act({ type: 'ear', change: { candidates: { ...run, isHidden: false } } })}>Show names</button>`
            : html`<button @click=${() => this.act({ type: 'endCandidates', keeps: true })}>Keep this in B</button>`
        }
        <button @click=${() => this.act({ type: 'endCandidates', keeps: false })}>End, B as before</button>
      </div>
      <ol>${run.list.map((tried, index) => this.#renderTried(run, tried, index))}</ol>
      ${run.isHidden ? leftOut(run) : this.#renderRefused(run.refused)}
    `;
  }

  #renderTried(run: CandidateRun, { verdict }: TriedCandidate, index: number) {
    const name = nameOf(run, index);
    return html`<li>
      <button aria-pressed=${index === run.at} aria-label="Hear ${name} in B" @click=${() => this.act({ type: 'pickCandidate', index })}>${name}</button>
      <span class="small">${verdict ? VERDICT_WORDS[verdict] : nothing}</span>
      <button aria-label="Blind test of A and ${name}" @click=${() => this.#toBlindTest(index)}>Blind test</button>
    </li>`;
  }

  /** Verdicts of the last run. */
  #renderLast(run: CandidateRun) {
    const judged = run.list.filter(({ verdict }) => verdict !== undefined);
    if (judged.length === 0) return nothing;
    return html`<p class="small"><strong>${refsText(run.refs)}, last verdicts:</strong> ${judged
      .map(({ text, verdict }) => `${text} ${VERDICT_WORDS[verdict!]}`)
      .join('; ')}.</p>`;
  }

  #toBlindTest(index: number): void {
    this.act({ type: 'pickCandidate', index });
    this.dispatchEvent(new Event('blind-test', { bubbles: true, composed: true }));
  }

  /** Picked ones are for one place: another has others. Those of the last run there are picked again. */
  #choices(): readonly Candidate[] {
    const place = this.#refs.join();
    if (place !== this.#place) {
      const run = this.state.ear.candidates;
      const last = run?.refs.join() === place ? run : undefined;
      this.#place = place;
      this.picked = last?.list.map(({ text }) => text) ?? [];
      this.added = last?.list ?? [];
      this.refused = last?.refused ?? [];
    }
    try {
      const all = [
        ...candidatesFor(this.state.builds.a, this.#refs, undefined, onlyOwned(this.state)),
        ...this.added,
      ];
      return [...new Map(all.map((candidate) => [candidate.text, candidate])).values()];
    } catch (error) {
      if (error instanceof Refusal) return this.added;
      throw error;
    }
  }

  #pick(text: string): void {
    const isPicked = this.picked.includes(text);
    this.picked = isPicked ? this.picked.filter((each) => each !== text) : [...this.picked, text];
  }

  #add(): void {
    const field = this.renderRoot.querySelector<HTMLInputElement>('.others')!;
    this.problem = '';
    try {
      const added = candidatesFor(this.state.builds.a, this.#refs, field.value, onlyOwned(this.state));
      this.added = [...this.added, ...added];
      this.picked = [...new Set([...this.picked, ...added.map(({ text }) => text)])];
      field.value = '';
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.problem = oneLine(error.message);
    }
  }

  async #start(): Promise<void> {
    const refs = this.#refs;
    const candidates = this.#choices().filter(({ text }) => this.picked.includes(text));
    this.problem = '';
    this.done = 0;
    this.act({ type: 'listen', isListening: true });
    const preparing = new AbortController();
    this.#preparing = preparing;
    try {
      const prepared = await prepareCandidates(this.state, candidates, {
        prepareB: this.prepareB,
        onDone: (count) => {
          this.done = count;
        },
        signal: preparing.signal,
      });
      if (prepared) this.#begin(refs, prepared);
    } catch (error) {
      if (!(error instanceof Cancelled)) throw error;
      if (!preparing.signal.aborted) this.problem = 'The levels could not be computed. Press Start again.';
    } finally {
      if (this.#preparing === preparing) this.#stop();
    }
  }

  #begin(refs: readonly string[], { list, refused }: PreparedCandidates): void {
    this.refused = refused;
    const order = this.hides ? shuffled(list, randomBelow) : list;
    if (order.length > 0)
      this.act({ type: 'startCandidates', refs, list: order, isHidden: this.hides, refused });
  }

  readonly #stop = (): void => {
    this.#preparing?.abort();
    this.#preparing = undefined;
    this.done = undefined;
  };

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#stop();
  }
}

/** How many are left out, without a name. */
function leftOut({ refused: { length } }: CandidateRun) {
  if (length === 0) return nothing;
  const why = length === 1 ? 'it cannot be played' : 'they cannot be played';
  return html`<p class="problem small">${length} left out: ${why}.</p>`;
}

function nameOf({ list, isHidden }: CandidateRun, index: number): string {
  return isHidden && !list[index]!.isNamed ? String(index + 1) : list[index]!.text;
}
