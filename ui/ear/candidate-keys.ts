import type { HandActionId } from '../hands/hand-actions.ts';
import type { HandBindings } from '../hands/hand-bindings.ts';
import { keyText } from '../hands/keys.ts';

const WORDS: readonly (readonly [id: HandActionId, does: string])[] = [
  ['better', 'better than A'],
  ['same', 'same as A'],
  ['worse', 'worse than A'],
  ['previous', 'previous'],
  ['next', 'next'],
  ['foot', 'A or B'],
];
/** Marks that are hard to see as a key. */
const MARKS: Readonly<Record<string, string>> = { ',': 'Comma', '.': 'Full stop' };

/** The keys for candidates as they are bound now: "1: better than A; 2: same as A", or nothing where none is. */
export function candidateKeysText({ keys }: Pick<HandBindings, 'keys'>): string {
  const bound = WORDS.flatMap(([id, does]) => {
    const key = keys[id]?.key;
    return key === undefined ? [] : [`${MARKS[key] ?? keyText(key)}: ${does}`];
  });
  return bound.length === 0 ? '' : `Keys: ${bound.join('; ')}. After a verdict the next one plays.`;
}
