import { assert } from 'chai';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import { shareLink } from '../../ui/share/share-link.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { closeBench, openedBench } from './opened-bench.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

describe('a shared build', () => {
  let bench: ClipleadBench;

  before(async () => {
    bench = await openedBench();
  });
  after(() => closeBench(bench));

  const dialogOf = (name: string) =>
    bench.shadowRoot!.querySelector(name)!.shadowRoot!.querySelector('dialog')!;
  const textOf = (name: string) => (dialogOf(name).textContent ?? '').replace(/\s+/g, ' ');
  const press = (name: string, text: string) =>
    [...dialogOf(name).querySelectorAll('button')]
      .find((button) => button.textContent?.trim() === text)!
      .click();
  const paste = (text: string) => {
    const clipboardData = new DataTransfer();
    clipboardData.setData('text/plain', text);
    document.body.dispatchEvent(new ClipboardEvent('paste', { clipboardData, bubbles: true }));
  };

  it('leaves as a link that holds it, with its length', async () => {
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('soft-led')! });
    await bench.updateComplete;
    const bar = bench.shadowRoot!.querySelector('build-bar')!.shadowRoot!;
    [...bar.querySelectorAll('button')]
      .find((button) => button.textContent?.trim() === 'Link to A…')!
      .click();
    await until('the link', () => dialogOf('share-link-dialog').open);
    const link = dialogOf('share-link-dialog').querySelector('textarea')!.value;
    assert.equal(link, await shareLink(serialiseBuild(bench.store.state.builds.a), location.href));
    assert.include(textOf('share-link-dialog'), `${link.length} characters`);
    press('share-link-dialog', 'Close');
  });

  it('comes by a pasted link, is shown first, and is put where it is wanted', async () => {
    const before = bench.store.state.builds;
    paste(`Listen: ${await shareLink(serialiseBuild(presetNamed('clean-bright')!), location.href)}`);
    await until('the offer', () => dialogOf('incoming-dialog').open);
    await until('what it is', () => textOf('incoming-dialog').includes(presetNamed('clean-bright')!.title));
    assert.equal(bench.store.state.builds, before, 'nothing is taken unasked');
    press('incoming-dialog', 'Put on B');
    await bench.updateComplete;
    assert.equal(bench.store.state.builds.b.circuit.id, 'clean-blend');
    assert.equal(bench.store.state.builds.a, before.a);
    bench.store.act({ type: 'undo' });
    await bench.updateComplete;
    assert.equal(bench.store.state.builds.b.title, before.b.title);
  });

  it('comes in the address, which loses it then', async () => {
    location.hash = new URL(await shareLink(serialiseBuild(presetNamed('soft-lifted')!), location.href)).hash;
    await until('the offer', () => textOf('incoming-dialog').includes(presetNamed('soft-lifted')!.title));
    assert.equal(location.hash, '');
    press('incoming-dialog', 'Leave it');
    assert.isFalse(dialogOf('incoming-dialog').open);
  });

  it('is refused in a sentence where it is damaged or no build', async () => {
    paste(`${location.href}#build=AAAA`);
    await until('the refusal', () => textOf('incoming-dialog').includes('The link is damaged'));
    press('incoming-dialog', 'Close');
    paste('{"format": "something"}');
    await until('the refusal', () => /It is not taken: .+/.test(textOf('incoming-dialog')));
    press('incoming-dialog', 'Close');
  });

  it('may be a chain, measured parts or bags that are pasted; any other text is refused in a sentence', async () => {
    paste('10x 100n film\n3x TL072');
    await until('the bags', () =>
      textOf('incoming-dialog').includes('2 bags for the drawer from the clipboard'),
    );
    press('incoming-dialog', 'Leave it');
    paste('{"name": "10k no. 3", "kind": "resistor", "like": "10k", "value": 9870}');
    await until('the part', () => textOf('incoming-dialog').includes('1 measured part from the clipboard'));
    press('incoming-dialog', 'Leave it');
    assert.isEmpty(bench.store.state.measured);
    paste('4k7');
    await until('the refusal', () =>
      /^What you pasted is no link/.test(bench.store.state.refusal?.message ?? ''),
    );
    assert.isFalse(dialogOf('incoming-dialog').open);
  });
});
