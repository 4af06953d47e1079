import { html, nothing, type PropertyValues } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { type PedalOrder, placesText } from '../../engine/analysis/order-list.ts';
import { ORDER_GROUPS, type OrderGroup, type OrderRow } from '../../engine/analysis/order-row.ts';
import { type StockedRow, stockColumns, stockedRows, stockNote } from '../../engine/analysis/order-stock.ts';
import { orderCsv } from '../../engine/analysis/order-table.ts';
import { UNLOADED_SHARE } from '../../engine/analysis/part-stress.ts';
import type { Build } from '../../engine/builds/build.ts';
import { clockText } from '../../engine/builds/swaps.ts';
import { type OfferedPair, pairText } from '../../engine/builds/value-pairs.ts';
import { POWER_MARGIN, VOLTAGE_MARGIN } from '../../engine/units/rating-series.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { dataText } from '../data-text.ts';
import { offerDownload } from '../ear/download.ts';
import type { Analyser } from '../plots/analyser.ts';
import type { BenchState } from '../state/bench-state.ts';
import { isAlone, pedalsOf, sideTitle } from '../state/chains.ts';
import { pairUse } from '../state/offered-pairs.ts';
import { type OrderFor, orderQuery, shownOrder, unratedOrders } from '../state/order-query.ts';
import { BenchElement, LETTER } from './bench-element.ts';
import { bandsDrawing } from './colour-bands.ts';
import './drawer-dialog.ts';
import type { DrawerDialog } from './drawer-dialog.ts';
import { orderListStyles } from './order-list-styles.ts';
import { segmentStyles } from './segment-styles.ts';
import { sharedStyles } from './shared-styles.ts';
import { tableStyles } from './table-styles.ts';

const LISTS: readonly (readonly [list: OrderFor, title: string])[] = [
  ['a', 'A'],
  ['b', 'B'],
  ['swaps', 'A to B'],
];

/** What to order for a side, or to make B out of A, grouped as a shop has it. Ratings follow when they are computed. */
@customElement('order-list')
export class OrderList extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Computes the ratings in a worker; available a moment after the page. */
  @property({ attribute: false }) analyser: Analyser | undefined;
  @state() private shown: OrderFor = 'a';
  @query('drawer-dialog') private drawerDialog!: DrawerDialog;
  /** The lists with ratings, by the query that they answer. */
  @state() private rated: Readonly<Partial<Record<Slot, Rated>>> = {};
  readonly #asked: Partial<Record<Slot, string>> = {};

  static override styles = [sharedStyles, segmentStyles, tableStyles, orderListStyles];

  protected override updated(_: PropertyValues): void {
    if (this.analyser) for (const slot of SLOTS) void this.#ask(slot, this.analyser);
  }

  async #ask(slot: Slot, analyser: Analyser): Promise<void> {
    const query = orderQuery(this.state, slot);
    const text = dataText(query);
    if (this.#asked[slot] === text) return;
    this.#asked[slot] = text;
    const answer = await analyser.ask(`${slot} order`, query);
    if (answer?.kind === 'result') this.rated = { ...this.rated, [slot]: { text, orders: answer.result } };
    else if (this.#asked[slot] === text) delete this.#asked[slot];
  }

  override render() {
    const of = (slot: Slot) => this.#ratedOf(slot) ?? unratedOrders(this.state, slot);
    const order = shownOrder(this.state, { a: of('a'), b: of('b') }, this.shown);
    const isLone = typeof order === 'string' || order.rows.length === 0;
    return html`
      <div class="bar">
        <fieldset class="segments" aria-label="Parts for">
          ${LISTS.map(
            ([list, title]) => html`<label title=${list === 'swaps' ? 'What B has and A has not' : nothing}>
              <input type="radio" name="list" .checked=${this.shown === list} @change=${() => {
                this.shown = list;
              }} />${title}</label>`,
          )}
        </fieldset>
        <div class="end">
          <button class="small" aria-haspopup="dialog" title="What you own; the list then says what to buy" @click=${() => this.drawerDialog.open()}>Drawer…</button>
          <button class="small" ?disabled=${isLone} @click=${() => this.#save(order)}>Save CSV</button>
          <button class="small" ?disabled=${isLone} @click=${() => window.print()}>Print</button>
        </div>
      </div>
      <drawer-dialog .drawer=${this.state.drawer}></drawer-dialog>
      ${this.#renderHeading()}
      ${typeof order === 'string' ? html`<p class="soft">${order}</p>` : this.#renderOrder(order)}
    `;
  }

  /** The lists with ratings, if they are those of the builds as they are. */
  #ratedOf(slot: Slot): readonly PedalOrder[] | undefined {
    const rated = this.rated[slot];
    return rated?.text === dataText(orderQuery(this.state, slot)) ? rated.orders : undefined;
  }

  /** On paper: which build, and how its controls stand. */
  #renderHeading() {
    const slots = this.shown === 'swaps' ? SLOTS : [this.shown];
    return html`<div class="heading">${slots.map(
      (
        slot,
      ) => html`<h2><span class="letter ${slot}">${LETTER[slot]}</span> <bdi>${sideTitle(this.state, slot)}</bdi></h2>
      ${pedalsOf(this.state, slot).map(
        ({ build }, index) =>
          html`<p class="small">${isAlone(this.state.places[slot]) ? '' : `Pedal ${index + 1}: `}${controlsText(build)}</p>`,
      )}`,
    )}${this.shown === 'swaps' ? html`<p>What B has and A has not.</p>` : nothing}</div>`;
  }

  #renderOrder({ rows, unrated }: PedalOrder) {
    if (rows.length === 0) return html`<p class="soft">Nothing to buy: B has no part that A has not.</p>`;
    const stocked = stockedRows(rows, this.state.drawer.items);
    const hasDrawer = this.state.drawer.items.length > 0;
    return html`
      ${unrated === undefined ? nothing : html`<p class="problem small" role="status">${unrated}</p>`}
      <table>
        <thead><tr>
          <th class="count" scope="col"><span class="visually-hidden">number</span></th>
          <th scope="col">Value or type</th><th scope="col">Rated at least</th><th scope="col">Places</th><th scope="col">Size, marking, substitutes</th>
        </tr></thead>
        ${ORDER_GROUPS.map((group) =>
          renderGroup(
            group,
            stocked.filter((row) => row.group === group),
            hasDrawer,
            (row) => row.pairs.map((pair) => this.#renderPair(row, pair)),
          ),
        )}
      </table>
      <p class="small soft note">Ratings: from an adapter without load (${UNLOADED_SHARE} times the supply), plus a loud low note with the knobs up, times ${VOLTAGE_MARGIN} for volts and ${POWER_MARGIN} for watts. Bands: 1 %, then 5 %. Margins, wire and enclosure are rules of thumb; lead spacings and the ratings that are sold are from memory, and makers differ.</p>
    `;
  }

  /** Undo takes the change back, as any swap. */
  #renderPair(row: StockedRow, pair: OfferedPair) {
    const slot = this.shown === 'swaps' ? 'b' : this.shown;
    const { text, change } = pairUse(this.state, slot, row, pair);
    if (!change) return html`<p class="small pair">${text}</p>`;
    return html`<button class="small pair" title="${pairText(pair)}, in build ${LETTER[slot]}" @click=${() => this.act(change)}>Put in ${text}</button>`;
  }

  #save(order: PedalOrder | string): void {
    if (typeof order === 'string') return;
    const name = this.shown === 'swaps' ? 'A to B' : sideTitle(this.state, this.shown);
    const { items } = this.state.drawer;
    const rows = stockedRows(order.rows, items);
    const text = orderCsv(rows, items.length > 0 ? stockColumns(rows) : undefined);
    const file = new Blob([text], { type: 'text/csv' });
    offerDownload(file, `${name} parts`, 'csv');
  }
}

