import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { type Build, startingBuild } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { parseSettingText } from '../../engine/builds/part-setting.ts';
import { circuitDocument, parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { NOMINAL_TEMPERATURE_K as T } from '../../engine/devices/physics.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');

function fitted(build: Build, ref: string, kind: 'resistor' | 'capacitor' | 'diode' = 'resistor'): Build {
  return withPart(build, ref, parseSettingText({ ref, kind }, 'fitted', build.parts[ref]!));
}

const rest = (build: Build) => operatingPoint(pruneNetwork(networkOf(build, T))).volts;
const at = (build: Build, hz: number) =>
  new FrequencyResponse(pruneNetwork(networkOf(build, T))).at(hz, 'out').decibels;
const switched = (build: Build, positions: Build['switches']): Build => ({
  ...build,
  switches: { ...build.switches, ...positions },
});

describe('a part that is not fitted or jumpered at the start', () => {
  it('is so in the document of the circuit, in a new build, and not on the parts list', () => {
    for (const circuit of [CIRCUITS.get('soft-clip')!, CIRCUITS.get('clean-blend')!]) {
      const { circuit: read } = parseCircuit(JSON.parse(JSON.stringify(circuitDocument(circuit))));
      const build = startingBuild(read!);
      expect(build.parts['D6']).toEqual({ type: '1N5817', fit: 'bridged' });
      expect(build.parts['D8']).toEqual({ type: 'LED-red', fit: 'open' });
      expect(orderRows(build).flatMap(({ refs }) => refs)).not.toContain('D8');
    }
  });

  it('is refused for a kind that cannot be left out', () => {
    const document = JSON.parse(JSON.stringify(circuitDocument(soft.circuit)));
    const index = document.stages.findIndex(({ id }: { id: string }) => id === 'input');
    document.stages[index].parts.Q1.fit = 'open';
    expect(parseCircuit(document).problems?.[0]?.place).toBe(`stages[${index}].parts.Q1.fit`);
  });
});

describe('the clipping strings', () => {
  /** Diodes between the inverting input and the output, each way. */
  const strings = (build: Build) => {
    const { primitives } = pruneNetwork(networkOf(build, T));
    return primitives
      .filter(({ kind, ref }) => kind === 'diode' && /^D[1-5]$/.test(ref))
      .map(({ ref }) => ref)
      .sort();
  };
  const asymmetric = switched(soft, { clipping: 'asymmetric' });

  it('are 1+1 and 1+2 as they are, 2+2 with D4 and 1+3 with D5', () => {
    expect(strings(soft)).toEqual(['D1', 'D2']);
    expect(strings(asymmetric)).toEqual(['D1', 'D2', 'D3']);
    expect(strings(fitted(asymmetric, 'D4', 'diode'))).toEqual(['D1', 'D2', 'D3', 'D4']);
    expect(strings(fitted(asymmetric, 'D5', 'diode'))).toEqual(['D1', 'D2', 'D3', 'D5']);
  });

  it('are wired in clean-blend as one against one, one against two, or lifted', () => {
    const blend = (position: string) => strings(switched(clean, { clipping: position }));
    expect(blend('symmetric')).toEqual(['D1', 'D2', 'D3', 'D4']);
    expect(blend('asymmetric')).toEqual(['D1', 'D2', 'D3', 'D4', 'D5']);
    expect(blend('lifted')).toEqual(['D3', 'D4']);
  });

  it('return in clean-blend to the bias, or to ground with C16 ahead of the sum: no direct current in the diodes', () => {
    expect(rest(clean).get('clipped')).toBeCloseTo(rest(clean).get('bias')!, 3);
    const grounded = switched(clean, { 'return of the diodes': 'ground' });
    expect(Math.abs(rest(grounded).get('clipped')!)).toBeLessThan(1e-6);
    expect(rest(grounded).get('summed')).toBeCloseTo(rest(grounded).get('bias')!, 2);
    // C16 with R8, 22k: a corner at 7 Hz.
    expect(Math.abs(at(grounded, 1000) - at(clean, 1000))).toBeLessThan(0.1);
  });
});

describe('the parts of the supply', () => {
  it.each([
    ['soft-plain', 'R22'],
    ['clean-plain', 'R24'],
  ])('let it sag by what they drop: %s with 47 ohms at %s', (name, ref) => {
    const build = presetBuild(name);
    const tired = withPart(build, ref, { value: '47R' });
    const [before, after] = [rest(build).get('dc')!, rest(tired).get('dc')!];
    const amperes = (9 - after) / 47;
    expect(before).toBeCloseTo(9, 9);
    // Milliamperes of the op-amps; the drop across the filter's 10 ohms has the same current.
    expect((after - rest(tired).get('supply')!) / 10).toBeCloseTo(amperes, 6);
    expect(amperes).toBeGreaterThan(2e-3);
  });

  it('drop 0.2 to 0.4 V in a Schottky diode, 0.6 to 0.8 V in a silicon one, and nothing across the supply', () => {
    const drop = (type: string) => 9 - rest(withPart(soft, 'D6', { type })).get('dc')!;
    expect(drop('1N5817')).toBeGreaterThan(0.1);
    expect(drop('1N5817')).toBeLessThan(0.4);
    expect(drop('1N4001')).toBeGreaterThan(0.5);
    expect(drop('1N4001')).toBeLessThan(0.8);
    const without = withPart(soft, 'D7', { type: '1N4001', fit: 'open' });
    expect(rest(without).get('supply')).toBeCloseTo(rest(soft).get('supply')!, 9);
  });

  it('feed a status LED about 1.5 mA, which lowers only a supply with a resistance', () => {
    const lit = (build: Build) => fitted(fitted(build, 'R23'), 'D8', 'diode');
    const led = rest(lit(soft));
    // (9 V − 1.8 V)/4k7.
    expect((led.get('dc')! - led.get('R23.2')!) / 4700).toBeCloseTo(1.5e-3, 4);
    expect(led.get('supply')).toBeCloseTo(rest(soft).get('supply')!, 9);
    const tired = withPart(soft, 'R22', { value: '47R' });
    expect(rest(tired).get('dc')! - rest(lit(tired)).get('dc')!).toBeCloseTo(47 * 1.5e-3, 2);
  });

  it('that have no effect on the sound have none: decoupling and the diode across the supply', () => {
    for (const [build, refs] of [
      [soft, { C13: 'capacitor', D7: 'diode' }],
      [clean, { C19: 'capacitor', D7: 'diode' }],
    ] as const) {
      const bare = Object.keys(refs).reduce(
        (each, ref) => withPart(each, ref, { ...each.parts[ref]!, fit: 'open' }),
        build,
      );
      for (const hz of [50, 500, 5000]) expect(Math.abs(at(bare, hz) - at(build, hz))).toBeLessThan(0.001);
    }
  });
});

describe('the parts at the input', () => {
  it.each([
    ['soft-plain', 'R19', 'C12'],
    ['clean-plain', 'R21', 'C15'],
  ])('roll off what lies above 1/(2πRC): %s', (name, resistor, capacitor) => {
    const build = presetBuild(name);
    const both = withPart(withPart(build, resistor, { value: '10k' }), capacitor, { value: '1n' });
    // 10k and 1n: 15.9 kHz, and the load of the base behind it.
    expect(at(build, 15_915) - at(both, 15_915)).toBeCloseTo(10 * Math.log10(2), 0);
    expect(at(build, 1000) - at(both, 1000)).toBeLessThan(0.25);
  });
});
