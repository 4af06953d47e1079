import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import { type Build, buildParts } from '../../engine/builds/build.ts';
import { chainWith, LONE } from '../../engine/builds/chain.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { benchSheet } from '../../engine/sheet/bench-sheet.ts';
import { type Caution, cautionsOf, cautionsOfAll } from '../../engine/sheet/cautions.ts';
import type { SheetData } from '../../engine/sheet/sheet-data.ts';
import { cssString } from '../../engine/sheet/sheet-markup.ts';
import { boardText, wireRows } from '../../engine/wiring/wire-list.ts';
import { wiringOf } from '../../engine/wiring/wiring-of-build.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const folder = mkdtempSync(join(tmpdir(), 'cliplead-sheet-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const sheetOf = (build: Build, fileName = 'mine.json') =>
  benchSheet({
    chain: chainWith(build, LONE),
    temperatureK: NOMINAL_TEMPERATURE_K,
    date: '2026-11-29',
    fileName,
  });

/** Cells of every row, as text, of the part of a sheet between two headings. */
function rowsIn(sheet: string, from: string, to: string): readonly (readonly string[])[] {
  const part = sheet.slice(sheet.indexOf(`<h2>${from}</h2>`), sheet.indexOf(`<h2>${to}</h2>`));
  return [...part.matchAll(/<tr><td>(.*?)<\/tr>/gs)].map(([, row]) =>
    row!.split('<td>').map((cell) => cell.replace(/<[^>]*>/g, '')),
  );
}

const headings = (sheet: string) => [...sheet.matchAll(/<h[12]>(.*?)<\/h[12]>/g)].map(([, text]) => text);
const about = (cautions: readonly Caution[], word: RegExp) =>
  cautions.filter((caution) => word.test(caution.about)).map(({ text }) => text);

