import './components/build-bar.ts';
import './components/calibration-guide.ts';
import './components/chain-strip.ts';
import './components/conditions-panel.ts';
import './components/controls-panel.ts';
import './components/drop-zones.ts';
import './components/ear/ear-room.ts';
import './components/hands-dialog.ts';
import './components/input-panel.ts';
import './components/live-caution.ts';
import './components/noise-panel.ts';
import './components/notice-bar.ts';
import './components/output-panel.ts';
import './components/part-card.ts';
import './components/parts-list.ts';
import './components/player-panel.ts';
import './components/schematic/build-schematic.ts';
import './components/sound-settings.ts';
import './components/swap-list.ts';
import './components/switch-panel.ts';
import { html, LitElement, nothing } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { BUNDLED } from '../engine/circuits/circuits.ts';
import { SLOTS } from '../worklets/bench-messages.ts';
import { AudioSession } from './audio/audio-session.ts';
import { ClipCount } from './audio/clip-count.ts';
import { keepDevice } from './audio/kept-devices.ts';
import { type InputDevice, listInputs } from './audio/live-input.ts';
import type { Source } from './audio/prepared-source.ts';
import type { ProblemCause } from './audio/problems.ts';
import { RECORDINGS } from './audio/recordings.ts';
import type { Telemetry } from './audio/telemetry.ts';
import { BenchAnalysis } from './bench-analysis.ts';
import { BenchAudio, soundOf } from './bench-audio.ts';
import { BenchDrop } from './bench-drop.ts';
import { BenchKeeper } from './bench-keeper.ts';
import { BenchKeys } from './bench-keys.ts';
import { BenchMatch } from './bench-match.ts';
import { followFootswitch } from './bench-pop.ts';
import { BenchSource } from './bench-source.ts';
import { benchStyles } from './bench-styles.ts';
import { openBuild, saveSide } from './build-files.ts';
import { ACTION_EVENT, LETTER } from './components/bench-element.ts';
import type { CalibrationGuide } from './components/calibration-guide.ts';
import type { DropZones } from './components/drop-zones.ts';
import type { HandsDialog } from './components/hands-dialog.ts';
import type { LiveCaution } from './components/live-caution.ts';
import { sharedStyles } from './components/shared-styles.ts';
import type { SoundSettings } from './components/sound-settings.ts';
import { drawings } from './drawing-queue.ts';
import { BlindDesk } from './ear/blind-desk.ts';
import { EarDose } from './ear/ear-exposure.ts';
import { computeLoudness, judgeSolver } from './ear/ear-pool.ts';
import { LoudnessQueue } from './ear/loudness-queue.ts';
import { MatchDesk } from './ear/match-desk.ts';
import { PlayingExcerpts } from './ear/playing-excerpts.ts';
import { PlayingPhrase } from './ear/playing-phrase.ts';
import { RiffDesk } from './ear/riff-desk.ts';
import { FirstSteps } from './first-steps.ts';
import { HandDesk } from './hands/hand-desk.ts';
import { HandRunner } from './hands/hand-runner.ts';
import { keepingNotices } from './keeping-notices.ts';
import { MediaFollower } from './media-query.ts';
import { MidiDesk } from './midi/midi-desk.ts';
import { NewerCircuitNotice } from './newer-circuit-notice.ts';
import { dismissal, type Notice } from './notice.ts';
import { hasOpenDialog } from './open-dialog.ts';
import { measureInWorker, RateDesk } from './rate/rate-desk.ts';
import { SolverWatch } from './solver-watch.ts';
import type { Action, BenchState, View } from './state/bench-state.ts';
import { BenchStore } from './state/bench-store.ts';
import { isHiding } from './state/candidate-run.ts';
import type { EarCommand } from './state/ear-state.ts';
import { isToldOnCard } from './state/slots-of-part.ts';
import { startingBench } from './state/starting-state.ts';
import { readTheme, type Theme, writeTheme } from './state/theme.ts';
import { SwapsInWorker } from './swap/swap-maker.ts';
import { SwapPath } from './swap/swap-path.ts';

