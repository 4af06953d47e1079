import { type Browser, chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { USUAL_PATCH_METRES } from '../../engine/builds/chain.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { benchSheet } from '../../engine/sheet/bench-sheet.ts';
import { CHROMIUM_FLAGS, requireChromium } from '../chromium.mjs';
import { presetBuild } from '../preset-build.ts';
import { pageFaults } from '../print/page-faults.ts';
import { missingPoppler } from '../print/poppler.mjs';
import { type PrintedDocument, printed } from '../print/printed-pages.ts';

/**
 * Bench sheets as they leave the printer. To look at the pages:
 * CLIPLEAD_PICTURES=FOLDER npm test -- unit tests/live/printed-sheet.test.ts
 */
const missing = missingPoppler();
if (missing !== undefined) console.log(missing);

const DATE = '2026-11-29';
const sheetOf = (fileName: string, ...builds: readonly Build[]) =>
  benchSheet({
    chain: { pedals: builds.map((build) => ({ build, isOn: true, cableMetres: USUAL_PATCH_METRES })) },
    temperatureK: NOMINAL_TEMPERATURE_K,
    date: DATE,
    fileName,
    log: ['2026-11-29 21:10: C3 47n to 100n. Played: riff.'],
  });

describe.skipIf(missing !== undefined)('a printed bench sheet', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await chromium.launch({ executablePath: requireChromium(), args: [...CHROMIUM_FLAGS] });
  });
  afterAll(() => browser?.close());

  const SECTIONS = ['Schematic', 'Parts list', 'Wiring', 'Voltages', 'Changes and notes'];
  // Pages as a person counted them in the pictures, give or take one for another typeface.
  it.each([
    { name: 'soft-plain', presets: ['soft-plain'], pages: 8 },
    { name: 'three-plain', presets: ['three-plain'], pages: 8 },
    { name: 'chain', presets: ['clean-midlift', 'soft-plain'], pages: 20 },
  ])(
    'of $name breaks where a person would, loses nothing, and says what and when it is',
    async ({ name, presets, pages: counted }) => {
      const document = await printed(browser, sheetOf(`${name}.json`, ...presets.map(presetBuild)), name);
      expect(pageFaults(document)).toEqual([]);
      const { pages, headings } = document;
      expect(Math.abs(pages.length - counted), `${pages.length} pages`).toBeLessThanOrEqual(1);
      for (const section of SECTIONS)
        expect(headings.filter((heading) => heading === section)).toHaveLength(presets.length);
      expect(headings.slice(-2)).toEqual(['Mod log', 'Cautions']);
      for (const [index, { lines }] of pages.entries()) {
        const footer = lines.at(-1)!.text;
        expect(footer).toContain(`, ${DATE}, ${name}.json`);
        expect(footer.endsWith(`${index + 1} / ${pages.length}`)).toBe(true);
      }
      expect(pages[0]!.lines.map(({ text }) => text)).toEqual(
        expect.arrayContaining([`Date ${DATE}`, `File ${name}.json`]),
      );
    },
  );

  describe('is faulted', () => {
    const HEAD =
      '<style>@page { size: A4; margin: 14mm } h2 { font-size: 13pt } td, th { border-bottom: 1px solid; text-align: left }</style>';
    const faultsOf = async (body: string, change: Partial<PrintedDocument> = {}) =>
      pageFaults({ ...(await printed(browser, `${HEAD}${body}`, 'faulty')), ...change });
    const down = (mm: number) => `<div style="height:${mm}mm"></div>`;
    const filler = '<p>Line.</p>'.repeat(14);

    it('for ink in the margin, which a printer cuts', async () => {
      expect(await faultsOf(`<style>@page { margin: 5mm }</style>${filler}`)).toEqual([
        expect.stringMatching(/^page 1: ink in the margin/),
      ]);
      expect(await faultsOf(filler)).toEqual([]);
    });

    it('for what is wider than the paper, its cell or its drawing', async () => {
      const wide = `<div style="width:190mm">wide</div>`;
      const svg = `<svg width="50" height="20"><text x="30" y="10">outside</text></svg>`;
      const cell = `<table style="table-layout:fixed;width:20mm"><tr><td>Unbreakablewords</td></tr></table>`;
      const at = async (body: string) => (await faultsOf(`${filler}${body}`)).join();
      expect(await at(wide)).toMatch(/^too wide for its room: div “wide”/);
      expect(await at(svg)).toMatch(/^too wide for its room: text “outside”/);
      expect(await at(cell)).toMatch(/^too wide for its room: td “Unbreakablewords”/);
    });

    it('for a page with next to nothing on it', async () => {
      expect(await faultsOf(`${filler}<p style="break-before:page">One.</p>`)).toEqual([
        expect.stringMatching(/^page 2: nearly blank/),
      ]);
    });

    it('for a heading without its section', async () => {
      const body = `${filler}${down(130)}<h2 style="break-after:auto">Alone</h2>${down(30)}${filler}`;
      expect(await faultsOf(body)).toContainEqual(expect.stringMatching(/^“Alone” on page 1 has 0 lines/));
    });

    it('for a row of a table that goes on overleaf', async () => {
      const row = '<tr><td>one<br>two<br>three<br>four</td><td>a</td></tr>';
      const table = (style: string) =>
        `${down(5)}<table style="width:100%;border-collapse:collapse"><thead><tr><th>First</th><th>Second</th></tr></thead>${row.replaceAll('<tr>', `<tr style="${style}">`).repeat(20)}</table>`;
      expect(await faultsOf(table(''))).toContainEqual(expect.stringMatching(/last row of a table is cut$/));
      expect(await faultsOf(table('break-inside:avoid'))).toEqual([]);
    });

    it('for a schematic over two pages, and for a text that is not printed', async () => {
      const svg = `<svg class="schematic" width="100" height="1200"><text class="ref" x="1" y="50">R1</text><text class="ref" x="1" y="1150">R2</text></svg>`;
      expect(await faultsOf(`${filler}${svg}${filler}${filler}`)).toContain(
        'schematic 1 is not whole on one page',
      );
      expect(await faultsOf(`${filler}<p style="display:none">Hidden.</p>`)).toEqual([
        'not printed: Hidden.',
      ]);
    });
  });
});
