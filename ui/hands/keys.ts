/** A key by one name, whatever Shift and Caps Lock do to letters; undefined for a key that cannot mean anything here. */
export function keyOf({ key, ctrlKey, metaKey, altKey }: KeyboardEvent): string | undefined {
  if (ctrlKey || metaKey || altKey || NO_KEYS.has(key)) return undefined;
  return key.length === 1 ? key.toLowerCase() : key;
}

/** The place of a key on the keyboard, which Shift and the like do not change between press and release. */
export function placeOf({ code, key }: KeyboardEvent): string {
  return code === '' ? key.toLowerCase() : code;
}

/** Keys that act with others, or that a browser does not name. */
const NO_KEYS: ReadonlySet<string> = new Set([
  'Shift',
  'Control',
  'Alt',
  'AltGraph',
  'Meta',
  'CapsLock',
  'Dead',
  'Process',
  'Unidentified',
]);

/** Keys that fields, buttons and dialogs need, and what for. */
const TAKEN: Readonly<Record<string, string>> = {
  Enter: 'Enter is for fields and buttons.',
  Tab: 'Tab moves the focus.',
  Escape: 'Esc closes dialogs.',
};

/** Why a key cannot be learned; undefined if it can. */
export function whyNotKey(key: string): string | undefined {
  const why = TAKEN[key];
  return why === undefined ? undefined : `${why} Use another key.`;
}

const NAMES: Readonly<Record<string, string>> = {
  ' ': 'Space',
  ArrowUp: '↑',
  ArrowDown: '↓',
  ArrowLeft: '←',
  ArrowRight: '→',
  PageUp: 'Page Up',
  PageDown: 'Page Down',
};

/** A key as it is printed on keyboards. */
export function keyText(key: string): string {
  return NAMES[key] ?? (key.length === 1 ? key.toUpperCase() : key);
}
