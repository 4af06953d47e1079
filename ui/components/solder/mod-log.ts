import { css, html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { parseChainFile } from '../../../engine/builds/chain-file.ts';
import { Refusal } from '../../../engine/input/refusal.ts';
import { oneLine } from '../../../engine/input/shown-text.ts';
import { SLOTS, type Slot } from '../../../worklets/bench-messages.ts';
import { offerDownload } from '../../ear/download.ts';
import { withStarts } from '../../state/chain-presets.ts';
import { forgetUnreadModLog, unreadModLog } from '../../state/kept-mod-log.ts';
import {
  EMPTY_LOG,
  foundEntries,
  type ModLog as Log,
  type LogEntry,
  MOST_LOG_NOTE_CHARACTERS,
} from '../../state/mod-log.ts';
import { logText } from '../../state/mod-log-file.ts';
import { BenchElement, controlValue, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';

/** Entries that are drawn until the older ones are asked for. */
const SHOWN = 30;
/** With fewer entries than this, nothing has to be searched for. */
const SEARCHED_FROM = 10;

/** What was swapped, heard and judged, newest first; any earlier state goes to A or B. */
@customElement('mod-log')
export class ModLog extends BenchElement {
  @property({ attribute: false }) log: Log = EMPTY_LOG;
  @property() heard: Slot = 'a';
  @property({ type: Boolean }) canPutBack = false;
  /** What the shown entries started from; empty for all. */
  @state() private origin = '';
  /** Words that the shown entries have. */
  @state() private search = '';
  @state() private isLong = false;
  /** Why an earlier state was not put back. */
  @state() private problem = '';
  @state() private unread = unreadModLog();

  static override styles = [
    sharedStyles,
    css`
      .head,
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
      }
      .head h2 {
        flex: 1 0 6rem;
      }
      .meta {
        display: flex;
        flex-wrap: wrap;
        gap: 0 var(--gap-3);
      }
      p {
        margin: var(--gap-1) 0;
      }
      ol {
        margin: var(--gap-3) 0;
        padding: 0;
        list-style: none;
      }
      li {
        display: grid;
        grid-template-columns: minmax(0, 1fr) auto;
        gap: var(--gap-1) var(--gap-4);
        padding: var(--gap-2) 0;
        border-top: 1px solid var(--line);
        overflow-wrap: anywhere;
      }
      input[type='text'] {
        width: 100%;
        max-width: 40rem;
        grid-column: 1 / -1;
      }
      select {
        max-width: 100%;
      }
      @media (max-width: 740px) {
        .head h2 {
          flex-basis: 100%;
        }
        li {
          grid-template-columns: minmax(0, 1fr);
        }
      }
    `,
  ];

  override render() {
    const { heard, log, origin } = this;
    const origins = [...new Set(log.entries.map((entry) => entry.origin))];
    const own = log.entries.filter((entry) => !origins.includes(origin) || entry.origin === origin);
    const entries = foundEntries(own, this.search);
    const shown = this.isLong ? entries : entries.slice(0, SHOWN);
    return html`
      <div class="head">
        <h2>Mod log</h2>
        <button class="small" @click=${() => this.act({ type: 'log', command: { do: 'addState', slot: heard } })}>Add <span class="letter ${heard}">${LETTER[heard]}</span> as it is</button>
        <button class="small" ?disabled=${entries.length === 0} @click=${() => this.#save(entries)}>Save as text</button>
        <button class="small" ?disabled=${log.entries.length === 0} @click=${() => this.act({ type: 'log', command: { do: 'empty' } })}>Empty the log</button>
      </div>
      ${this.canPutBack ? html`<p class="small" role="status">The log was emptied. <button class="small" @click=${() => this.act({ type: 'log', command: { do: 'putBack' } })}>Put back</button></p>` : nothing}
      ${this.unread === undefined ? nothing : this.#renderUnread(this.unread)}
      ${this.problem === '' ? nothing : html`<p class="small problem" role="alert">${this.problem}</p>`}
      <div class="row">${origins.length > 1 ? this.#renderFilter(origins) : nothing}
        ${log.entries.length >= SEARCHED_FROM || this.search !== '' ? this.#renderSearch(entries.length, own.length) : nothing}</div>
      ${log.entries.length === 0 ? html`<p class="small soft">Swaps, verdicts and blind tests are listed here, with what was played. Nothing was swapped yet.</p>` : nothing}
      <ol>${repeat(
        shown,
        ({ id }) => id,
        (entry) => this.#renderEntry(entry),
      )}</ol>
      ${entries.length > shown.length ? html`<button class="small" @click=${() => (this.isLong = true)}>Show ${entries.length - shown.length} older</button>` : nothing}
      ${log.dropped > 0 ? html`<p class="small soft">The log was full: the oldest ${log.dropped === 1 ? 'entry was' : `${log.dropped} entries were`} removed.</p>` : nothing}
    `;
  }

  #renderFilter(origins: readonly string[]) {
    const chosen = origins.includes(this.origin) ? this.origin : '';
    return html`<label class="row small">Started from <select aria-label="Started from" @change=${(event: Event) => (this.origin = controlValue(event))}>
      <option value="" ?selected=${chosen === ''}>all builds</option>
      ${origins.map((origin) => html`<option value=${origin} ?selected=${origin === chosen}>${origin}</option>`)}
    </select></label>`;
  }

  #renderSearch(found: number, all: number) {
    const take = (event: Event) => {
      this.search = controlValue(event);
    };
    return html`<label class="row small">Search <input type="text" aria-label="Search the mod log" placeholder="C3 bright" .value=${this.search} @input=${take}></label>
      <span class="small soft" role="status">${this.search.trim() === '' ? nothing : `${found} of ${all} entries`}</span>`;
  }

  #renderEntry(entry: LogEntry) {
    const { id, time, slot, title, did, played, note } = entry;
    const shownTime = timeText(time);
    const take = (event: Event) =>
      this.act({ type: 'log', command: { do: 'note', id, note: controlValue(event) } });
    return html`<li>
      <div>
        <p class="meta small soft"><span class="letter ${slot}">${LETTER[slot]}</span> <time datetime=${time}>${shownTime}</time><bdi>${title}</bdi>${played === '' ? nothing : html`<bdi>Played: ${played}</bdi>`}</p>
        <p class="did"><bdi>${did}</bdi></p>
      </div>
      <div class="row">${SLOTS.map(
        (
          to,
        ) => html`<button class="small" aria-label="Put the build of ${shownTime} on ${LETTER[to]}" @click=${() => this.#put(entry, to)}>
          to <span class="letter ${to}">${LETTER[to]}</span></button>`,
      )}</div>
      <input type="text" placeholder="Note" aria-label="Note on ${shownTime}" maxlength=${MOST_LOG_NOTE_CHARACTERS} .value=${note} @change=${take}>
    </li>`;
  }

  #renderUnread(text: string) {
    const save = () =>
      offerDownload(new Blob([text], { type: 'application/json' }), 'mod log unread', 'json');
    const drop = () => {
      forgetUnreadModLog();
      this.unread = undefined;
    };
    return html`<p class="small problem">Not all of the log of an earlier visit could be read.
      <button class="small" @click=${save}>Save it as file</button> <button class="small" @click=${drop}>Drop it</button></p>`;
  }

  /** The whole side becomes what it was; Undo takes it back. */
  #put({ file, time }: LogEntry, slot: Slot): void {
    this.problem = '';
    try {
      const { chain } = withStarts(parseChainFile(file));
      this.act({ type: 'loadChain', slot, chain });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.problem = oneLine(`The build of ${timeText(time)} cannot be read: ${error.message}`);
    }
  }

  #save(entries: readonly LogEntry[]): void {
    offerDownload(new Blob([logText(entries)], { type: 'text/plain' }), 'mod log', 'txt');
  }
}

/** Local date and time, as the browser's language writes them. */
function timeText(time: string): string {
  return new Date(time).toLocaleString([], { dateStyle: 'medium', timeStyle: 'medium' });
}