type LeftView = 'schematic' | 'list';
const LEFT_VIEWS = [
  ['schematic', 'Schematic'],
  ['list', 'Parts by stage'],
] as const;

const VIEWS: readonly (readonly [view: View, title: string])[] = [
  ['bench', 'Bench'],
  ['ear', 'By ear'],
];

/** What fills a phone, one at a time; `ear` is the view By ear. */
const PAGES = [
  ['play', 'Play'],
  ['part', 'Part'],
  ['circuit', 'Circuit'],
  ['controls', 'Controls'],
  ['plots', 'Plots'],
  ['sound', 'Sound'],
  ['ear', 'By ear'],
] as const;
type Page = (typeof PAGES)[number][0];
const PAGES_WITH_PLOTS: ReadonlySet<Page> = new Set(['play', 'plots']);
const PHONE = '(max-width: 740px)';
/** How much of a panel is shown. */
type Extent = 'whole' | 'brief' | 'rest';

/** Actions that are allowed during a blind test. */
const BLIND_ACTIONS: ReadonlySet<Action['type']> = new Set(['listen', 'output', 'earCommand']);

/** Actions that are allowed while candidates play with their names hidden: none that changes what is compared. */
const HIDING_ACTIONS: ReadonlySet<Action['type']> = new Set([
  ...BLIND_ACTIONS,
  'hear',
  'match',
  'bypass',
  'ear',
  'undo',
  'candidate',
  'pickCandidate',
  'verdict',
  'endCandidates',
]);

