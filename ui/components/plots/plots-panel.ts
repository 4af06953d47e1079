import { html, nothing, type PropertyValues } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { type SineTest, USUAL_TEST } from '../../../engine/analysis/steady-sine.ts';
import { SLOTS, type Slot } from '../../../worklets/bench-messages.ts';
import { dataText } from '../../data-text.ts';
import { withPedalNames } from '../../pedal-names.ts';
import type { Analyser } from '../../plots/analyser.ts';
import type { Answer } from '../../plots/analysis-messages.ts';
import { isSameKnown, type Known, type Pair } from '../../plots/known.ts';
import { levelPedals } from '../../plots/level-pedals.ts';
import { type LiveKind, LivePlots } from '../../plots/live-plots.ts';
import type { LiveSource } from '../../plots/live-source.ts';
import type { Analyses, PlotQuery, Subject } from '../../plots/plot-analysis.ts';
import { PLOT_KINDS, type PlotKind, viewOf } from '../../plots/plot-kinds.ts';
import type { PlotView } from '../../plots/plot-view.ts';
import { hasSameNets } from '../../plots/same-nets.ts';
import { SpreadDesk } from '../../plots/spread-desk.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { lookedText } from '../../state/chains.ts';
import { guitarAhead, playedBuild } from '../../state/played-network.ts';
import { BenchElement, LETTER } from '../bench-element.ts';
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { tabAtKey } from '../tab-keys.ts';
import './plot-frame.ts';
import './probe-menu.ts';
import './spread-dialog.ts';
import { isLetterKey } from '../../letter-key.ts';
import { SizeObserver } from '../../size-observer.ts';
import { plotsStyles } from './plots-styles.ts';
import type { SpreadDialog } from './spread-dialog.ts';

type AnalysisKind = PlotQuery['kind'];
/** An answer with the text of its query. */
interface Answered<K extends AnalysisKind> {
  readonly text: string;
  readonly answer: Answer<K>;
}
type Answers = { readonly [K in AnalysisKind]: Readonly<Partial<Record<Slot, Answered<K>>>> };

const LIVE_KINDS: readonly LiveKind[] = ['waveform', 'spectrum', 'levels'];
/** Plots of the test sine or of what plays. */
const CHOOSABLE: ReadonlySet<PlotKind> = new Set(['waveform', 'levels']);
/** Least width for two plots, px. */
const TWO_PLOTS_PX = 720;
const TEST_LIMITS = { hz: [20, 10_000], peakV: [0.001, 10] } as const;

