import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import { benchDrawn, closeBench, openedBench, playString } from './opened-bench.ts';
import { played } from './played.ts';
import '../../ui/main.ts';

let bench: ClipleadBench;

const drawn = () => benchDrawn(bench);

function inside(component: string): ShadowRoot {
  const root = bench.shadowRoot?.querySelector(component)?.shadowRoot;
  if (!root) throw new Error(`there is no ${component}`);
  return root;
}

async function clickPart(ref: string): Promise<void> {
  inside('build-schematic')
    .querySelector(`[data-ref="${ref}"]`)
    ?.dispatchEvent(new MouseEvent('click', { bubbles: true }));
  await drawn();
}

async function typeValue(label: string, text: string): Promise<void> {
  const field = inside('part-card').querySelector<HTMLInputElement>(`[aria-label="${label}"]`);
  if (!field) throw new Error(`the card has no ${label}`);
  field.value = text;
  field.dispatchEvent(new Event('change', { bubbles: true }));
  await drawn();
}

/** Loudness of A relative to B over some seconds of the same notes, dB. */
async function loudnessOfAOverB(): Promise<number> {
  await bench.store.settled();
  const { loudnessA, loudnessB } = await played(bench.session, 2);
  return loudnessA - loudnessB;
}

describe('a part that is clicked and changed', () => {
  beforeEach(async () => {
    bench = await openedBench();
    bench.store.act({ type: 'copy', from: 'a', to: 'b' });
    bench.store.act({ type: 'turnKnob', slot: 'a', name: 'output', rotation: 1 });
    await playString(bench);
    await played(bench.session, 1);
  });
  afterEach(() => closeBench(bench));

  it('changes the sound: 100k before a 100k output potentiometer halves the voltage, 6 dB', async () => {
    const before = await loudnessOfAOverB();
    assert.closeTo(before, 0, 0.1, 'A and B are one build');
    await clickPart('R11');
    await typeValue('Value of R11 in A', '100k');
    await played(bench.session, 0.3);
    const after = await loudnessOfAOverB();
    // divider of 100k + 100k instead of 1k + 100k; its load of 510k through 100n takes 0.7 dB more: 100k beside
    // 510k is 83.6k, so 83.6/183.6 against 83.6/84.6 is -6.72 dB
    assert.closeTo(after, 20 * Math.log10(83.6 / 183.6 / (83.6 / 84.6)), 0.3);
  });

  it('is silent if the part in the signal path is removed', async () => {
    await clickPart('C7');
    const radio = [
      ...inside('part-card').querySelectorAll<HTMLInputElement>('.slot.a input[type="radio"]'),
    ][1];
    radio?.click();
    await drawn();
    await played(bench.session, 0.5);
    const difference = await loudnessOfAOverB();
    assert.isBelow(difference, -60);
  });
});
