import { css, html, type PropertyValues, unsafeCSS } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import uPlot from 'uplot';
import plotCss from 'uplot/dist/uPlot.min.css?inline';
import { csvOf, keysOf, type PlotView } from '../../plots/plot-view.ts';
import { SizeObserver } from '../../size-observer.ts';
import { BenchElement } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { copyPicture, copyText } from './copying.ts';
import { pictureOf, plotOptions, readInk } from './plot-drawing.ts';

/** One plot with its title, key and readout, and buttons to copy its numbers and picture. */
@customElement('plot-frame')
export class PlotFrame extends BenchElement {
  @property({ attribute: false }) view!: PlotView;
  /** The theme, for the colours of the plot. */
  @property() theme = '';
  @state() private index: number | undefined;
  @state() private said = '';
  @query('.plot') private place!: HTMLElement;
  #plot: uPlot | undefined;
  #drawn: PlotView | undefined;
  readonly #observer = new SizeObserver(() => requestAnimationFrame(() => this.#fit()));

  static override styles = [
    unsafeCSS(plotCss),
    sharedStyles,
    css`
      header,
      footer {
        display: flex;
        justify-content: space-between;
        align-items: baseline;
        gap: 0 var(--gap-3);
      }
      header {
        flex-wrap: wrap;
      }
      .plot {
        height: var(--plot-height, 13rem);
        overflow: hidden;
        border-radius: var(--radius);
      }
      :host([busy]) .plot {
        opacity: 0.6;
        /* Plots that follow a knob at once do not flicker. */
        transition: opacity 0.1s 0.3s;
      }
      .key {
        white-space: nowrap;
      }
      .key::before {
        content: '';
        display: inline-block;
        width: 1.4rem;
        margin: 0 var(--gap-1) 0.25em var(--gap-2);
        border-top: 2px solid var(--a);
      }
      .key.b::before {
        border-top: 2px dashed var(--b);
      }
      .key.plain::before {
        border-top: 2px dotted var(--ink);
      }
      .key.soft::before {
        border-top: 1px solid var(--ink-soft);
      }
      output {
        flex: 1;
        min-height: 2.8em;
        font-variant-numeric: tabular-nums;
      }
      /* A low window: the tab names the plot. */
      @media (min-width: 741px) and (max-height: 700px) {
        header {
          justify-content: flex-end;
        }
        header h2 {
          display: none;
        }
      }
      footer button {
        min-height: 1.6rem;
        font-size: var(--size-small);
        white-space: nowrap;
      }
    `,
  ];

  override render() {
    const { view, index } = this;
    const readout = index === undefined ? view.hint : view.readout(index);
    return html`
      <header>
        <h2>${view.title}</h2>
        <span class="small">${keysOf(view.series).map(({ ink, text }) => html`<span class="key ${ink}">${text}</span>`)}</span>
      </header>
      <div class="plot" role="img" tabindex="0" aria-label=${view.summary} @keydown=${this.#onKey} @blur=${this.#leave}></div>
      <footer>
        <output class="small soft" aria-live=${index === undefined ? 'off' : 'polite'}>${this.said || readout}</output>
        <span>
          <button @click=${this.#copyPicture} title="Copy this plot as a picture">Copy PNG</button>
          <button @click=${this.#copyNumbers} title="Copy this plot's numbers as a table">Copy CSV</button>
        </span>
      </footer>
    `;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.#observer.observe(this);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#observer.disconnect();
    this.#discard();
  }

  protected override willUpdate(changed: PropertyValues): void {
    // A plot of another shape is rebuilt, with its crosshair.
    const before = changed.get('view') as PlotView | undefined;
    if (changed.has('theme') || (changed.has('view') && before?.shape !== this.view.shape)) {
      this.index = undefined;
      this.said = '';
    }
  }

  protected override updated(changed: PropertyValues): void {
    if (changed.has('theme')) this.#discard();
    if (changed.has('view') || changed.has('theme')) this.#draw();
  }

  #draw(): void {
    const data = this.view.data as uPlot.AlignedData;
    if (this.#plot && this.#drawn?.shape === this.view.shape) {
      this.#drawn = this.view;
      this.#plot.setData(data);
      return;
    }
    this.#discard();
    const { clientWidth: width, clientHeight: height } = this.place;
    if (width === 0) return;
    const options = plotOptions(() => this.view, readInk(this), { width, height });
    this.#drawn = this.view;
    this.#plot = new uPlot(
      { ...options, hooks: { ...options.hooks, setCursor: [(plot) => this.#read(plot.cursor.idx)] } },
      data,
      this.place,
    );
  }

  #discard(): void {
    this.#plot?.destroy();
    this.#plot = undefined;
    this.#drawn = undefined;
  }

  #fit(): void {
    const { clientWidth: width = 0, clientHeight: height = 0 } = this.place ?? {};
    if (width === 0 || !this.hasUpdated || !this.isConnected) return;
    if (this.#plot) this.#plot.setSize({ width, height });
    else this.#draw();
  }

  #read(index: number | null | undefined): void {
    this.index = index ?? undefined;
    if (this.index !== undefined) this.said = '';
  }

  /** The arrow keys move along the curve as the mouse does. */
  #onKey = (event: KeyboardEvent): void => {
    const step = { ArrowLeft: -1, ArrowRight: 1, PageDown: -10, PageUp: 10 }[event.key];
    const plot = this.#plot;
    if (step === undefined || !plot) return;
    event.preventDefault();
    const [x = []] = this.view.data;
    const start = this.index ?? (step > 0 ? -1 : x.length);
    const index = Math.max(0, Math.min(x.length - 1, start + step));
    plot.setCursor({ left: plot.valToPos(x[index] ?? 0, 'x'), top: plot.over.clientHeight / 2 });
  };

  #leave = (): void => {
    this.#plot?.setCursor({ left: -10, top: -10 });
  };

  #copyPicture = async (): Promise<void> => {
    if (!this.#plot) return;
    const sheet = getComputedStyle(this).getPropertyValue('--sheet').trim();
    const { width, height } = this.#plot;
    const picture = await pictureOf(this.view, { width, height }, { ...readInk(this), sheet });
    this.said = await copyPicture(picture, this.view.title);
  };

  #copyNumbers = async (): Promise<void> => {
    this.said = await copyText(csvOf(this.view), this.view.title);
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'plot-frame': PlotFrame;
  }
}
