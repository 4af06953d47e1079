import { assert } from 'chai';
import { startBlindTest } from '../../engine/analysis/blind-test.ts';
import { encodeWav } from '../../engine/audio/wav.ts';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { buildTitle } from '../../engine/builds/build-title.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { DropZones } from '../../ui/components/drop-zones.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import '../../ui/main.ts';
import { benchDrawn, closeBench, noticeBar, openedBench } from './opened-bench.ts';
import { until } from './until.ts';

const GERMANIUM = serialiseBuild(presetNamed('soft-germanium'));
const BROKEN = new File(['no sound at all'], 'broken.wav');
const LEFT = 10;
const RIGHT = window.innerWidth - 10;

let bench: ClipleadBench;

const drawn = () => benchDrawn(bench);

/** The events of a drag with these files; the page sees only that they are files until they are dropped. */
function drag(type: string, files: readonly File[], init: DragEventInit = {}): DragEvent {
  const dataTransfer = new DataTransfer();
  for (const file of files) dataTransfer.items.add(file);
  const event = new DragEvent(type, {
    bubbles: true,
    cancelable: true,
    composed: true,
    dataTransfer,
    ...init,
  });
  bench.dispatchEvent(event);
  return event;
}

function drop(clientX: number, ...files: readonly File[]): void {
  assert.isTrue(drag('dragover', files, { clientX }).defaultPrevented);
  assert.isTrue(drag('drop', files, { clientX }).defaultPrevented);
}

function zones(): DropZones {
  return bench.shadowRoot?.querySelector('drop-zones') as DropZones;
}

/** The messages at the top of the bench. */
function said(): string {
  return [...(noticeBar(bench)?.querySelectorAll('.notice.problem') ?? [])]
    .map(({ textContent }) => textContent)
    .join(' ');
}

function incoming(): HTMLDialogElement {
  return bench.shadowRoot!.querySelector('incoming-dialog')!.shadowRoot!.querySelector('dialog')!;
}

function incomingText(): string {
  return (incoming().textContent ?? '').replace(/\s+/g, ' ').trim();
}

function press(text: string): void {
  [...incoming().querySelectorAll('button')].find(({ textContent }) => textContent === text)!.click();
}

function tone(name: string): File {
  const samples = Float64Array.from(
    { length: 44_100 },
    (_, n) => 0.5 * Math.sin((2 * Math.PI * 200 * n) / 44_100),
  );
  return new File([new Uint8Array(encodeWav({ channels: [samples], sampleRateHz: 44_100 }))], name);
}

