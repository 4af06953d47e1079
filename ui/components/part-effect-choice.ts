import { css } from 'lit';
import { property } from 'lit/decorators.js';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import type { Surroundings } from '../../engine/builds/surroundings.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { dataText } from '../data-text.ts';
import { LaterValues } from '../later-values.ts';
import { BenchElement } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** A smaller change of the response is not heard, dB. */
export const AUDIBLE_DB = 0.1;

/** A choice on the card of a part, with what it changes in its place. */
export abstract class PartEffectChoice<Effect> extends BenchElement {
  /** Reference designator of the part. */
  @property() place = '';
  @property({ attribute: false }) build!: Build;
  /** Of the bench, K. */
  @property({ type: Number }) temperatureK!: number;
  @property({ attribute: false, hasChanged: isOther }) around!: Surroundings;
  @property() slotName: Slot = 'a';
  readonly #effects = new LaterValues<Effect | undefined>(this);

  static override styles = [
    sharedStyles,
    css`
      :host {
        display: grid;
        gap: var(--gap-1);
        font-size: var(--size-small);
      }
      label {
        display: grid;
        grid-template-columns: auto minmax(0, 1fr);
        gap: var(--gap-2);
        align-items: center;
      }
    `,
  ];

  /** What the effect is that of; undefined where none is shown. */
  protected abstract effectKey(): string | undefined;
  /** @throws Refusal where the build has no solution, which is said where it was swapped. */
  protected abstract computeEffect(): Effect | undefined;

  protected override willUpdate(changed: Map<PropertyKey, unknown>): void {
    const decides = ['place', 'build', 'temperatureK', 'around'];
    if (!decides.some((name) => changed.has(name))) return;
    const key = this.effectKey();
    this.#effects.want(key === undefined ? [] : [[key, () => this.#solved()]]);
  }

  /** Undefined until it is known. */
  protected effect(): Effect | undefined {
    return this.#effects.get(this.effectKey() ?? '');
  }

  protected setting(): PartSetting {
    return this.build.parts[this.place] ?? {};
  }

  #solved(): Effect | undefined {
    try {
      return this.computeEffect();
    } catch (error) {
      if (error instanceof Refusal) return undefined;
      throw error;
    }
  }
}

/** The same surroundings are another object after each change of the bench. */
function isOther(one: unknown, before: unknown): boolean {
  return dataText(one) !== dataText(before);
}
