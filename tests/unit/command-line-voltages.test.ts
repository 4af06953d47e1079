import { expect, it } from 'vitest';
import { cliplead } from './command-run.ts';

const SOFT = ['voltages', '--build', 'soft-plain'];

interface Metered {
  readonly nets: readonly {
    readonly net: string;
    readonly volts: number;
    readonly reads: Record<string, number>;
  }[];
  readonly legs: readonly { readonly part: string; readonly number: number; readonly net?: string }[];
  readonly batteryHours: readonly { readonly hours: number }[];
  readonly readings: { readonly isSound: boolean; readonly suspects: readonly { readonly text: string }[] };
}

it('prints what a meter reads at nets and legs, with battery and adapter, and what a wrong reading means', async () => {
  const wrong = await cliplead(...SOFT, '--meter', '10M', '--readings', 'bias=0, supply=8.96', '--json');
  const { nets, legs, batteryHours, readings } = JSON.parse(wrong.out) as Metered;
  const base = nets.find(({ net }) => net === 'base')!;
  // Two resistors of 1 MΩ hold it in this circuit, nearly: the meter takes a twentieth.
  expect(base.reads['adapter']! / base.volts).toBeCloseTo(10 / 10.5, 2);
  expect(Object.keys(base.reads)).toEqual(['adapter', 'fresh battery', 'flat battery']);
  expect(legs.filter(({ part }) => part === 'U1').map(({ number }) => number)).toEqual([
    1, 2, 3, 4, 5, 6, 7, 8,
  ]);
  expect(batteryHours).toHaveLength(1);
  expect(readings.isSound).toBe(false);
  expect(readings.suspects.map(({ text }) => text).join('; ')).toMatch(/R15 is not soldered or broken/);
});

it('prints supplies side by side, with the parts over their limits', async () => {
  const { out } = await cliplead('voltages', '--build', 'germanium-fuzz-plain', '--supplies', '9,18');
  expect(out).toMatch(/ 9 V +18 V/);
  expect(out).toMatch(/^At 18 V: Q\d \(.*over its limit/m);
});

it.each([
  [['--meter', 'x'], /--meter x is not a resistance from 1k to 1000G, such as 10M\./],
  [['--meter', '10'], /--meter 10 is not a resistance/],
  [['--readings', 'bais=3'], /--readings bais=3: there is no net bais; there are in, base/],
  [['--readings', 'bias'], /--readings bias is not NET=VOLTS, such as bias=4.5\./],
  [['--readings', 'bias=1=2'], /--readings "?bias=1=2"? is not NET=VOLTS/],
  [['--readings', 'bias=4,bias=1'], /--readings has bias twice\./],
  [['--supplies', '9,,18'], /--supplies: entry 2 of 3 is empty\./],
  [['--readings', 'bias=x'], /--readings x is not a number from -100 to 100 V\./],
  [['--supplies', '9,400'], /--supplies 400 is not a number from 1 to 60 V\./],
])('refuses %s', async (options, message) => {
  const { code, err } = await cliplead(...SOFT, ...options);
  expect([code, err]).toEqual([2, expect.stringMatching(message)]);
});