describe('files that are dragged over the window', () => {
  beforeEach(async () => {
    bench = await openedBench();
  });
  afterEach(() => closeBench(bench));

  it('show the fields for A and B only while they are over the window', async () => {
    assert.equal(getComputedStyle(zones()).display, 'none');
    drag('dragenter', [BROKEN], { clientX: LEFT });
    await drawn();
    const { top, width, height } = zones().getBoundingClientRect();
    assert.deepEqual([top, width, height], [0, window.innerWidth, window.innerHeight]);
    const over = () => zones().shadowRoot?.querySelector('.over')?.textContent ?? '';
    assert.include(over(), presetNamed('soft-plain').title);
    drag('dragover', [BROKEN], { clientX: RIGHT });
    await drawn();
    assert.include(over(), buildTitle(bench.store.state.builds.b));
    drag('dragleave', [BROKEN], { relatedTarget: document.body });
    await drawn();
    assert.equal(getComputedStyle(zones()).display, 'grid', 'from one element to the next is not out of it');
    drag('dragleave', [BROKEN]);
    await drawn();
    assert.equal(getComputedStyle(zones()).display, 'none');
  });

  it('show nothing after a drag that ended without an event, once the mouse moves', async () => {
    drag('dragover', [BROKEN], { clientX: LEFT });
    await drawn();
    assert.equal(getComputedStyle(zones()).display, 'grid');
    bench.dispatchEvent(new PointerEvent('pointermove', { bubbles: true, composed: true }));
    await drawn();
    assert.equal(getComputedStyle(zones()).display, 'none');
  });

  it('are ignored if text is dragged', () => {
    const dataTransfer = new DataTransfer();
    dataTransfer.setData('text/plain', '4k7');
    const event = new DragEvent('dragover', { bubbles: true, cancelable: true, dataTransfer });
    bench.dispatchEvent(event);
    assert.isFalse(event.defaultPrevented);
  });

  for (const [slot, clientX] of [
    ['a', LEFT],
    ['b', RIGHT],
  ] as const) {
    it(`show a build, and load it into ${slot}, the side it was dropped on, with Enter`, async () => {
      const other = slot === 'a' ? 'b' : 'a';
      bench.store.act({ type: 'hear', slot: other });
      bench.store.act({ type: 'setPart', slot, ref: 'R4', setting: { value: '5k6' } });
      await bench.store.settled();
      const before = bench.store.state.builds;
      drop(clientX, new File([GERMANIUM], 'MINE.JSON'));
      await until('shown', () => incoming().open);
      assert.match(incomingText(), /^A build from "MINE\.JSON"/);
      assert.include(incomingText(), presetNamed('soft-germanium').title);
      assert.match(
        incomingText(),
        new RegExp(`${slot.toUpperCase()} now: “[^”]+”, \\d swaps? from the parts it began with`),
      );
      assert.strictEqual(bench.store.state.builds, before, 'nothing is taken before somebody says so');
      const focused = incoming().getRootNode() as ShadowRoot;
      assert.equal(focused.activeElement?.textContent, `Put on ${slot.toUpperCase()}`);
      (focused.activeElement as HTMLButtonElement).click();
      await until('loaded', () => bench.store.state.builds !== before);
      assert.equal(
        bench.store.state.builds[slot].parts['D1']?.type,
        presetNamed('soft-germanium').parts['D1']?.type,
      );
      assert.strictEqual(bench.store.state.builds[other], before[other]);
      bench.store.act({ type: 'undo' });
      await bench.store.settled();
      assert.strictEqual(bench.store.state.builds, before);
    });
  }

  it('are recognised as a build by their content where the name does not show it', async () => {
    drop(RIGHT, new File([GERMANIUM], 'from a letter'));
    await until('shown', () => /^A build from "from a letter"/.test(incomingText()));
    press('Put on B');
    await until('loaded', () => bench.store.state.builds.b.notes === presetNamed('soft-germanium').notes);
  });

  it('can be left, which changes nothing', async () => {
    const before = bench.store.state;
    drop(LEFT, new File([GERMANIUM], 'mine.json'));
    await until('shown', () => incoming().open);
    press('Leave it');
    await until('gone', () => !incoming().open);
    assert.strictEqual(bench.store.state.builds, before.builds);
  });

  it('are measured parts, which are shown and added to those that are kept', async () => {
    const own = { name: '10k no. 1', kind: 'resistor', like: '10k', value: 9870 } as const;
    bench.store.act({ type: 'keepMeasured', parts: [own] });
    await bench.store.settled();
    const other = { ...own, name: '10k no. 1', value: 10_100 };
    const file = { format: 'cliplead-measured-parts', version: 1, parts: [other, { name: 'x' }] };
    drop(LEFT, new File([JSON.stringify(file)], 'parts.json'));
    await until('shown', () => /^1 measured part from "parts\.json"/.test(incomingText()));
    assert.match(incomingText(), /There is a part "10k no\. 1" already: the new one is "10k no\. 2"/);
    assert.match(incomingText(), /You keep 1 measured part: they stay/);
    assert.deepEqual(bench.store.state.measured, [own]);
    press('Add to the measured parts');
    await bench.store.settled();
    assert.deepEqual(bench.store.state.measured, [own, { ...other, name: '10k no. 2' }]);
  });

  it('are bags for the drawer, which are shown and added to it', async () => {
    drop(RIGHT, new File(['count,value,kind\n100,4k7,resistor\n3,nonsense,'], 'bags.csv'));
    await until('shown', () => /^1 bag for the drawer from "bags\.csv"/.test(incomingText()));
    assert.match(incomingText(), /100x 4k7/);
    assert.match(incomingText(), /Line 3: /);
    assert.equal(bench.store.state.drawer.items.length, 0);
    press('Add to the drawer');
    await bench.store.settled();
    assert.equal(bench.store.state.drawer.items[0]?.count, 100);
  });

  it('are shown too where one of measured parts or bags is opened in the menu of a build', async () => {
    const bar = bench.shadowRoot!.querySelector('build-bar')!.shadowRoot!;
    const input = bar.querySelector<HTMLInputElement>('input[type="file"]')!;
    const open = (text: string, name: string) => {
      const transfer = new DataTransfer();
      transfer.items.add(new File([text], name));
      input.files = transfer.files;
      input.dispatchEvent(new Event('change', { bubbles: true }));
    };
    const { builds } = bench.store.state;
    open('count,value,kind\n100,4k7,resistor\n', 'bags.csv');
    await until('shown', () => /^1 bag for the drawer from "bags\.csv"/.test(incomingText()));
    press('Add to the drawer');
    await bench.store.settled();
    assert.equal(bench.store.state.drawer.items[0]?.count, 100);
    const part = { name: '10k no. 1', kind: 'resistor', like: '10k', value: 9870 };
    const parts = { format: 'cliplead-measured-parts', version: 1, parts: [part] };
    open(JSON.stringify(parts), 'parts.json');
    await until('shown', () => /^1 measured part from "parts\.json"/.test(incomingText()));
    press('Add to the measured parts');
    await bench.store.settled();
    assert.equal(bench.store.state.measured[0]?.name, '10k no. 1');
    assert.strictEqual(bench.store.state.builds, builds);
    open('Dear diary,\nnothing happened.\n', 'diary.txt');
    await until('refused', () => bench.store.state.refusal !== undefined);
    await drawn();
    assert.include(said(), '"diary.txt" was not opened: It is no build, no chain, no list of measured parts');
  });

  it('play the first recording and list what was not taken', async () => {
    drop(
      LEFT,
      tone('Tone.WAV'),
      new File([GERMANIUM], 'mine.json'),
      tone('second.wav'),
      new File([GERMANIUM], 'b.json'),
    );
    await until('chosen', () => bench.session.state.source.kind === 'file');
    assert.match(incomingText(), /Not used: "second\.wav", "b\.json"/);
    press('Put on A');
    await bench.store.settled();
    assert.equal(bench.store.state.builds.a.notes, presetNamed('soft-germanium').notes);
    const { source } = bench.store.state;
    assert.equal(source.kind === 'file' ? source.file.name : '', 'Tone.WAV');
  });

  it('keep the old input if one is not a recording, so that Listen plays', async () => {
    const { source } = bench.store.state;
    drop(LEFT, BROKEN);
    await until('refused', () => bench.session.state.problems.source !== undefined);
    await drawn();
    assert.include(said(), 'broken.wav');
    assert.strictEqual(bench.store.state.source, source);
    bench.store.act({ type: 'listen', isListening: true });
    await until('heard', () => bench.session.readTelemetry().inputRmsV > 0.001);
    assert.strictEqual(bench.session.state.source, source);
  });

  it('keep the present sound if one is not a recording', async () => {
    bench.store.act({ type: 'listen', isListening: true });
    await until('playing', () => bench.session.state.source.kind === 'recording');
    const { source } = bench.session.state;
    drop(RIGHT, BROKEN);
    await until('refused', () => bench.session.state.problems.source !== undefined);
    await drawn();
    assert.strictEqual(bench.session.state.source, source);
    assert.strictEqual(bench.store.state.source, source);
  });

  it('name the broken build file, and keep the builds', async () => {
    const before = bench.store.state.builds;
    drop(RIGHT, new File(['{"format"'], 'Torn.JSON'));
    await until('refused', () => bench.store.state.refusal !== undefined);
    await drawn();
    assert.include(said(), '"Torn.JSON" was not opened');
    assert.strictEqual(bench.store.state.builds, before);
  });

  it('report a folder that cannot be read', async () => {
    const { source } = bench.store.state;
    const folder = new File([], 'Takes');
    const unread = new Blob([]);
    unread.arrayBuffer = () => Promise.reject(new DOMException('no bytes', 'NotFoundError'));
    folder.slice = () => unread;
    bench.dispatchEvent(
      Object.assign(
        new CustomEvent('bench-action', {
          detail: { type: 'source', source: { kind: 'file', file: folder } },
        }),
      ),
    );
    await until('refused', () => bench.session.state.problems.source !== undefined);
    assert.match(bench.session.state.problems.source ?? '', /"Takes" cannot be read/);
    assert.strictEqual(bench.store.state.source, source);
  });

  it('are not accepted during a blind test', async () => {
    const before = bench.store.state;
    bench.store.act({
      type: 'ear',
      change: { blindTest: { test: startBlindTest('abx', 4), heard: 'a', notice: undefined } },
    });
    await drawn();
    const event = drag('dragover', [BROKEN], { clientX: LEFT });
    assert.isTrue(event.defaultPrevented, 'the browser must not open the file in place of the bench');
    assert.equal(event.dataTransfer?.dropEffect, 'none');
    drag('drop', [new File([GERMANIUM], 'mine.json')], { clientX: LEFT });
    await drawn();
    assert.strictEqual(bench.store.state.builds, before.builds);
    assert.strictEqual(bench.store.state.source, before.source);
  });
});
