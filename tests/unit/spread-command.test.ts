import { describe, expect, it } from 'vitest';
import { cliplead } from './command-run.ts';

describe('the command "spread"', () => {
  it('prints as data the bands of a chain, the causes, and the size of a swap beside another set of parts', async () => {
    const chain = ['--build', 'jfet-plain', '--then', 'soft-plain', '--off', '2'];
    const swap = ['--against', 'jfet-headroom', '--against-then', 'soft-plain'];
    const size = ['--count', '300', '--clipping', '4', '--temperature', '10..40', '--seed', '7'];
    const { code, out } = await cliplead('spread', ...chain, ...swap, ...size, '--json');
    expect(code).toBe(0);
    const found = JSON.parse(out);
    expect(found).toMatchObject({ count: 300, seed: 7, found: 300 });
    expect(found.hz).toHaveLength(60);
    for (const { low, lower, median, upper, high } of found.response)
      expect([low, lower, median, upper, high]).toEqual(
        [low, lower, median, upper, high].sort((one, other) => one - other),
      );
    // The switched-off pedal causes nothing; the other's JFET decides its own drain.
    const drain = found.nets.find(({ name }: { readonly name: string }) => name === '1:drain');
    expect(drain.causes.shares[0].label).toBe('1:Q1');
    expect(found.clipping.tried).toBe(4);
    expect(found.swap.tone.swapDb).toBeGreaterThan(0);
    expect(found.swap.says[0]).toMatch(
      /^Tone: the swap changes it by [\d.]+ dB, .+ what another set of the same parts does \([\d.]+ dB\)\.$/,
    );
  }, 60_000);

  it('prints the same in words, with the time it took', async () => {
    const { out } = await cliplead(
      'spread',
      '--build',
      'germanium-fuzz-plain',
      '--count',
      '300',
      '--clipping',
      '2',
    );
    expect(out).toMatch(/300 builds in [\d.]+ s; clipping level of 2 in [\d.]+ s\. Seed 1\./);
    expect(out).toContain('Too few builds to say which parts change the tone: 300 work, 1,000 are needed.');
    expect(out).toMatch(/^first collector( +-0\.\d{3}){6} *$/m);
    expect(out).toContain(
      'Clips from: as printed soft from the start; of 2 builds tried, 2 soft from the start.',
    );
    expect(out).toMatch(/parts sets \d+ and \d+, tone [\d.]+ dB apart/);
  }, 60_000);

  it.each([
    [['--temperature', '40..5'], '--temperature 40..5 runs backwards.'],
    [['--temperature', '5..'], '--temperature 5.. should be one, or a range such as 5..40.'],
    [['--temperature', '..5'], '--temperature ..5 should be one, or a range such as 5..40.'],
    [['--temperature', '5..90'], '--temperature 90 is out of range'],
    [['--count', '20'], '--count 20 is not a number from 100 to 100000.'],
    [['--count', '200.5'], '--count 200.5 is not a whole number.'],
    [['--resistors', '50'], '--resistors 50 is not a number from 0.1 to 20 %.'],
  ])('refuses %j with the value', async (args, message) => {
    const { code, err } = await cliplead('spread', '--build', 'soft-plain', ...args);
    expect(code).toBe(2);
    expect(err).toContain(message);
  });

  it('refuses a build that has no operating point as printed, in one line', async () => {
    const { code, err } = await cliplead(
      'spread',
      '--build',
      'soft-plain',
      '--set',
      'V1=1V',
      '--count',
      '100',
    );
    expect(code).toBe(2);
    expect(err).toMatch(/^cliplead: U1.* is starved.*\n$/);
  }, 60_000);
});
