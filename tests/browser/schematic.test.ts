import { assert } from 'chai';
import { meterText, netVolts } from '../../engine/analysis/net-volts.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { textWidth } from '../../engine/drawing/text-width.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { firstBuilds } from '../../ui/state/starting-state.ts';
import { noticeBar, openedBench } from './opened-bench.ts';
import '../../ui/main.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

async function drawn(): Promise<void> {
  await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
  await bench.updateComplete;
}

function sheet(): ShadowRoot {
  const root = bench.shadowRoot?.querySelector('build-schematic')?.shadowRoot;
  if (!root) throw new Error('there is no schematic');
  return root;
}

function part(ref: string): SVGGElement {
  const found = sheet().querySelector<SVGGElement>(`[data-ref="${ref}"]`);
  if (!found) throw new Error(`${ref} is not drawn`);
  return found;
}

const button = (ref: string) => part(ref).querySelector<SVGGElement>('[role="button"]')!;
const textOf = (ref: string) =>
  [...part(ref).querySelectorAll('text')].map((each) => each.textContent).join(' ');

async function click(ref: string): Promise<void> {
  part(ref).dispatchEvent(new MouseEvent('click', { bubbles: true }));
  await drawn();
}

async function press(key: string, target: EventTarget): Promise<void> {
  target.dispatchEvent(
    new KeyboardEvent('keydown', { key, bubbles: true, composed: true, cancelable: true }),
  );
  await drawn();
}

async function set(ref: string, setting: Record<string, unknown>): Promise<void> {
  bench.store.act({ type: 'setPart', slot: 'a', ref, setting });
  await drawn();
}