interface Rated {
  readonly text: string;
  readonly orders: readonly PedalOrder[];
}

/** What is drawn for the pairs of a line. */
type RenderPairs = (row: StockedRow) => unknown;

function renderGroup(
  group: OrderGroup,
  rows: readonly StockedRow[],
  hasDrawer: boolean,
  renderPairs: RenderPairs,
) {
  if (rows.length === 0) return nothing;
  return html`<tbody>
    <tr><th class="group" scope="rowgroup" colspan="5">${group}</th></tr>
    ${rows.map((row) => renderRow(row, hasDrawer, renderPairs))}
  </tbody>`;
}

function renderRow(row: StockedRow, hasDrawer: boolean, renderPairs: RenderPairs) {
  const { quantity, kind, value, rating, refs, package: size, marking, bands } = row;
  return html`<tr class="row">
    <td class="count figures">${quantity} ×</td>
    <td class="what">${
      row.group === 'Off the board'
        ? html`${kind} <span class="small soft">${value}</span>`
        : html`<span class="figures">${value}</span> <span class="small soft">${kind}</span>`
    }${hasDrawer ? html` <span class="stock small ${row.buy > 0 ? 'buy' : ''}">${stockText(row)}</span>` : nothing}</td>
    <td class="rating figures">${rating}</td>
    <td class="places figures">${placesText(refs)}</td>
    <td class="more">${bands.map(bandsDrawing)}
      <span>${size}${bands.length > 0 || marking === '' || marking === value ? '' : html`; printed <span class="figures">${marking}</span>`}</span>
      ${stockNote(row) === '' ? nothing : html`<p class="small">${stockNote(row)}</p>`}
      ${renderPairs(row)}
      ${renderSubstitutes(row)}</td>
  </tr>`;
}

/** "owned", "own 2, buy 4", "buy 6". */
function stockText({ owned, buy }: StockedRow): string {
  if (buy === 0) return 'owned';
  return owned === 0 ? `buy ${buy}` : `own ${owned}, buy ${buy}`;
}

/** Names at first, reasons when opened. */
function renderSubstitutes({ substitutes }: OrderRow) {
  if (substitutes.length === 0) return nothing;
  const names = substitutes.map((text) => text.split(':', 1)[0]);
  return html`<details><summary>or ${names.join(', ')}</summary>
    <ul>${substitutes.map((text) => html`<li>${text}</li>`)}</ul></details>`;
}

/** Positions as they are on the bench: "gain 1:00, tone 12:00, clipping symmetric, true bypass". */
function controlsText({ circuit, knobs, switches, bypass }: Build): string {
  return [
    ...circuit.knobs
      .filter(({ gang }) => !gang || switches[gang.switch] !== gang.position)
      .map(({ name }) => `${name} ${clockText(knobs[name] ?? 0)}`),
    ...circuit.switches.map(({ name }) => `${name} ${switches[name] ?? ''}`),
    `${bypass} bypass`,
  ].join(', ');
}
