import { LitElement } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { BUNDLED } from '../engine/circuits/circuits.ts';
import { AudioSession } from './audio/audio-session.ts';
import { ClipCount } from './audio/clip-count.ts';
import { keepDevice } from './audio/kept-devices.ts';
import { type InputDevice, listInputs } from './audio/live-input.ts';
import type { Source } from './audio/prepared-source.ts';
import { RECORDINGS } from './audio/recordings.ts';
import type { Telemetry } from './audio/telemetry.ts';
import { BenchActions, isBlind } from './bench-actions.ts';
import { BenchAnalysis } from './bench-analysis.ts';
import { BenchAudio, soundOf } from './bench-audio.ts';
import { BenchDrop } from './bench-drop.ts';
import { BenchKeeper } from './bench-keeper.ts';
import { BenchKeys } from './bench-keys.ts';
import { BenchMatch } from './bench-match.ts';
import { BenchNotices } from './bench-notices.ts';
import { type BenchPage, isOtherView, type LeftView, type Page, PHONE } from './bench-pages.ts';
import { followFootswitch } from './bench-pop.ts';
import type { BenchScreen } from './bench-screen.ts';
import { BenchSource } from './bench-source.ts';
import { benchStyles } from './bench-styles.ts';
import { blindBench, hidingBench, wholeBench } from './bench-templates.ts';
import { ACTION_EVENT } from './components/bench-element.ts';
import type { CalibrationGuide } from './components/calibration-guide.ts';
import type { DropZones } from './components/drop-zones.ts';
import type { HandsDialog } from './components/hands-dialog.ts';
import type { LiveCaution } from './components/live-caution.ts';
import type { MeasuredParts } from './components/measuring/measured-parts.ts';
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
import { MediaFollower } from './media-query.ts';
import { MidiDesk } from './midi/midi-desk.ts';
import { ModLogDesk } from './mod-log-desk.ts';
import { NewerCircuitNotice } from './newer-circuit-notice.ts';
import type { Notice } from './notice.ts';
import { hasOpenDialog } from './open-dialog.ts';
import { findCauseInWorker, measureInWorker, RateDesk } from './rate/rate-desk.ts';
import { BenchShare } from './share/bench-share.ts';
import type { IncomingDialog } from './share/incoming-dialog.ts';
import type { ShareLinkDialog } from './share/share-link-dialog.ts';
import { SolverWatch } from './solver-watch.ts';
import type { Action, BenchState } from './state/bench-state.ts';
import { BenchStore } from './state/bench-store.ts';
import { BoardReadings } from './state/board-readings.ts';
import { isHiding } from './state/candidate-run.ts';
import { startingBench } from './state/starting-state.ts';
import { readTheme, type Theme, writeTheme } from './state/theme.ts';
import { SwapsInWorker } from './swap/swap-maker.ts';
import { SwapPath } from './swap/swap-path.ts';

