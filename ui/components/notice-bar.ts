import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { inOrder, type Notice } from '../notice.ts';
import { SizeObserver } from '../size-observer.ts';
import { BenchElement } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/**
 * Notices in a bar of one line, whatever there is to say, so that the bench under it stays where it is. A click lays all of
 * them over the bench, in full.
 */
@customElement('notice-bar')
export class NoticeBar extends BenchElement {
  @property({ attribute: false, hasChanged: isAnything }) notices: readonly Notice[] = [];
  @state() private isOpen = false;
  /** The first text is longer than the line. */
  @state() private isCut = false;
  @query('p') private first!: HTMLElement | null;
  #measured = '';
  /** A frame later: what the new size brings would change sizes while they are still being told. */
  readonly #observer = new SizeObserver(() => requestAnimationFrame(() => this.#measure()));

  static override styles = [
    sharedStyles,
    css`
      :host {
        position: relative;
        flex: none;
        height: 2.25rem;
        z-index: 5;
      }
      :host([hidden]) {
        display: none;
      }
      .bar {
        display: grid;
        grid-template-columns: minmax(0, 1fr) auto;
        height: 100%;
        background: var(--chosen);
        border-bottom: 1px solid var(--line);
      }
      .bar.problem {
        background: var(--warning-paper);
      }
      .notice {
        display: flex;
        gap: var(--gap-4);
        align-items: center;
        justify-content: space-between;
        min-width: 0;
        padding: 0 var(--gap-6);
      }
      .notice.problem {
        color: var(--warning);
        background: var(--warning-paper);
      }
      .notice.later {
        position: absolute;
        width: 1px;
        height: 1px;
        padding: 0;
        overflow: hidden;
        clip-path: inset(50%);
      }
      p {
        min-width: 0;
        overflow: hidden;
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      .ways {
        display: flex;
        flex: none;
        gap: var(--gap-2);
        justify-content: flex-end;
      }
      button {
        min-height: 1.75rem;
        font-size: var(--size-small);
        color: inherit;
        background: transparent;
      }
      .ways button {
        max-width: 16rem;
        overflow: hidden;
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      .more {
        align-self: center;
        margin-right: var(--gap-6);
      }
      .open {
        position: absolute;
        inset: 0 0 auto;
        height: auto;
        min-height: 100%;
        max-height: 60dvh;
        overflow-y: auto;
        box-shadow: var(--shadow);
      }
      .open .notice {
        position: static;
        flex-wrap: wrap;
        grid-column: 1;
        width: auto;
        height: auto;
        padding: var(--gap-1) var(--gap-6);
        clip-path: none;
      }
      .open p {
        flex: 1 1 30rem;
        white-space: normal;
        text-wrap: pretty;
        overflow-wrap: anywhere;
      }
      .open .ways {
        flex-wrap: wrap;
      }
      .open .more {
        grid-row: 1;
        grid-column: 2;
        align-self: start;
        margin-top: 0.2rem;
      }
      @media (min-width: 741px) and (max-height: 860px) {
        :host {
          height: 1.9rem;
        }
        button {
          min-height: 1.6rem;
        }
      }
      @media (max-width: 1150px) {
        .notice,
        .open .notice {
          padding-left: var(--gap-4);
          padding-right: var(--gap-3);
        }
        .more {
          margin-right: var(--gap-4);
        }
      }
      @media (pointer: coarse), (max-width: 740px) {
        :host {
          height: 3rem;
        }
      }
      /* On a phone the line is the text's; what can be done stands below it once it is open. */
      @media (max-width: 740px) {
        .bar:not(.open) .ways {
          display: none;
        }
      }
      @media print {
        :host {
          display: none;
        }
      }
    `,
  ];

  override connectedCallback(): void {
    super.connectedCallback();
    this.#observer.observe(this);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#observer.disconnect();
  }

  protected override willUpdate(): void {
    this.hidden = this.notices.length === 0;
    if (this.hidden) this.isOpen = false;
  }

  override render() {
    const all = inOrder(this.notices);
    const later = all.length - 1;
    return html`<div class="bar ${all[0]?.kind ?? ''} ${this.isOpen ? 'open' : ''}" @keydown=${this.#onKey}>
      ${repeat(
        all,
        ({ text }) => text,
        (notice, index) => this.#renderNotice(notice, index > 0 && !this.isOpen),
      )}
      ${later > 0 || this.isCut || this.isOpen ? this.#renderMore(later) : nothing}
    </div>`;
  }

  #renderNotice({ text, kind, isUrgent, ways = [] }: Notice, isLater: boolean) {
    return html`<div class="notice ${kind} ${isLater ? 'later' : ''}" role=${isUrgent ? 'alert' : kind === 'note' ? 'note' : 'status'}>
      <p title=${text}>${text}</p>
      ${
        ways.length === 0 || isLater
          ? nothing
          : html`<div class="ways">${ways.map(({ title, act }) => html`<button @click=${act}>${title}</button>`)}</div>`
      }
    </div>`;
  }

  #renderMore(later: number) {
    const closed = later > 0 ? `${later} more` : 'More';
    return html`<button class="more" aria-expanded=${this.isOpen} @click=${() => this.#toggle()}>${this.isOpen ? 'Less' : closed}</button>`;
  }

  #toggle(): void {
    this.isOpen = !this.isOpen;
  }

  #onKey = (event: KeyboardEvent): void => {
    if (event.key !== 'Escape' || !this.isOpen) return;
    event.stopPropagation();
    this.isOpen = false;
  };

  /** Not at every drawing: it makes the browser lay out the page at once. */
  protected override updated(): void {
    const shown = `${this.isOpen} ${this.first?.textContent ?? ''}`;
    if (shown !== this.#measured) this.#measure();
    this.#measured = shown;
  }

  #measure(): void {
    const { first } = this;
    if (this.isOpen || !first) return;
    const hidesWays = first.nextElementSibling?.checkVisibility() === false;
    this.isCut = first.scrollWidth > first.clientWidth + 1 || hidesWays;
  }
}

/** Most of the time there is nothing to draw. Buttons of equal notices may do something else, so those are drawn. */
function isAnything(now: readonly Notice[], before: readonly Notice[] = []): boolean {
  return now.length + before.length > 0;
}

declare global {
  interface HTMLElementTagNameMap {
    'notice-bar': NoticeBar;
  }
}
