import { css, html, type PropertyValues, unsafeCSS } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import uPlot from 'uplot';
import plotCss from 'uplot/dist/uPlot.min.css?inline';
import { FrequencyResponse, logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import { standInResponseDb } from '../../engine/audio/speaker-stand-in.ts';
import type { Build } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Builds } from '../state/bench-state.ts';
import { isRefusal } from '../state/bench-store.ts';
import { BenchElement } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

const FREQUENCIES = logarithmicFrequencies(20, 20_000, 121);
const HEIGHT = 230;

/** Small-signal response of A and B from input to output, overlaid. */
@customElement('response-plot')
export class ResponsePlot extends BenchElement {
  @property({ attribute: false }) builds!: Builds;
  /** Of the bench, °C. */
  @property({ attribute: false }) temperatureC!: number;
  /** The theme, so that axes are drawn in its ink. */
  @property() theme = '';
  @state() private readout = '';
  #plot: uPlot | undefined;
  #observer: ResizeObserver | undefined;
  #frame = 0;
  #curves = new WeakMap<Build, readonly (number | null)[]>();

  static override styles = [
    unsafeCSS(plotCss),
    sharedStyles,
    css`
      .plot {
        min-height: ${HEIGHT}px;
      }
      header {
        display: flex;
        justify-content: space-between;
        gap: var(--gap-3);
        flex-wrap: wrap;
      }
      .key::before {
        content: '';
        display: inline-block;
        width: 1.6rem;
        margin: 0 var(--gap-1) 0.25em var(--gap-2);
        border-top: 2px solid var(--a);
      }
      .key.b::before {
        border-top: 2px dashed var(--b);
      }
      output {
        display: block;
        min-height: 1.4em;
      }
    `,
  ];

  override render() {
    return html`
      <header>
        <h2>Response, small signal</h2>
        <span class="small"><span class="key">A</span><span class="key b">B</span></span>
      </header>
      <div class="plot" role="img" aria-label=${this.#summary()}></div>
      <output class="small soft">${this.readout || 'Gain from input to output, dB. Point at the plot to read it.'}</output>
    `;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.#observer = new ResizeObserver(() => this.#fit());
    this.#observer.observe(this);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#observer?.disconnect();
    this.#plot?.destroy();
    this.#plot = undefined;
  }

  protected override willUpdate(changed: PropertyValues): void {
    if (changed.has('temperatureC')) this.#curves = new WeakMap();
  }

  protected override updated(changed: PropertyValues): void {
    if (changed.has('theme') && this.#plot) {
      this.#plot.destroy();
      this.#plot = undefined;
    }
    if (!changed.has('builds') && !changed.has('theme') && !changed.has('temperatureC')) return;
    cancelAnimationFrame(this.#frame);
    this.#frame = requestAnimationFrame(() => this.#draw());
  }

  /** What a screen reader is told in place of the picture. */
  #summary(): string {
    const at = (build: Build, hz: number) => {
      const index = FREQUENCIES.findIndex((each) => each >= hz);
      return `${this.#curveOf(build)[index]?.toFixed(1) ?? 'unknown'} dB at ${hz} Hz`;
    };
    const describe = (build: Build) => [100, 1000, 5000].map((hz) => at(build, hz)).join(', ');
    return `Response. A: ${describe(this.builds.a)}. B: ${describe(this.builds.b)}.`;
  }

  #curveOf(build: Build): readonly (number | null)[] {
    const known = this.#curves.get(build);
    if (known) return known;
    const curve = responseCurve(build, this.temperatureC);
    this.#curves.set(build, curve);
    return curve;
  }

  #draw(): void {
    const data: uPlot.AlignedData = [
      FREQUENCIES,
      [...this.#curveOf(this.builds.a)],
      [...this.#curveOf(this.builds.b)],
    ];
    if (this.#plot) {
      this.#plot.setData(data);
      return;
    }
    const place = this.renderRoot.querySelector<HTMLElement>('.plot');
    if (!place) return;
    this.#plot = new uPlot(this.#options(place.clientWidth), data, place);
  }

  #options(width: number): uPlot.Options {
    const style = getComputedStyle(this);
    const colour = (name: string) => style.getPropertyValue(name).trim();
    const axis = {
      stroke: colour('--ink-soft'),
      font: `12px ${colour('--font')}`,
      grid: { stroke: colour('--line'), width: 1 },
      ticks: { stroke: colour('--line'), width: 1 },
    };
    return {
      width,
      height: HEIGHT,
      legend: { show: false },
      cursor: { drag: { x: false, y: false } },
      scales: {
        x: { time: false, distr: 3, range: [20, 20_000] },
        y: { range: (_, low, high) => [Math.floor((low - 1) / 6) * 6, Math.ceil((high + 1) / 6) * 6] },
      },
      axes: [
        {
          ...axis,
          size: 30,
          values: (_, ticks) => ticks.map((hz) => (isLabelled(hz) ? frequencyText(hz) : '')),
        },
        { ...axis, values: (_, ticks) => ticks.map((db) => `${db}`), size: 40 },
      ],
      series: [
        {},
        { stroke: colour('--a'), width: 2, points: { show: false } },
        { stroke: colour('--b'), width: 2, dash: [7, 4], points: { show: false } },
      ],
      hooks: { setCursor: [(plot) => this.#read(plot.cursor.idx ?? undefined)] },
    };
  }

  #read(index: number | undefined): void {
    const hz = index === undefined ? undefined : FREQUENCIES[index];
    if (hz === undefined || index === undefined) {
      this.readout = '';
      return;
    }
    const a = this.#curveOf(this.builds.a)[index];
    const b = this.#curveOf(this.builds.b)[index];
    if (typeof a !== 'number' || typeof b !== 'number') return;
    const standIn = standInResponseDb(hz, 48_000);
    this.readout = `${frequencyText(hz)}Hz: A ${a.toFixed(1)} dB, B ${b.toFixed(1)} dB, B over A ${(b - a).toFixed(1)} dB (stand-in ${standIn.toFixed(1)} dB)`;
  }

  #fit(): void {
    const place = this.renderRoot.querySelector<HTMLElement>('.plot');
    if (this.#plot && place && place.clientWidth > 0)
      this.#plot.setSize({ width: place.clientWidth, height: HEIGHT });
  }
}

function responseCurve(build: Build, temperatureC: number): readonly (number | null)[] {
  try {
    const network = networkOf(build, kelvinOf(temperatureC));
    const response = new FrequencyResponse(network);
    return FREQUENCIES.map((hz) => response.at(hz, network.output).decibels);
  } catch (error) {
    if (isRefusal(error)) return FREQUENCIES.map(() => null);
    throw error;
  }
}

/** 1, 2 and 5 of each decade carry a label. */
function isLabelled(hz: number): boolean {
  const lead = Math.round(hz / 10 ** Math.floor(Math.log10(hz) + 1e-9));
  return lead === 1 || lead === 2 || lead === 5;
}

function frequencyText(hz: number): string {
  return hz >= 1000 ? `${Number((hz / 1000).toPrecision(3))} k` : `${Number(hz.toPrecision(3))} `;
}
