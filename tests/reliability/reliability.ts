import { readdirSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { type Kind, type KindResult, tryKind } from './kind.ts';

const FOLDERS = {
  alone: new URL('kinds/', import.meta.url),
  page: new URL('page-kinds/', import.meta.url),
} as const;
const FAULTS_SHOWN = 5;

/**
 * Hostile inputs, kind by kind: `--seed N`, `--count N` of each kind (a slow kind tries a fraction of it),
 * `--only WORD` of a kind's name, `--json`. With `--page` instead, the
 * kinds that need the built page in a Chromium. The exit code is 1 if an input was neither accepted nor refused in a
 * sentence.
 */
export async function runReliability(args: readonly string[]): Promise<number> {
  const text = { type: 'string' } as const;
  const { values } = parseArgs({
    args: [...args],
    options: { seed: text, count: text, only: text, json: { type: 'boolean' }, page: { type: 'boolean' } },
  });
  const [seed, count] = [Number(values.seed ?? 1), Number(values.count ?? 300)];
  if (!(Number.isInteger(seed) && seed >= 0 && Number.isInteger(count) && count >= 1))
    throw new RangeError(`--seed ${values.seed} --count ${values.count}: whole numbers are wanted`);
  const results: KindResult[] = [];
  for (const kind of await allKinds(values.page ? 'page' : 'alone')) {
    if (values.only !== undefined && !kind.name.includes(values.only)) continue;
    const result = await tryKind(kind, { seed, count });
    results.push(result);
    if (!values.json) print(result);
  }
  if (values.json) process.stdout.write(`${JSON.stringify({ seed, count, kinds: results }, undefined, 2)}\n`);
  return results.every(({ tried, passed }) => passed === tried) && results.length > 0 ? 0 : 1;
}

/** Every file of the folder contains one kind. */
export async function allKinds(place: keyof typeof FOLDERS): Promise<readonly Kind[]> {
  const folder = FOLDERS[place];
  const names = readdirSync(folder).filter((name) => name.endsWith('.ts'));
  const modules = await Promise.all(
    names.sort().map((name) => import(/* @vite-ignore */ new URL(name, folder).href)),
  );
  return (modules as { readonly kind: Kind }[]).map(({ kind }) => kind);
}

function print({ kind, tried, passed, worst, faults }: KindResult): void {
  const figure = `${worst.name} ${worst.value.toFixed(2)} ${worst.unit}`;
  process.stdout.write(
    `${kind.padEnd(28)} ${String(passed).padStart(5)} of ${String(tried).padStart(5)} passed, ${figure}\n`,
  );
  for (const { seed, fault } of faults.slice(0, FAULTS_SHOWN))
    process.stdout.write(`  seed ${seed}: ${fault}\n`);
}
