import { css, html, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Chain } from '../../../engine/builds/chain.ts';
import { chainTitle } from '../../../engine/builds/chain-swaps.ts';
import { cautionsOfAll } from '../../../engine/sheet/cautions.ts';
import type { SheetReadings } from '../../../engine/sheet/voltage-data.ts';
import { offerDownload } from '../../ear/download.ts';
import type { Analyser } from '../../plots/analyser.ts';
import { BenchElement } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';

/** The sheet for the bench, to print or to save, and the cautions that are on it. */
@customElement('sheet-panel')
export class SheetPanel extends BenchElement {
  @property({ attribute: false }) chain!: Chain;
  @property({ type: Number }) temperatureC!: number;
  /** As which the build is saved. */
  @property() file = '';
  /** What the sheet says of the mod log. */
  @property({ attribute: false }) log: readonly string[] = [];
  /** What was read on the board of each pedal. */
  @property({ attribute: false }) readings: () => readonly SheetReadings[] = () => [];
  @property({ attribute: false }) analyser: Analyser | undefined;
  @state() private isBusy = false;
  @state() private problem = '';
  #frame: HTMLIFrameElement | undefined;

  static override styles = [
    sharedStyles,
    css`
      .head {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2) var(--gap-3);
        align-items: baseline;
      }
      h2 {
        flex: 1;
      }
      p {
        margin: var(--gap-1) 0;
        text-wrap: pretty;
      }
      h3 {
        margin: var(--gap-3) 0 0;
      }
      ul {
        max-width: 60rem;
        padding-left: 1.2rem;
      }
      li {
        margin: var(--gap-1) 0;
        text-wrap: pretty;
      }
    `,
  ];

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#frame?.remove();
  }

  protected override willUpdate(changed: PropertyValues): void {
    const before: Chain | undefined = changed.get('chain');
    const isOther = before?.pedals.some(({ build }, index) => build !== this.chain.pedals[index]?.build);
    if (isOther) this.problem = '';
  }

  override render() {
    return html`
      <div class="head">
        <h2>Bench sheet</h2>
        <button class="small print" ?disabled=${!this.analyser || this.isBusy} @click=${() => this.#make(this.#print)}>Print</button>
        <button class="small save" ?disabled=${!this.analyser || this.isBusy} @click=${() => this.#make(this.#save)}>Save HTML</button>
      </div>
      <p class="small soft" role="status">${this.isBusy ? 'The sheet is being made.' : 'Schematic, parts list, wiring, voltages with what you read, changes, notes and cautions, on A4. “Print” can also save a PDF.'}</p>
      ${this.problem === '' ? nothing : html`<p class="problem" role="alert">${this.problem}</p>`}
      <h3>Cautions</h3>
        <ul class="small">${cautionsOfAll(this.chain.pedals.map(({ build }) => build)).map(
          ({ about, text, source }) =>
            html`<li><strong>${about}.</strong> ${text} <span class="soft">(${source})</span></li>`,
        )}</ul>
    `;
  }

  async #make(use: (sheet: string) => void): Promise<void> {
    const { analyser, chain, temperatureC, file, log } = this;
    if (!analyser) return;
    this.isBusy = true;
    this.problem = '';
    const date = new Date().toLocaleDateString('en-CA');
    const answer = await analyser.ask('sheet', {
      kind: 'sheet',
      chain,
      temperatureC,
      date,
      fileName: file,
      log,
      readings: this.readings(),
    });
    this.isBusy = false;
    if (answer?.kind === 'result') use(answer.result);
    else if (answer?.kind === 'refused') this.problem = answer.message;
  }

  #save = (sheet: string): void => {
    offerDownload(new Blob([sheet], { type: 'text/html' }), `${chainTitle(this.chain)} bench sheet`, 'html');
  };

  /** In a frame of its own, so that the printer gets the sheet and not the page. */
  #print = (sheet: string): void => {
    this.#frame?.remove();
    const frame = document.createElement('iframe');
    frame.title = 'Bench sheet';
    frame.style.cssText = 'position: fixed; right: 100%; width: 210mm; height: 297mm; border: 0';
    frame.addEventListener('load', () => frame.contentWindow?.print(), { once: true });
    frame.srcdoc = sheet;
    this.#frame = frame;
    document.body.append(frame);
  };
}
