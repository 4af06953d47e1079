import { Refusal } from '../../engine/input/refusal.ts';

/** Stores for data too large for localStorage. */
const STORES = { riffs: 'id', speakers: 'id' } as const;
export type StoreName = keyof typeof STORES;

const DATABASE = 'cliplead';
/** Time without an answer after which the database counts as not available. */
const PATIENCE_MS = 5000;

/** Something could not be stored or read; the message says why, for the screen. */
export class DatabaseError extends Refusal {
  constructor(message: string) {
    super('storage', message);
  }
}

/** Everything in a store, in the order of its keys. @throws DatabaseError. */
export async function readAll(store: StoreName): Promise<readonly unknown[]> {
  return within(store, 'readonly', (entries) => entries.getAll() as IDBRequest<unknown[]>);
}

/** Stores an entry, replacing one with the same id. @throws DatabaseError if the browser does not store it. */
export async function put(store: StoreName, entry: { readonly id: string }): Promise<void> {
  await within(store, 'readwrite', (entries) => entries.put(entry));
}

/** @throws DatabaseError. */
export async function remove(store: StoreName, id: string): Promise<void> {
  await within(store, 'readwrite', (entries) => entries.delete(id));
}

/** Deletes the whole database. @throws DatabaseError where another tab has it open or the browser refuses. */
export async function deleteDatabase(): Promise<void> {
  await inWords(async () => answered(indexedDB.deleteDatabase(DATABASE)));
}

/** One request, done only once the browser has written it. */
function within<T>(
  store: StoreName,
  mode: IDBTransactionMode,
  ask: (entries: IDBObjectStore) => IDBRequest<T>,
): Promise<T> {
  return inWords(async () => {
    const database = await openDatabase();
    try {
      const transaction = database.transaction(store, mode);
      const request = ask(transaction.objectStore(store));
      await written(transaction);
      return request.result;
    } finally {
      database.close();
    }
  });
}

/**
 * Opens any version, older or newer, and adds missing stores, which needs the next version number.
 */
async function openDatabase(): Promise<IDBDatabase> {
  const database = await answered(indexedDB.open(DATABASE), addStores);
  const { objectStoreNames, version } = database;
  if (Object.keys(STORES).every((name) => objectStoreNames.contains(name))) return withoutBlocking(database);
  database.close();
  return withoutBlocking(await answered(indexedDB.open(DATABASE, version + 1), addStores));
}

function addStores(database: IDBDatabase): void {
  for (const [name, keyPath] of Object.entries(STORES)) {
    if (!database.objectStoreNames.contains(name)) database.createObjectStore(name, { keyPath });
  }
}

/** Another tab may have to add a store. */
function withoutBlocking(database: IDBDatabase): IDBDatabase {
  database.onversionchange = () => database.close();
  return database;
}

function answered<T extends IDBDatabase | undefined>(
  request: IDBRequest<T> & Partial<IDBOpenDBRequest>,
  upgrade: (database: IDBDatabase) => void = () => {},
): Promise<T> {
  return new Promise((resolve, reject) => {
    let isGivenUp = false;
    const giveUp = (reason: unknown) => {
      isGivenUp = true;
      clearTimeout(patience);
      reject(reason);
    };
    const patience = setTimeout(() => giveUp(new DatabaseError('it does not answer')), PATIENCE_MS);
    request.onupgradeneeded = () => upgrade(request.result as IDBDatabase);
    request.onblocked = () => giveUp(new DatabaseError('another tab has it open'));
    request.onerror = () => giveUp(request.error);
    request.onsuccess = () => {
      clearTimeout(patience);
      // A database that opens too late would stay open and block all others.
      if (isGivenUp) request.result?.close();
      else resolve(request.result);
    };
  });
}

function written(transaction: IDBTransaction): Promise<void> {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error);
    transaction.onerror = () => reject(transaction.error);
  });
}

/** Why something was not stored or read, for the screen. @throws Any error that is not a refusal. */
export function databaseReason(error: unknown): string {
  if (error instanceof Refusal) return error.message;
  throw error;
}

async function inWords<T>(task: () => Promise<T>): Promise<T> {
  try {
    if (typeof indexedDB === 'undefined' || indexedDB === null) throw new DatabaseError(BLOCKED);
    return await task();
  } catch (error) {
    // A request that failed without a reason has null for it.
    if (error instanceof DOMException || error === null) throw new DatabaseError(reasonOf(error));
    throw error;
  }
}

const BLOCKED = 'cookies or site data are blocked';

function reasonOf(error: DOMException | null): string {
  switch (error?.name) {
    case 'QuotaExceededError':
      return 'the browser’s storage is full';
    case 'SecurityError':
    case 'InvalidStateError':
      return BLOCKED;
    default:
      return error?.message || 'the browser’s database cannot be opened';
  }
}
