import type { Riff } from './ear-state.ts';

const DATABASE = 'cliplead';
const RIFFS = 'riffs';

/** Every riff that was kept, oldest first; none where the browser keeps nothing. */
export async function loadRiffs(): Promise<readonly Riff[]> {
  const kept = await onRiffs('readonly', (riffs) => riffs.getAll() as IDBRequest<unknown[]>);
  return (kept ?? []).filter(isRiff);
}

/** Keeps a riff, in the place of one with the same id. @returns Whether the browser has it. */
export async function keepRiff(riff: Riff): Promise<boolean> {
  return (await onRiffs('readwrite', (riffs) => riffs.put(riff))) !== undefined;
}

export async function forgetRiff(id: string): Promise<void> {
  await onRiffs('readwrite', (riffs) => riffs.delete(id));
}

/** One request to the store; undefined where storage is full or forbidden: riffs then last for this visit. */
async function onRiffs<T>(
  mode: IDBTransactionMode,
  ask: (riffs: IDBObjectStore) => IDBRequest<T>,
): Promise<T | undefined> {
  try {
    const database = await openDatabase();
    try {
      return await answered(ask(database.transaction(RIFFS, mode).objectStore(RIFFS)));
    } finally {
      database.close();
    }
  } catch {
    return undefined;
  }
}

function openDatabase(): Promise<IDBDatabase> {
  const request = indexedDB.open(DATABASE, 1);
  request.onupgradeneeded = () => request.result.createObjectStore(RIFFS, { keyPath: 'id' });
  return answered(request);
}

function answered<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function isRiff(entry: unknown): entry is Riff {
  const { id, name, samples, sampleRateHz, startFrame, endFrame } = (entry ?? {}) as Partial<Riff>;
  return (
    typeof id === 'string' &&
    typeof name === 'string' &&
    samples instanceof Float32Array &&
    Number(sampleRateHz) > 0 &&
    Number(startFrame) >= 0 &&
    Number(endFrame) <= samples.length
  );
}
