import { buildParts } from '../engine/builds/build.ts';
import { netsOf } from '../engine/builds/network-of-build.ts';
import { circuitNets } from '../engine/circuits/circuit-nets.ts';
import { fittedCircuit } from '../engine/circuits/fitted-circuit.ts';
import { fieldOf, leaveField } from './left-field.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { partStep } from './state/chosen-parts.ts';

/** Keys of the bench, for the list of keys. */
export const KEYS: readonly (readonly [keys: string, does: string])[] = [
  ['Space', 'switch between A and B; while a riff is recorded, begin and end it'],
  ['Enter', 'accept what was typed and leave the field'],
  ['E', 'effect on or bypassed'],
  ['↑ ↓', 'value or type of the chosen part and of those that change with it, in the build that plays'],
  ['← →', 'choose the previous or next part'],
  ['P', 'put the probe on the next net of the chosen part'],
  ['Esc', 'probe back to the output'],
  ['Ctrl Z, Ctrl Y', 'undo, redo'],
  ['+ − 0', 'schematic larger, smaller, fitted to the width'],
  ['V', 'DC volts on the schematic'],
  ['?', 'this list'],
];

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
  /** The space bar and a foot switch do the same. */
  readonly pressFootSwitch: () => void;
  readonly showKeys: () => void;
  /** A blind test has keys of its own. @returns Whether the key is one of them. */
  readonly pressBlind: (key: string) => boolean;
  /** Whether a blind test runs: then no other key does anything. */
  readonly isBlind: () => boolean;
}

/** The bench's keys, with any focus except in a control that needs them itself. */
export class BenchKeys {
  readonly #targets: KeyTargets;

  constructor(targets: KeyTargets) {
    this.#targets = targets;
  }

  connect(): void {
    window.addEventListener('keydown', this.#onKey);
    window.addEventListener('keyup', this.#onKeyUp);
  }

  disconnect(): void {
    window.removeEventListener('keydown', this.#onKey);
    window.removeEventListener('keyup', this.#onKeyUp);
  }

  #onKey = (event: KeyboardEvent): void => {
    if (event.defaultPrevented) return;
    if (event.key === 'Enter') this.#leaveField(event);
    if (passesThrough(event, OWN_KEYS)) return;
    // A foot switch that acts as a keyboard repeats while it is held down.
    if (event.key === ' ' && event.repeat) {
      event.preventDefault();
      return;
    }
    const isPlain = !event.ctrlKey && !event.metaKey && !event.altKey;
    if (isPlain && this.#targets.pressBlind(event.key)) {
      event.preventDefault();
      return;
    }
    if (this.#targets.isBlind()) return;
    const isHandled =
      event.ctrlKey || event.metaKey ? this.#undoKey(event) : !event.altKey && this.#plainKey(event);
    if (isHandled) event.preventDefault();
  };

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

  /** Some browsers press a focused button when the space bar is let go, even if the press was handled. */
  #onKeyUp = (event: KeyboardEvent): void => {
    if (event.key === ' ' && !passesThrough(event, OWN_KEYS)) event.preventDefault();
  };

  #undoKey(event: KeyboardEvent): boolean {
    const key = event.key.toLowerCase();
    if (key !== 'z' && key !== 'y') return false;
    this.#targets.store.act({ type: key === 'y' || event.shiftKey ? 'redo' : 'undo' });
    return true;
  }

  #plainKey(event: KeyboardEvent): boolean {
    const { store } = this.#targets;
    if (event.key === ' ') {
      this.#targets.pressFootSwitch();
      return true;
    }
    if (event.key === 'Escape' && store.state.probe !== undefined) {
      store.act({ type: 'probe', net: undefined });
      return true;
    }
    if (passesThrough(event, OWN_ARROWS)) return false;
    if (event.key === '?') {
      this.#targets.showKeys();
      return true;
    }
    return store.state.view === 'bench' && this.#benchKey(event);
  }

  #benchKey({ key, repeat }: KeyboardEvent): boolean {
    const { store } = this.#targets;
    // With Shift or Caps Lock letters come as capitals.
    switch (key.length === 1 ? key.toLowerCase() : key) {
      case 'e':
        // Held down, it would switch the effect back and forth.
        if (!repeat) store.act({ type: 'bypass', isBypassed: !store.wanted.isBypassed });
        return true;
      case 'p':
        store.act({ type: 'probe', net: nextNet(store.state) });
        return true;
      case 'ArrowUp':
        return this.#step(1);
      case 'ArrowDown':
        return this.#step(-1);
      case 'ArrowRight':
        return this.#walk(1);
      case 'ArrowLeft':
        return this.#walk(-1);
      default:
        return false;
    }
  }

  #step(steps: number): boolean {
    const { store } = this.#targets;
    // A held key continues from the last step, even if that is not audible yet.
    const change = partStep(store.wanted, steps);
    if (change) store.act(change);
    return true;
  }

  #walk(steps: number): boolean {
    const { store } = this.#targets;
    const { heard, builds, selected } = store.state;
    const refs = buildParts(fittedCircuit(builds[heard])).map(({ ref }) => ref);
    const next = refs[(refs.indexOf(selected) + steps + refs.length) % refs.length];
    if (next !== undefined) store.act({ type: 'select', ref: next });
    return next !== undefined;
  }
}

/** The net of the chosen part's next pin after the probed one; after the last the output again. */
function nextNet({ builds, heard, selected, probe }: BenchState): string | undefined {
  const build = builds[heard];
  const circuit = fittedCircuit(build);
  const isOfPart = (pin: string) => {
    const ref = pin.slice(0, pin.indexOf('.'));
    const spec = circuit.stages.map(({ parts }) => parts[ref]).find((each) => each !== undefined);
    return ref === selected || (spec?.kind === 'opamp' && spec.package === selected);
  };
  const netOf = netsOf(build);
  const pins = [...circuitNets(circuit).netOf.keys()].filter((pin) => pin.includes('.') && isOfPart(pin));
  const nets = [...new Set(pins.map(netOf))];
  return nets[probe === undefined ? 0 : nets.indexOf(probe) + 1];
}

function passesThrough(event: Event, selector: string): boolean {
  return event.composedPath().some((target) => target instanceof Element && target.matches(selector));
}
