import './mod-log.ts';
import './sheet-panel.ts';
import './voltage-panel.ts';
import './wiring-panel.ts';
import { css, html } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { buildTitle } from '../../../engine/builds/build-title.ts';
import { sideFileName } from '../../build-files.ts';
import type { Analyser } from '../../plots/analyser.ts';
import type { BenchState } from '../../state/bench-state.ts';
import type { BoardReadings } from '../../state/board-readings.ts';
import { chainOf, indexIn, isAlone } from '../../state/chains.ts';
import type { ModLog } from '../../state/mod-log.ts';
import { sheetLog } from '../../state/sheet-log.ts';
import {
  keepSolderSection,
  readSolderSection,
  SOLDER_SECTIONS,
  type SolderSection,
} from '../../state/solder-section.ts';
import { BenchElement, LETTER } from '../bench-element.ts';
import { roomStyles } from '../room-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { tabAtKey } from '../tab-keys.ts';

/**
 * The view for the soldering iron: what the build that is heard needs, and how the finished board is checked. One section
 * at a time, so that none is looked for; the others stay in the page, with what was typed in them.
 */
@customElement('solder-room')
export class SolderRoom extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Computes in a worker; available a moment after the page. */
  @property({ attribute: false }) analyser: Analyser | undefined;
  @property({ attribute: false }) log!: ModLog;
  @property({ attribute: false }) boards!: BoardReadings;
  @property({ type: Boolean }) canPutLogBack = false;
  @state() private shown = readSolderSection();

  static override styles = [
    sharedStyles,
    roomStyles,
    css`
      :host {
        display: flex;
        flex-direction: column;
        overflow: hidden;
      }
      .head {
        display: flex;
        flex: none;
        flex-wrap: wrap;
        gap: 0 var(--gap-6);
        align-items: baseline;
        justify-content: space-between;
        padding: var(--gap-2) var(--room-side) 0;
      }
      .tabs {
        display: flex;
      }
      .tabs button {
        padding: 0 var(--gap-4);
        background: none;
        border: 0;
        border-bottom: 3px solid transparent;
        border-radius: 0;
      }
      .tabs button[aria-selected='true'] {
        border-bottom-color: var(--ink);
        font-weight: 600;
      }
      main {
        display: flex;
        flex: 1;
        min-height: 0;
        padding: var(--gap-2) var(--room-side);
      }
      section {
        flex: 1;
        min-width: 0;
        overflow: hidden auto;
        scrollbar-width: thin;
        padding: var(--gap-3) var(--gap-4);
      }
      section[hidden] {
        display: none;
      }
      @media (max-width: 740px) {
        .head {
          padding: 0 var(--gap-2);
        }
        .tabs {
          width: 100%;
          justify-content: space-between;
        }
        .tabs button {
          flex: 1 0 auto;
          padding: 0 var(--gap-1);
        }
        .about .soft {
          display: none;
        }
        .about {
          overflow: hidden;
          max-width: 100%;
          white-space: nowrap;
          text-overflow: ellipsis;
        }
        main {
          padding: var(--gap-1) 0 0;
        }
        section {
          border-width: 1px 0 0;
          border-radius: 0;
          padding: var(--gap-2) var(--gap-4);
        }
      }
    `,
  ];

  override render() {
    const { heard, places, builds } = this.state;
    return html`
      <div class="head">
        <div class="tabs" role="tablist" aria-label="Work at the board" @keydown=${this.#onTabKey}>${SOLDER_SECTIONS.map(
          ([
            section,
            title,
          ]) => html`<button role="tab" id="tab-${section}" aria-controls=${section} aria-selected=${section === this.shown}
            tabindex=${section === this.shown ? 0 : -1} @click=${() => this.#show(section)}>${title}</button>`,
        )}</div>
        <p class="about"><span class="letter ${heard}">${LETTER[heard]}</span> <bdi>${buildTitle(builds[heard])}</bdi>${isAlone(places[heard]) ? '' : `, pedal ${indexIn(places[heard]) + 1}`}
          <span class="soft small">The build that is heard. Choose A or B below.</span></p>
      </div>
      <main>${SOLDER_SECTIONS.map(
        ([
          section,
        ]) => html`<section role="tabpanel" id=${section} aria-labelledby="tab-${section}" ?hidden=${section !== this.shown}>
          ${this.#renderSection(section)}</section>`,
      )}</main>
    `;
  }

  #renderSection(section: SolderSection) {
    const { heard, builds, places, temperatureC } = this.state;
    switch (section) {
      case 'sheet':
        return html`<sheet-panel .chain=${chainOf(this.state, heard)} .temperatureC=${temperatureC} .file=${sideFileName(this.state, heard, false)}
          .log=${sheetLog(this.log, this.state, heard)} .readings=${this.#readings} .analyser=${this.analyser}></sheet-panel>`;
      case 'wiring':
        return html`<wiring-panel .build=${builds[heard]} .temperatureC=${temperatureC} .analyser=${this.analyser}></wiring-panel>`;
      case 'voltages':
        return html`<voltage-panel .side=${heard} .index=${indexIn(places[heard])} .boards=${this.boards} .build=${builds[heard]} .temperatureC=${temperatureC} .analyser=${this.analyser}></voltage-panel>`;
      case 'log':
        return html`<mod-log .log=${this.log} .heard=${heard} .canPutBack=${this.canPutLogBack}></mod-log>`;
    }
  }

  #readings = () => this.boards.ofChain(this.state.heard, chainOf(this.state, this.state.heard));

  #show(section: SolderSection): void {
    this.shown = section;
    keepSolderSection(section);
  }

  #onTabKey = async (event: KeyboardEvent): Promise<void> => {
    const sections = SOLDER_SECTIONS.map(([section]) => section);
    const next = tabAtKey(event.key, sections, this.shown);
    if (next === undefined) return;
    event.preventDefault();
    this.#show(next);
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLElement>(`#tab-${next}`)?.focus();
  };
}
