import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { cliplead } from './command-run.ts';
import { lugsOf, textBoxes } from './drawn-wires.ts';

const folder = mkdtempSync(join(tmpdir(), 'cliplead-wiring-'));
const file = (name: string) => join(folder, name);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the command wiring', () => {
  it('writes one drawing for each pedal of a chain, with what a clockwise turn does and a warning where plus is at ground', async () => {
    const { code, err } = await cliplead(
      ...['wiring', '--build', 'treble-plain', '--then', 'germanium-fuzz-plain', '--out', file('w.svg')],
    );
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(existsSync(file('w.svg'))).toBe(false);
    const svgs = ['w-1.svg', 'w-2.svg'].map((name) => readFileSync(file(name), 'utf8'));
    expect(svgs.map((svg) => lugsOf(svg).some(({ lug }) => lug === 'ring'))).toEqual([true, true]);
    const texts = svgs.map((svg) =>
      textBoxes(svg)
        .map(({ text }) => text)
        .join(' '),
    );
    expect(texts.map((text) => /Plus is at ground/.test(text))).toEqual([false, true]);
    expect(texts[0]).toMatch(/clockwise: level \+\d+.dB/);
  });

  it('prints items, wires and pinouts', async () => {
    const { out } = await cliplead('wiring', '--build', 'treble-plain', '--json');
    const { items, wires, pinouts, notes } = JSON.parse(out);
    expect(wires).toContainEqual({ from: 'S1.3', to: 'S1.6', net: 'direct', isOptional: false });
    expect(items.map(({ ref }: { ref: string }) => ref)).toContain('DC socket');
    // A 2N404 in TO-5 is E B C, from memory.
    expect(pinouts[0].pins.map(({ lug }: { lug: string }) => lug)).toEqual(['E', 'B', 'C']);
    expect(notes.length).toBeGreaterThan(3);
  });

  it('says that it needs a file', async () => {
    const { code, err } = await cliplead('wiring', '--build', 'treble-plain');
    expect({ code, err }).toEqual({
      code: 2,
      err: 'cliplead: --out is missing: give an SVG file to write, or --json.\n',
    });
  });
});