/** Relative luminance after WCAG 2.2. */
function luminance(colour: string): number {
  const [red = 0, green = 0, blue = 0] = (colour.match(/[\d.]+/g) ?? []).map((part) => {
    const share = Number(part) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

describe('the schematic', () => {
  before(async () => {
    bench = await openedBench();
  });
  beforeEach(async () => {
    const { a, b } = firstBuilds();
    const { store } = bench;
    store.act({ type: 'load', slot: 'a', build: a });
    store.act({ type: 'load', slot: 'b', build: b });
    store.act({ type: 'hear', slot: 'a' });
    store.act({ type: 'temperature', celsius: 27 });
    await drawn();
    await drawn();
  });
  after(() => bench.remove());
  afterEach(() => {
    delete document.documentElement.dataset['theme'];
  });

  it('shows every part with its designator and value, and shows the clicked part on the card', async () => {
    assert.equal(textOf('R4'), 'R4 4k7');
    await click('R4');
    const card = bench.shadowRoot?.querySelector('part-card')?.shadowRoot?.textContent ?? '';
    assert.include(card, 'R4');
    assert.include(part('R4').getAttribute('class'), 'selected');
  });

  it('shows a package on the card, whichever of its amplifiers is clicked', async () => {
    await click('U1B');
    assert.equal(bench.store.state.selected, 'U1');
    assert.include(part('U1A').getAttribute('class'), 'selected');
  });

  it('shows the playing build, and names it where it differs from the other', async () => {
    assert.equal(textOf('D1'), 'D1 A 1N4148');
    bench.store.act({ type: 'hear', slot: 'b' });
    await drawn();
    assert.equal(textOf('D1'), 'D1 B LED-red');
    assert.equal(textOf('R4'), 'R4 4k7');
  });

  it('draws an open part open, a bridged one bridged, a piggybacked one twice', async () => {
    const plain = part('R4').querySelectorAll('.symbol path').length;
    await set('R4', { value: '4k7', piggyback: '47k' });
    assert.isAbove(part('R4').querySelectorAll('.symbol path').length, plain);
    assert.equal(part('R4').querySelectorAll('.symbol .body').length, 2);
    await set('R4', { value: '4k7', fit: 'bridged' });
    assert.exists(part('R4').querySelector('.bridge'));
    await set('C4', { value: '51p', fit: 'open' });
    assert.exists(part('C4').querySelector('.unfitted'));
    assert.notExists(part('C4').querySelector('.bridge'));
  });

  it('sets the probe at the middle of every pin, although the area of a part begins there', async () => {
    const sheet = part('R4').getRootNode() as ShadowRoot;
    const missed: string[] = [];
    const pins = [...sheet.querySelectorAll<SVGElement>('.net:not(.ground) .pin')];
    for (const pin of pins) {
      pin.scrollIntoView({ block: 'center', inline: 'center' });
      const { left, right, top, bottom } = pin.getBoundingClientRect();
      const hit = sheet.elementFromPoint((left + right) / 2, (top + bottom) / 2);
      const net = pin.closest<SVGElement>('.net')?.dataset['net'] ?? '';
      const taken = hit?.closest<SVGElement>('.net')?.dataset['net'];
      if (taken !== net) missed.push(`${net}: ${taken ?? hit?.tagName}`);
    }
    assert.isAbove(pins.length, 50);
    assert.deepEqual(missed, []);
  });

  it('sets a switch by a click, and draws its arms at its position', async () => {
    const arms = () => [...part('SW1').querySelectorAll('path')].map((path) => path.getAttribute('d')).join();
    const before = arms();
    await click('SW1');
    assert.equal(bench.store.state.builds.a.switches['clipping'], 'lifted');
    assert.include(textOf('SW1'), 'lifted');
    assert.notEqual(arms(), before);
  });

  it('goes with left and right from stage to stage, and reads out stage, part and value', async () => {
    await click('R3');
    button('R3').focus();
    await press('ArrowRight', part('R3'));
    assert.equal(bench.store.state.selected, 'C2');
    assert.equal(sheet().activeElement, button('C2'));
    assert.match(button('C2').getAttribute('aria-label') ?? '', /^C2, 1u\. Gain and clipping\./);
  });

  it('can be enlarged and fitted with keys', async () => {
    const width = () => sheet().querySelector('svg')?.getBoundingClientRect().width ?? 0;
    const fitted = width();
    await press('+', part('R4'));
    assert.closeTo(width(), 1.25 * fitted, 1);
    await press('0', part('R4'));
    assert.closeTo(width(), fitted, 1);
  });

  it('draws the other circuit when a build of it is loaded', async () => {
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('clean-plain') });
    await drawn();
    assert.equal(textOf('U2A'), 'U2A TL072');
  });

  it('shows the DC volts of the build that plays on the key V, and hides them', async () => {
    const read = (net: string) =>
      sheet().querySelector(`.voltage[aria-label^="${net}: "]`)?.textContent ?? undefined;
    await press('v', part('R4'));
    await until('the voltages', () => read('supply') !== undefined);
    const { builds } = bench.store.state;
    const expected = netVolts(builds.a, networkOf(builds.a, NOMINAL_TEMPERATURE_K), 'on');
    for (const net of ['in', 'supply', 'bias', 'clipped']) assert.equal(read(net), meterText(expected[net]!));
    assert.equal(sheet().querySelector('.volts')?.getAttribute('aria-pressed'), 'true');
    await set('R17', { value: '1k' });
    await until('other voltages', () => read('supply') !== meterText(expected['supply']!));
    await press('v', part('R4'));
    assert.isUndefined(read('supply'));
  });

  it('has texts as wide as the drawing keeps room for', async () => {
    await document.fonts.ready;
    const off = [...sheet().querySelectorAll<SVGTextElement>('.part .ref, .part .value, .flag')].flatMap(
      (text) => {
        const { fontSize, fontWeight } = getComputedStyle(text);
        const written = text.textContent ?? '';
        const estimated =
          Number.parseFloat(fontSize) * textWidth(written, Number(fontWeight) < 500 ? 400 : 600);
        const { width } = text.getBBox();
        // Kerning, and the hinting of letters that are drawn ten pixels high: in Firefox up to a pixel and a half a text.
        return Math.abs(width - estimated) <= 0.03 * estimated + 0.15
          ? []
          : [`${written}: ${width}, ${estimated}`];
      },
    );
    assert.deepEqual(off, []);
  });

  it('marks a part above its limit, also in words, and checks again when the temperature changes', async () => {
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('clean-plain') });
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'U2', setting: { type: 'TLC2262' } });
    await drawn();
    await until('a sign at U2A', () => part('U2A').querySelector('.sign') !== null);
    assert.isNotNull(part('U2B').querySelector('.sign'), 'both halves are the one part');
    assert.isNull(part('U1A').querySelector('.sign'));
    const said = () => button('U2A').getAttribute('aria-label') ?? '';
    const sentence = /U2 \(TLC2262\) sees \d+\.\d V, \d+\.\d V over its limit of 16 V/;
    assert.match(said(), new RegExp(`Warning: ${sentence.source}`));
    const notice = () => noticeBar(bench)?.querySelector('.notice[role="status"]')?.textContent ?? '';
    assert.match(notice(), sentence);
    await click('U2A');
    assert.match(bench.shadowRoot?.querySelector('part-card')?.shadowRoot?.textContent ?? '', sentence);
    const before = said();
    bench.store.act({ type: 'temperature', celsius: 60 });
    await until('another warning', () => said() !== before);
    assert.match(said(), sentence);
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'U2', setting: { type: 'TL072' } });
    await until('no sign at U2A', () => part('U2A').querySelector('.sign') === null);
  });

  for (const theme of ['light', 'dark'] as const) {
    it(`shows which part is chosen in ${theme} colours`, async () => {
      document.documentElement.dataset['theme'] = theme;
      await click('R4');
      const fill = luminance(getComputedStyle(part('R4').querySelector('.hit')!).fill);
      const paper = luminance(getComputedStyle(sheet().querySelector('.paper')!).backgroundColor);
      const [less, more] = [Math.min(fill, paper), Math.max(fill, paper)];
      // At a glance, beside an outline in the colour of ink. Common practice, no source.
      assert.isAbove((more + 0.05) / (less + 0.05), theme === 'dark' ? 1.8 : 1.2);
    });
  }
});
