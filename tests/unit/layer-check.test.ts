import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { checkImports } from '../layer-check.mjs';

const folders: string[] = [];
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true });
});

/** The refusals in a project of two files, one of which imports the other. */
async function refused(importing: string, imported: string): Promise<readonly string[]> {
  const project = mkdtempSync(path.join(tmpdir(), 'cliplead-layers-'));
  folders.push(project);
  for (const file of [importing, imported])
    mkdirSync(path.dirname(path.join(project, file)), { recursive: true });
  writeFileSync(path.join(project, imported), 'export const ONE = 1;\n');
  const from = path.relative(path.dirname(importing), imported);
  const name = from.startsWith('.') ? from : `./${from}`;
  writeFileSync(
    path.join(project, importing),
    `import { ONE } from '${name}';\nexport const TWO = ONE + 1;\n`,
  );
  const { violations, modules } = await checkImports(project, ['.']);
  expect([...modules].sort()).toEqual([importing, imported].sort());
  return violations;
}

describe('the check of the layers', () => {
  it('accepts an import that follows the order of the engine’s folders', async () => {
    expect(await refused('engine/solver/one.ts', 'engine/units/two.ts')).toEqual([]);
    expect(await refused('ui/one.ts', 'engine/units/two.ts')).toEqual([]);
  });

  it('refuses an import against the order of the engine’s folders', async () => {
    expect(await refused('engine/units/one.ts', 'engine/solver/two.ts')).toEqual([
      'engine-order-units: engine/units/one.ts -> engine/solver/two.ts',
    ]);
    expect(await refused('engine/audio/one.ts', 'engine/analysis/two.ts')).toEqual([
      'engine-order-audio: engine/audio/one.ts -> engine/analysis/two.ts',
    ]);
  });

  it('refuses a folder of the engine that is not in the order', async () => {
    expect(await refused('engine/solver/one.ts', 'engine/elsewhere/two.ts')).toEqual([
      'engine-folder-has-a-place: engine/solver/one.ts -> engine/elsewhere/two.ts',
    ]);
  });

  it('refuses an import of the page by the engine', async () => {
    expect(await refused('engine/units/one.ts', 'ui/two.ts')).toEqual([
      'engine-knows-no-page: engine/units/one.ts -> ui/two.ts',
    ]);
  });

  it('checks the same order that the guide states', () => {
    const { engineOrder } = createRequire(import.meta.url)('../../.dependency-cruiser.cjs') as {
      readonly engineOrder: readonly string[];
    };
    expect(readFileSync(new URL('../../DEVELOPERS.md', import.meta.url), 'utf8')).toContain(
      engineOrder.join(' < '),
    );
  });
});