/** The plots of both builds at the probe: one of several by tabs, two where there is room. */
@customElement('plots-panel')
export class PlotsPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property() theme = '';
  /** The analyser of the plots; available a moment after the page. */
  @property({ attribute: false }) analyser: Analyser | undefined;
  /** Playing gains of the probed net, rounded to a tenth of a decibel; not finite until known. */
  @property({ attribute: false }) gainA = Number.NEGATIVE_INFINITY;
  @property({ attribute: false }) gainB = Number.NEGATIVE_INFINITY;
  /** The only plot to show, of what plays, without anything to choose. */
  @property({ attribute: false }) only: LiveKind | undefined;
  /** Whether the panel is in sight: while it is not, nothing is computed or read for it. */
  @property({ attribute: false }) isShown = true;
  /** What plays. */
  @property({ attribute: false }) source: LiveSource | undefined;
  @state() private shown: readonly [PlotKind, PlotKind] = ['response', 'clipping'];
  @state() private hasRoom = false;
  @state() private test: SineTest = USUAL_TEST;
  @state() private isLive = false;
  /** The pane that fills the window, if any. */
  @state() private largePane: number | undefined;
  @query('.room') private room!: HTMLElement;
  @query('spread-dialog') private spreadDialog!: SpreadDialog;
  readonly #spread = new SpreadDesk();
  /** What had the focus before the plot was enlarged. */
  #focusedBefore: HTMLElement | undefined;
  @state() private answers: Answers = { response: {}, sine: {} };
  /** Text of the newest query of each kind and build. */
  readonly #asked = new Map<string, string>();
  readonly #stills = new Map<PlotKind, { readonly known: Known; readonly view: PlotView }>();
  readonly #live = new LivePlots((kind, view) => this.#show(kind, view));
  /** A frame later: what the new size brings would change sizes while they are still being told. */
  readonly #observer = new SizeObserver(() => requestAnimationFrame(() => this.#measure()));

  static override styles = [sharedStyles, segmentStyles, plotsStyles];

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('keydown', this.#onPageKey);
    window.addEventListener('keydown', this.#onEscape, true);
    this.#observer.observe(this);
    this.#spread.addEventListener('change', this.#onSpread);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener('keydown', this.#onPageKey);
    window.removeEventListener('keydown', this.#onEscape, true);
    this.#observer.disconnect();
    this.#live.stop();
    this.#spread.removeEventListener('change', this.#onSpread);
  }

  override render() {
    const isLarge = this.largePane !== undefined;
    return html`<div class="room" role=${isLarge ? 'dialog' : nothing} aria-modal=${isLarge ? 'true' : nothing}
      aria-label=${isLarge ? 'Plot in the whole window' : nothing} @focusout=${this.#keepFocus}>
      <div class="settings" ?hidden=${this.only !== undefined}>
        <probe-menu .state=${this.state} .gainA=${this.gainA} .gainB=${this.gainB}></probe-menu>
        ${this.#panes().some((kind) => CHOOSABLE.has(kind)) ? this.#renderLiveChoice() : nothing}
        ${this.#needs('sine') ? this.#renderTest() : nothing}
        <button @click=${() => this.spreadDialog.open(this.state.heard)} title="How far builds with other parts of the same values differ">Spread…</button>
      </div>
      ${this.#notices().map((text) => html`<p class="small problem" role="status">${text}</p>`)}
      <div class="panes">
        ${repeat(
          this.#places(),
          (pane) => pane,
          (pane) => this.#renderPane(this.#kindOf(pane), pane),
        )}
      </div>
      <spread-dialog .state=${this.state} .desk=${this.#spread}></spread-dialog>
    </div>`;
  }

  #renderTest() {
    const field = (name: keyof SineTest, label: string, unit: string) => html`
      <label>
        <input type="number" min=${TEST_LIMITS[name][0]} max=${TEST_LIMITS[name][1]} step="any" aria-label=${label}
          .value=${`${this.test[name]}`} @change=${(event: Event) => this.#setTest(name, event)} />
        ${unit}
      </label>
    `;
    return html`<div class="test small">
      <span>Test sine</span>
      ${field('peakV', 'Peak of the test sine, volts', 'V peak')}
      ${field('hz', 'Frequency of the test sine, hertz', 'Hz')}
    </div>`;
  }

  #renderPane(kind: PlotKind, pane: number) {
    return html`<section class="pane">
      <div class="head" ?hidden=${this.only !== undefined && this.largePane === undefined}><div class="tabs" ?hidden=${this.only !== undefined} role="tablist" aria-label=${pane === 0 ? 'Plots' : 'Second plot'} @keydown=${(event: KeyboardEvent) => this.#onTabKey(event, pane)}>
        ${PLOT_KINDS.map(
          ({
            id,
            title,
          }) => html`<button role="tab" id="tab-${pane}-${id}" data-kind=${id} aria-selected=${id === kind} aria-controls="plot-${pane}"
            tabindex=${id === kind ? 0 : -1} @click=${() => this.#choose(pane, id)}>${title}</button>`,
        )}
        </div>${this.#canBeLarge ? this.#renderEnlarge(pane) : nothing}
      </div>
      <div id="plot-${pane}" role="tabpanel" aria-labelledby="tab-${pane}-${kind}">
        <plot-frame data-kind=${kind} ?busy=${this.#isBusy(kind)} .view=${this.#viewOf(kind)} .theme=${this.theme}></plot-frame>
      </div>
    </section>`;
  }

  /** Not a tab, though it stands in their line: a list of tabs may own nothing else. */
  #renderEnlarge(pane: number) {
    const isLarge = this.largePane !== undefined;
    return html`<button class="enlarge" aria-pressed=${isLarge} aria-label=${isLarge ? 'Plot small' : 'Plot large'}
      title=${isLarge ? 'Back (G or Esc)' : 'Fill the window (G)'} @click=${() => this.#enlarge(isLarge ? undefined : pane)}>${isLarge ? '×' : '⤢'}</button>`;
  }

  #renderLiveChoice() {
    const choice = (isLive: boolean, text: string) => html`<label>
      <input type="radio" name="signal" .checked=${this.isLive === isLive} @change=${() => this.#setLive(isLive)} />${text}
    </label>`;
    return html`<div class="segments" role="radiogroup" aria-label="Signal of the plot" title="What waveform and levels show">
      ${choice(false, 'Test sine')}${choice(true, 'Live')}
    </div>`;
  }

  protected override willUpdate(changed: PropertyValues): void {
    const asks = ['state', 'test', 'shown', 'hasRoom', 'analyser', 'only', 'isShown'].some((name) =>
      changed.has(name),
    );
    if (asks) this.#ask(changed.get('state') as BenchState | undefined);
  }

  protected override updated(): void {
    this.#live.follow(this.source, this.#liveKinds(), this.#whatIsKnown());
  }

  #panes(): readonly PlotKind[] {
    if (!this.isShown) return [];
    return this.#places().map((pane) => this.#kindOf(pane));
  }

  #kindOf(pane: number): PlotKind {
    return this.only ?? this.shown[pane]!;
  }

  /** A spectrum is always live; waveform and levels can be those of the test sine. */
  #liveKinds(): readonly LiveKind[] {
    const shown = this.#panes();
    return LIVE_KINDS.filter(
      (kind) => shown.includes(kind) && (this.isLive || this.only !== undefined || kind === 'spectrum'),
    );
  }

  #places(): readonly number[] {
    if (this.largePane !== undefined) return [this.largePane];
    return this.hasRoom && this.only === undefined ? [0, 1] : [0];
  }

  /** The plot goes above the page, by the browser's own means, and is not moved in the document: it keeps focus and cursor. */
  get #canBeLarge(): boolean {
    return 'popover' in HTMLElement.prototype;
  }

  #onPageKey = (event: KeyboardEvent): void => {
    if (!isLetterKey(event, 'g') || !this.#canBeLarge || !this.isShown) return;
    event.preventDefault();
    this.#enlarge(this.largePane === undefined ? this.#focusedPane() : undefined);
  };

  /** On its way down, before the bench sees it: Escape also takes the probe off. A dialog above the plot has it first. */
  #onEscape = (event: KeyboardEvent): void => {
    if (event.key !== 'Escape' || this.largePane === undefined) return;
    if (event.composedPath().some((target) => target instanceof HTMLDialogElement)) return;
    event.preventDefault();
    this.#enlarge(undefined);
  };

  readonly #onSpread = (): void => this.requestUpdate();

  #focusedPane(): number {
    const focused = this.shadowRoot?.activeElement?.closest('.pane');
    return Math.max(0, [...this.renderRoot.querySelectorAll('.pane')].indexOf(focused!));
  }

  #enlarge(pane: number | undefined): void {
    const isOpening = pane !== undefined;
    this.largePane = pane;
    this.room.popover = isOpening ? 'manual' : null;
    if (isOpening) this.room.showPopover();
    void this.updateComplete.then(() => (isOpening ? this.#focusPlot() : this.#focusedBefore?.focus()));
  }

  /** The focus stays where it is, or comes into the plot if it was elsewhere on the page. */
  #focusPlot(): void {
    this.#focusedBefore = undefined;
    if (this.shadowRoot?.activeElement) return;
    this.#focusedBefore = focusedElement();
    this.#focusInside();
  }

  #focusInside(): void {
    const place = this.only === undefined ? '[role="tab"][aria-selected="true"]' : '.enlarge';
    this.renderRoot.querySelector<HTMLElement>(place)?.focus();
  }

  /** What the large plot covers cannot be seen, and gets no focus. */
  #keepFocus = ({ relatedTarget }: FocusEvent): void => {
    if (this.largePane === undefined || !(relatedTarget instanceof Element) || this.contains(relatedTarget))
      return;
    if (this.shadowRoot?.contains(relatedTarget)) return;
    this.#focusInside();
  };

  #needs(kind: AnalysisKind): boolean {
    return PLOT_KINDS.some(({ id, needs }) => needs === kind && this.#panes().includes(id));
  }

  /** Requests the analyses of the visible plots; known ones are not computed again. */
  #ask(before: BenchState | undefined): void {
    if (before) this.#dropOthers(before);
    for (const slot of SLOTS) {
      const subject = subjectOf(this.state, slot);
      if (this.#needs('response')) void this.#askFor('response', slot, { kind: 'response', subject });
      if (this.#needs('sine')) void this.#askFor('sine', slot, { kind: 'sine', subject, test: this.test });
    }
  }

  async #askFor<K extends AnalysisKind>(
    kind: K,
    slot: Slot,
    query: Extract<PlotQuery, { readonly kind: K }>,
  ): Promise<void> {
    const place = `${slot} ${kind}`;
    const text = dataText(query);
    this.#asked.set(place, text);
    const answer = await this.analyser?.ask<K>(place, query);
    if (!answer || this.answers[kind][slot]?.text === text || !this.#isStillAsked(slot, query)) return;
    this.answers = { ...this.answers, [kind]: { ...this.answers[kind], [slot]: { text, answer } } };
  }

  /** Results of another net, or of another pedal's nets, must not be shown under these ones' names. */
  #dropOthers(before: BenchState): void {
    const isKept = (slot: Slot) => hasSameNets(subjectOf(before, slot), subjectOf(this.state, slot));
    const dropped = SLOTS.filter((slot) => !isKept(slot));
    if (dropped.length === 0) return;
    const none = Object.fromEntries(dropped.map((slot) => [slot, undefined]));
    const { response, sine } = this.answers;
    // A response to the output is that of the whole chain, whichever pedal is looked at.
    const isOfChain = before.probe === undefined && this.state.probe === undefined;
    this.answers = { response: isOfChain ? response : { ...response, ...none }, sine: { ...sine, ...none } };
  }

  /** An answer of an older build is shown until the next one comes; one of other nets or another sine would be under a wrong title. */
  #isStillAsked(slot: Slot, query: PlotQuery): boolean {
    if (!hasSameNets(query.subject, subjectOf(this.state, slot))) return false;
    return query.kind !== 'sine' || query.test === this.test;
  }

  #isBusy(kind: PlotKind): boolean {
    const needs = PLOT_KINDS.find(({ id }) => id === kind)!.needs;
    if (needs === 'sound') return false;
    const isLive = this.#liveKinds().some((each) => each === kind);
    return SLOTS.some((slot) => {
      const answered = this.answers[needs][slot];
      // What is live is not that of an older build.
      return !answered || (!isLive && answered.text !== this.#asked.get(`${slot} ${needs}`));
    });
  }

  #viewOf(kind: PlotKind): PlotView {
    const live = this.#liveKinds().find((each) => each === kind);
    const view = live && this.#live.viewOf(live);
    return view ?? this.#stillView(kind, this.#whatIsKnown());
  }

  /** The same object while nothing in it changes, so that the plot is not drawn again. */
  #stillView(kind: PlotKind, known: Known): PlotView {
    const last = this.#stills.get(kind);
    if (last && isSameKnown(last.known, known)) return last.view;
    const view = viewOf(kind, known);
    this.#stills.set(kind, { known, view });
    return view;
  }

  #whatIsKnown(): Known {
    return {
      response: this.#known('response'),
      sine: this.#known('sine'),
      spread: this.#spread.bands(this.state),
      clips: this.#spread.clippingBands(this.state),
      place: this.#place(),
      pedal: this.#pedal,
      pedals: levelPedals(this.state),
      heard: this.state.heard,
      from: this.#from(),
      ...this.test,
    };
  }

  #known<K extends AnalysisKind>(kind: K): Pair<Analyses[K]> {
    const of = (slot: Slot) => {
      const answer: Answer<K> | undefined = this.answers[kind][slot]?.answer;
      return answer?.kind === 'result' ? answer.result : undefined;
    };
    return { a: of('a'), b: of('b') };
  }

  /** In a chain: the pedals that are looked at. */
  get #pedal(): string | undefined {
    return lookedText(this.state.places);
  }

  #from(): string {
    if (guitarAhead(this.state)) return 'the strings, through pickup and cable,';
    return this.#pedal === undefined ? 'input' : 'the input of the chain';
  }

  #place(): string {
    const { probe } = this.state;
    if (probe !== undefined) return `net ${probe}${this.#pedal === undefined ? '' : ` of ${this.#pedal}`}`;
    return this.#pedal === undefined ? 'the output' : 'the output of the chain';
  }

  /** Why a build cannot be plotted, in plain words. */
  #notices(): string[] {
    return SLOTS.flatMap((slot) => {
      const answers = [this.answers.response[slot]?.answer, this.answers.sine[slot]?.answer];
      if (answers.some((answer) => answer?.kind === 'none')) return [this.#missing(slot)];
      const refused = answers.find((answer) => answer?.kind === 'refused');
      return refused?.kind === 'refused' ? [`${LETTER[slot]}: ${withPedalNames(refused.message)}`] : [];
    });
  }

  #missing(slot: Slot): string {
    const { title } = this.state.builds[slot].circuit;
    const { probe, isBypassed } = this.state;
    const where = isBypassed ? 'while the pedal is off' : `as ${LETTER[slot]} is built (${title})`;
    return `${LETTER[slot]} has no net ${probe} that carries a signal ${where}: silence there.`;
  }

  #choose(pane: number, kind: PlotKind): void {
    this.shown = pane === 0 ? [kind, this.shown[1]] : [this.shown[0], kind];
  }

  #onTabKey(event: KeyboardEvent, pane: number): void {
    const kinds = PLOT_KINDS.map(({ id }) => id);
    const next = tabAtKey(event.key, kinds, this.shown[pane]!);
    if (next === undefined) return;
    event.preventDefault();
    this.#choose(pane, next);
    this.renderRoot.querySelector<HTMLElement>(`#tab-${pane}-${next}`)?.focus();
  }

  #setTest(name: keyof SineTest, event: Event): void {
    const input = event.target as HTMLInputElement;
    const [least, most] = TEST_LIMITS[name];
    const wanted = input.valueAsNumber;
    const value = Number.isFinite(wanted) ? Math.min(most, Math.max(least, wanted)) : this.test[name];
    input.value = `${value}`;
    if (value !== this.test[name]) this.test = { ...this.test, [name]: value };
  }

  #setLive(isLive: boolean): void {
    this.isLive = isLive;
  }

  /** At display rate, past the panel's own drawing. */
  #show(kind: LiveKind, view: PlotView): void {
    for (const plot of this.renderRoot.querySelectorAll(`plot-frame[data-kind="${kind}"]`))
      (plot as HTMLElementTagNameMap['plot-frame']).view = view;
  }

  #measure(): void {
    this.hasRoom = this.clientWidth >= TWO_PLOTS_PX;
  }
}

function subjectOf(state: BenchState, slot: Slot): Subject {
  return { ...playedBuild(state, slot), probe: state.probe };
}

/** The focused element, through all shadow roots. */
function focusedElement(): HTMLElement | undefined {
  let focused = document.activeElement;
  while (focused?.shadowRoot?.activeElement) focused = focused.shadowRoot.activeElement;
  return focused instanceof HTMLElement && focused !== document.body ? focused : undefined;
}

declare global {
  interface HTMLElementTagNameMap {
    'plots-panel': PlotsPanel;
  }
}