/** The whole bench: state, sound and screen wired together. */
@customElement('cliplead-bench')
export class ClipleadBench extends LitElement {
  readonly session = new AudioSession();
  readonly #rate = new RateDesk(this.session, measureInWorker, findCauseInWorker);
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
  readonly #log = new ModLogDesk(this.store);
  readonly #boards = new BoardReadings();
  /** The circuits that come with the bench. */
  bundled = BUNDLED;
  readonly #clips = new ClipCount();
  readonly #blind = new BlindDesk(this.store, this.session, () => this.#solver.isDone);
  readonly #actions = new BenchActions({
    store: this.store,
    session: this.session,
    audio: this.#audio,
    clips: this.#clips,
    riffs: this.#riffs,
    blind: this.#blind,
    log: this.#log,
    useSource: (source) => this.#useSource(source),
    guideCalibration: () => this.guide.open(),
    measureParts: (place) => void this.measuring.open(place),
    share: (title, fileText) => void this.shareDialog.open(title, fileText),
    incoming: () => this.incoming,
    showSoundSettings: () => this.soundSettings.open(),
    requestUpdate: () => this.requestUpdate(),
  });
  readonly #notices = new BenchNotices({
    store: this.store,
    session: this.session,
    analysis: this.#analysis,
    solver: this.#solver,
    keeper: this.#keeper,
    newer: new NewerCircuitNotice(),
    firstSteps: this.#firstSteps,
    act: (action) => this.#actions.act(action),
    requestUpdate: () => this.requestUpdate(),
  });
  readonly #hands = new HandDesk(
    new HandRunner({
      store: this.store,
      act: (action) => this.#actions.act(action),
      useSource: (source) => this.#useSource(source),
      blind: this.#blind,
      showKeys: () => this.handsDialog.open(),
      hasDialog: () => hasOpenDialog(this.renderRoot),
    }),
    { wanted: this.#wanted, act: (action) => this.#actions.act(action) },
  );
  readonly #midi = new MidiDesk((move, atMs) => this.#hands.takeMidi(move, atMs));
  readonly #keys = new BenchKeys({
    store: this.store,
    act: (action) => this.#actions.act(action),
    hands: this.#hands,
    pressBlind: (key) => this.#blind.press(key),
    isBlind: () => isBlind(this.store.state),
  });
  readonly #drop = new BenchDrop({
    store: this.store,
    zones: () => this.dropZones,
    incoming: () => this.incoming,
    useSource: (source) => void this.#useSource(source),
    isClosed: () => isBlind(this.store.state) || isHiding(this.store.state.ear),
  });
  readonly #share = new BenchShare({
    store: this.store,
    incoming: () => this.incoming,
    isClosed: () => isBlind(this.store.state) || isHiding(this.store.state.ear),
  });
  @state() private telemetry: Telemetry = this.session.readTelemetry();
  @state() private inputs: readonly InputDevice[] = [];
  @state() private theme: Theme = readTheme();
  /** Circuits have been in preparation for more than a second. */
  @state() private isPreparing = false;
  @state() private leftView: LeftView = 'schematic';
  @state() private page: BenchPage = 'play';
  readonly #phone = new MediaFollower(this, PHONE);
  @query('live-caution') private caution!: LiveCaution;
  @query('hands-dialog') private handsDialog!: HandsDialog;
  @query('drop-zones') private dropZones!: DropZones | null;
  @query('share-link-dialog') private shareDialog!: ShareLinkDialog;
  @query('incoming-dialog') private incoming!: IncomingDialog | null;
  @query('calibration-guide') private guide!: CalibrationGuide;
  @query('measured-parts') private measuring!: MeasuredParts;
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
    this.#share.connect();
    this.store.addEventListener('change', this.#onChange);
    this.session.addEventListener('change', this.#onSession);
    this.session.addEventListener('devices', this.#listInputs);
    this.session.circuitsReady = () => this.store.settled();
    window.addEventListener('pagehide', this.#log.flush);
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
    this.#share.disconnect();
    this.store.removeEventListener('change', this.#onChange);
    this.session.removeEventListener('change', this.#onSession);
    this.session.removeEventListener('devices', this.#listInputs);
    window.removeEventListener('pagehide', this.#log.flush);
    this.#log.flush();
    this.#maker.close();
    cancelAnimationFrame(this.#frame);
  }

  protected override firstUpdated(): void {
    this.#share.readAddress();
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
    const bench = this.store.state;
    if (isBlind(bench)) return blindBench(this.#screen(this.#notices.blind()));
    if (isHiding(bench.ear)) return hidingBench(this.#screen(this.#notices.problems()));
    const told = { showsCard: this.#showsCard, isPreparing: this.isPreparing, bundled: this.bundled };
    return wholeBench(this.#screen(this.#notices.all(told)));
  }

  #screen(notices: readonly Notice[]): BenchScreen {
    return {
      bench: this.store.state,
      store: this.store,
      session: this.session,
      telemetry: this.telemetry,
      clips: this.#clips,
      inputs: this.inputs,
      hands: this.#hands,
      midi: this.#midi,
      analysis: this.#analysis,
      dose: this.#dose,
      log: this.#log,
      boards: this.#boards,
      isSolverChecked: this.#solver.isDone,
      wanted: this.#wanted,
      prepareB: this.#prepareB,
      notices,
      theme: this.theme,
      leftView: this.leftView,
      page: this.page,
      isPhone: this.#phone.matches,
      turnTheme: this.#turnTheme,
      turnTo: (page) => this.#turnTo(page),
      showLeft: (view) => {
        this.leftView = view;
      },
      showKeys: () => this.handsDialog.open(),
    };
  }

  #turnTo(page: Page): void {
    this.store.act({ type: 'view', view: isOtherView(page) ? page : 'bench' });
    if (!isOtherView(page)) this.page = page;
  }

  /** Whether the card of the chosen part is in sight. */
  get #showsCard(): boolean {
    const isOnPage = !this.#phone.matches || this.page === 'part';
    return this.store.state.view === 'bench' && isOnPage;
  }

  #onAction = ({ detail }: CustomEvent<Action>): void => {
    this.#actions.act(detail);
    // Not for keys, which walk from part to part.
    if (detail.type === 'select') this.#showCard();
  };

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
      if (!isBlind(this.store.state)) this.telemetry = this.session.readTelemetry();
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
