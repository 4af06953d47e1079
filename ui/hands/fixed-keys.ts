import { HAND_ACTIONS, type HandActionId } from './hand-actions.ts';

/** Keys with a meaning of their own, for the list of keys. */
export interface FixedKeys {
  readonly text: string;
  readonly does: string;
  /** Those that may be learned for something else, which goes before then. */
  readonly free: readonly string[];
  /** They mean something only in a blind test. */
  readonly isBlind?: true;
}

export const FIXED_KEYS: readonly FixedKeys[] = [
  { text: 'Enter', does: 'accept what was typed and leave the field', free: [] },
  { text: 'Esc', does: 'probe back to the output', free: [] },
  { text: 'Ctrl Z, Ctrl Y', does: 'undo, redo', free: [] },
  { text: '+ − 0', does: 'schematic larger, smaller, fitted to the width', free: ['+', '=', '-', '0'] },
  { text: 'V', does: 'DC volts on the schematic', free: ['v'] },
  { text: 'G', does: 'plot as large as the window, and back', free: ['g'] },
  {
    text: 'A B X 1 2',
    does: 'in a blind test: play that button',
    free: ['a', 'b', 'x', '1', '2'],
    isBlind: true,
  },
];

/** The fixed meaning that a key loses to an action, where both could be meant. */
export function fixedHolder(id: HandActionId, key: string): FixedKeys | undefined {
  const { when } = HAND_ACTIONS[id];
  return FIXED_KEYS.find(({ free, isBlind }) => free.includes(key) && when !== (isBlind ? 'bench' : 'blind'));
}
