import { SLOTS } from '../../worklets/bench-messages.ts';
import type { Known } from './known.ts';
import { LiveLevels, levelsView } from './levels-view.ts';
import type { LiveSource } from './live-source.ts';
import type { PlotView } from './plot-view.ts';
import { LiveWaveform } from './signal-views.ts';

/** Plots with a live mode. */
export type LiveKind = 'waveform' | 'levels';

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
  #levels = new LiveLevels();
  #wantedNets = '';
  #isScopeWanted = false;
  #frame = 0;
  #count = 0;

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
    if (known.place !== this.#known?.place) this.#waveform = new LiveWaveform();
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
    const isScopeWanted = this.#kinds.includes('waveform');
    if (isScopeWanted !== this.#isScopeWanted) this.#source?.wantScope(isScopeWanted);
    this.#isScopeWanted = isScopeWanted;
    const sine = this.#kinds.includes('levels') ? this.#known?.sine : undefined;
    const [a = [], b = []] = SLOTS.map((slot) => sine?.[slot]?.levels.map(({ net }) => net));
    const wanted = JSON.stringify([a, b]);
    if (wanted === this.#wantedNets) return;
    this.#wantedNets = wanted;
    this.#levels = new LiveLevels();
    this.#source?.wantLevels({ a, b });
  }

  readonly #onFrame = (): void => {
    if (this.#source?.state.isRunning && this.#known) this.#look(this.#source, this.#known);
    this.#frame = requestAnimationFrame(this.#onFrame);
  };

  #look(source: LiveSource, known: Known): void {
    this.#count++;
    const scope = this.#kinds.includes('waveform') ? source.readScope() : undefined;
    if (scope) this.#tell('waveform', this.#waveform.viewOf(scope, source.state.sampleRateHz, known.place));
    if (this.#kinds.includes('levels') && this.#count % LEVELS_EVERY === 0)
      this.#tell('levels', levelsView(this.#levels.held(known, source.readLevels()), true));
  }

  #tell(kind: LiveKind, view: PlotView): void {
    this.#views.set(kind, view);
    this.#show(kind, view);
  }
}
