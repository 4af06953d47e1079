import type { BenchStore } from '../state/bench-store.ts';
import { type Thrown, thrown } from '../thrown.ts';
import {
  isPress,
  loadBindings,
  type MidiBindings,
  type MidiMove,
  type MidiTarget,
  readMidi,
  sameControl,
  saveBindings,
  withBinding,
} from './midi-bindings.ts';

/** What the screen shows of MIDI. */
export interface MidiState {
  readonly isOpen: boolean;
  readonly devices: readonly string[];
  readonly bindings: MidiBindings;
  /** Target of the next control that is moved. */
  readonly learning: MidiTarget | undefined;
  readonly problem: string | undefined;
}

const NO_MIDI =
  'This browser has no MIDI. A foot switch that a computer takes for a keyboard works here if it sends the space bar.';

/** Why MIDI did not open although the browser has it, and what to do. */
function refusalOf({ name, message }: Thrown): string {
  return name === 'NotAllowedError' || name === 'SecurityError'
    ? 'MIDI was not allowed. Allow it in the browser’s settings for this page, then press Learn again.'
    : `MIDI did not start (${message}). Connect the device, then press Learn again.`;
}

/**
 * MIDI foot switches and controllers. The browser is asked for them when something is to be learned, or at once where
 * something was learned on an earlier visit and the permission still stands. Emits 'change'.
 */
export class MidiDesk extends EventTarget {
  readonly #store: BenchStore;
  readonly #pressFootSwitch: () => void;
  #access: MIDIAccess | undefined;
  #state: MidiState = {
    isOpen: false,
    devices: [],
    bindings: loadBindings(),
    learning: undefined,
    problem: undefined,
  };
  /** Whether the switch is held down, so that a pedal with intermediate values presses once. */
  #isHeld = false;

  constructor(store: BenchStore, pressFootSwitch: () => void) {
    super();
    this.#store = store;
    this.#pressFootSwitch = pressFootSwitch;
  }

  get state(): MidiState {
    return this.#state;
  }

  /** Listens again to what was learned on an earlier visit. */
  async resume(): Promise<void> {
    if (Object.keys(this.#state.bindings).length > 0) await this.#open();
  }

  async learn(target: MidiTarget): Promise<void> {
    this.#change({ learning: target, problem: undefined });
    await this.#open();
    if (!this.#access) this.#change({ learning: undefined });
  }

  stopLearning(): void {
    this.#change({ learning: undefined });
  }

  forget(target: MidiTarget): void {
    const { [target]: _, ...bindings } = this.#state.bindings;
    saveBindings(bindings);
    this.#change({ bindings });
  }

  async #open(): Promise<void> {
    if (this.#access) return;
    if (!navigator.requestMIDIAccess) {
      this.#change({ problem: NO_MIDI });
      return;
    }
    try {
      this.#access = await navigator.requestMIDIAccess();
    } catch (error) {
      this.#change({ problem: refusalOf(thrown(error)) });
      return;
    }
    this.#access.addEventListener('statechange', () => this.#listen());
    this.#listen();
  }

  #listen(): void {
    const inputs = [...(this.#access?.inputs.values() ?? [])].filter(({ state }) => state === 'connected');
    for (const input of inputs) input.onmidimessage = ({ data }) => data && this.#take(data);
    this.#change({ isOpen: true, devices: inputs.map(({ name }) => name ?? 'unnamed device') });
  }

  #take(data: Uint8Array): void {
    const move = readMidi(data);
    if (!move) return;
    const { learning, bindings } = this.#state;
    if (learning !== undefined) {
      this.#learnFrom(learning, move);
      return;
    }
    for (const [target, control] of Object.entries(bindings)) {
      if (sameControl(control, move.control)) this.#carryOut(target as MidiTarget, move);
    }
  }

  /** A knob needs a controller; releasing a key does not count. */
  #learnFrom(target: MidiTarget, move: MidiMove): void {
    if (target !== 'toggle' && move.control.kind !== 'controller') return;
    if (target === 'toggle' && !isPress(move)) return;
    const bindings = withBinding(this.#state.bindings, target, move.control);
    saveBindings(bindings);
    this.#isHeld = true;
    this.#change({ bindings, learning: undefined });
  }

  #carryOut(target: MidiTarget, move: MidiMove): void {
    if (target === 'toggle') {
      const isDown = isPress(move);
      const isPressed = isDown && (!this.#isHeld || move.control.kind === 'program');
      this.#isHeld = isDown;
      if (isPressed) this.#pressFootSwitch();
      return;
    }
    const { heard: slot, builds, ear } = this.#store.state;
    // Nothing is changed while a blind test runs.
    if (ear.blindTest) return;
    const name = target.slice('knob '.length);
    if (!builds[slot].circuit.knobs.some((knob) => knob.name === name)) return;
    this.#store.act({ type: 'turnKnob', slot, name, rotation: Math.round(move.amount * 100) / 100 });
  }

  #change(changed: Partial<MidiState>): void {
    this.#state = { ...this.#state, ...changed };
    this.dispatchEvent(new Event('change'));
  }
}
