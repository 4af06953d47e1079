import { describe, expect, it } from 'vitest';
import { readBagLine } from '../../engine/builds/bag-line.ts';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { serialiseChain } from '../../engine/builds/chain-file.ts';
import { drawerCsv } from '../../engine/builds/drawer-file.ts';
import { serialiseMeasured } from '../../engine/builds/measured-parts.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { readIncoming } from '../../ui/share/incoming-text.ts';
import { presetBuild } from '../preset-build.ts';
import { HOSTILE_TEXTS } from '../reliability/hostile-texts.ts';

const LED = presetBuild('soft-led');
const BUILD = serialiseBuild(LED);
const CHAIN = serialiseChain({
  title: 'two',
  chain: {
    pedals: [
      { build: LED, isOn: true, cableMetres: 0.3 },
      { build: LED, isOn: false, cableMetres: 3 },
    ],
  },
});
const RESISTOR = { name: '10k no. 3', kind: 'resistor', like: '10k', value: 9870 } as const;
const MEASURED = serialiseMeasured([RESISTOR]);
const DRAWER = drawerCsv([readBagLine('100x 4k7 1%').item, readBagLine('5x 1N4148').item]);

function refusalOf(text: string): string {
  try {
    readIncoming(text);
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
  return 'taken';
}

describe('a text from outside', () => {
  it('is a build, a chain, a list of measured parts or a drawer, whichever it says', () => {
    const build = readIncoming(BUILD);
    expect(build.kind === 'chain' && build.chain.pedals.map(({ build }) => build.title)).toEqual([LED.title]);
    const chain = readIncoming(`\uFEFF\n${CHAIN}`);
    expect(chain.kind === 'chain' && chain.chain.pedals.map(({ isOn }) => isOn)).toEqual([true, false]);
    expect(readIncoming(MEASURED)).toMatchObject({ kind: 'measured', parts: [RESISTOR], problems: [] });
    expect(readIncoming(JSON.stringify(RESISTOR))).toMatchObject({ kind: 'measured', parts: [RESISTOR] });
    expect(readIncoming(DRAWER)).toMatchObject({
      kind: 'drawer',
      items: [
        { count: 100, value: '4k7' },
        { count: 5, type: '1N4148' },
      ],
      problems: [],
    });
    expect(readIncoming('10x 100n film\n3x TL072')).toMatchObject({ kind: 'drawer', problems: [] });
  });

  it('is taken in part where parts of it are sound, with a sentence for each that is not', () => {
    const parts = [RESISTOR, { ...RESISTOR, name: '10k no. 4', value: -1 }];
    const measured = readIncoming(JSON.stringify({ format: 'cliplead-measured-parts', version: 1, parts }));
    expect(measured).toMatchObject({ kind: 'measured', parts: [RESISTOR] });
    expect(measured.kind === 'measured' && measured.problems[0]).toMatch(/^10k no\. 4: its value is -1/);
    const drawer = readIncoming('10x 100n film\n3x TL072\nsomething else');
    expect(drawer.kind === 'drawer' && drawer.problems[0]).toMatch(/^Line 3: /);
  });

  it.each([
    [' \n', /^It is empty\.$/],
    [BUILD.slice(0, -20), /^It is cut off or damaged/],
    [MEASURED.slice(0, 90), /^It is cut off or damaged/],
    ['[1, 2]', /no build, no chain, no list of measured parts and no drawer: it has no JSON object/],
    ['{"format": "other"}', /its format is "other"/],
    ['{"__proto__": {"kind": "resistor"}}', /its format is missing/],
    ['{"constructor": {"prototype": {}}, "kind": "resistor"}', /The name of a part is missing/],
    ['{"format": "cliplead-measured-parts", "version": 9, "parts": []}', /It has version 9/],
    ['{"format": "cliplead-measured-parts", "version": 1, "parts": []}', /list of measured parts is empty/],
    ['{"format": "cliplead-measured-parts", "version": 1, "parts": [7]}', /No part of it can be used/],
    [`${'['.repeat(100_000)}`, /not a build/i],
    ['x'.repeat(3_000_001), /^It has 3000001 characters/],
    ['Dear builder,\nhere are 10k and\nthe other parts.', /^It is no build, no chain/],
    ['part;price\n10k;3', /As a drawer: /],
    ['<html><p>10k</p></html>', /^It is no build, no chain/],
  ])('is refused in a sentence: %.60j', (text, sentence) => {
    expect(refusalOf(text)).toMatch(sentence);
  });

  it('is refused where it is hostile, but for a bag that is printed twice on a line', () => {
    const all = HOSTILE_TEXTS.flatMap((text) => [text, `{${text}`, `{"format": ${JSON.stringify(text)}}`]);
    expect(all.filter((text) => refusalOf(text) === 'taken')).toEqual(['4k7 4k7']);
    expect(readIncoming('4k7 4k7')).toMatchObject({ kind: 'drawer', items: [{ value: '4k7', count: 1 }] });
  });
});
