import { vi } from 'vitest';

/** Storage like the browser's, with the content that a test gives it. */
export class FakeStorage {
  readonly texts: Map<string, string>;
  /** The error that the next writes throw. */
  trouble: DOMException | undefined;

  constructor(texts: Readonly<Record<string, string>> = {}) {
    this.texts = new Map(Object.entries(texts));
  }

  getItem(key: string): string | null {
    return this.texts.get(key) ?? null;
  }

  setItem(key: string, text: string): void {
    if (this.trouble) throw this.trouble;
    this.texts.set(key, text);
  }

  removeItem(key: string): void {
    this.texts.delete(key);
  }
}

/** Replaces the browser's storage until the globals are unstubbed. */
export function stubStorage(texts: Readonly<Record<string, string>> = {}): FakeStorage {
  const storage = new FakeStorage(texts);
  vi.stubGlobal('localStorage', storage);
  return storage;
}
