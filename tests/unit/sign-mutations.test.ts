import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it, vi } from 'vitest';
import { unusedEquivalents } from '../mutations/equivalent-signs.ts';
import { MUTATED_SOURCES, testsFor } from '../mutations/mutated-sources.ts';
import { runMutations } from '../mutations/mutations.ts';
import { mutated, signMutations } from '../mutations/sign-mutations.ts';

const sourcesIn = (folder: string) =>
  readdirSync(folder, { recursive: true })
    .map((name) => `${folder}/${name}`)
    .filter((file) => file.endsWith('.ts'));
const hasSigns = (file: string) => signMutations(readFileSync(file, 'utf8')).length > 0;

/** The results of a code snippet, one flip after the other. */
const flips = (source: string) => signMutations(source).map((mutation) => mutated(source, mutation));

describe('a flipped sign', () => {
  it('applies to a sum, a difference or a sign before a number', () => {
    expect(flips('const i = g * (a - b) + c;')).toEqual([
      'const i = g * (a + b) + c;',
      'const i = g * (a - b) - c;',
    ]);
    expect(flips('out[k] = -slope;')).toEqual(['out[k] = slope;']);
    expect(flips('inject(b, k, -1);')).toEqual(['inject(b, k, 1);']);
    expect(flips("const polarity = kind === 'npn' ? 1 : -1;")).toEqual([
      "const polarity = kind === 'npn' ? 1 : 1;",
    ]);
  });

  it('applies to += and -=', () => {
    expect(flips('residual[a]! += amps;')).toEqual(['residual[a]! -= amps;']);
    expect(flips('residual[b]! -= amps;')).toEqual(['residual[b]! += amps;']);
  });

  it('applies to what emitted code adds, subtracts and negates', () => {
    const from = "import { add, negate, subtract } from './expression.ts';\n";
    expect(flips(`${from}f.set(x, add(a, subtract(b, negate(c))));`)).toEqual([
      `${from}f.set(x, subtract(a, subtract(b, negate(c))));`,
      `${from}f.set(x, add(a, add(b, negate(c))));`,
      `${from}f.set(x, add(a, subtract(b, (c))));`,
    ]);
  });

  it('applies to the sums in a formula of a device', () => {
    const from = "import { add, subtract } from './formula.ts';\n";
    expect(flips(`${from}const gd = subtract(gs, ds);`)).toEqual([`${from}const gd = add(gs, ds);`]);
  });

  it('never fails for a missing name: it imports what the source lacked, and leaves other names alone', () => {
    const from = "import { add } from '../expression.ts';\n";
    expect(flips(`${from}f.set(x, add(a, b));\n`)).toEqual([
      `${from}f.set(x, subtract(a, b));\nimport { subtract } from '../expression.ts';\n`,
    ]);
    expect(flips('const add = (row, value) => {}; add(a, farads); names.add(b);')).toEqual([]);
  });

  it('does not apply to counts of entries, joined texts, loop headers, or −1 as a mark for "none"', () => {
    const sources = [
      'out[at + 2] = rows[row * width + column - 1];',
      'for (let k = n - 1; k >= 0; k -= 2) go(k);',
      'const next = firstPort + port;',
      "throw new Error('no net ' + name);",
      'if (index === -1) return -1;',
      'const GROUND_INDEX = -1;',
      'let count = 0; count++;',
      'const rest = Array.from({ length: n - 2 }, go);',
      'const device = { opampIndex: -1, outputNode: -1 };',
      'f.set(locals.at(-1), code);',
      'const order = new Int32Array(count).fill(-1);',
      'return { plus, minus, from: plus, to: minus, metered: -1 };',
    ];
    for (const source of sources) expect(flips(source), source).toEqual([]);
  });

  it('states its place, and the rest of the source is unchanged', () => {
    const source = ['// a - b in a comment is none', 'const u = 1;', '  const vd = plus - minus;', ''].join(
      '\n',
    );
    const [mutation, ...others] = signMutations(source);
    expect(others).toEqual([]);
    expect(mutation).toMatchObject({ line: 3, column: 19, before: '-', after: '+' });
    expect(mutation!.context).toBe('const vd = plus - minus;');
    expect(mutated(source, mutation!)).toBe(source.replace('plus - minus', 'plus + minus'));
  });
});

describe('the list of sources whose signs are flipped', () => {
  it('has every source of the solver and of the devices with a sign', () => {
    const sources = ['engine/solver', 'engine/devices'].flatMap(sourcesIn).filter(hasSigns);
    expect(sources.length).toBeGreaterThan(30);
    expect(sources.filter((file) => !MUTATED_SOURCES.includes(file))).toEqual([]);
  });

  it('names as without effect only signs that stand in the sources', () => {
    const places = MUTATED_SOURCES.flatMap((file) => {
      const source = readFileSync(file, 'utf8');
      return signMutations(source).map((mutation) => ({ file, source, mutation }));
    });
    expect(unusedEquivalents(places)).toEqual([]);
  });

  it('has no source without a sign, and no test that does not exist', () => {
    expect(MUTATED_SOURCES.filter((file) => !hasSigns(file))).toEqual([]);
    expect(MUTATED_SOURCES.flatMap(testsFor).filter((test) => !existsSync(test))).toEqual([]);
  });
});

describe('a run of flipped signs', () => {
  /** The lines that a run prints, and its exit code. */
  async function printed(...args: string[]): Promise<{ lines: string[]; exitCode: number }> {
    const log = vi.spyOn(console, 'log').mockImplementation(() => {});
    const exitCode = await runMutations(args);
    const lines = log.mock.calls.flatMap(([text]) => String(text).split('\n'));
    log.mockRestore();
    return { lines, exitCode };
  }
  const ofJunctions = ['--list', '--only', 'devices/junction.ts'];

  it('goes on at a place of the list, with the same numbers', async () => {
    const { lines: all } = await printed(...ofJunctions);
    expect(all.length).toBeGreaterThan(4);
    const { lines } = await printed(...ofJunctions, '--from', '3', '--to', '4');
    expect(lines).toEqual([expect.stringMatching(/^3 /), expect.stringMatching(/^4 /)]);
    expect(lines).toEqual(all.slice(2, 4));
  });

  it('refuses a range that the list does not have', async () => {
    const { lines, exitCode } = await printed(...ofJunctions, '--from', '0', '--to', '4');
    expect(lines).toEqual([expect.stringMatching(/^--from 0 --to 4 is no range of the \d+ places$/)]);
    expect(exitCode).toBe(2);
  });
});
