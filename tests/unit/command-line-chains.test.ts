import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { encodeWav } from '../../engine/audio/wav.ts';
import { type Chain, networkOfChain } from '../../engine/builds/chain.ts';
import { serialiseChain } from '../../engine/builds/chain-file.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const folder = mkdtempSync(join(tmpdir(), 'cliplead-chains-'));
const file = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const ROW = ['--build', 'clean-midlift', '--then', 'soft-plain'];

const SOFT = ['--build', 'soft-plain', '--then', 'soft-linear-tone'];
const tone = Float64Array.from({ length: 882 }, (_, n) => 0.1 * Math.sin((2 * Math.PI * 220 * n) / 44_100));
writeFileSync(file('tone.wav'), encodeWav({ sampleRateHz: 44_100, channels: [tone] }));
const PLAYED = ['--in', file('tone.wav'), '--oversample', '2'];

async function json<T>(...args: readonly string[]): Promise<T> {
  const { code, out, err } = await cliplead(...args, '--json');
  expect(err).toBe('');
  expect(code).toBe(0);
  return JSON.parse(out) as T;
}

async function decibelsAt1kHz(...args: readonly string[]): Promise<number> {
  const { points } = await json<{ points: { decibels: number }[] }>(
    'response',
    ...args,
    '--frequencies',
    '1000',
  );
  return points[0]!.decibels;
}

function ofChain(...pedals: readonly (readonly [string, number, boolean?])[]): number {
  const chain: Chain = {
    pedals: pedals.map(([name, cableMetres, isOn = true]) => ({
      build: presetBuild(name),
      isOn,
      cableMetres,
    })),
  };
  const network = networkOfChain(chain, NOMINAL_TEMPERATURE_K);
  return new FrequencyResponse(network).at(1000, network.output).decibels;
}

