/** Whether data are stored for the next visit. */
export type Keeping =
  | 'kept'
  /** Cookies or site data are blocked, or the browser has no storage. */
  | 'forbidden'
  | 'full'
  /** Another tab has the bench open, and this one would overwrite its data. */
  | 'elsewhere';

/** All names that are the bench's own. */
const PREFIX = 'cliplead-';

/**
 * Texts stored for the next visit: the one place that uses localStorage, which may be missing, forbidden or
 * full. A text that cannot be stored now is stored as soon as possible. Emits 'change' when `keeping` changes.
 */
export class KeptTexts extends EventTarget {
  /** Texts not stored yet; undefined for a text to remove. */
  readonly #wanted = new Map<string, string | undefined>();
  #claim: 'mine' | 'asking' | 'elsewhere' = 'mine';
  #trouble: 'kept' | 'forbidden' | 'full' = 'kept';

  get keeping(): Keeping {
    return this.#claim === 'elsewhere' ? 'elsewhere' : this.#trouble;
  }

  /** The stored text of a name; undefined if there is none. @param name Without the prefix. */
  read(name: string): string | undefined {
    const key = PREFIX + name;
    if (this.#wanted.has(key)) return this.#wanted.get(key);
    try {
      return localStorage.getItem(key) ?? undefined;
    } catch {
      return undefined;
    }
  }

  /** Stores a text; undefined removes it. */
  keep(name: string, text: string | undefined): void {
    this.#wanted.set(PREFIX + name, text);
    this.#write();
  }

  /** Sets whether this tab may write; waiting texts are written as soon as it may. */
  claimed(claim: 'mine' | 'asking' | 'elsewhere'): void {
    this.#change(() => {
      this.#claim = claim;
    });
    this.#write();
  }

  /** Tests whether anything can be stored at all. */
  check(): void {
    this.#change(() => {
      this.#trouble = this.#attempt(() => localStorage.getItem(PREFIX)) ?? this.#trouble;
    });
  }

  #write(): void {
    if (this.#claim !== 'mine') return;
    this.#change(() => {
      this.#trouble =
        this.#attempt(() => {
          for (const [key, text] of this.#wanted) {
            writeText(key, text);
            this.#wanted.delete(key);
          }
        }) ?? 'kept';
    });
  }

  /** @returns What went wrong. */
  #attempt(task: () => void): 'forbidden' | 'full' | undefined {
    try {
      task();
      return undefined;
    } catch (error) {
      return isFull(error) ? 'full' : 'forbidden';
    }
  }

  #change(change: () => void): void {
    const before = this.keeping;
    change();
    if (this.keeping !== before) this.dispatchEvent(new Event('change'));
  }
}

export const keptTexts = new KeptTexts();

/** All stored texts of the bench by full name; none if storage cannot be read. */
export function allKeptTexts(): ReadonlyMap<string, string> {
  const found = new Map<string, string>();
  try {
    for (const key of Object.keys(localStorage)) {
      const text = key.startsWith(PREFIX) ? localStorage.getItem(key) : null;
      if (text !== null) found.set(key, text);
    }
  } catch {
    // Without readable texts there is nothing to lose.
  }
  return found;
}

/** Forgets everything of the bench. */
export function forgetTexts(): void {
  for (const key of allKeptTexts().keys()) localStorage.removeItem(key);
}

/** A note for the next page of this tab only, as after a reload: undefined takes it back. */
export function leaveNote(name: string, text: string | undefined): void {
  try {
    if (text === undefined) sessionStorage.removeItem(PREFIX + name);
    else sessionStorage.setItem(PREFIX + name, text);
  } catch {
    // `keeping` reports a blocked storage.
  }
}

export function readNote(name: string): string | undefined {
  try {
    return sessionStorage.getItem(PREFIX + name) ?? undefined;
  } catch {
    return undefined;
  }
}

/** Takes back all notes of this tab. */
export function forgetNotes(): void {
  try {
    for (const key of Object.keys(sessionStorage)) if (key.startsWith(PREFIX)) sessionStorage.removeItem(key);
  } catch {
    // There are none, then.
  }
}

function writeText(key: string, text: string | undefined): void {
  if (text === undefined) localStorage.removeItem(key);
  else if (localStorage.getItem(key) !== text) localStorage.setItem(key, text);
}

/** Firefox has a name of its own for it. */
function isFull(error: unknown): boolean {
  const name = error instanceof Error || error instanceof DOMException ? error.name : '';
  return name === 'QuotaExceededError' || name === 'NS_ERROR_DOM_QUOTA_REACHED';
}
