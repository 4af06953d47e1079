import { readJson } from '../../engine/input/json.ts';
import { type MidiControl, sameControl } from '../midi/midi-messages.ts';
import { keptTexts } from '../storage/kept-texts.ts';
import { canMeet, HAND_ACTION_IDS, HAND_ACTIONS, type HandActionId, isHandActionId } from './hand-actions.ts';
import { whyNotKey } from './keys.ts';
import type { SwitchKind } from './switch-learner.ts';

/** What a MIDI knob turns: a control, the value or type of a part, the taper of a potentiometer. */
export type DialTarget = `${'knob' | 'part' | 'taper'} ${string}`;
export type HandTarget = HandActionId | DialTarget;

export interface KeyBinding {
  readonly key: string;
  readonly press: SwitchKind;
}

export interface MidiBinding extends MidiControl {
  /** Absent for a knob, and for a switch that was learned before kinds were known. */
  readonly press?: SwitchKind;
}

/** What keys and MIDI controls do: one key and one control for an action. Immutable. */
export interface HandBindings {
  readonly keys: Readonly<Partial<Record<HandActionId, KeyBinding>>>;
  readonly midi: Readonly<Partial<Record<HandTarget, MidiBinding>>>;
}

type Keys = HandBindings['keys'];

export const STANDARD_KEYS: Keys = Object.fromEntries(
  HAND_ACTION_IDS.flatMap((id) => {
    const { key } = HAND_ACTIONS[id];
    return key === undefined ? [] : [[id, { key, press: 'momentary' }] as const];
  }),
);

export function isDial(target: HandTarget): target is DialTarget {
  return /^(knob|part|taper) /.test(target);
}

/** The action that has a key already and could be meant instead. */
export function keyHolder({ keys }: HandBindings, id: HandActionId, key: string): HandActionId | undefined {
  return HAND_ACTION_IDS.find((other) => other !== id && keys[other]?.key === key && canMeet(id, other));
}

/** The target that has a MIDI control already and could be meant instead. */
export function midiHolder(
  { midi }: HandBindings,
  target: HandTarget,
  control: MidiControl,
): HandTarget | undefined {
  return (Object.keys(midi) as HandTarget[]).find(
    (other) =>
      other !== target &&
      sameControl(midi[other], control) &&
      (isDial(other) || isDial(target) || canMeet(other, target)),
  );
}

/** With a key for an action; who had it loses it. */
export function withKey(bindings: HandBindings, id: HandActionId, binding: KeyBinding): HandBindings {
  const holder = keyHolder(bindings, id, binding.key);
  const { keys } = holder === undefined ? bindings : withoutKey(bindings, holder);
  return { ...bindings, keys: { ...keys, [id]: binding } };
}

/** With a MIDI control for a target; who had it loses it. */
export function withMidi(bindings: HandBindings, target: HandTarget, binding: MidiBinding): HandBindings {
  const holder = midiHolder(bindings, target, binding);
  const { midi } = holder === undefined ? bindings : withoutMidi(bindings, holder);
  return { ...bindings, midi: { ...midi, [target]: binding } };
}

export function withoutKey(bindings: HandBindings, id: HandActionId): HandBindings {
  const { [id]: _, ...keys } = bindings.keys;
  return { ...bindings, keys };
}

export function withoutMidi(bindings: HandBindings, target: HandTarget): HandBindings {
  const { [target]: _, ...midi } = bindings.midi;
  return { ...bindings, midi };
}

const KEYS_NAME = 'keys';
const MIDI_NAME = 'midi';

export function loadBindings(): HandBindings {
  return {
    keys: readKeys(readJson(keptTexts.read(KEYS_NAME) ?? '')),
    midi: readMidiBindings(readJson(keptTexts.read(MIDI_NAME) ?? '')),
  };
}

/** Of the keys only what differs from the standard, so that an action of a later version gets its key. */
export function saveBindings({ keys, midi }: HandBindings): void {
  const own = HAND_ACTION_IDS.filter((id) => !isSameKey(keys[id], STANDARD_KEYS[id]));
  const kept = Object.fromEntries(own.map((id) => [id, keys[id] ?? null]));
  keptTexts.keep(KEYS_NAME, own.length === 0 ? undefined : JSON.stringify(kept));
  keptTexts.keep(MIDI_NAME, JSON.stringify(midi));
}

function isSameKey(a: KeyBinding | undefined, b: KeyBinding | undefined): boolean {
  return a?.key === b?.key && a?.press === b?.press;
}

/** A learned key goes before a standard one that it meets. */
function readKeys(saved: unknown): Keys {
  const own = Object.entries(saved ?? {}).filter(([id]) => isHandActionId(id)) as [HandActionId, unknown][];
  const free = own.reduce<HandBindings>((bindings, [id]) => withoutKey(bindings, id), {
    keys: STANDARD_KEYS,
    midi: {},
  });
  return own.reduce((bindings, [id, binding]) => {
    return isKeyBinding(binding) ? withKey(bindings, id, binding) : bindings;
  }, free).keys;
}

/** The switch of A and B had a name of its own before there were other actions. Whether it latches was not learned then. */
const EARLIER_NAMES: Readonly<Record<string, HandActionId>> = { toggle: 'switch' };

function readMidiBindings(saved: unknown): HandBindings['midi'] {
  const entries = Object.entries(saved ?? {}).map(([name, binding]) => [
    EARLIER_NAMES[name] ?? name,
    binding,
  ]);
  return Object.fromEntries(
    entries.filter(([name, binding]) => (isHandActionId(name) || isDial(name)) && isMidiBinding(binding)),
  );
}

function isSwitchKind(value: unknown): value is SwitchKind {
  return value === 'momentary' || value === 'pulse' || value === 'latching';
}

function isKeyBinding(value: unknown): value is KeyBinding {
  const { key, press } = (value ?? {}) as Partial<KeyBinding>;
  return typeof key === 'string' && whyNotKey(key) === undefined && isSwitchKind(press);
}

function isMidiBinding(value: unknown): value is MidiBinding {
  const { kind, channel, number, press } = (value ?? {}) as Partial<MidiBinding>;
  return (
    (kind === 'note' || kind === 'controller' || kind === 'program') &&
    Number.isInteger(channel) &&
    Number.isInteger(number) &&
    (press === undefined || isSwitchKind(press))
  );
}
