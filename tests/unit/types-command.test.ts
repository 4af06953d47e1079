import { describe, expect, it } from 'vitest';
import type { TypePoint, TypeRow } from '../../engine/parts/type-table.ts';
import { cliplead } from './command-run.ts';

describe('cliplead types', () => {
  it('prints each type with what the model gives beside what is known, and the worst disagreement', async () => {
    const { code, out } = await cliplead('types');
    expect(code).toBe(0);
    // dvhx, measured diode curves, 1N34A_DO35: 0.215 V at 0.1 mA; the fit is 1 mV above it.
    expect(out).toMatch(/1N34A +forward voltage at 100 µA +216 mV +typical 215 mV +0\.4 %/);
    expect(out).toMatch(/1N34A: not ranked, no source for its reverse current\n/);
    expect(out).toMatch(/Largest error against a figure with a source, by family:\nsilicon +1N4148/);
    expect(out).toMatch(/\d{3} types\.\n$/);
  });

  it('says of kinds without a place in the circuits of the bench that they are for circuits of your own', async () => {
    const { out } = await cliplead('types');
    const section = (family: string) => out.split(`\n${family}\n`)[1]!.split('\n\n')[0]!;
    expect(section('P-channel JFET')).toContain('circuits of your own');
    expect(section('silicon NPN')).not.toContain('circuits of your own');
  });

  it('gives the same as data', async () => {
    const { out } = await cliplead('types', '--json');
    const { types, worst } = JSON.parse(out) as {
      readonly types: readonly TypeRow[];
      readonly worst: readonly {
        readonly family: string;
        readonly type: string;
        readonly point: TypePoint;
      }[];
    };
    const bat48 = types.find(({ type }) => type === 'BAT48')!;
    // ST BAT47/BAT48, Aug 1999 Ed 1A: 0.30 V at most at 1 mA, 1 uA at 1.5 V.
    expect(bat48.points).toContainEqual(
      expect.objectContaining({ maximum: 0.3, at: { forwardA: 1e-3 }, isSourced: true, isMet: true }),
    );
    expect(bat48.points).toContainEqual(
      expect.objectContaining({ maximum: 1e-6, at: { reverseV: 1.5 }, isSourced: true, isMet: true }),
    );
    expect(worst.map(({ family }) => family)).toContain('germanium');
  });
});
