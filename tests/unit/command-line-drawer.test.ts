import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { readDrawer } from '../../engine/builds/drawer-file.ts';
import { readCsv } from '../../engine/input/csv.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const folder = mkdtempSync(join(tmpdir(), 'cliplead-drawer-'));
const drawer = join(folder, 'bags.txt');
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const BAGS = [
  '2x 10k 0.25W',
  '50 1N4148',
  '3 red LED',
  '1x BAT46',
  '2x 27k',
  '2x 24k',
  '10x 4k7',
  '1x 47u electrolytic',
];
writeFileSync(drawer, [...BAGS, 'nonsense'].join('\n'));

describe('parts and rank with a drawer', () => {
  it('say how many to buy, what is not rated, and which two parts make a missing value', async () => {
    const { code, out, err } = await cliplead('parts', '--build', 'soft-plain', '--drawer', drawer);
    expect(code).toBe(0);
    expect(err).toMatch(/Line 9: "nonsense" is not understood/);
    const [head, ...lines] = readCsv(out).map(({ cells }) => cells);
    const of = (value: string) => {
      const line = lines.find((cells) => cells[2] === value)!;
      return Object.fromEntries(head!.map((name, column) => [name, line[column]]));
    };
    // Six of 10k are needed.
    expect(of('10k')).toMatchObject({ quantity: '6', owned: '2', buy: '4' });
    expect(of('1N4148')).toMatchObject({ owned: '3', buy: '0' });
    expect(of('47u')).toMatchObject({
      owned: '1',
      buy: '0',
      note: '1 without a rating on the bag: check it',
    });
    expect(of('51k')['note']).toMatch(/^instead: 27k and 24k in series \(exact\)/);
  }, 60_000);

  it('list only the swaps that are not owned', async () => {
    const { out } = await cliplead(
      'parts',
      '--build',
      'soft-plain',
      '--against',
      'soft-led',
      '--drawer',
      drawer,
      '--json',
    );
    expect(JSON.parse(out)).toMatchObject([{ value: 'LED-red', quantity: 3, owned: 3, buy: 0 }]);
  }, 60_000);

  it('refuse a file that is not there', async () => {
    const { code, err } = await cliplead('parts', '--build', 'soft-plain', '--drawer', join(folder, 'none'));
    expect(code).toBe(2);
    expect(err).toMatch(/--drawer: .* there is no such file or folder/);
  });

  it('try only what there is enough of', () => {
    const soft = presetBuild('soft-plain');
    const { items } = readDrawer(BAGS.join('\n'));
    const texts = (refs: readonly string[], text?: string) =>
      candidatesFor(soft, refs, text, items).map((candidate) => candidate.text);
    // One BAT46 is not enough for two places.
    expect(texts(['D1', 'D2'])).toEqual(['LED-red']);
    expect(texts(['D1'])).toEqual(['BAT46', 'LED-red']);
    // Both 10k are needed elsewhere in the build.
    expect(texts(['R4'])).toEqual(['24k', '27k']);
    expect(texts(['R4'], '27k, 33k')).toEqual(['27k']);
    expect(() => candidatesFor(soft, ['R4'], '33k', items)).toThrow(/^You own no other part to try at R4\.$/);
  });
});
