import { css, html, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { buildParts } from '../../engine/builds/build.ts';
import { groupsOf, groupsWith, ownGroupProblem, refsText } from '../../engine/builds/part-groups.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';

import type { PartGroup } from '../../engine/circuits/part-group.ts';
import type { BenchState } from '../state/bench-state.ts';
import { chosenGroup } from '../state/reach.ts';
import { BenchElement } from './bench-element.ts';
import { segmentStyles } from './segment-styles.ts';
import { sharedStyles } from './shared-styles.ts';

/** Which parts change with the chosen one: its groups, it alone, or a group of the builder's own. */
@customElement('group-picker')
export class GroupPicker extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @state() private isOpen = false;
  @state() private problem = '';

  static override styles = [
    sharedStyles,
    segmentStyles,
    css`
      :host {
        display: block;
        margin-top: var(--gap-1);
      }
      .choices {
        display: flex;
        flex-wrap: wrap;
        gap: var(--gap-2);
        align-items: center;
      }
      .own {
        display: grid;
        gap: var(--gap-2);
        margin-top: var(--gap-1);
      }
      .members {
        display: flex;
        flex-wrap: wrap;
        gap: 0 var(--gap-2);
      }
      button {
        min-height: 1.6rem;
        padding: 0 var(--gap-2);
        font-size: var(--size-small);
      }
    `,
  ];

  /** The form is about the chosen part. */
  protected override willUpdate(changed: PropertyValues<this>): void {
    const before = changed.get('state');
    if (before === undefined || before.selected === this.state.selected) return;
    this.isOpen = false;
    this.problem = '';
  }

  override render() {
    const { selected, builds, heard } = this.state;
    const peers = this.#peers();
    if (peers.length === 0) return nothing;
    const groups = groupsWith(builds[heard], selected);
    const chosen = chosenGroup(this.state);
    const own = builds[heard].groups?.find(({ name }) => name === chosen?.name);
    return html`
      <div class="choices small">
        ${
          groups.length === 0
            ? nothing
            : html`<div class="segments" role="radiogroup" aria-label="Changed together with ${selected}">
              ${groups.map((group) => this.#renderChoice(refsText(group.parts), group.name, group.name === chosen?.name))}
              ${this.#renderChoice(`${selected} alone`, undefined, chosen === undefined)}
            </div>`
        }
        <button aria-expanded=${this.isOpen} @click=${() => this.#toggle()}>own group…</button>
        ${own ? html`<button @click=${() => this.#remove(own)}>remove ${own.name}</button>` : nothing}
      </div>
      ${this.isOpen ? this.#renderOwn(peers) : nothing}
    `;
  }

  #renderChoice(text: string, name: string | undefined, isChosen: boolean) {
    const choose = () =>
      this.act({ type: 'reach', reach: name === undefined ? { kind: 'alone' } : { kind: 'group', name } });
    return html`<label title=${name ?? ''}>
      <input type="radio" name="together" .checked=${live(isChosen)} @change=${choose} />${text}</label>`;
  }

  #renderOwn(peers: readonly string[]) {
    const { selected } = this.state;
    return html`<form class="own small" @submit=${(event: SubmitEvent) => this.#make(event)}>
      <div class="members" role="group" aria-label="Changed together with ${selected}">
        <span>${selected} with</span>
        ${peers.map((ref) => html`<label><input type="checkbox" name="part" value=${ref} />${ref}</label>`)}
      </div>
      <div class="choices">
        <label>called <input type="text" name="name" maxlength="60" autocomplete="off" spellcheck="false" .value=${this.#freeName()} /></label>
        <button>Make group</button>
      </div>
      ${this.problem === '' ? nothing : html`<p class="problem" role="alert">${this.problem}</p>`}
    </form>`;
  }

  /** Other parts of the chosen one's kind. */
  #peers(): readonly string[] {
    const { selected, builds, heard } = this.state;
    const parts = buildParts(fittedCircuit(builds[heard]));
    const kind = parts.find(({ ref }) => ref === selected)?.kind;
    return parts.filter((part) => part.kind === kind && part.ref !== selected).map(({ ref }) => ref);
  }

  #freeName(): string {
    const names = groupsOf(this.state.builds[this.state.heard]).map(({ name }) => name);
    let number = 1;
    while (names.includes(`my group ${number}`)) number++;
    return `my group ${number}`;
  }

  #toggle(): void {
    this.isOpen = !this.isOpen;
    this.problem = '';
  }

  #make(event: SubmitEvent): void {
    event.preventDefault();
    const { selected, builds, heard } = this.state;
    const data = new FormData(event.target as HTMLFormElement);
    const name = String(data.get('name') ?? '').trim();
    const chosen = [selected, ...data.getAll('part').map(String)];
    const parts = buildParts(fittedCircuit(builds[heard])).flatMap(({ ref }) =>
      chosen.includes(ref) ? [ref] : [],
    );
    const made: PartGroup = { name, parts, isUsual: true };
    const groups = [...(builds[heard].groups ?? []), made];
    this.problem = ownGroupProblem(builds[heard], made) ?? '';
    if (this.problem !== '') return;
    this.act({ type: 'groups', groups });
    this.act({ type: 'reach', reach: { kind: 'group', name } });
    this.isOpen = false;
  }

  #remove({ name }: PartGroup): void {
    const groups = (this.state.builds[this.state.heard].groups ?? []).filter((group) => group.name !== name);
    this.act({ type: 'groups', groups });
  }
}
