import { type Thrown, thrown } from '../thrown.ts';
import { type MidiMove, readMidi } from './midi-messages.ts';

/** What the screen shows of MIDI. */
export interface MidiState {
  readonly isOpen: boolean;
  readonly devices: readonly string[];
  readonly problem: string | undefined;
}

const NO_MIDI =
  'This browser has no MIDI. A foot switch that a computer takes for a keyboard works here: learn it as a key.';

/** Why MIDI did not open although the browser has it, and what to do. */
function refusalOf({ name, message }: Thrown): string {
  return name === 'NotAllowedError' || name === 'SecurityError'
    ? 'MIDI was not allowed. Allow it in the browser’s settings for this page, then press Use MIDI again.'
    : `MIDI did not start (${message}). Connect the device, then press Use MIDI again.`;
}

/**
 * The MIDI devices. The browser is asked for them when a person wants it; without a question where something was learned
 * on an earlier visit and the permission still stands. Emits 'change'.
 */
export class MidiDesk extends EventTarget {
  readonly #take: (move: MidiMove, atMs: number) => void;
  #access: MIDIAccess | undefined;
  #state: MidiState = { isOpen: false, devices: [], problem: undefined };

  constructor(take: (move: MidiMove, atMs: number) => void) {
    super();
    this.#take = take;
  }

  get state(): MidiState {
    return this.#state;
  }

  /** Opens MIDI if the browser has nothing to ask. Where it does not tell, a person opens MIDI. */
  async resume(): Promise<void> {
    const permission = await navigator.permissions?.query({ name: 'midi' }).catch(() => undefined);
    if (permission?.state === 'granted') await this.open();
  }

  async open(): Promise<void> {
    if (this.#access) return;
    this.#change({ problem: undefined });
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
    for (const input of inputs) input.onmidimessage = ({ data, timeStamp }) => this.#read(data, timeStamp);
    this.#change({ isOpen: true, devices: inputs.map(({ name }) => name ?? 'unnamed device') });
  }

  #read(data: Uint8Array | null, atMs: number): void {
    const move = data ? readMidi(data) : undefined;
    if (move) this.#take(move, atMs);
  }

  #change(changed: Partial<MidiState>): void {
    this.#state = { ...this.#state, ...changed };
    this.dispatchEvent(new Event('change'));
  }
}
