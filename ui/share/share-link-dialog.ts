import { css, html, nothing } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { BenchElement } from '../components/bench-element.ts';
import { dialogStyles } from '../components/dialog-styles.ts';
import { sharedStyles } from '../components/shared-styles.ts';
import { shareLink } from './share-link.ts';

/** Longer addresses are cut by some mail and chat programs; common practice, no source. */
const SAFE_CHARACTERS = 2000;

/** The link of a build or chain, to be copied. */
@customElement('share-link-dialog')
export class ShareLinkDialog extends BenchElement {
  @state() private heading = '';
  @state() private link = '';
  @state() private told = '';
  @query('dialog') private dialog!: HTMLDialogElement;
  @query('textarea') private field!: HTMLTextAreaElement;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      p {
        margin: var(--gap-2) 0;
        text-wrap: pretty;
      }
      textarea {
        width: 100%;
        font: var(--size-small) var(--figures);
        color: inherit;
        background: var(--paper);
        border: 1px solid var(--line-strong);
        border-radius: var(--radius);
        overflow-wrap: anywhere;
      }
      .row {
        display: flex;
        gap: var(--gap-2);
        justify-content: flex-end;
      }
    `,
  ];

  /** @param fileText As it would be saved. */
  async open(title: string, fileText: string): Promise<void> {
    this.heading = title;
    this.link = await shareLink(fileText, location.href);
    this.told = '';
    await this.updateComplete;
    this.dialog.showModal();
    this.field.select();
  }

  override render() {
    return html`
      <dialog aria-labelledby="title">
        <h2 id="title">Link to “<bdi>${this.heading}</bdi>”</h2>
        <p>The build is in the link itself, ${this.link.length} characters of it. Nothing is sent: only who gets the link has the
          build, and who opens it needs Cliplead at the same address.</p>
        ${this.link.length > SAFE_CHARACTERS ? html`<p class="problem">Some mail and chat programs cut a link of this length. A saved file is safer.</p>` : nothing}
        <textarea readonly rows="5" aria-label="Link">${this.link}</textarea>
        <p role="status">${this.told}</p>
        <div class="row">
          <button @click=${this.#copy}>Copy</button>
          <button @click=${() => this.dialog.close()}>Close</button>
        </div>
      </dialog>
    `;
  }

  #copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(this.link);
      this.told = 'Copied.';
    } catch {
      this.field.select();
      this.told = 'The browser does not allow it. The link is selected: press Ctrl+C.';
    }
  };
}
