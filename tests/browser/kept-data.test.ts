import { assert } from 'chai';
import { encodeWav } from '../../engine/audio/wav.ts';
import saved from '../fixtures/saved-state.json';
import { tryKind } from '../reliability/kind.ts';
import { damagedState } from '../reliability/stored-states.ts';
import { noticeBar } from './opened-bench.ts';
import { isDrawn, notices, type OpenedFrame, openFrame, type Page, removeFrames } from './opened-frame.ts';
import { until } from './until.ts';

const BENCH = 'cliplead-bench';

async function openedBench(spoil?: (page: Page) => void): Promise<OpenedFrame> {
  const frame = await openFrame(spoil);
  await until('the bench', () => isDrawn(frame));
  return frame;
}

function closeFrame({ page }: OpenedFrame): void {
  page.frameElement?.remove();
}

/** Presses a button in a message at the top of the bench. */
function press({ bench }: OpenedFrame, text: string): void {
  const buttons = [...(noticeBar(bench())?.querySelectorAll<HTMLElement>('.problem button') ?? [])];
  const found = buttons.find(({ textContent }) => textContent?.trim() === text);
  if (!found) throw new Error(`there is no "${text}" among ${buttons.map((each) => each.textContent)}`);
  found.click();
}

/** Deletes the database, or makes one without a store. */
async function database(version?: number): Promise<void> {
  await settled(indexedDB.deleteDatabase('cliplead'));
  if (version !== undefined) (await settled(indexedDB.open('cliplead', version)))?.close();
}

/** The number of riffs that were written. */
async function riffsWritten(): Promise<number> {
  const database = (await settled(indexedDB.open('cliplead')))!;
  try {
    if (!database.objectStoreNames.contains('riffs')) return 0;
    const request = database.transaction('riffs').objectStore('riffs').count();
    return await new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
  } finally {
    database.close();
  }
}

function settled(request: IDBOpenDBRequest): Promise<IDBDatabase | undefined> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error('blocked'));
  });
}

/** Stores half a second of a tone as a riff. */
async function addRiff({ page, bench }: OpenedFrame): Promise<void> {
  const sampleRateHz = 44_100;
  const samples = Float64Array.from({ length: sampleRateHz / 2 }, (_, n) => 0.3 * Math.sin(n / 20));
  const wav = new Uint8Array(encodeWav({ channels: [samples], sampleRateHz }));
  const command = { do: 'addFile', file: new page.File([wav], 'phrase.wav') };
  bench()!.dispatchEvent(new page.CustomEvent('bench-action', { detail: { type: 'earCommand', command } }));
  await until('a riff', () => bench()!.store.state.ear.riffs.length > 0);
}

const refuse = (page: Page, ...names: string[]) => {
  for (const name of names) {
    Object.defineProperty(page, name, {
      get: () => {
        throw new page.DOMException('denied', 'SecurityError');
      },
    });
  }
};

