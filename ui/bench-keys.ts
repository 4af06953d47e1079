import { HAND_ACTIONS, type HandActionId } from './hands/hand-actions.ts';
import type { HandDesk } from './hands/hand-desk.ts';
import { keyOf, placeOf } from './hands/keys.ts';
import { fieldOf, leaveField } from './left-field.ts';
import type { Action } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';

/**
 * Controls that need the space bar or Ctrl+Z themselves. A box or menu that was reached by the mouse does not: the
 * next press of the space bar is meant for A and B.
 */
const OWN_KEYS =
  'input[type="text"], input[type="number"], input[type="checkbox"]:focus-visible, select:focus-visible, textarea, dialog';
/** Controls that have a use for arrows or letters of their own. */
const OWN_ARROWS =
  'input, select, textarea, dialog, [role="slider"], [role="grid"], [role="tab"], [contenteditable]';

export interface KeyTargets {
  readonly store: BenchStore;
  /** Does only what may happen now. */
  readonly act: (action: Action) => void;
  readonly hands: HandDesk;
  /** A blind test has keys of its own. @returns Whether the key is one of them. */
  readonly pressBlind: (key: string) => boolean;
  /** Whether a blind test runs: then no other key does anything. */
  readonly isBlind: () => boolean;
}

/** The bench's keys, with any focus except in a control that needs them itself. */
export class BenchKeys {
  readonly #targets: KeyTargets;
  /** The actions of the keys that are down, by place, until they go up. */
  readonly #down = new Map<string, HandActionId>();
  /** Keys that were pressed to be learned, by place, until they go up. */
  readonly #taken = new Map<string, string>();

  constructor(targets: KeyTargets) {
    this.#targets = targets;
  }

  connect(): void {
    window.addEventListener('keydown', this.#onKey);
    window.addEventListener('keyup', this.#onKeyUp);
    window.addEventListener('blur', this.#onBlur);
  }

  disconnect(): void {
    window.removeEventListener('keydown', this.#onKey);
    window.removeEventListener('keyup', this.#onKeyUp);
    window.removeEventListener('blur', this.#onBlur);
  }

  #onKey = (event: KeyboardEvent): void => {
    if (event.defaultPrevented) return;
    if (this.#learn(event, true)) return;
    if (event.key === 'Enter') this.#leaveField(event);
    if (passesThrough(event, OWN_KEYS)) return;
    const isHandled =
      this.#handKey(event) || this.#blindKey(event) || (!this.#targets.isBlind() && this.#fixedKey(event));
    if (isHandled) event.preventDefault();
  };

  /** Some browsers press a focused button when the space bar is let go, even if the press was handled. */
  #onKeyUp = (event: KeyboardEvent): void => {
    if (this.#learn(event, false)) return;
    if (event.key === ' ' && !passesThrough(event, OWN_KEYS)) event.preventDefault();
    // Whatever is held besides: a key that has gone up must not stay down here.
    const id = this.#down.get(placeOf(event));
    if (id === undefined) return;
    this.#down.delete(placeOf(event));
    this.#targets.hands.pressKey(id, false, false, event.timeStamp);
  };

  #onBlur = (): void => {
    this.#down.clear();
    this.#taken.clear();
    this.#targets.hands.releaseAll();
  };

  /**
   * What is pressed to be learned does nothing else until it goes up, also if it was known before that.
   *
   * @returns Whether the key is being learned.
   */
  #learn(event: KeyboardEvent, isDown: boolean): boolean {
    const place = placeOf(event);
    const taken = this.#taken.get(place);
    const key = isDown ? keyOf(event) : taken;
    if (key === undefined) return false;
    const isLearned = !event.repeat && this.#targets.hands.learnKey(key, isDown, event.timeStamp);
    const isTaken = isLearned || taken !== undefined;
    if (isTaken) event.preventDefault();
    if (!isDown) this.#taken.delete(place);
    else if (isTaken) this.#taken.set(place, key);
    return isTaken;
  }

  #handKey(event: KeyboardEvent): boolean {
    const { hands } = this.#targets;
    const key = keyOf(event);
    const id = key === undefined ? undefined : hands.actionOf(key);
    if (key === undefined || id === undefined || this.#isTheirs(event, id)) return false;
    if (!event.repeat) this.#down.set(placeOf(event), id);
    hands.pressKey(id, true, event.repeat, event.timeStamp);
    return true;
  }

  /** Whether a standard key is left to what has the focus, or to the page. A key that was learned is not. */
  #isTheirs(event: KeyboardEvent, id: HandActionId): boolean {
    const { hands, store } = this.#targets;
    if (event.key === ' ' || !hands.isStandard(id)) return false;
    const isOfPage = HAND_ACTIONS[id].yields === true && store.state.view !== 'bench';
    return isOfPage || passesThrough(event, OWN_ARROWS);
  }

  #blindKey(event: KeyboardEvent): boolean {
    const key = keyOf(event);
    return key !== undefined && !event.repeat && this.#targets.pressBlind(key);
  }

  /** The Enter that ends an input-method composition, as in Japanese, is not for the field. */
  #leaveField(event: KeyboardEvent): void {
    const field = event.isComposing ? undefined : fieldOf(event);
    if (!field) return;
    event.preventDefault();
    const { store } = this.#targets;
    const { refusal } = store.state;
    leaveField(event, field, async () => {
      await store.settled();
      return store.state.refusal !== undefined && store.state.refusal !== refusal;
    });
  }

  #fixedKey(event: KeyboardEvent): boolean {
    const { store } = this.#targets;
    if (event.ctrlKey || event.metaKey) return this.#undoKey(event);
    if (event.altKey || event.key !== 'Escape' || store.state.probe === undefined) return false;
    this.#targets.act({ type: 'probe', net: undefined });
    return true;
  }

  #undoKey(event: KeyboardEvent): boolean {
    const key = event.key.toLowerCase();
    if (key !== 'z' && key !== 'y') return false;
    this.#targets.act({ type: key === 'y' || event.shiftKey ? 'redo' : 'undo' });
    return true;
  }
}

function passesThrough(event: Event, selector: string): boolean {
  return event.composedPath().some((target) => target instanceof Element && target.matches(selector));
}
