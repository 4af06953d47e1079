import { html, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { guard } from 'lit/directives/guard.js';
import type { Build } from '../../../engine/builds/build.ts';
import { buildTitle } from '../../../engine/builds/build-title.ts';
import { type Pinout, pinoutsOf } from '../../../engine/wiring/pinouts.ts';
import { wireRows } from '../../../engine/wiring/wire-list.ts';
import type { Wiring } from '../../../engine/wiring/wiring.ts';
import { wiringOf } from '../../../engine/wiring/wiring-of-build.ts';
import { wiringSheet } from '../../../engine/wiring/wiring-sheet.ts';
import { svgDocument } from '../../../engine/wiring/wiring-svg.ts';
import { offerDownload } from '../../ear/download.ts';
import type { Analyser } from '../../plots/analyser.ts';
import type { KnobTurns } from '../../plots/plot-analysis.ts';
import { BenchElement } from '../bench-element.ts';
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { tableStyles } from '../table-styles.ts';
import { partChoice } from './part-choice.ts';
import { stackedRows } from './stacked-rows.ts';
import { pinDrawing, wireDrawing, wireTable, wiringStyles } from './wiring-drawings.ts';

/** What the knobs of a build do, which another build has not. */
interface TurnsOfBuild {
  readonly build: Build;
  readonly turns: KnobTurns;
}

/** Nothing while the worker still computes those of this build. */
function turnsFor(build: Build, found: TurnsOfBuild | undefined): KnobTurns {
  return found?.build === build ? found.turns : [];
}

const PARTS = [
  ['wires', 'Wires from the back'],
  ['pins', 'Pins from above'],
  ['list', 'Wires, one by one'],
] as const;
type WiringPart = (typeof PARTS)[number][0];

/** What is wired off the board, the pins of the active parts from above, and each wire in words. */
@customElement('wiring-panel')
export class WiringPanel extends BenchElement {
  @property({ attribute: false }) build!: Build;
  @property({ type: Number }) temperatureC!: number;
  /** Computes what the knobs do; without it the drawing does not say that. */
  @property({ attribute: false }) analyser: Analyser | undefined;
  @state() private view: WiringPart = 'wires';
  @state() private turns: TurnsOfBuild | undefined;
  #asked: object = {};

  static override styles = [sharedStyles, tableStyles, segmentStyles, stackedRows, wiringStyles];

  protected override willUpdate(changed: PropertyValues): void {
    if (changed.has('build') || changed.has('temperatureC') || changed.has('analyser')) void this.#ask();
  }

  async #ask(): Promise<void> {
    const { analyser, build, temperatureC } = this;
    const query = { kind: 'turns', build, temperatureC } as const;
    this.#asked = query;
    const answer = await analyser?.ask('turns', query);
    if (this.#asked === query && answer?.kind === 'result') this.turns = { build, turns: answer.result };
  }

  override render() {
    return guard([this.build, this.turns, this.view], () => {
      const wiring = wiringOf(this.build, new Map(turnsFor(this.build, this.turns)));
      const pinouts = pinoutsOf(this.build);
      return html`
        <div class="head">
          <h2>Wiring</h2>
          ${partChoice('What of it', PARTS, this.view, (view) => {
            this.view = view;
          })}
          <button class="small" @click=${() => this.#save(wiring, pinouts)}>Save SVG</button>
        </div>
        <div ?hidden=${this.view !== 'wires'}>${wireDrawing(wiring)}</div>
        <div ?hidden=${this.view !== 'pins'}>${pinDrawing(pinouts)}</div>
        <div ?hidden=${this.view !== 'list'}>${wireTable(wireRows(this.build, wiring))}</div>
      `;
    });
  }

  #save(wiring: Wiring, pinouts: readonly Pinout[]): void {
    const title = buildTitle(this.build);
    const svg = svgDocument(wiringSheet(wiring, pinouts, title), title);
    offerDownload(new Blob([svg], { type: 'image/svg+xml' }), `${title} wiring`, 'svg');
  }
}