describe('a bench sheet', () => {
  const build = presetBuild('soft-plain');
  const sheet = sheetOf(build);

  it('has date, file and all sections, in the order of the work at the bench', () => {
    expect(headings(sheet)).toEqual([
      'Plain build',
      ...['Schematic', 'Parts list', 'Wiring', 'Voltages', 'Changes and notes', 'Cautions'],
    ]);
    expect(sheet).toContain('<dd>2026-11-29</dd>');
    expect(sheet).toContain('<dd>mine.json</dd>');
  });

  it('names the supplies of its last voltages, the usual one too', () => {
    expect(sheet).toContain('<h3>With 9, 12 and 18 V</h3>');
    expect(sheet).toContain('This table checks the limits of chips, ');
  });

  it('lists every fitted part of the build file once', () => {
    // The file itself is what is compared with: parts that it says are fitted, but for the supply.
    const drawn = new Set(buildParts(fittedCircuit(build)).map(({ ref }) => ref));
    const fitted = Object.entries(build.parts).filter(
      ([ref, { fit }]) => fit === undefined && drawn.has(ref),
    );
    const places = rowsIn(sheet, 'Parts list', 'Wiring').flatMap((cells) => cells[4]!.split(', '));
    for (const [ref, { value, type }] of fitted) {
      if (ref.startsWith('V1')) continue;
      expect(places, `${ref} ${value ?? type}`).toContain(ref);
      expect(new RegExp(`<text class="ref"[^>]*>${ref}[A-Z]?( [a-z]+)?</text>`).test(sheet), ref).toBe(true);
    }
    const absent = Object.entries(build.parts).filter(([, { fit }]) => fit !== undefined);
    expect(absent.length).toBeGreaterThan(0);
    for (const [ref] of absent) expect(places).not.toContain(ref);
  });

  it('has the volts of every net that the network has', () => {
    const rows = new Map(rowsIn(sheet, 'Voltages', 'Changes and notes').map((cells) => [cells[0], cells]));
    for (const { net, volts } of voltageChart(networkOf(build, NOMINAL_TEMPERATURE_K)).nets) {
      const read = rows.get(net)?.[2];
      if (/^(guitar|V1|R22)/.test(net)) continue;
      expect(read, net).toBeDefined();
      // The meter of 10 MΩ takes less than 5 % anywhere here, and the chart leaves out the inner resistance of the supply.
      const number = Number.parseFloat(read!.replace('−', '-')) / (read!.includes('mV') ? 1000 : 1);
      expect(Math.abs(number - volts), net).toBeLessThan(0.05 * Math.abs(volts) + 0.05);
    }
  });

  it('shows a text from a stranger as text, and needs nothing from outside', () => {
    const hostile = '<script>alert(1)</script> "x" & </style><img src=http://e.com onerror=x>\u202e';
    const evil: Build = {
      ...build,
      title: hostile,
      notes: hostile,
      aliases: { R1: hostile.slice(0, 20) },
      start: { ...build.start, title: 'start' },
    };
    const made = sheetOf(evil, hostile);
    expect(/<script|<img|<link|<iframe|javascript:|\u202e/i.test(made)).toBe(false);
    expect(made.match(/<\/style/g)).toHaveLength(1);
    expect(/<[^>]*\s(?:src|href)=|url\(|@import/.test(made)).toBe(false);
    expect(made).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
    expect(cssString('a"}\n</')).toBe('"a\\22 \\7d \\a \\3c \\2f "');
  });

  it('has what was read on the board, with a verdict by sign and word, at the net and at its legs', () => {
    const typed = new Map([
      ['bias', '0,1'],
      ['supply', '8.96'],
      ['clipped', '<b>four</b>'],
    ]);
    const made = benchSheet({
      chain: chainWith(build, LONE),
      temperatureK: NOMINAL_TEMPERATURE_K,
      date: '2026-11-29',
      fileName: 'mine.json',
      readings: [{ meterOhms: 1e6, typed }],
    });
    // Half of 9 V is made by two equal resistors: 0.1 V is too low. A multimeter's last digits on 9 V are no fault.
    const rows = rowsIn(made, 'Voltages', 'Changes and notes');
    const readAt = (net: string) => rows.filter((cells) => cells[0] === net).map((cells) => cells[1]);
    expect(readAt('bias')).toEqual(['0,1▼ too low']);
    expect(readAt('supply')).toEqual(['8.96✓ fits']);
    expect(made).toContain('&lt;b&gt;four');
    expect(made).toContain('? no number');
    expect(made).toContain('meter of 1MΩ');
    expect(rows.find((cells) => cells[0] === '8 V+')).toEqual(
      expect.arrayContaining(['supply', '8.96✓ fits']),
    );
    expect(rowsIn(sheet, 'Voltages', 'Changes and notes').every((cells) => !/fits|too/.test(cells[1]!))).toBe(
      true,
    );
  });

  // 6 pt is the least that is read without effort; common practice, no source.
  it.each(['soft-plain', 'clean-plain', 'cascade-plain'])(
    'has letters of about 6 pt in the schematic of %s',
    (name) => {
      const drawings = [
        ...sheetOf(presetBuild(name)).matchAll(/<svg class="schematic" viewBox="0 0 (\S+) .*?<\/svg>/gs),
      ];
      expect(drawings.length).toBeGreaterThan(0);
      for (const [drawing, columns] of drawings) {
        const stepMm = Number(/width:([\d.]+)mm/.exec(drawing)![1]) / Number(columns);
        const sizes = [...drawing.matchAll(/font-size="([\d.]+)"/g)].map(([, size]) => Number(size));
        expect(Math.min(...sizes) * stepMm * (72 / 25.4)).toBeGreaterThan(5.6);
      }
    },
  );

  it('lists what differs from the starting values of the circuit, with what it moves', () => {
    const swapped: Build = { ...build, parts: { ...build.parts, C3: { value: '100n' } } };
    const changes = sheetOf(swapped).split('<h2>Changes and notes</h2>')[1]!;
    expect(changes).toMatch(/<li>C3 47n to 100n: [^<]*\d Hz to \d/);
    expect(sheet).toContain('No part differs from the starting values of the circuit.');
  });

  it('is written by the command, of a chain with a section for each pedal and its cautions once', async () => {
    const out = join(folder, 'sheet.html');
    const { code, err } = await cliplead('sheet', '--build', 'chain-midlift', '--out', out);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const made = readFileSync(out, 'utf8');
    expect(headings(made).filter((text) => /^Pedal|^Cautions/.test(text!))).toEqual([
      expect.stringMatching(/^Pedal 1: /),
      expect.stringMatching(/^Pedal 2: /),
      'Cautions',
    ]);
    expect(made).toContain('<dd>chain-midlift.json</dd>');
    const without = await cliplead('sheet', '--build', 'soft-plain');
    expect(without).toMatchObject({
      code: 2,
      err: 'cliplead: --out is missing: give an HTML file to write, or --json.\n',
    });
  });
});

describe('what a sheet says, as data', () => {
  const json = async (...args: readonly string[]) => {
    const { code, out, err } = await cliplead('sheet', '--json', ...args);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    return JSON.parse(out) as SheetData;
  };

  it('has readings of the command, in a chain with the number of the pedal', async () => {
    const readOf = ({ pedals }: SheetData) =>
      pedals.map(({ voltages }) => voltages.nets.flatMap(({ net, read }) => (read ? [[net, read]] : [])));
    const lone = await json('--build', 'soft-plain', '--readings', 'bias=8,9', '--meter', '1M');
    expect(readOf(lone)).toEqual([[['bias', { text: '8,9', mark: '▲', verdict: 'too high' }]]]);
    const chain = ['sheet', '--build', 'soft-plain', '--then', 'soft-led', '--json', '--readings'];
    const second = await cliplead(...chain, '2:supply=9');
    expect(readOf(JSON.parse(second.out) as SheetData)).toEqual([
      [],
      [['supply', { text: '9', mark: '✓', verdict: 'fits' }]],
    ]);
    const unknown = await cliplead(...chain, 'bias=4.5');
    expect(unknown).toMatchObject({
      code: 2,
      err: expect.stringMatching(/--readings bias=4\.5: there is no net bias; there are 1:in, /),
    });
  });

  it('is printed by the command, with the file and what was changed from it', async () => {
    const data = await json('--build', 'soft-plain', '--set', 'C3=100n');
    expect(data.fileName).toBe('soft-plain.json, with C3=100n');
    const [pedal] = data.pedals;
    expect(pedal!.parts.rows.find(({ refs }) => refs.includes('C3'))).toMatchObject({ value: '100n' });
    expect(pedal!.changes).toEqual([expect.stringMatching(/^C3 47n to 100n: .*Hz/)]);
    // Half of 9 V less what R17 takes, through the divider R15 and R16 of equal values.
    const bias = pedal!.voltages.nets.find(({ net }) => net === 'bias');
    expect(bias?.reads[0]).toMatch(/^4\.4\d V$/);
    expect(data.cautions.length).toBeGreaterThan(8);
  });

  it('says at which usual supply a chip is over its limit', async () => {
    const [pedal] = (await json('--build', 'clean-plain')).pedals;
    const { rails, otherSupplies } = pedal!.voltages;
    expect(otherSupplies.map(({ supply }) => supply)).toEqual(['9 V', '12 V', '18 V']);
    expect(otherSupplies.every(({ reads }) => reads.length === rails.length)).toBe(true);
    // Microchip DS21348A: 13 V are the most for a TC1044S.
    const limits = otherSupplies.map(({ problems }) => problems.some((text) => /TC1044S.* 13 V/.test(text)));
    expect(limits).toEqual([false, false, true]);
  });
});

it('says of a pad without a part which other wire comes to it', () => {
  // The circuit document: nothing but lug 1 of VR3 and lug 3 of VR4 is at the net "middle".
  const build = presetBuild('three-plain');
  const rows = wireRows(build, wiringOf(build)).filter(({ net, to }) => net === 'middle' && to === 'board');
  expect(rows.map((row) => [row.from, boardText(row)])).toEqual([
    ['VR3 lug 1', 'pad with VR4 lug 3'],
    ['VR4 lug 3', 'pad with VR3 lug 1'],
  ]);
});

describe('cautions', () => {
  it('name the limit of the converter and the usual supplies above it', () => {
    // Microchip DS21348A: TC1044S works up to 12 V.
    const [text] = about(cautionsOf(presetBuild('clean-plain')), /^Converter/);
    expect(text).toMatch(/^TC1044S works with at most 12 V .* Do not try 15 or 18 V\.$/);
    expect(about(cautionsOf(presetBuild('soft-plain')), /^Converter/)).toEqual([]);
  });

  it('warn of a shared adapter where plus is at ground, and of batteries where they can feed the build', () => {
    const fuzz = presetBuild('germanium-fuzz-plain');
    expect(about(cautionsOf(fuzz), /^Positive ground/)).toHaveLength(1);
    expect(about(cautionsOf(presetBuild('soft-plain')), /^Positive ground/)).toEqual([]);
    const at12V: Build = { ...fuzz, parts: { ...fuzz.parts, V1: { value: '12V' } } };
    expect([fuzz, at12V].map((build) => about(cautionsOf(build), /^Battery/).length)).toEqual([1, 0]);
  });

  it('say for each where it is from, and end with local rules', () => {
    const cautions = cautionsOfAll([presetBuild('soft-plain'), presetBuild('clean-plain')]);
    for (const { source } of cautions) expect(source).toMatch(/from memory|no source|DS21348A/);
    expect(cautions.at(-1)?.text).toMatch(/law and codes where you live.*licensed or qualified person/);
    for (const word of [
      /Mains/,
      /lead/,
      /Fumes/,
      /Eyes/,
      /Electrolytic/,
      /Old electrolytic/,
      /Battery/,
      /Polarity/,
    ])
      expect(about(cautions, word).length, String(word)).toBeGreaterThan(0);
    // The battery concerns both in the same words.
    expect(cautions.filter(({ about: name }) => /Battery/.test(name)).map(({ about: name }) => name)).toEqual(
      ['Pedal 1, 2: Battery'],
    );
  });
});