describe('a chain on the command line', () => {
  it('is made by --then, with patch cables or those of --then-cable', async () => {
    expect(await decibelsAt1kHz(...ROW)).toBeCloseTo(ofChain(['clean-midlift', 0.3], ['soft-plain', 0]), 9);
    const long = [...ROW, '--then', 'soft-led', '--then-cable', '10', '--then-cable', '20'];
    expect(await decibelsAt1kHz(...long)).toBeCloseTo(
      ofChain(['clean-midlift', 10], ['soft-plain', 20], ['soft-led', 0]),
      9,
    );
  });

  it('is read from a chain file or a preset, and goes on with --then', async () => {
    const pedals = [
      { build: presetBuild('clean-midlift'), isOn: false, cableMetres: 4 },
      { build: presetBuild('soft-plain'), isOn: true, cableMetres: 7 },
    ];
    writeFileSync(file('own.json'), serialiseChain({ title: 'Own', chain: { pedals } }));
    const expected = ofChain(['clean-midlift', 4, false], ['soft-plain', 7]);
    expect(await decibelsAt1kHz('--build', file('own.json'))).toBeCloseTo(expected, 9);
    expect(await decibelsAt1kHz('--build', 'chain-midlift')).toBeCloseTo(await decibelsAt1kHz(...ROW), 9);
    expect(await decibelsAt1kHz('--build', file('own.json'), '--then', 'soft-led')).toBeCloseTo(
      ofChain(['clean-midlift', 4, false], ['soft-plain', 0.3], ['soft-led', 0]),
      9,
    );
  });

  it('has parts, knobs and switches of a later pedal set by its number', async () => {
    const set = ['--set', '2:C9=100n', '--knob', '2:gain=1', '--set', 'R3=22k'];
    const { parts } = await json<{ parts: { ref: string; farads?: number; ohms?: number }[] }>(
      'netlist',
      ...ROW,
      ...set,
    );
    const partOf = (ref: string) => parts.find((part) => part.ref === ref);
    expect(partOf('2:C9')?.farads).toBe(100e-9);
    expect(partOf('1:R3')?.ohms).toBe(22e3);
    expect(partOf('1:V1')).toBeDefined();
    expect(partOf('2:V1')).toBeDefined();
    expect(await decibelsAt1kHz(...ROW, '--knob', '2:gain=1')).toBeGreaterThan(
      (await decibelsAt1kHz(...ROW)) + 3,
    );
  });

  it('has pedals switched off by --off, and all of them by --bypassed', async () => {
    expect(await decibelsAt1kHz(...ROW, '--off', '1')).toBeCloseTo(
      ofChain(['clean-midlift', 0.3, false], ['soft-plain', 0]),
      9,
    );
    expect(await decibelsAt1kHz(...ROW, '--bypassed')).toBeCloseTo(0, 9);
    expect(await decibelsAt1kHz('--build', 'soft-plain', '--off', '1')).toBeCloseTo(0, 9);
  });

  it('is measured at a net of any pedal', async () => {
    const at = (net: string) => decibelsAt1kHz(...ROW, '--net', net);
    expect(await at('2:in')).toBe(await at('1:out'));
    expect(await at('out')).toBe(await at('1:out'));
    expect(await at('2:out')).toBe(await decibelsAt1kHz(...ROW));
  });

  it('has the volts of every pedal and the current of every supply', async () => {
    const { nets, supplies } = await json<{
      nets: { net: string; volts: number }[];
      supplies: { ref: string }[];
    }>('voltages', ...ROW);
    const alone = await json<{ nets: { net: string; volts: number }[] }>('voltages', '--build', 'soft-plain');
    const voltsOf = (name: string) => nets.find(({ net }) => net === name)!.volts;
    const bias = alone.nets.find(({ net }) => net === 'bias')!.volts;
    expect(voltsOf('2:bias')).toBeCloseTo(bias, 6);
    expect(supplies.map(({ ref }) => ref)).toEqual(['1:V1', '2:V1']);
  });

  it('keeps the volts and the current of a pedal that is off with true bypass, and says so', async () => {
    type Chart = { nets: { net: string }[]; supplies: { ref: string; amps: number }[]; off: number[] };
    const currents = ({ supplies }: Chart) => supplies.map(({ amps }) => amps);
    const [on, off] = [
      await json<Chart>('voltages', ...SOFT),
      await json<Chart>('voltages', ...SOFT, '--off', '2'),
    ];
    // The footswitch of a true bypass cuts the signal at both ends, not the supply.
    expect(currents(off)).toHaveLength(2);
    for (const [index, amps] of currents(off).entries()) expect(amps).toBeCloseTo(currents(on)[index]!, 9);
    expect([on.off, off.off]).toEqual([[], [2]]);
    const { out } = await cliplead('voltages', ...SOFT, '--off', '2');
    expect(out).toMatch(/^Pedal 2 is off, but still powered/m);
  });

  it('says what in which pedal is over its limit', async () => {
    const { out } = await cliplead('voltages', ...ROW, '--set', '1:V1=18V', '--set', '1:U3=MAX1044');
    expect(out).toMatch(/^Warning: 1: U3 \(MAX1044\) sees/m);
  });

  it('has a parts list for each pedal, and one to order', async () => {
    const { pedals, order } = await json<{
      pedals: { value: string; quantity: number }[][];
      order: { kind: string; value: string; quantity: number; refs: string[] }[];
    }>('parts', ...ROW);
    const lists = ['clean-midlift', 'soft-plain'].map((name) => orderRows(presetBuild(name)));
    const counted = (rows: readonly { value: string; quantity: number }[]) =>
      rows.map(({ value, quantity }) => [value, quantity]);
    expect(pedals.map(counted)).toEqual(lists.map(counted));
    const sum = (rows: readonly { quantity: number }[]) =>
      rows.reduce((total, { quantity }) => total + quantity, 0);
    expect(sum(order)).toBe(sum(lists.flat()));
    const kilo = order.filter(({ kind, value }) => kind === 'resistor' && value === '10k');
    expect(kilo).toHaveLength(1);
    expect(kilo[0]!.refs).toEqual(expect.arrayContaining(['1:R3']));
    expect(kilo[0]!.refs.some((ref) => ref.startsWith('2:'))).toBe(true);
    const { out } = await cliplead('parts', ...ROW);
    expect(out).toMatch(/^pedal,group,kind,value,rating,quantity,refs,/);
    expect(out).toMatch(/\r\norder,Resistors,resistor,10k,0.25 W,/);
  });

  it('has the pop of every footswitch', async () => {
    const { pedals } = await json<{ pedals: ({ on: { peakV: number } } | null)[] }>('pop', ...SOFT);
    expect(pedals).toHaveLength(2);
    for (const each of pedals) expect(each!.on.peakV).toBeGreaterThan(0);
  }, 30_000);

  it('has levels and the clipping level of every pedal that is on', async () => {
    const { clipping, levels } = await json<{
      clipping: { pedal: number; kind: string }[];
      levels: { net: string }[];
    }>('sine', ...ROW);
    expect(clipping.map(({ pedal }) => pedal)).toEqual([1, 2]);
    expect(new Set(levels.map(({ net }) => net.split(':')[0]))).toEqual(new Set(['1', '2']));
    const off = await json<{ clipping: { pedal: number }[] }>('sine', ...ROW, '--off', '1');
    expect(off.clipping.map(({ pedal }) => pedal)).toEqual([2]);
    const lone = await json<{ clipping: { kind: string; pedal?: number } }>('sine', '--build', 'soft-plain');
    expect(Object.keys(lone.clipping)).toEqual(['kind', 'inputPeakV']);
  });

  it('hisses as a whole, and names the part with its pedal', async () => {
    type Report = { outputAWeighted: { microvolts: number }; contributions: { part: string }[] };
    const noise = await json<Report>('noise', ...ROW, '--source', 'shorted');
    const second = await json<Report>('noise', '--build', 'soft-plain', '--source', 'shorted');
    expect(noise.outputAWeighted.microvolts).toBeGreaterThan(second.outputAWeighted.microvolts);
    expect(noise.contributions[0]!.part).toMatch(/^1:/);
    const { out } = await cliplead('noise', ...ROW, '--off', '1');
    expect(out).toMatch(/at the input, pedal 1 switched off\n/);
  });

  it('is played, compared with another chain, and put into an excerpt', async () => {
    await json('render', ...SOFT, ...PLAYED, '--out', file('one.wav'));
    const other = ['--against', 'soft-linear-tone', '--against-then', 'soft-plain'];
    const { code, out } = await cliplead('compare', ...SOFT, ...other, ...PLAYED);
    expect(code).toBe(0);
    expect(out).toMatch(/^A: Plain build into 25k linear tone\nB: 25k linear tone into Plain build\n/);
    expect(out).toMatch(/\nA and B differ in\nThe order of the pedals\.\n/);
    const shown = await cliplead('excerpt', ...SOFT, ...other, ...PLAYED, '--out', file('two.wav'));
    expect(shown.code).toBe(0);
    expect(shown.out).toMatch(/^A: Plain build into 25k linear tone\nB: 25k linear tone into Plain build\n/);
    expect(readFileSync(file('two.wav')).length).toBeGreaterThan(1000);
    expect(shown.out).toMatch(
      /\nA, pedal 1: clips from .*\nA, pedal 2: clips from .*\nB, pedal 1: clips from /,
    );
    expect(shown.out).toMatch(/\nBetween the pedals 0\.3\u00a0m of cable\. .*\nThe chain alone, /);
    const half = await cliplead('excerpt', ...SOFT, '--off', '1', ...PLAYED, '--out', file('half.wav'));
    expect(half.out).toMatch(/\n\nPedal 2: clips from \d.*\nClips from: /);
  });

  it('says which of two equal pedals is off', async () => {
    const args = ['--build', 'soft-plain', '--off', '1', '--against', 'soft-plain', ...PLAYED];
    const { out } = await cliplead('compare', ...args);
    expect(out).toMatch(/^A: Plain build \(off\)\nB: Plain build\n/);
    expect(out).toMatch(/\nA and B differ in\noff in A, on in B\.\n$/);
  });

  it('has candidates for a part of any pedal', async () => {
    const args = ['rank', ...SOFT, '--part', '2:R9', '--candidates', '330', ...PLAYED];
    const { code, out } = await cliplead(...args);
    expect(code).toBe(0);
    expect(out).toMatch(/^2: Candidates for R9/);
    expect(out).toMatch(/\nPedal 2 of 2: before it "Plain build" and 0\.3\u00a0m of cable\./);
  }, 120_000);

  it('is checked as a file', async () => {
    writeFileSync(
      file('bad.json'),
      JSON.stringify({ format: 'cliplead-chain', version: 1, pedals: [{ build: {} }] }),
    );
    const { code, out } = await cliplead('circuit', '--check', file('bad.json'));
    expect(code).toBe(2);
    expect(out).toMatch(/^not-a-build at pedals\.0\.build\.format: Pedal 1: /);
  });

  it.each<[string[], RegExp]>([
    [
      ['voltages', ...ROW, '--then', 'soft-led', '--then', 'soft-led'],
      /--then soft-led: that makes 4 pedals; a chain has at most 3\./,
    ],
    [
      ['voltages', ...ROW, '--set', '3:R4=10k'],
      /--set 3:R4=10k: there is no pedal 3; the chain has 2 pedals\./,
    ],
    [
      ['voltages', '--build', 'soft-plain', '--knob', '2:gain=1'],
      /--knob 2:gain=1: there is no pedal 2; the chain has one pedal\./,
    ],
    [['voltages', ...ROW, '--off', '3'], /--off 3: there is no pedal 3/],
    [['voltages', ...ROW, '--set', '2:R99=10k'], /Pedal 2: .*R99/],
    [['voltages', ...ROW, '--knob', '2:gian=1'], /Pedal 2: .*gian/],
    [
      ['voltages', '--build', 'soft-plain', '--then-cable', '2'],
      /--then-cable needs a pedal at its end: name one with --then\./,
    ],
    [['voltages', ...ROW, '--then-cable', '40'], /--then-cable 40 is not a number from 0 to 30 m\./],
    [
      ['response', ...ROW, '--net', '2:nowhere'],
      /--net 2:nowhere: there is no net of that name that carries current\./,
    ],
    [
      ['compare', ...ROW, '--against-then', 'soft-led', ...PLAYED],
      /--against-then follows a pedal: name the first one with --against\./,
    ],
  ])('refuses in one line what does not fit: %j', async (args, message) => {
    const { code, out, err } = await cliplead(...args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(message);
    expect(err.trimEnd()).not.toContain('\n');
  });
});
