import { css, html } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import type { Source } from '../audio/prepared-source.ts';
import { BenchElement } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** Seconds for which the mute test is silent. */
const MUTE_TEST_MS = 3000;

/** Cautions before a live input is opened the first time: ears, feedback, direct monitoring. */
@customElement('live-caution')
export class LiveCaution extends BenchElement {
  @property({ type: Boolean }) isListening = false;
  @query('dialog') private dialog!: HTMLDialogElement;
  #source: Source = { kind: 'none' };
  #settle: (source: Source | undefined) => void = () => {};

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      dialog {
        width: min(34rem, 92vw);
      }
      p {
        margin-bottom: var(--gap-3);
      }
      li {
        margin: 0 0 var(--gap-2) 1.2rem;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        justify-content: flex-end;
        margin-top: var(--gap-4);
      }
    `,
  ];

  /** Shows the caution; resolves to the source to be opened, or undefined. */
  ask(source: Source): Promise<Source | undefined> {
    this.#source = source;
    this.dialog.showModal();
    return new Promise((resolve) => {
      this.#settle = resolve;
    });
  }

  override render() {
    return html`
      <dialog aria-labelledby="caution" @close=${() => this.#settle(undefined)}>
        <h2 id="caution">Before the guitar is plugged in</h2>
        <p>The browser may ask for the microphone: that is its name for every input. Cliplead plays your guitar through the
          builds with it. The sound stays on this machine, and nothing is stored unless you record a riff.</p>
        <ul>
          <li>Turn the headphones down. An overdrive makes quiet playing loud, and long loud listening harms hearing.</li>
          <li>Use headphones, not speakers: the guitar would hear itself and howl.</li>
          <li>Wireless headphones add a delay that cannot be played through.</li>
          <li>Switch off the interface’s direct monitoring, or the dry guitar covers the build. To check, play
            now: the input is not open yet, so a guitar that you hear is direct monitoring. “Mute for 3 s” silences
            Cliplead meanwhile.</li>
        </ul>
        <div class="row">
          <button ?disabled=${!this.isListening} @click=${this.#test}>Mute for 3 s</button>
          <button @click=${() => this.dialog.close()}>Cancel</button>
          <button autofocus @click=${this.#accept}>Direct monitoring is off: open the input</button>
        </div>
      </dialog>
    `;
  }

  #accept(): void {
    this.#settle(this.#source);
    this.#settle = () => {};
    this.dialog.close();
  }

  #test(): void {
    const wasListening = this.isListening;
    this.act({ type: 'listen', isListening: false });
    if (wasListening) setTimeout(() => this.act({ type: 'listen', isListening: true }), MUTE_TEST_MS);
  }
}
