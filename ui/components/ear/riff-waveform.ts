import { css, html, type PropertyValues } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { RiffBounds } from '../../../worklets/bench-messages.ts';
import { SizeObserver } from '../../size-observer.ts';
import type { Riff } from '../../state/ear-state.ts';
import { BenchElement } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';

const HEIGHT = 120;
/** Step of a handle for an arrow key, and with shift. */
const STEP_SECONDS = 0.01;
const LONG_STEP_SECONDS = 0.1;

type Handle = 'start' | 'end';

/** A riff's waveform, with a handle at each end of its loop and a line at the playing position. */
@customElement('riff-waveform')
export class RiffWaveform extends BenchElement {
  @property({ attribute: false }) riff!: Riff;
  /** Played share of the loop; undefined if the riff does not play. */
  @property({ attribute: false }) share: number | undefined;
  @property() theme = '';
  @query('canvas') private canvas!: HTMLCanvasElement;
  /** Bounds while dragging, sent to the bench at the end. */
  @state() private dragged: RiffBounds | undefined;
  #held: Handle | undefined;
  #observer: SizeObserver | undefined;

  static override styles = [
    sharedStyles,
    css`
      .wave {
        position: relative;
        height: ${HEIGHT}px;
        background: var(--paper);
        border: 1px solid var(--line);
        touch-action: none;
      }
      canvas {
        display: block;
        width: 100%;
        height: 100%;
      }
      .outside {
        position: absolute;
        inset-block: 0;
        background: color-mix(in srgb, var(--paper) 70%, transparent);
      }
      .handle {
        position: absolute;
        inset-block: 0;
        width: 1.5rem;
        margin-left: -0.75rem;
        cursor: ew-resize;
        touch-action: none;
      }
      .handle::before {
        content: '';
        position: absolute;
        inset-block: 0;
        left: calc(50% - 1px);
        width: 2px;
        background: var(--ink);
      }
      .handle::after {
        content: '';
        position: absolute;
        top: 0;
        left: 50%;
        border: 0.45rem solid transparent;
        border-top-color: var(--ink);
        border-left-color: var(--ink);
      }
      .handle.end::after {
        left: auto;
        right: 50%;
        border-left-color: transparent;
        border-right-color: var(--ink);
      }
      .place {
        position: absolute;
        inset-block: 0;
        width: 1px;
        background: var(--warning);
        pointer-events: none;
      }
    `,
  ];

  override render() {
    const { startFrame, endFrame } = this.dragged ?? this.riff;
    const percent = (frame: number) => `${(100 * frame) / this.riff.samples.length}%`;
    const place = this.share === undefined ? undefined : startFrame + this.share * (endFrame - startFrame);
    return html`
      <div class="wave" @pointermove=${this.#drag} @pointerup=${this.#drop} @pointercancel=${this.#drop}>
        <canvas aria-hidden="true"></canvas>
        <span class="outside" style="left:0;width:${percent(startFrame)}"></span>
        <span class="outside" style="left:${percent(endFrame)};right:0"></span>
        ${place === undefined ? '' : html`<span class="place" style="left:${percent(place)}"></span>`}
        ${this.#renderHandle('start', startFrame, percent(startFrame))}
        ${this.#renderHandle('end', endFrame, percent(endFrame))}
      </div>
    `;
  }

  #renderHandle(handle: Handle, frame: number, left: string) {
    const seconds = (frame / this.riff.sampleRateHz).toFixed(2);
    const longest = (this.riff.samples.length / this.riff.sampleRateHz).toFixed(2);
    return html`<span class="handle ${handle}" style="left:${left}" role="slider" tabindex="0"
      aria-label=${handle === 'start' ? 'Start of the loop' : 'End of the loop'}
      aria-valuemin="0" aria-valuemax=${longest} aria-valuenow=${seconds} aria-valuetext="${seconds} seconds"
      @pointerdown=${(event: PointerEvent) => this.#hold(handle, event)}
      @keydown=${(event: KeyboardEvent) => this.#step(handle, event)}></span>`;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.#observer = new SizeObserver(() => this.#draw());
    this.#observer.observe(this);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#observer?.disconnect();
  }

  protected override updated(changed: PropertyValues<this>): void {
    const before = changed.get('riff');
    if (changed.has('theme') || (changed.has('riff') && before?.samples !== this.riff.samples)) this.#draw();
  }

  /** The extremes of every column of pixels. */
  #draw(): void {
    const { canvas } = this;
    const width = canvas?.clientWidth ?? 0;
    const pen = canvas?.getContext('2d');
    if (!pen || width === 0) return;
    const scale = devicePixelRatio;
    canvas.width = width * scale;
    canvas.height = HEIGHT * scale;
    pen.fillStyle = getComputedStyle(this).getPropertyValue('--ink-soft').trim();
    const { samples } = this.riff;
    const peak = samples.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0) || 1;
    const y = (volts: number) => (0.5 - (0.46 * volts) / peak) * canvas.height;
    for (let column = 0; column < canvas.width; column++) {
      const first = Math.floor((column * samples.length) / canvas.width);
      const end = Math.max(first + 1, Math.floor(((column + 1) * samples.length) / canvas.width));
      let low = 0;
      let high = 0;
      for (let n = first; n < end; n++) {
        low = Math.min(low, samples[n]!);
        high = Math.max(high, samples[n]!);
      }
      pen.fillRect(column, y(high), 1, Math.max(1, y(low) - y(high)));
    }
  }

  #hold(handle: Handle, event: PointerEvent): void {
    this.#held = handle;
    this.dragged = { startFrame: this.riff.startFrame, endFrame: this.riff.endFrame };
    (event.target as HTMLElement).setPointerCapture(event.pointerId);
  }

  #drag(event: PointerEvent): void {
    if (!this.#held) return;
    const { left, width } = this.canvas.getBoundingClientRect();
    const frame = ((event.clientX - left) / width) * this.riff.samples.length;
    this.dragged = this.#moved(this.#held, frame);
  }

  #drop(): void {
    if (this.dragged) this.#tell(this.dragged);
    this.#held = undefined;
    this.dragged = undefined;
  }

  #step(handle: Handle, event: KeyboardEvent): void {
    const way = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
    const whole = { Home: 0, End: this.riff.samples.length }[event.key];
    if (way === undefined && whole === undefined) return;
    event.preventDefault();
    const seconds = event.shiftKey ? LONG_STEP_SECONDS : STEP_SECONDS;
    const now = handle === 'start' ? this.riff.startFrame : this.riff.endFrame;
    this.#tell(this.#moved(handle, whole ?? now + (way ?? 0) * seconds * this.riff.sampleRateHz));
  }

  #moved(handle: Handle, frame: number): RiffBounds {
    const { startFrame, endFrame } = this.dragged ?? this.riff;
    const inside = Math.round(Math.min(Math.max(0, frame), this.riff.samples.length));
    return handle === 'start'
      ? { startFrame: Math.min(inside, endFrame), endFrame }
      : { startFrame, endFrame: Math.max(inside, startFrame) };
  }

  #tell(bounds: RiffBounds): void {
    this.act({ type: 'earCommand', command: { do: 'trimRiff', id: this.riff.id, bounds } });
  }
}