describe('the data that the bench keeps', () => {
  beforeEach(async () => {
    localStorage.clear();
    sessionStorage.clear();
    await database();
  });
  afterEach(async () => {
    for (const frame of document.querySelectorAll('iframe')) {
      const bench = frame.contentDocument?.querySelector('cliplead-bench') as {
        session?: { stop(): unknown };
      };
      await bench?.session?.stop();
    }
    removeFrames();
  });

  it('is empty if site data are blocked, and the bench opens and reports it', async () => {
    const frame = await openedBench((page) => refuse(page, 'localStorage', 'sessionStorage', 'indexedDB'));
    await until('two lines', () => notices(frame).length > 1);
    assert.include(notices(frame)[0], 'cookies or site data are blocked. Save builds as files.');
    assert.include(
      notices(frame)[1],
      'Riffs of earlier visits cannot be read: cookies or site data are blocked.',
    );
    frame.bench()!.store.act({ type: 'output', db: -20 });
    press(frame, 'Dismiss');
    await until('one line less', () => notices(frame).length === 1);
    assert.deepEqual(frame.errors, []);
  });

  it('is reported as not kept while storage is full, and the meters continue', async () => {
    const frame = await openedBench((page) => {
      page.Storage.prototype.setItem = () => {
        throw new page.DOMException('full', 'QuotaExceededError');
      };
    });
    const bench = frame.bench()!;
    bench.store.act({ type: 'listen', isListening: true });
    await until('a line', () => notices(frame).length > 0);
    assert.include(notices(frame)[0], 'storage is full: changes are not stored. Save builds as files.');
    const output = bench.shadowRoot!.querySelector('output-panel')!.shadowRoot!;
    await until('a load', () => (output.textContent ?? '').includes('Load'));
    assert.deepEqual(frame.errors, []);
  });

  it('is written by the first of two tabs, until the second takes over', async () => {
    const first = await openedBench();
    first.bench()!.store.act({ type: 'output', db: -21 });
    await until('what the first keeps', () => (localStorage.getItem(BENCH) ?? '').includes('-21'));
    const second = await openedBench();
    await until('a line', () => notices(second).length > 0);
    assert.include(notices(second)[0], 'The bench is open in another tab.');
    assert.deepEqual(notices(first), []);
    second.bench()!.store.act({ type: 'output', db: -33 });
    first.bench()!.store.act({ type: 'output', db: -22 });
    await until('what the first keeps', () => (localStorage.getItem(BENCH) ?? '').includes('-22'));
    press(second, 'Keep this tab instead');
    await until('what the second keeps', () => (localStorage.getItem(BENCH) ?? '').includes('-33'));
    await until('a line in the first', () => notices(first).length > 0);
    assert.deepEqual(notices(second), []);
    first.bench()!.store.act({ type: 'output', db: -23 });
    assert.include(localStorage.getItem(BENCH), '-33');
  });

  it('waits for a tab that is being closed, and does not overwrite what that tab stored', async () => {
    const first = await openedBench();
    await until('what the first keeps', () => localStorage.getItem(BENCH) !== null);
    const second = await openedBench();
    await until('a line', () => notices(second).length > 0);
    closeFrame(first);
    await until('no line', () => notices(second).length === 0);
    const third = await openedBench();
    await until('a line', () => notices(third).length > 0);
    second.bench()!.store.act({ type: 'output', db: -24 });
    closeFrame(second);
    third.bench()!.store.act({ type: 'output', db: -35 });
    // By then any tab could have taken the lock that the other tab released.
    await navigator.locks.request('cliplead-bench', () => {});
    assert.include(localStorage.getItem(BENCH), '-24');
    assert.include(notices(third)[0], 'another tab');
  });

  for (const [what, version] of [
    ['of a newer version', 9],
    ['without a store', 1],
  ] as const) {
    it(`contains riffs if the browser has a database ${what}`, async () => {
      await database(version);
      const frame = await openedBench();
      await addRiff(frame);
      await until('a riff that is written', async () => (await riffsWritten()) === 1);
      assert.deepEqual(notices(frame), []);
      await frame.bench()!.session.stop();
      closeFrame(frame);
      const again = await openedBench();
      await until('the riff', () => again.bench()!.store.state.ear.riffs.length === 1);
      assert.deepEqual(notices(again), []);
    });
  }

  it('contains a riff as the first version wrote it, into a database that had riffs only', async () => {
    await database();
    const request = indexedDB.open('cliplead', 1);
    request.onupgradeneeded = () => request.result.createObjectStore('riffs', { keyPath: 'id' });
    const first = (await settled(request))!;
    const entry = {
      id: '3b1f8e0a-5f0e-4a51-9a52-0d4f5f1c7f10',
      name: 'Riff 2',
      sampleRateHz: 48_000,
      samples: Float32Array.from({ length: 4800 }, (_, n) => 0.25 * Math.sin(n / 16)),
      clips: 1,
      startFrame: 480,
      endFrame: 4320,
    };
    const transaction = first.transaction('riffs', 'readwrite');
    transaction.objectStore('riffs').put(entry);
    await new Promise((resolve) => transaction.addEventListener('complete', resolve));
    first.close();
    const frame = await openedBench();
    await until('the riff', () => frame.bench()!.store.state.ear.riffs.length > 0);
    const { samples, ...riff } = frame.bench()!.store.state.ear.riffs[0]!;
    const { samples: written, ...others } = entry;
    assert.deepEqual(riff, others);
    assert.deepEqual([...samples], [...written]);
    assert.deepEqual(notices(frame), []);
  });

  it('contains no riffs while another page holds the database; this is reported, and the riffs return afterwards', async () => {
    await database(1);
    // A page of another kind, which does not close its connection for a newer version.
    const held = (await settled(indexedDB.open('cliplead')))!;
    const frame = await openedBench();
    await until('a line', () => notices(frame).length > 0);
    assert.include(notices(frame)[0], 'another tab has it open');
    held.close();
    // Refused while any page has it open.
    await database();
    assert.deepEqual(frame.errors, []);
  });

  it('lacks a riff that the database refuses; the message offers to save it', async () => {
    const frame = await openedBench((page) => {
      page.IDBObjectStore.prototype.put = () => {
        throw new page.DOMException('no room', 'QuotaExceededError');
      };
    });
    await addRiff(frame);
    await until('a line', () => notices(frame).length > 0);
    assert.equal(notices(frame)[0], 'The riff “phrase” is not kept: the browser’s storage is full.');
    const saves = [...noticeBar(frame.bench())!.querySelectorAll('.notice button')];
    assert.include(
      saves.map(({ textContent }) => textContent),
      'Save as WAV',
    );
    assert.deepEqual(frame.errors, []);
  });

  it('reports on the next page, once, that an unfinished recording of a riff is lost', async () => {
    const frame = await openedBench();
    frame.bench()!.store.act({ type: 'ear', change: { capture: 'capturing' } });
    closeFrame(frame);
    const again = await openedBench();
    await until('a line', () => notices(again).length > 0);
    assert.include(notices(again)[0], 'still being recorded when the page closed. It is gone.');
    closeFrame(again);
    const third = await openedBench();
    assert.deepEqual(notices(third), []);
  });

  it('opens the page for any damage to the data: ten states', async () => {
    const attempt = async (seed: number) => {
      localStorage.clear();
      for (const [key, text] of Object.entries(damagedState(saved, seed).texts))
        localStorage.setItem(key, text);
      const frame = await openFrame();
      await until('the bench or a sentence', () => isDrawn(frame) || frame.sentence() !== undefined);
      const fault = [frame.sentence(), ...frame.errors].find((text) => text !== undefined);
      closeFrame(frame);
      return { fault, figure: 0 };
    };
    const figure = { name: 'none', unit: '', most: 0 };
    const { faults } = await tryKind(
      { name: 'damaged stored states', figure, attempt },
      { seed: 2, count: 10 },
    );
    assert.deepEqual(faults, []);
  });
});
