/** A key or controller of a MIDI device: status nibble 9 for a note, 11 for a controller, with channel and number. */
export interface MidiControl {
  readonly kind: 'note' | 'controller' | 'program';
  /** 1 to 16. */
  readonly channel: number;
  /** Note, controller or programme number, 0 to 127. */
  readonly number: number;
}

/** A message with a meaning here: the control and its value, 0 to 1. */
export interface MidiMove {
  readonly control: MidiControl;
  readonly amount: number;
}

const NOTE_OFF = 0x8;
const NOTE_ON = 0x9;
const CONTROL_CHANGE = 0xb;
const PROGRAM_CHANGE = 0xc;
/** A pedal that sends controller values counts as pressed from here up. @see MIDI 1.0 Detailed Specification, switches: 64 and above is on */
const PRESSED = 64 / 127;

/**
 * Reads a channel message. Undefined for anything but a note, a controller or a programme change.
 *
 * @see MIDI 1.0 Detailed Specification, channel voice messages
 */
export function readMidi(data: Uint8Array): MidiMove | undefined {
  const [status = 0, number = 0, value = 0] = data;
  const channel = (status & 0xf) + 1;
  switch (status >> 4) {
    case NOTE_OFF:
      return { control: { kind: 'note', channel, number }, amount: 0 };
    case NOTE_ON:
      return { control: { kind: 'note', channel, number }, amount: value / 127 };
    case CONTROL_CHANGE:
      // 120 and above are channel mode messages, not controllers
      return number < 120
        ? { control: { kind: 'controller', channel, number }, amount: value / 127 }
        : undefined;
    case PROGRAM_CHANGE:
      return { control: { kind: 'program', channel, number }, amount: 1 };
    default:
      return undefined;
  }
}

export function sameControl(a: MidiControl | undefined, b: MidiControl): boolean {
  return a?.kind === b.kind && a.channel === b.channel && a.number === b.number;
}

/** Whether a message presses a switch: any note on, any programme change, a controller from the middle up. */
export function isPress({ control, amount }: MidiMove): boolean {
  return control.kind === 'controller' ? amount >= PRESSED : amount > 0;
}

/** A control in words. */
export function controlText({ kind, channel, number }: MidiControl): string {
  return `MIDI ${kind === 'program' ? 'programme' : kind} ${number}, channel ${channel}`;
}
