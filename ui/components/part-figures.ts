import { css, html, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Build, BuildPart, PartSetting } from '../../engine/builds/build.ts';
import { figureBeside } from '../../engine/builds/figure-pairs.ts';
import { isOfNetwork } from '../../engine/builds/network-figure.ts';
import {
  type FigureOffer,
  figureCondition,
  figuresOf,
  figureValue,
  settingsFor,
  withPart,
} from '../../engine/builds/part-figures.ts';
import { isSameSetting, settingText } from '../../engine/builds/part-setting.ts';
import { type FigureUnit, figureUnit, type PartFigure } from '../../engine/circuits/part-figure.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import type { PreferredSeries } from '../../engine/units/preferred-numbers.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { LaterValues } from '../later-values.ts';
import { BenchElement, controlValue, LETTER } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** Numbers with k or M after them, as people type them: 400, 1.5k, 1,5k, 390u. */
const WANTED = /^\s*(-|−)?(\d+(?:[.,]\d+)?)\s*([kMmuµ]?)\s*(Hz|dB|V|A|Ω|ohm)?\s*$/i;
const SCALES: Readonly<Record<string, number>> = { k: 1e3, K: 1e3, M: 1e6, m: 1e-3, u: 1e-6, µ: 1e-6 };

/** A figure of the build, of the build with the starting part, and of the part with the same job in another circuit. */
type Shown = 'now' | 'start' | 'beside';

/** The figures of a part before and after its swap, beside those of another circuit; and the reverse: values for a wanted figure. */
@customElement('part-figures')
export class PartFigures extends BenchElement {
  @property({ attribute: false }) chosen!: BuildPart;
  @property({ attribute: false }) build!: Build;
  /** Starting setting of this part. */
  @property({ attribute: false }) initial!: PartSetting;
  /** Of the bench, K. */
  @property({ type: Number }) temperatureK!: number;
  @property() slotName: Slot = 'a';
  /** The other side, where it is another circuit and has a part of the same job. */
  @property({ attribute: false }) otherBuild: Build | undefined;
  /** That part; empty if there is none. */
  @property() otherRef = '';
  @property() series: PreferredSeries = 'E12';
  @state() private offers: readonly FigureOffer[] | undefined;
  @state() private wanted = '';
  readonly #values = new LaterValues<number>(this);

  static override styles = [
    sharedStyles,
    css`
      :host {
        font-size: var(--size-small);
      }
      dl {
        margin: 0;
        display: grid;
        gap: var(--gap-1);
      }
      dt {
        color: var(--ink-soft);
      }
      dd {
        margin: 0;
      }
      .wanted {
        display: grid;
        grid-template-columns: auto minmax(0, 1fr);
        gap: var(--gap-2);
        align-items: center;
        margin-top: var(--gap-2);
      }
      .wanted input {
        width: 100%;
        min-width: 0;
      }
      .offers {
        display: grid;
        gap: var(--gap-1);
        margin-top: var(--gap-1);
      }
      .offers button {
        text-align: left;
      }
    `,
  ];

  protected override willUpdate(changed: Map<PropertyKey, unknown>): void {
    const isChanged = ['chosen', 'build', 'temperatureK', 'otherBuild', 'otherRef'].some((name) =>
      changed.has(name),
    );
    if (!isChanged) return;
    this.#values.want([...this.#wantedValues(), ...this.#wantedBeside()]);
    this.offers = undefined;
    if (changed.has('chosen')) this.wanted = '';
  }

  override render() {
    const figures = figuresOf(this.build, this.chosen.ref);
    if (figures.length === 0) return nothing;
    return html`
      <dl>${figures.map((figure) => this.#renderFigure(figure))}</dl>
      ${figures.some(isOfNetwork) ? html`<p class="soft">From the whole circuit: small signals, ideal source at its input, no load.</p>` : nothing}
      ${quantityOf(this.chosen.kind) ? this.#renderWanted(figures[0]!) : nothing}
    `;
  }

  /** Each figure of the build, and with the starting part where another one is there. */
  #wantedValues(): readonly (readonly [string, () => number])[] {
    const { build, temperatureK } = this;
    const { ref } = this.chosen;
    const figures = figuresOf(build, ref);
    const now = figures.map(
      (figure) => [this.#keyOf(figure, 'now'), () => figureValue(build, figure, temperatureK)] as const,
    );
    if (!this.#isSwapped()) return now;
    const before = withPart(build, ref, this.initial);
    const start = figures.map(
      (figure) => [this.#keyOf(figure, 'start'), () => figureValue(before, figure, temperatureK)] as const,
    );
    return [...now, ...start];
  }

  /** What the other circuit has for the same job. */
  #wantedBeside(): readonly (readonly [string, () => number])[] {
    const { otherBuild, temperatureK } = this;
    if (!otherBuild) return [];
    return figuresOf(this.build, this.chosen.ref).flatMap((figure) => {
      const beside = this.#beside(figure);
      return beside
        ? [[this.#keyOf(figure, 'beside'), () => figureValue(otherBuild, beside, temperatureK)] as const]
        : [];
    });
  }

  #beside(figure: PartFigure): PartFigure | undefined {
    const { build, chosen, otherBuild, otherRef } = this;
    if (!otherBuild) return undefined;
    const own = { ref: chosen.ref, figures: figuresOf(build, chosen.ref) };
    return figureBeside(figure, own, { ref: otherRef, figures: figuresOf(otherBuild, otherRef) });
  }

  #isSwapped(): boolean {
    return !isSameSetting(this.build.parts[this.chosen.ref] ?? {}, this.initial);
  }

  #keyOf({ name }: PartFigure, when: Shown): string {
    return `${this.chosen.ref} ${name} ${when}${when === 'beside' ? ` ${this.otherRef}` : ''}`;
  }

