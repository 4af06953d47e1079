import './mod-log.ts';
import './sheet-panel.ts';
import './voltage-panel.ts';
import './wiring-panel.ts';
import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { buildTitle } from '../../../engine/builds/build-title.ts';
import { sideFileName } from '../../build-files.ts';
import type { Analyser } from '../../plots/analyser.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { chainOf, indexIn, isAlone } from '../../state/chains.ts';
import type { ModLog } from '../../state/mod-log.ts';
import { sheetLog } from '../../state/sheet-log.ts';
import { BenchElement, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';

/** The view for the soldering iron: what the build that is heard needs, and how the finished board is checked. */
@customElement('solder-room')
export class SolderRoom extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Computes in a worker; available a moment after the page. */
  @property({ attribute: false }) analyser: Analyser | undefined;
  @property({ attribute: false }) log!: ModLog;
  @property({ type: Boolean }) canPutLogBack = false;

  static override styles = [
    sharedStyles,
    css`
      :host {
        flex: 1;
        min-height: 0;
        overflow-y: auto;
        scrollbar-width: thin;
        scrollbar-color: var(--track) transparent;
      }
      main {
        display: grid;
        gap: var(--gap-4);
        max-width: 80rem;
        margin: 0 auto;
        padding: var(--gap-4) var(--gap-6);
      }
      section {
        min-width: 0;
        background: var(--sheet);
        border: 1px solid var(--line);
        border-radius: var(--radius);
        padding: var(--gap-4);
      }
      @media (max-width: 1150px) {
        main {
          padding: var(--gap-3) var(--gap-4);
        }
      }
    `,
  ];

  override render() {
    const { heard, places, builds, temperatureC } = this.state;
    return html`
      <main>
        <p><span class="letter ${heard}">${LETTER[heard]}</span> ${buildTitle(builds[heard])}${isAlone(places[heard]) ? nothing : `, pedal ${indexIn(places[heard]) + 1}`}
          <span class="soft small">The build that is heard. Choose A or B below.</span></p>
        <section>
          <sheet-panel .chain=${chainOf(this.state, heard)} .temperatureC=${temperatureC} .file=${sideFileName(this.state, heard, false)}
            .log=${sheetLog(this.log, this.state, heard)} .analyser=${this.analyser}></sheet-panel>
        </section>
        <section>
          <voltage-panel .side=${heard} .build=${builds[heard]} .temperatureC=${temperatureC} .analyser=${this.analyser}></voltage-panel>
        </section>
        <section>
          <wiring-panel .build=${builds[heard]} .temperatureC=${temperatureC} .analyser=${this.analyser}></wiring-panel>
        </section>
        <section>
          <mod-log .log=${this.log} .heard=${heard} .canPutBack=${this.canPutLogBack}></mod-log>
        </section>
      </main>
    `;
  }
}
