/** What becomes of what should outlast the visit. */
export type Keeping =
  | 'kept'
  /** Cookies or site data are blocked, or the browser has no storage. */
  | 'forbidden'
  | 'full'
  /** Another tab has the bench open, and this one would write over what it keeps. */
  | 'elsewhere';

/** All names that are the bench's own. */
const PREFIX = 'cliplead-';

/**
 * Texts that outlast the visit: the one place that touches localStorage, which may be missing, forbidden or full. What
 * cannot be kept now is kept as soon as it can be. Emits 'change' when `keeping` does.
 */
export class KeptTexts extends EventTarget {
  /** What is to be kept and is not yet; undefined for what is to be forgotten. */
  readonly #wanted = new Map<string, string | undefined>();
  #claim: 'mine' | 'asking' | 'elsewhere' = 'mine';
  #trouble: 'kept' | 'forbidden' | 'full' = 'kept';

  get keeping(): Keeping {
    return this.#claim === 'elsewhere' ? 'elsewhere' : this.#trouble;
  }

  /** What is kept under a name, undefined where there is nothing to be had. @param name Without the prefix. */
  read(name: string): string | undefined {
    const key = PREFIX + name;
    if (this.#wanted.has(key)) return this.#wanted.get(key);
    try {
      return localStorage.getItem(key) ?? undefined;
    } catch {
      return undefined;
    }
  }

  /** Keeps a text; undefined forgets what was kept. */
  keep(name: string, text: string | undefined): void {
    this.#wanted.set(PREFIX + name, text);
    this.#write();
  }

  /** Whether this tab may write: what was to be kept meanwhile is written once it may. */
  claimed(claim: 'mine' | 'asking' | 'elsewhere'): void {
    this.#change(() => {
      this.#claim = claim;
    });
    this.#write();
  }

  /** Finds out whether anything can be kept at all. */
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

/** Everything of the bench that is kept, by its full name; none where nothing can be read. */
export function allKeptTexts(): ReadonlyMap<string, string> {
  const found = new Map<string, string>();
  try {
    for (const key of Object.keys(localStorage)) {
      const text = key.startsWith(PREFIX) ? localStorage.getItem(key) : null;
      if (text !== null) found.set(key, text);
    }
  } catch {
    // Nothing that could be read is nothing that could be lost.
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
    // Whoever forbids storage is told by `keeping`.
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