/** The whole bench: state, sound and screen wired together. */
@customElement('cliplead-bench')
export class ClipleadBench extends LitElement {
  readonly session = new AudioSession();
  readonly #rate = new RateDesk(this.session, measureInWorker);
  readonly #maker = new SwapsInWorker(
    startWorker,
    (problem) => this.session.report('swaps', problem),
    (isSlow) => {
      this.isPreparing = isSlow;
    },
  );
  readonly #phrases = new PlayingPhrase(this.session);
  readonly #match = new BenchMatch(
    new MatchDesk(this.session, this.#phrases, new LoudnessQueue(computeLoudness)),
  );
  readonly #starting = startingBench(RECORDINGS[0]?.id ?? '');
  readonly store = new BenchStore(
    this.#starting.state,
    new SwapPath(soundOf(this.session, this.#rate), this.#maker),
    this.#starting.remedies,
    this.#match,
  );
  readonly #wanted = () => this.store.wanted;
  readonly #prepareB = (state: BenchState) => this.#match.prepareB(state);
  readonly #firstSteps = new FirstSteps(this, this.store);
  readonly #audio = new BenchAudio(this.store, this.session, this.#rate);
  readonly #source = new BenchSource(this.store, this.session);
  readonly #keeper = new BenchKeeper(this, this.store);
  readonly #analysis = new BenchAnalysis(
    this,
    () => this.store.state,
    () => this.session.state.sampleRateHz,
  );
  readonly #excerpts = new PlayingExcerpts(this.session, this.#phrases);
  readonly #solver = new SolverWatch(this, {
    state: () => this.store.state,
    rate: () => {
      const { rate, sampleRateHz } = this.session.state;
      return { factor: rate.factor, sampleRateHz };
    },
    excerpts: () => this.#excerpts.of(this.store.state),
    judge: judgeSolver,
  });
  readonly #riffs = new RiffDesk(this.store, this.session, (source) => void this.#useSource(source));
  readonly #dose = new EarDose();
  readonly #newer = new NewerCircuitNotice();
  /** The circuits that come with the bench. */
  bundled = BUNDLED;
  readonly #clips = new ClipCount();
  readonly #blind = new BlindDesk(this.store, this.session, () => this.#solver.isDone);
  readonly #hands = new HandDesk(
    new HandRunner({
      store: this.store,
      act: (action) => this.#act(action),
      useSource: (source) => this.#useSource(source),
      blind: this.#blind,
      showKeys: () => this.handsDialog.open(),
      hasDialog: () => hasOpenDialog(this.renderRoot),
    }),
    { wanted: this.#wanted, act: (action) => this.#act(action) },
  );
  readonly #midi = new MidiDesk((move, atMs) => this.#hands.takeMidi(move, atMs));
  readonly #keys = new BenchKeys({
    store: this.store,
    act: (action) => this.#act(action),
    hands: this.#hands,
    pressBlind: (key) => this.#blind.press(key),
    isBlind: () => this.#isBlind,
  });
  readonly #drop = new BenchDrop({
    store: this.store,
    zones: () => this.dropZones,
    useSource: (source) => void this.#useSource(source),
    isClosed: () => this.#isBlind || this.#isHiding,
  });
  @state() private telemetry: Telemetry = this.session.readTelemetry();
  @state() private inputs: readonly InputDevice[] = [];
  @state() private theme: Theme = readTheme();
  /** Circuits have been in preparation for more than a second. */
  @state() private isPreparing = false;
  @state() private leftView: LeftView = 'schematic';
  @state() private page: Exclude<Page, 'ear'> = 'play';
  readonly #phone = new MediaFollower(this, PHONE);
  @query('live-caution') private caution!: LiveCaution;
  @query('hands-dialog') private handsDialog!: HandsDialog;
  @query('drop-zones') private dropZones!: DropZones | null;
  @query('calibration-guide') private guide!: CalibrationGuide;
  @query('sound-settings') private soundSettings!: SoundSettings;
  #wasCautioned = false;
  #before: Pick<BenchState, 'view' | 'isListening'> = this.store.state;
  #frame = 0;

  static override styles = [sharedStyles, benchStyles];

  constructor() {
    super();
    this.#match.follow(this.store);
    followFootswitch(this.store, this.session, (slot, index) => this.#analysis.heardPops(slot, index));
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.addEventListener(ACTION_EVENT, this.#onAction);
    this.#keys.connect();
    this.#drop.connect();
    this.store.addEventListener('change', this.#onChange);
    this.session.addEventListener('change', this.#onSession);
    this.session.addEventListener('devices', this.#listInputs);
    this.session.circuitsReady = () => this.store.settled();
    writeTheme(this.theme);
    void this.#listInputs();
    if (this.#hands.hasMidi) void this.#midi.resume();
    this.#frame = requestAnimationFrame(this.#onFrame);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.removeEventListener(ACTION_EVENT, this.#onAction);
    this.#keys.disconnect();
    this.#drop.disconnect();
    this.store.removeEventListener('change', this.#onChange);
    this.session.removeEventListener('change', this.#onSession);
    this.session.removeEventListener('devices', this.#listInputs);
    this.#maker.close();
    cancelAnimationFrame(this.#frame);
  }

  /** In a separate task, so that sending a swap and drawing it are short tasks. */
  protected override async scheduleUpdate(): Promise<void> {
    if (this.hasUpdated) await drawings.add(() => super.scheduleUpdate());
    else super.scheduleUpdate();
  }

  /** Resolves when all requests are shown, by every component, or refused. */
  protected override async getUpdateComplete(): Promise<boolean> {
    await this.store.settled();
    const isComplete = await super.getUpdateComplete();
    await drawings.empty();
    return isComplete;
  }

  override render() {
    if (this.#isBlind) return this.#renderBlind();
    return this.#isHiding ? this.#renderHiding() : this.#renderAll();
  }

  /** The builds, and all that could tell which candidate plays, stay away while its name is hidden. */
  #renderHiding() {
    const bench = this.store.state;
    const extent = this.#phone.matches ? 'brief' : 'whole';
    return html`
      <header class="top"><h1>Cliplead</h1></header>
      <notice-bar .notices=${this.#problems()}></notice-bar>
      ${this.#renderEarRoom(bench)}
      <footer>
        ${this.#renderSwitch(bench, extent)}
        ${this.#renderOutput(bench, extent)}
      </footer>
      ${this.#renderHandDialogs(bench)}
    `;
  }

  /** What keys and foot switches open, in every view where they do. */
  #renderHandDialogs(bench: BenchState) {
    return html`<hands-dialog .state=${bench} .hands=${this.#hands} .midi=${this.#midi}></hands-dialog>
      <live-caution .isListening=${bench.isListening}></live-caution>`;
  }

  /** Meters, plots, schematic and lists stay away while a blind test runs. */
  #renderBlind() {
    const bench = this.store.state;
    return html`
      <header class="top"><h1>Cliplead</h1></header>
      <notice-bar .notices=${[...this.#problems(), ...this.#solverWarnings()]}></notice-bar>
      ${this.#renderEarRoom(bench)}
      <footer>
        <output-panel .state=${bench} .audio=${this.session.state} .telemetry=${this.telemetry}></output-panel>
      </footer>
    `;
  }

  #renderAll() {
    const bench = this.store.state;
    const extent = this.#phone.matches ? 'brief' : 'whole';
    const audio = this.session.state;
    return html`
      <header class="top">
        <div class="name">
          <h1>Cliplead</h1>
          ${this.#renderViews(bench.view)}
        </div>
        <div class="builds">
          ${SLOTS.map((slot) => html`<build-bar .slotName=${slot} .build=${bench.builds[slot]} .place=${bench.places[slot]}></build-bar>`)}
        </div>
        <div class="tools" data-page=${this.#shownPage}>
          <button ?disabled=${!this.store.canUndo} @click=${() => this.store.act({ type: 'undo' })} title="Ctrl+Z">Undo</button>
          <button ?disabled=${!this.store.canRedo} @click=${() => this.store.act({ type: 'redo' })} title="Ctrl+Y">Redo</button>
          <button @click=${() => this.store.act({ type: 'exchange' })}>Swap sides</button>
          <button @click=${() => this.handsDialog.open()} title="Keys, foot switches, MIDI (?)">Keys</button>
          <button @click=${this.#turnTheme}>${this.theme === 'dark' ? 'Light' : 'Dark'}</button>
        </div>
      </header>
      <notice-bar .notices=${this.#notices(bench)}></notice-bar>
      ${
        bench.view === 'ear'
          ? html`${this.#renderEarRoom(bench)}<div class="below">${this.#renderConditions(bench)}</div>`
          : this.#renderBench(bench)
      }
      <footer>
        ${this.#phone.matches ? nothing : this.#renderInput(bench)}
        ${this.#renderSwitch(bench, extent)}
        ${this.#renderOutput(bench, extent)}
        ${this.#phone.matches ? this.#renderPages() : nothing}
      </footer>
      <calibration-guide .state=${bench} .audio=${audio} .telemetry=${this.telemetry}></calibration-guide>
      <sound-settings .state=${bench} .audio=${audio}></sound-settings>
      <drop-zones .builds=${bench.builds}></drop-zones>
      ${this.#renderHandDialogs(bench)}
    `;
  }

  #renderInput(bench: BenchState) {
    return html`<input-panel .state=${bench} .audio=${this.session.state} .telemetry=${this.telemetry} .clips=${this.#clips.since(this.telemetry.inputClips)} .inputs=${this.inputs}></input-panel>`;
  }

  /** @param extent On a phone only A and B are at hand, and the rest is on a page of its own. */
  #renderSwitch(bench: BenchState, extent: Extent) {
    return html`<switch-panel ?data-brief=${extent === 'brief'} ?data-rest=${extent === 'rest'} .state=${bench} .footKey=${this.#hands.footKey} .wanted=${this.#wanted} .telemetry=${this.telemetry} .roundSeconds=${this.session.state.roundSeconds}></switch-panel>`;
  }

  #renderOutput(bench: BenchState, extent: Extent) {
    return html`<output-panel ?data-brief=${extent === 'brief'} ?data-rest=${extent === 'rest'} .state=${bench} .audio=${this.session.state} .telemetry=${this.telemetry}></output-panel>`;
  }

  get #shownPage(): Page {
    return this.store.state.view === 'ear' ? 'ear' : this.page;
  }

  #renderPages() {
    return html`<nav class="pages" aria-label="Pages">
      ${PAGES.map(
        ([page, title]) => html`<button aria-current=${page === this.#shownPage ? 'page' : 'false'}
          @click=${() => this.#turnTo(page)}>${title}</button>`,
      )}
    </nav>`;
  }

  #turnTo(page: Page): void {
    this.store.act({ type: 'view', view: page === 'ear' ? 'ear' : 'bench' });
    if (page !== 'ear') this.page = page;
  }

  #renderViews(shown: View) {
    return html`<nav aria-label="Views">
      ${VIEWS.map(
        ([view, title]) => html`<button aria-current=${view === shown ? 'page' : 'false'}
          @click=${() => this.store.act({ type: 'view', view })}>${title}</button>`,
      )}
    </nav>`;
  }

  #renderBench(bench: BenchState) {
    return html`
      <main data-page=${this.page}>
        ${this.#phone.matches ? this.#renderPhone(bench) : nothing}
        <div class="left">
          <chain-strip .state=${bench}></chain-strip>
          ${
            this.leftView === 'schematic'
              ? html`<build-schematic .state=${bench} .analyser=${this.#analysis.analyser} .warnings=${this.#analysis.warnings[bench.heard]}>${this.#renderSheets()}</build-schematic>`
              : html`${this.#renderSheets()}<parts-by-stage .state=${bench} .wanted=${this.#wanted}></parts-by-stage>`
          }
          <swap-list .state=${bench}></swap-list>
          <controls-panel .state=${bench} .unity=${this.#analysis.unity}></controls-panel>
          <div class="below">
            ${this.#renderConditions(bench)}
            <noise-panel .state=${bench} .analyser=${this.#analysis.analyser}></noise-panel>
          </div>
        </div>
        <div class="right">
          <section class="sheet"><part-card .state=${bench} .wanted=${this.#wanted} .warnings=${this.#analysis.warnings}></part-card></section>
          <section class="plots">${this.#renderPlots(bench)}</section>
        </div>
      </main>
    `;
  }

  /** What only a phone has, or has in another place. */
  #renderPhone(bench: BenchState) {
    switch (this.page) {
      case 'play':
        return html`<player-panel .state=${bench} .wanted=${this.#wanted} .telemetry=${this.telemetry}></player-panel>`;
      case 'sound':
        return [
          this.#renderInput(bench),
          this.#renderSwitch(bench, 'rest'),
          this.#renderOutput(bench, 'rest'),
        ];
      default:
        return nothing;
    }
  }

  #renderPlots(bench: BenchState) {
    const { probeGainDbA, probeGainDbB } = this.telemetry;
    const isPhone = this.#phone.matches;
    return html`<plots-panel .state=${bench} .analyser=${this.#analysis.analyser} .theme=${this.theme} .source=${this.session}
      .only=${isPhone && this.page === 'play' ? 'waveform' : undefined} .isShown=${!isPhone || PAGES_WITH_PLOTS.has(this.page)}
      .gainA=${tenths(probeGainDbA)} .gainB=${tenths(probeGainDbB)}></plots-panel>`;
  }

  #renderEarRoom(bench: BenchState) {
    return html`<ear-room .state=${bench} .footKey=${this.#hands.footKey} .audio=${this.session.state} .telemetry=${this.telemetry} .theme=${this.theme} .dose=${this.#dose} .session=${this.session} .isSolverChecked=${this.#solver.isDone} .prepareB=${this.#prepareB}></ear-room>`;
  }

  #renderSheets() {
    return html`<nav class="sheets" slot="views" aria-label="The build as">
      ${LEFT_VIEWS.map(([view, title]) => html`<button aria-pressed=${this.leftView === view} @click=${() => this.#showLeft(view)}>${title}</button>`)}
    </nav>`;
  }

  #renderConditions(bench: BenchState) {
    return html`<conditions-panel .state=${bench} .wanted=${this.#wanted} .pops=${this.#analysis.pops}></conditions-panel>`;
  }

  /** What was just refused comes first. */
  #notices(bench: BenchState): readonly Notice[] {
    const { refusal, view, probe } = bench;
    const { trouble } = this.#analysis;
    const act = (action: Action) => this.#act(action);
    return [
      ...(refusal && !(this.#showsCard && isToldOnCard(bench))
        ? [urgent(refusal.message, () => this.store.act({ type: 'dismiss' }))]
        : []),
      ...this.#problems(),
      ...keepingNotices(bench, this.#keeper, act),
      ...(trouble === undefined ? [] : [warning(trouble)]),
      ...this.#analysis.allWarnings.map(warning),
      ...this.#solverWarnings(),
      ...(this.isPreparing ? [note('Preparing the circuits…')] : []),
      ...(view === 'ear' && probe !== undefined ? [this.#probed(probe)] : []),
      ...this.#newer.notices(bench.builds, this.bundled, act, () => this.requestUpdate()),
      ...this.#firstSteps.notices,
    ];
  }

  /** Whether the card of the chosen part is in sight, which tells itself what was refused about it. */
  get #showsCard(): boolean {
    const page = this.#shownPage;
    return page !== 'ear' && (!this.#phone.matches || page === 'part');
  }

  /** In a blind test too: they say nothing of who is heard. */
  #solverWarnings(): readonly Notice[] {
    return SLOTS.flatMap((slot) => {
      const text = this.#solver.warnings[slot];
      return text === undefined ? [] : [warning(`${LETTER[slot]}: ${text}`)];
    });
  }

  #problems(): readonly Notice[] {
    const problems = Object.entries(this.session.state.problems) as [ProblemCause, string][];
    return problems.map(([cause, text]) => urgent(text, () => this.session.report(cause, undefined)));
  }

  /** In the view “By ear” pedals are compared, so an active probe is mentioned. */
  #probed(net: string): Notice {
    const back = () => this.store.act({ type: 'probe', net: undefined });
    return note(`You hear net ${net}, not the output.`, [{ title: 'Back to the output', act: back }]);
  }

  #onAction = ({ detail }: CustomEvent<Action>): void => {
    this.#act(detail);
    // Not for keys, which walk from part to part.
    if (detail.type === 'select') this.#showCard();
  };

  #act(detail: Action): void {
    if (this.#isBlind && !BLIND_ACTIONS.has(detail.type)) return;
    if (this.#isHiding && !HIDING_ACTIONS.has(detail.type)) return;
    switch (detail.type) {
      case 'source':
        void this.#useSource(detail.source);
        return;
      case 'open':
        void openBuild(this.store, detail.slot, detail.file, detail.joins);
        return;
      case 'save':
        saveSide(this.store.state, detail.slot, detail.isPedal === true);
        return;
      case 'guideCalibration':
        this.guide.open();
        return;
      case 'soundSettings':
        this.soundSettings.open();
        return;
      case 'outputDevice':
        void this.session.useOutput(detail.device);
        return;
      case 'clearClips':
        this.#clips.clear();
        this.requestUpdate();
        return;
      case 'measureRate':
        this.#audio.measureRate();
        return;
      case 'measureRoundTrip':
        void this.session.measureRoundTrip();
        return;
      case 'earCommand':
        this.#carryOut(detail.command);
        return;
      case 'tone':
        void this.session.playTone(detail.isPlaying);
        return;
      default:
        this.store.act(detail);
        if (detail.type === 'listen' && detail.isListening) this.#openKeptInput();
    }
  }

  /** A live input of an earlier visit is opened like one that is chosen: with the caution first. */
  #openKeptInput(): void {
    const { source } = this.store.state;
    if (source.kind === 'live' && this.session.state.source.kind === 'none') void this.#useSource(source);
  }

  #carryOut(command: EarCommand): void {
    if (!this.#riffs.carryOut(command)) this.#blind.carryOut(command);
  }

  /** During a blind test nothing changes, and nothing on the screen tells which build is heard. */
  get #isBlind(): boolean {
    return this.store.state.ear.blindTest !== undefined;
  }

  /** Candidates play whose names are hidden. */
  get #isHiding(): boolean {
    return isHiding(this.store.state.ear);
  }

  /** On a phone a part that is chosen in the circuit is on another page. */
  #showCard(): void {
    if (this.#phone.matches && this.page === 'circuit') this.page = 'part';
  }

  async #useSource(wanted: Source): Promise<void> {
    let source: Source | undefined = wanted;
    if (wanted.kind === 'live' && !this.#wasCautioned) {
      source = await this.caution.ask(wanted);
      if (source) this.#wasCautioned = true;
    }
    if (source) await this.#source.use(source);
    const { source: playing, input } = this.session.state;
    if (playing.kind === 'live' && input)
      keepDevice('input-device', { id: playing.deviceId, label: input.label });
    if (source?.kind === 'live') await this.#listInputs();
    // The menu shows the request, which may not be the source that plays.
    this.requestUpdate();
  }

  #onChange = (): void => {
    this.#keeper.save();
    this.#analysis.check();
    this.#solver.check();
    this.#endTone();
    this.requestUpdate();
  };

  /** The tone for the multimeter ends with Mute, which silences everything, and with the view that its button is in. */
  #endTone(): void {
    const { view, isListening } = this.store.state;
    const before = this.#before;
    this.#before = { view, isListening };
    const isOver = view !== before.view || (before.isListening && !isListening);
    if (isOver && this.session.state.playsTone) void this.session.playTone(false);
  }

  #showLeft(view: LeftView): void {
    this.leftView = view;
  }

  #onSession = (): void => {
    // Frames read it only while sound runs.
    if (!this.session.state.isRunning) this.telemetry = this.session.readTelemetry();
    // The rate may have changed.
    this.#solver.check();
    this.#analysis.followRate();
    this.requestUpdate();
  };

  #listInputs = async (): Promise<void> => {
    this.inputs = (await listInputs()).filter(({ id }) => id !== '');
  };

  #onFrame = (): void => {
    // First, so that meters and dose go on if something below fails.
    this.#frame = requestAnimationFrame(this.#onFrame);
    if (this.session.state.isRunning) {
      this.#blind.tick();
      if (!this.#isBlind) this.telemetry = this.session.readTelemetry();
      this.#dose.add(this.telemetry.outputAWeightedSquare, performance.now());
      this.#audio.tick();
    }
  };

  #turnTheme = (): void => {
    this.theme = this.theme === 'dark' ? 'light' : 'dark';
    writeTheme(this.theme);
  };
}

function startWorker(): Worker {
  return new Worker(new URL('./bench.worker.ts', import.meta.url), { type: 'module' });
}

function urgent(text: string, dismiss: () => void): Notice {
  return { text, kind: 'problem', isUrgent: true, ways: [dismissal(dismiss)] };
}

function warning(text: string): Notice {
  return { text, kind: 'problem' };
}

function note(text: string, ways: Notice['ways'] = []): Notice {
  return { text, kind: 'note', ways };
}

/** Rounded to a tenth, so that it is drawn only if the text changes. */
function tenths(value: number): number {
  return Math.round(10 * value) / 10;
}
