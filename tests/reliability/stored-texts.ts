/** Runs a function while a storage with these texts replaces the browser's. */
export function withStoredTexts<T>(texts: Readonly<Record<string, string>>, task: () => T): T {
  const held = new Map(Object.entries(texts));
  const before = Object.getOwnPropertyDescriptor(globalThis, 'localStorage');
  const storage = {
    getItem: (key: string) => held.get(key) ?? null,
    setItem: (key: string, text: string) => held.set(key, text),
    removeItem: (key: string) => held.delete(key),
  };
  Object.defineProperty(globalThis, 'localStorage', { value: storage, configurable: true });
  try {
    return task();
  } finally {
    if (before) Object.defineProperty(globalThis, 'localStorage', before);
    else Reflect.deleteProperty(globalThis, 'localStorage');
  }
}
