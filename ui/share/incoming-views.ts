import { html, nothing } from 'lit';
import { itemText } from '../../engine/builds/bag-text.ts';
import { type Build, buildParts, startingBuild } from '../../engine/builds/build.ts';
import { buildNotes, buildTitle } from '../../engine/builds/build-title.ts';
import type { Chain } from '../../engine/builds/chain.ts';
import { MOST_DRAWER_ITEMS } from '../../engine/builds/drawer.ts';
import type { ReadDrawer } from '../../engine/builds/drawer-file.ts';
import type { MeasuredFile } from '../../engine/builds/measured-parts.ts';
import { swapsBetween, swapText } from '../../engine/builds/swaps.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { oneLine } from '../../engine/input/shown-text.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { LETTER } from '../components/bench-element.ts';
import { countIn, indexIn, pedalsOf, type Sides, sideTitle } from '../state/chains.ts';
import type { IncomingText } from './incoming-text.ts';

/** Entries that are told of a list; the rest is counted. */
const TOLD = 8;

/** What a text is, as the beginning of a title. */
export function incomingTitle(offered: IncomingText): string {
  switch (offered.kind) {
    case 'chain': {
      const { length } = offered.chain.pedals;
      return length === 1 ? 'A build' : `A chain of ${length} pedals`;
    }
    case 'measured':
      return counted(offered.parts.length, 'measured part');
    case 'drawer':
      return `${counted(offered.items.length, 'bag')} for the drawer`;
  }
}

export function chainView({ pedals }: Chain) {
  return html`${pedals.map(({ build }, index) => pedalView(build, pedals.length > 1 ? `Pedal ${index + 1}: ` : ''))}
    <p class="small soft">Only somebody whom you trust knows whether its notes are true.</p>`;
}

/** What is on the sides now, what would be replaced, and how it comes back. */
export function sidesView(sides: Sides, { pedals }: Chain, save: (slot: Slot) => void) {
  return html`<div class="sides small">
    ${SLOTS.map(
      (
        slot,
      ) => html`<p>${LETTER[slot]} now: “<bdi>${sideTitle(sides, slot)}</bdi>”${stateText(sides, slot, pedals.length)}
        <button class="small" @click=${() => save(slot)}>Save ${LETTER[slot]} as a file</button></p>`,
    )}
    <p class="soft">Undo brings back what is replaced. The mod log in the view Solder keeps it too.</p>
  </div>`;
}

/** The parts of a file. @param merged With those that are kept; its problems say which get another name. */
export function partsView({ parts, problems }: MeasuredFile, merged: MeasuredFile, keptCount: number) {
  const added = merged.parts.length - keptCount;
  const known = added < parts.length ? ` ${counted(added, 'part')} would be new.` : '';
  return html`${listView(parts.map(({ name }) => name))}
    ${problemsView('Left out, or with another name:', [...problems, ...merged.problems])}
    <p class="small soft">${keptCount === 0 ? 'You keep no measured parts yet.' : `You keep ${counted(keptCount, 'measured part')}: they stay as they are.`}${known}</p>`;
}

/** @param presentCount Bags in the drawer. @param laterCount The same with those of the file. */
export function bagsView({ items, problems }: ReadDrawer, presentCount: number, laterCount: number) {
  return html`${listView(items.map(itemText))}
    ${problemsView('Lines that cannot be used:', problems)}
    ${laterCount > MOST_DRAWER_ITEMS ? html`<p class="small problem" role="alert">A drawer has ${MOST_DRAWER_ITEMS} bags at most; this would be ${laterCount}.</p>` : nothing}
    <p class="small soft">The drawer has ${counted(presentCount, 'bag')}: they stay, and the numbers of equal bags are added.</p>`;
}

function stateText({ builds, places }: Sides, slot: Slot, incoming: number): string {
  const sides = { builds, places };
  const swaps = pedalsOf(sides, slot).reduce((count, { build }) => count + swapsSinceStart(build), 0);
  const count = countIn(places[slot]);
  const swapped =
    swaps === 0
      ? ', with the parts it began with.'
      : `, ${counted(swaps, 'swap')} from the parts it began with.`;
  if (count === 1) return swapped;
  return incoming === 1
    ? `${swapped} The build would replace pedal ${indexIn(places[slot]) + 1} of ${count}.`
    : `${swapped} All ${count} pedals would be replaced.`;
}

function swapsSinceStart(build: Build): number {
  return swapsBetween({ ...build, ...build.start }, build).length;
}

function pedalView(build: Build, before: string) {
  const { circuit } = build;
  const start = startingBuild(circuit);
  const swaps = swapsBetween(start, build);
  const isOwn = !CIRCUITS.has(circuit.id);
  const notes = buildNotes(build);
  return html`
    <h3>${before}<bdi>${buildTitle(build)}</bdi></h3>
    <p class="small soft">${isOwn ? 'A circuit of its own: ' : 'Circuit: '}<bdi>${circuit.title}</bdi>, ${buildParts(circuit).length} parts.</p>
    ${notes === '' ? nothing : html`<p class="small"><bdi>${notes}</bdi></p>`}
    ${swaps.length === 0 ? html`<p class="small">All parts as in the circuit.</p>` : listView(swaps.map((swap) => swapText(build, swap)))}
  `;
}

function listView(lines: readonly string[]) {
  return html`<ul class="small">${lines.slice(0, TOLD).map((line) => html`<li>${line}</li>`)}
    ${lines.length > TOLD ? html`<li>and ${lines.length - TOLD} more</li>` : nothing}</ul>`;
}

function problemsView(title: string, problems: readonly string[]) {
  return problems.length === 0
    ? nothing
    : html`<p class="small problem">${title}</p>
      <div class="problem">${listView(problems.map((text) => oneLine(text)))}</div>`;
}

function counted(count: number, thing: string): string {
  return `${count} ${thing}${count === 1 ? '' : 's'}`;
}
