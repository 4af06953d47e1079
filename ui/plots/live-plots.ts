import { SLOTS, type WatchedNets } from '../../worklets/bench-messages.ts';
import type { Known } from './known.ts';
import { LiveLevels, levelsView } from './levels-view.ts';
import type { LiveSource } from './live-source.ts';
import type { PlotView } from './plot-view.ts';
import { LiveWaveform } from './signal-views.ts';
import { LiveSpectrum } from './spectrum-view.ts';

/** Plots with a live mode. */
export type LiveKind = 'waveform' | 'spectrum' | 'levels';

/** Those that are made of scope frames. */
const SCOPE_KINDS: readonly LiveKind[] = ['waveform', 'spectrum'];

/** Levels are drawn once in this many frames of the screen. */
const LEVELS_EVERY = 3;

/** Reads live data at display rate while a plot shows it, and asks the audio thread only for that. */
export class LivePlots {
  readonly #show: (kind: LiveKind, view: PlotView) => void;
  readonly #views = new Map<LiveKind, PlotView>();
  #source: LiveSource | undefined;
  #kinds: readonly LiveKind[] = [];
  #known: Known | undefined;
  #waveform = new LiveWaveform();
  #spectrum = new LiveSpectrum();
  #levels = new LiveLevels();
  #wantedNets = '';
  #wantedScope = JSON.stringify([false, {}]);
  #isScopeWanted = false;
  #frame = 0;
  #count = 0;
  /** Whether the views say that they are those of a sound that has ended. */
  #isOver = false;

  /** @param show Given each new view. */
  constructor(show: (kind: LiveKind, view: PlotView) => void) {
    this.#show = show;
  }

  /** The last view, for a drawing in between. */
  viewOf(kind: LiveKind): PlotView | undefined {
    return this.#kinds.includes(kind) ? this.#views.get(kind) : undefined;
  }

  /** Shows these kinds and no others, with what is known of the builds. */
  follow(source: LiveSource | undefined, kinds: readonly LiveKind[], known: Known): void {
    if (known.place !== this.#known?.place) {
      this.#waveform = new LiveWaveform();
      this.#spectrum = new LiveSpectrum();
    }
    const wasLooking = this.#kinds.length > 0;
    this.#source = source;
    this.#kinds = kinds;
    this.#known = known;
    this.#ask();
    if (kinds.length === 0) cancelAnimationFrame(this.#frame);
    else if (!wasLooking) this.#frame = requestAnimationFrame(this.#onFrame);
  }

  stop(): void {
    this.#kinds = [];
    this.#views.clear();
    this.#ask();
    cancelAnimationFrame(this.#frame);
  }

  #ask(): void {
    const isScopeWanted = this.#kinds.some((kind) => SCOPE_KINDS.includes(kind));
    const watched = this.#watchedNets();
    const wanted = JSON.stringify([isScopeWanted, watched]);
    if (wanted !== this.#wantedScope) this.#source?.wantScope(isScopeWanted, watched);
    this.#wantedScope = wanted;
    this.#isScopeWanted = isScopeWanted;
    const sine = this.#kinds.includes('levels') ? this.#known?.sine : undefined;
    const [a = [], b = []] = SLOTS.map((slot) => sine?.[slot]?.levels.map(({ net }) => net));
    const wantedNets = JSON.stringify([a, b]);
    if (wantedNets === this.#wantedNets) return;
    this.#wantedNets = wantedNets;
    this.#levels = new LiveLevels();
    this.#source?.wantLevels({ a, b });
  }

  /** The nets where the builds clip, for the waveform. The circuits have one probe each: levels need it more. */
  #watchedNets(): WatchedNets {
    if (!this.#kinds.includes('waveform') || this.#kinds.includes('levels')) return {};
    const { a, b } = this.#known?.sine ?? {};
    return {
      ...(a?.clippingNode === undefined ? {} : { a: a.clippingNode }),
      ...(b?.clippingNode === undefined ? {} : { b: b.clippingNode }),
    };
  }

  readonly #onFrame = (): void => {
    if (this.#source?.state.isRunning && this.#known) this.#look(this.#source, this.#known);
    else if (!this.#isOver) this.#end();
    this.#frame = requestAnimationFrame(this.#onFrame);
  };

  /** The last pictures stay, to be looked at, but must not pass for what plays. */
  #end(): void {
    this.#isOver = true;
    for (const kind of this.#kinds) {
      const view = this.#views.get(kind);
      if (view) this.#tell(kind, ended(view));
    }
  }

  #look(source: LiveSource, known: Known): void {
    this.#isOver = false;
    this.#count++;
    const scope = this.#isScopeWanted ? source.readScope() : undefined;
    const { sampleRateHz } = source.state;
    if (scope && this.#kinds.includes('waveform'))
      this.#tell('waveform', this.#waveform.viewOf(scope, sampleRateHz, known));
    if (scope && this.#kinds.includes('spectrum'))
      this.#tell('spectrum', this.#spectrum.viewOf(scope, sampleRateHz, known.place));
    if (this.#kinds.includes('levels') && this.#count % LEVELS_EVERY === 0)
      this.#tell('levels', levelsView(this.#levels.held(known, source.readLevels()), true));
  }

  #tell(kind: LiveKind, view: PlotView): void {
    this.#views.set(kind, view);
    this.#show(kind, view);
  }
}

function ended(view: PlotView): PlotView {
  return {
    ...view,
    title: view.title.replace(/, live$/, ', last picture'),
    hint: `Sound is off. Last picture. ${view.hint}`,
    summary: `Sound is off. Last picture. ${view.summary}`,
  };
}