  #textOf(figure: PartFigure, when: Shown): string {
    const value = this.#values.get(this.#keyOf(figure, when));
    return value === undefined ? '…' : quantityText(value, figureUnit(figure));
  }

  #renderFigure(figure: PartFigure) {
    const text = this.#textOf(figure, 'now');
    const start = this.#isSwapped() ? this.#textOf(figure, 'start') : text;
    const own = html`${text}${figureCondition(figure, this.temperatureK)}${start === text ? nothing : html` <span class="soft">(starting part: ${start})</span>`}`;
    const beside = this.#beside(figure);
    const values = beside
      ? this.#renderSides(own, this.#renderBeside(figure, beside))
      : html`<dd class="figures">${own}</dd>`;
    return html`<div><dt>${figure.name}</dt>${values}</div>`;
  }

  /** Both circuits, A first. */
  #renderSides(own: TemplateResult, beside: TemplateResult) {
    return SLOTS.map(
      (slot) => html`<dd class="figures"><span class="letter ${slot}">${LETTER[slot]}</span>
        ${slot === this.slotName ? own : beside}</dd>`,
    );
  }

  /** With its part, and its name if the other circuit calls it differently. */
  #renderBeside(figure: PartFigure, beside: PartFigure) {
    const name = beside.name === figure.name ? '' : `, ${beside.name}`;
    return html`${this.#textOf(figure, 'beside')}${figureCondition(beside, this.temperatureK)} <span class="soft">(${this.otherRef}${name})</span>`;
  }

  #renderWanted(figure: PartFigure) {
    const { ref } = this.chosen;
    return html`
      <label class="wanted"><span class="soft">aim for</span>
        <input class="figures" type="text" autocomplete="off" placeholder=${this.#textOf(figure, 'now')}
          aria-label="Aim for: ${figure.name}, ${ref} in ${LETTER[this.slotName]}" .value=${this.wanted}
          @change=${(event: Event) => this.#seek(figure, controlValue(event))} /></label>
      ${
        this.offers === undefined
          ? nothing
          : this.offers.length === 0
            ? html`<p class="problem" role="alert">${this.#refusalText(figure)}</p>`
            : html`<div class="offers">${this.offers.map(
                ({ setting, figure: reached }) => html`<button @click=${() => this.#take(setting)}>
                  ${settingText(setting)} gives ${quantityText(reached, figureUnit(figure))}</button>`,
              )}</div>`
      }
    `;
  }

  #refusalText(figure: PartFigure): string {
    const { name } = figure;
    const unit = figureUnit(figure);
    const value = wantedValue(this.wanted, unit);
    if (value === undefined && wantedUnit(this.wanted))
      return `The ${name} is in ${unit}, not in ${wantedUnit(this.wanted)}.`;
    if (value === undefined) return `"${this.wanted}" is not a number. Type one like 400 or 1.5k.`;
    return `No value of ${this.chosen.ref} gives a ${name} of ${value === 0 ? '0' : quantityText(value, unit)}.`;
  }

  #seek(figure: PartFigure, text: string): void {
    this.wanted = text.trim();
    const value = wantedValue(this.wanted, figureUnit(figure));
    if (this.wanted === '') this.offers = undefined;
    else if (value === undefined) this.offers = [];
    else {
      const { series, temperatureK } = this;
      this.offers = settingsFor(this.build, this.chosen, figure, { value, series, temperatureK });
    }
  }

  #take(setting: PartSetting): void {
    this.dispatchEvent(new CustomEvent('part-setting', { detail: setting }));
  }
}

/** The typed unit; undefined for a number without a unit, or no number. */
function wantedUnit(text: string): string | undefined {
  return WANTED.exec(text)?.[4]?.replace(/^ohm$/i, 'Ω');
}

/** The typed number in the figure's own unit; undefined if it is not a number, or in another unit. */
function wantedValue(text: string, unit: FigureUnit): number | undefined {
  const match = WANTED.exec(text);
  const typedUnit = wantedUnit(text);
  if (!match || (typedUnit !== undefined && typedUnit.toLowerCase() !== unit.toLowerCase())) return undefined;
  const [, sign, digits = '', prefix = ''] = match;
  return (sign ? -1 : 1) * Number(digits.replace(',', '.')) * (SCALES[prefix] ?? 1);
}
