import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { bipolarPrimitives } from '../../engine/parts/bipolar-primitives.ts';
import { CATALOGUE, findBjt, findFet } from '../../engine/parts/catalogue.ts';
import type { TransistorEntry } from '../../engine/parts/catalogue-entry.ts';
import { fieldEffectPrimitives } from '../../engine/parts/field-effect-primitives.ts';
import { transistorCapacitance } from '../../engine/parts/transistor-capacitances.ts';
import { presetBuild } from '../preset-build.ts';
import { capacitor, network, resistor, source } from './small-networks.ts';

const SOURCE_OHMS = 100e3;
const isFree = () => false;
const isTransistor = (entry: { readonly kind: string }): entry is TransistorEntry =>
  ['npn', 'pnp', 'nJfet', 'pJfet', 'nMosfet'].includes(entry.kind);

/** An inverting stage behind the impedance of a guitar. */
const stageWith = (type: string) =>
  network([
    source('vcc', 9),
    resistor('R1', 'in', 'guitar', SOURCE_OHMS),
    capacitor('C1', 'guitar', 'base', 1e-6),
    resistor('R2', 'out', 'base', 1e6),
    resistor('R3', 'vcc', 'out', 10e3),
    ...bipolarPrimitives(findBjt(type), 'Q1', ['out', 'base', GROUND], isFree),
  ]);

describe('the capacitances of a transistor', () => {
  it.each(['2N5088', 'BC549C'])(
    'give an inverting stage with a %s the corner of Miller’s theorem',
    (type) => {
      // J. M. Miller, Bulletin of the Bureau of Standards 15 (1919): C_in = C_be + C_cb·(1 + A), here with what is at the base.
      const response = new FrequencyResponse(stageWith(type));
      const at = (hz: number, net = 'out') => response.at(hz, net);
      const gain = 10 ** ((at(200).decibels - at(200, 'base').decibels) / 20);
      const { feedbackF, inputF } = transistorCapacitance(findBjt(type))!;
      const farads = inputF + feedbackF * (1 + gain);
      // What the source sees beside itself: its volts at the base tell, at a frequency at which capacitances do nothing.
      const share = 10 ** (at(200, 'base').decibels / 20);
      const corner = 1 / (2 * Math.PI * SOURCE_OHMS * share * farads);
      expect(corner).toBeLessThan(200e3);
      expect(Math.abs(at(corner).decibels - at(200).decibels + 3.01)).toBeLessThan(0.1);
    },
  );

  it('are left out where the collector or drain has a constant voltage', () => {
    const isHeld = (node: string) => node === 'supply' || node === GROUND;
    const kinds = (primitives: readonly { kind: string }[]) => primitives.map(({ kind }) => kind);
    expect(kinds(bipolarPrimitives(findBjt('2N5088'), 'Q1', ['supply', 'b', 'e'], isHeld))).toEqual(['npn']);
    expect(kinds(fieldEffectPrimitives(findFet('J201'), 'Q1', ['d', 'g', 's'], isHeld))).toEqual([
      'nJfet',
      'capacitor',
      'capacitor',
    ]);
    // So the presets, whose transistors are followers, take no more time.
    const { primitives } = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
    expect(primitives.filter(({ origin }) => origin.ref === 'Q1')).toHaveLength(1);
  });

  it('stand beside each of the two transistors of a Darlington, and not between nets that are one', () => {
    const nodes = (primitives: ReturnType<typeof bipolarPrimitives>) =>
      primitives.flatMap((each) => (each.kind === 'capacitor' ? [each.nodes.join(' ')] : []));
    expect(nodes(bipolarPrimitives(findBjt('MPSA13'), 'Q1', ['c', 'b', 'e'], isFree))).toEqual([
      'b c',
      'b Q1 between',
      'Q1 between c',
      'Q1 between e',
    ]);
    expect(nodes(bipolarPrimitives(findBjt('2N3904'), 'Q1', ['b', 'b', 'e'], isFree))).toEqual(['b e']);
  });

  it('are known of every type of the catalogue, within the limits of its sheet where there are some', () => {
    for (const entry of CATALOGUE.filter(isTransistor))
      expect(transistorCapacitance(entry), entry.type).toBeDefined();
    // onsemi 2N3903/D rev 8: C_ob 4 pF; 2N5088/D rev 4: C_cb 4 pF; onsemi 2N5457/D: C_rss 3 pF; MPSA18: C_cb 3 pF, all at 5 V or more.
    for (const [type, most] of [
      ['2N3904', 4],
      ['2N5088', 4],
      ['MPSA18', 3],
    ] as const)
      expect(transistorCapacitance(findBjt(type))!.feedbackF).toBeLessThan(most * 1e-12);
    expect(transistorCapacitance(findFet('2N5457'))!.feedbackF).toBeLessThan(3e-12);
  });
});
