import { css, html, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { type BagLine, readBagLine } from '../../engine/builds/bag-line.ts';
import { itemName, itemText } from '../../engine/builds/bag-text.ts';
import {
  type Drawer,
  type DrawerItem,
  MOST_DRAWER_ITEMS,
  MOST_ITEM_COUNT,
  withItems,
} from '../../engine/builds/drawer.ts';
import {
  drawerCsv,
  MOST_DRAWER_BYTES,
  type ReadDrawer,
  readDrawer,
} from '../../engine/builds/drawer-file.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { oneLine, quoted } from '../../engine/input/shown-text.ts';
import { offerDownload } from '../ear/download.ts';
import { forgetUnreadDrawer, unreadDrawer } from '../state/kept-drawer.ts';
import { BenchElement, controlValue } from './bench-element.ts';
import { dialogStyles } from './dialog-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** Problems of a file that are shown; the rest is counted. */
const SHOWN_PROBLEMS = 5;
const EXAMPLE = '100x 4k7 1% 0.25W metal film';

/** What a file holds, until it is taken. */
interface Import extends ReadDrawer {
  readonly name: string;
}

/** What the builder owns: bags are added by their line or from a file, counted and taken out. */
@customElement('drawer-dialog')
export class DrawerDialog extends BenchElement {
  @property({ attribute: false }) drawer!: Drawer;
  @state() private line = '';
  @state() private found = '';
  @state() private imported: Import | undefined;
  @state() private problem = '';
  /** Text of an earlier visit whose bags could not all be read. */
  @state() private unread: string | undefined;
  /** A closed dialog draws nothing: a drawer may have thousands of lines. */
  @state() private isOpen = false;
  @query('dialog') private dialog!: HTMLDialogElement;
  @query('.line') private field!: HTMLInputElement;

  static override styles = [
    sharedStyles,
    dialogStyles,
    css`
      :host {
        display: contents;
      }
      dialog[open] {
        display: flex;
        flex-direction: column;
        gap: var(--gap-3);
        width: min(40rem, 94vw);
        max-height: 88vh;
      }
      form,
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
      }
      .line,
      .search {
        flex: 1;
        min-width: 12rem;
      }
      .list {
        flex: 1;
        min-height: 6rem;
        overflow-y: auto;
        border-top: 1px solid var(--line);
      }
      ul {
        list-style: none;
      }
      li {
        display: grid;
        grid-template-columns: 5rem minmax(0, 1fr) auto;
        gap: var(--gap-2);
        align-items: center;
        padding: 0.15rem 0;
        border-bottom: 1px solid var(--line);
      }
      li input {
        width: 100%;
      }
      .problems {
        padding-left: var(--gap-4);
        list-style: disc;
      }
      .problems li {
        display: list-item;
        border: 0;
      }
      .end {
        margin-left: auto;
      }
    `,
  ];

  async open(): Promise<void> {
    this.isOpen = true;
    this.unread = unreadDrawer();
    await this.updateComplete;
    this.dialog.showModal();
  }

  override render() {
    return html`<dialog aria-labelledby="title" @close=${this.#empty}>${this.isOpen ? this.#renderDrawer() : nothing}</dialog>`;
  }

  #renderDrawer() {
    const { items, isOnly } = this.drawer;
    return html`
      <h2 id="title">Drawer: what you own</h2>
      <label class="option"><input type="checkbox" .checked=${isOnly} ?disabled=${items.length === 0}
        @change=${(event: Event) => this.#change({ ...this.drawer, isOnly: (event.target as HTMLInputElement).checked })} />
        Only what I own <span class="small soft">in steps, menus, candidates, ranking, sweeps and blind tests</span></label>
      ${this.#renderAdding()}
      <p class="small problem" role="alert">${this.problem}</p>
      ${this.unread === undefined ? nothing : this.#renderUnread(this.unread)}
      ${this.imported ? this.#renderImport(this.imported) : nothing}
      ${this.#renderList()}
      <div class="row">
        <button class="small" @click=${() => this.renderRoot.querySelector<HTMLInputElement>('input[type="file"]')!.click()}>Open CSV…</button>
        <input type="file" accept=".csv,.txt,text/csv,text/plain" hidden aria-label="Drawer as a file" @change=${this.#openFile} />
        <button class="small" ?disabled=${items.length === 0} @click=${this.#save}>Save CSV</button>
        <button class="small" ?disabled=${items.length === 0} title="Saves it as a file first" @click=${this.#clear}>Empty</button>
        <button class="end" @click=${() => this.dialog.close()}>Close</button>
      </div>
    `;
  }

  /** What was understood of the line stands under it before it is taken. */
  #renderAdding() {
    const read = this.line.trim() === '' ? undefined : readLine(this.line);
    return html`<form @submit=${(event: Event) => this.#add(event, read)}>
        <input class="line figures" type="text" autocomplete="off" spellcheck="false" aria-label="Line as on the bag" placeholder=${EXAMPLE}
          @input=${(event: Event) => {
            this.line = controlValue(event);
          }} />
        <button ?disabled=${read === undefined || typeof read === 'string'}>Add</button>
      </form>
      <p class="small" role="status">${
        read === undefined
          ? html`<span class="soft">Type the line on the bag: number, value or type, and what else it says. Knobs, jacks, switches, wire and enclosures too.</span>`
          : typeof read === 'string'
            ? html`<span class="problem">${read}</span>`
            : html`${itemText(read.item)}${read.ignored.length === 0 ? '' : html` <span class="soft">(not used: ${read.ignored.join(' ')})</span>`}`
      }</p>`;
  }

  #renderImport({ name, items, problems }: Import) {
    const more = problems.length - SHOWN_PROBLEMS;
    return html`<section role="group" aria-label="File">
      <p>${quoted(name)}: ${items.length} ${items.length === 1 ? 'bag' : 'bags'}${problems.length === 0 ? '.' : `, and ${problems.length} ${problems.length === 1 ? 'line' : 'lines'} that cannot be used:`}</p>
      ${
        problems.length === 0
          ? nothing
          : html`<ul class="problems small problem">${problems.slice(0, SHOWN_PROBLEMS).map((text) => html`<li>${oneLine(text)}</li>`)}
            ${more > 0 ? html`<li>and ${more} more.</li>` : nothing}</ul>`
      }
      <div class="row">
        <button ?disabled=${items.length === 0} @click=${() => this.#take(items)}>Add to the drawer</button>
        <button @click=${() => {
          this.imported = undefined;
        }}>Cancel</button>
      </div>
    </section>`;
  }

  #renderUnread(text: string) {
    const save = () => offerDownload(new Blob([text], { type: 'text/csv' }), 'drawer unread', 'csv');
    const drop = () => {
      forgetUnreadDrawer();
      this.unread = undefined;
    };
    return html`<p class="small problem">Not all bags of an earlier visit could be read.
      <button class="small" @click=${save}>Save them as file</button> <button class="small" @click=${drop}>Drop them</button></p>`;
  }

  #renderList() {
    const { items } = this.drawer;
    if (items.length === 0) return html`<p class="soft">The drawer is empty.</p>`;
    const sought = this.found.trim().toLowerCase();
    const shown = items
      .map((item, index) => ({ item, index, name: itemName(item) }))
      .filter(({ name }) => name.toLowerCase().includes(sought));
    return html`<input class="search" type="text" placeholder="Search ${items.length} ${items.length === 1 ? 'bag' : 'bags'}" aria-label="Search the drawer"
        @input=${(event: Event) => {
          this.found = controlValue(event);
        }} />
      <div class="list"><ul>${shown.slice(0, 200).map(
        ({ item, index, name }) => html`<li>
          <input class="figures" type="number" min="0" max=${MOST_ITEM_COUNT} step="1" .value=${String(item.count)} aria-label="Number of ${name}"
            @change=${(event: Event) => this.#count(index, event)} />
          <span>${name}</span>
          <button class="small" aria-label="Remove ${name}" @click=${() => this.#setItems(items.filter((_, at) => at !== index))}>Remove</button>
        </li>`,
      )}</ul>${shown.length > 200 ? html`<p class="small soft">And ${shown.length - 200} more: search for them.</p>` : nothing}</div>`;
  }

  #add(event: Event, read: BagLine | string | undefined): void {
    event.preventDefault();
    if (read === undefined || typeof read === 'string') return;
    if (!this.#take([read.item])) return;
    this.line = '';
    this.field.value = '';
    this.field.focus();
  }

  /** @returns Whether there was room. */
  #take(added: readonly DrawerItem[]): boolean {
    const items = withItems(this.drawer.items, added);
    if (items.length > MOST_DRAWER_ITEMS) {
      this.problem = `A drawer has ${MOST_DRAWER_ITEMS} bags at most; this would be ${items.length}.`;
      return false;
    }
    this.imported = undefined;
    this.problem = '';
    this.#setItems(items);
    return true;
  }

  #count(index: number, event: Event): void {
    const field = event.target as HTMLInputElement;
    const { items } = this.drawer;
    const count = Number(field.value);
    if (field.value.trim() === '' || !Number.isInteger(count) || count < 0 || count > MOST_ITEM_COUNT) {
      this.problem = `${quoted(field.value)} is not a number from 0 to ${MOST_ITEM_COUNT}.`;
      field.value = String(items[index]!.count);
      return;
    }
    this.problem = '';
    const counted = items.map((item, at) => (at === index ? { ...item, count } : item));
    this.#setItems(counted.filter((item) => item.count > 0));
  }

  #setItems(items: readonly DrawerItem[]): void {
    this.#change({ items, isOnly: this.drawer.isOnly && items.length > 0 });
  }

  #change(drawer: Drawer): void {
    this.act({ type: 'drawer', drawer });
  }

  #openFile = async (event: Event): Promise<void> => {
    const input = event.target as HTMLInputElement;
    const [file] = input.files ?? [];
    if (!file) return;
    this.problem = '';
    try {
      this.imported = { name: file.name, ...readDrawer(await textOf(file)) };
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.problem = oneLine(`${quoted(file.name)} was not opened: ${error.message}.`);
    }
    input.value = '';
  };

  #save = (): void => {
    offerDownload(new Blob([drawerCsv(this.drawer.items)], { type: 'text/csv' }), 'drawer', 'csv');
  };

  /** Everything that was in it is offered as a file first, so that nothing is lost. */
  #clear = (): void => {
    this.#save();
    this.#setItems([]);
  };

  #empty(): void {
    this.isOpen = false;
    this.line = '';
    this.found = '';
    this.problem = '';
    this.imported = undefined;
  }
}

function readLine(line: string): BagLine | string {
  try {
    return readBagLine(line);
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}

/** @throws Refusal for a file that is too large or cannot be read. */
async function textOf(file: File): Promise<string> {
  if (file.size > MOST_DRAWER_BYTES)
    throw new Refusal(
      'file',
      `it is ${(file.size / 1e6).toFixed(1)} MB large, and a drawer has ${MOST_DRAWER_BYTES / 1e6} MB at most`,
    );
  try {
    return await file.text();
  } catch {
    throw new Refusal('file', 'it cannot be read');
  }
}
