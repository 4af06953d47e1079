import { LitElement } from 'lit';
import type { Slot } from '../../worklets/bench-messages.ts';
import { drawings } from '../drawing-queue.ts';
import type { Action } from '../state/bench-state.ts';

/** Name of the one event that components emit: an action for the bench. */
export const ACTION_EVENT = 'bench-action';

declare global {
  interface HTMLElementEventMap {
    [ACTION_EVENT]: CustomEvent<Action>;
  }
}

/** What every component of the bench shares: data comes by property, actions leave as events. */
export class BenchElement extends LitElement {
  /** After the first time it waits for its turn, so that no task of the page is long. */
  protected override async scheduleUpdate(): Promise<void> {
    if (this.hasUpdated) await drawings.add(() => super.scheduleUpdate());
    else super.scheduleUpdate();
  }

  /** Resolves when the components in it are drawn too. */
  protected override async getUpdateComplete(): Promise<boolean> {
    const isComplete = await super.getUpdateComplete();
    await drawings.empty();
    return isComplete;
  }

  protected act(action: Action): void {
    this.dispatchEvent(new CustomEvent(ACTION_EVENT, { detail: action, bubbles: true, composed: true }));
  }
}

/** Name of a slot on the screen. */
export const LETTER: Readonly<Record<Slot, string>> = { a: 'A', b: 'B' };

/** The value of the control that an event came from. */
export function controlValue(event: Event): string {
  return (event.target as HTMLInputElement | HTMLSelectElement).value;
}
