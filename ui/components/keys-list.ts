import { css, html } from 'lit';
import { customElement, query } from 'lit/decorators.js';
import { KEYS } from '../bench-keys.ts';
import { BenchElement } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** All keys of the bench in one dialog. */
@customElement('keys-list')
export class KeysList extends BenchElement {
  @query('dialog') private dialog!: HTMLDialogElement;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      dl {
        display: grid;
        grid-template-columns: auto 1fr;
        gap: var(--gap-2) var(--gap-4);
        margin: var(--gap-4) 0;
      }
      dt {
        white-space: nowrap;
      }
      dd {
        margin: 0;
      }
    `,
  ];

  open(): void {
    this.dialog.showModal();
  }

  override render() {
    return html`<dialog aria-labelledby="title">
      <h2 id="title">Keys</h2>
      <dl>${KEYS.map(([keys, does]) => html`<dt class="figures">${keys}</dt><dd>${does}</dd>`)}</dl>
      <button autofocus @click=${() => this.dialog.close()}>Close</button>
    </dialog>`;
  }
}
