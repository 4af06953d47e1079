import { describe, expect, it } from 'vitest';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { pinLines } from '../../engine/builds/swaps.ts';
import { CATALOGUE } from '../../engine/parts/catalogue.ts';
import { CHIP_FOOTPRINTS } from '../../engine/parts/chip-footprints.ts';
import { DIODE_FOOTPRINTS } from '../../engine/parts/diode-footprints.ts';
import { footprintText } from '../../engine/parts/footprint.ts';
import { actionText, footprintChange, footprintOf } from '../../engine/parts/footprint-change.ts';
import { TRANSISTOR_FOOTPRINTS } from '../../engine/parts/transistor-footprints.ts';
import { typeTable } from '../../engine/parts/type-table.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');

describe('case and legs of the types', () => {
  it('are given for every type of the catalogue, and for no other', () => {
    const types = CATALOGUE.map(({ type }) => type).sort();
    const known = [DIODE_FOOTPRINTS, TRANSISTOR_FOOTPRINTS, CHIP_FOOTPRINTS].flatMap((each) => [
      ...each.keys(),
    ]);
    expect(known.sort()).toEqual(types);
    expect(typeTable().filter(({ footprint }) => !footprint)).toEqual([]);
  });

  it('have the legs that the symbol of their kind has, and a source', () => {
    const letters = {
      diode: 'AK',
      npn: 'BCE',
      pnp: 'BCE',
      nJfet: 'DGS',
      pJfet: 'DGS',
      nMosfet: 'DGS',
    } as const;
    for (const { type, kind } of CATALOGUE) {
      const { legs, ends, source, package: name, outline } = footprintOf(type)!;
      expect(source, type).not.toBe('');
      expect(name, type).not.toBe('');
      if (kind === 'opamp' || kind === 'converter') expect(legs, type).toHaveLength(8);
      else if (legs && !ends && outline !== 'surface')
        expect([...legs].sort().join(''), type).toBe(letters[kind]);
    }
  });

  // Makers' sheets, as read; the order for the flat side towards the reader, legs down.
  it.each([
    ['2N3904', 'E B C', 'AUK KST-9010-000: 1 E, 2 B, 3 C'],
    ['2N3906', 'E B C', 'Comchip 2N3906-G: 1 E, 2 B, 3 C'],
    ['2N5088', 'E B C', 'onsemi 2N5088/D: case 29 style 1'],
    ['2N5089', 'E B C', 'onsemi 2N5088/D: case 29 style 1'],
    ['MPSA18', 'E B C', 'onsemi MPSA18: case 29 style 1'],
    ['BC549C', 'C B E', 'Motorola BC549B/D: style 17'],
    ['BC550C', 'C B E', 'Fairchild BC546-550: 1 C, 2 B, 3 E'],
    ['2SC1815', 'E C B', 'Blue Rocket rev E: 1 B, 2 C, 3 E, counted from the other end'],
    ['2SC945', 'E C B', 'components101: 1 E, 2 C, 3 B'],
    ['J201', 'D S G', 'Vishay 70233: 1 D, 2 S, 3 G'],
    ['2N5457', 'D S G', 'onsemi: 1 D, 2 S, 3 G (style 5)'],
    ['J113', 'D S G', 'Vishay: 1 D, 2 S, 3 G'],
  ])('%s has %s: %s', (type, legs) => {
    expect(footprintOf(type)!.legs!.join(' ')).toBe(legs);
  });

  // ROHM BA4558, ST TL072, onsemi LM358/D, TI SLOS091E, Analog Devices AD712, Philips MC1458.
  it('puts the outputs of every dual op-amp at pins 1 and 7 and the supply at 4 and 8', () => {
    for (const entry of CATALOGUE) {
      if (entry.kind !== 'opamp') continue;
      const { legs, amplifiers } = footprintOf(entry.type)!;
      expect(amplifiers, entry.type).toBe(entry.amplifiersPerPackage);
      if (amplifiers !== 2) continue;
      expect(legs, entry.type).toEqual(['OUT A', '−A', '+A', 'V−', '+B', '−B', 'OUT B', 'V+']);
    }
  });
});

describe('a swap of one case for another', () => {
  const action = (before: string, after: string) => actionText(footprintChange(before, after));
  const fits = (before: string, after: string) => footprintChange(before, after).fits;

  it('is the same way for the same order', () => {
    expect(action('2N3904', '2N5088')).toBe('Same footprint, legs E B C.');
  });

  it('is a turn for the order from the other end: E B C and C B E', () => {
    expect(action('2N3904', 'BC550C')).toBe(
      'BC550C has its legs C B E, 2N3904 E B C: turn it round, flat side the other way.',
    );
    expect(action('BC550C', '2N5088')).toMatch(/turn it round, flat side the other way\.$/);
    expect(fits('2N3904', 'BC550C')).toBe(true);
  });

  it('crosses two legs where no turn brings them into order: E B C and E C B', () => {
    expect(action('2N3904', '2SC1815')).toBe(
      '2SC1815 has its legs E C B, 2N3904 E B C: cross C and B, with a sleeve.',
    );
    expect(action('2SC1815', 'BC550C')).toMatch(/: turn it round and cross \w and \w, with a sleeve\.$/);
    expect(fits('2N3904', '2SC1815')).toBe(false);
  });

  it('leads to the order of the board for all orders of three legs, by a turn and one crossing', () => {
    const legs = (type: string) => footprintOf(type)!.legs!;
    const flats = CATALOGUE.filter(({ kind, type }) => {
      return (kind === 'npn' || kind === 'nJfet') && footprintOf(type)!.outline === 'flat' && legs(type);
    });
    for (const { type: before, kind } of flats) {
      for (const { type: after, kind: other } of flats) {
        if (kind !== other) continue;
        const text = action(before, after);
        let order = [...legs(after)];
        if (text.includes('turn it round')) order.reverse();
        const crossed = /cross (\w) and (\w)/.exec(text);
        if (crossed) {
          const [one, two] = [crossed[1]!, crossed[2]!];
          order = order.map((leg) => (leg === one ? two : leg === two ? one : leg));
        }
        expect(order, `${before} to ${after}: ${text}`).toEqual(legs(before));
      }
    }
  });

  it('goes by the letters where the case is another one', () => {
    expect(action('2N3904', '2N2222')).toBe(
      'Another case, TO-18 (metal can) where TO-92 was: go by the letters (E B C).',
    );
  });

  it('keeps the band, and names the cathode of a part without one', () => {
    expect(action('1N4148', '1N914')).toBe('Same footprint, band the same way.');
    expect(action('1N4148', '1N4001')).toBe(
      'Another size, DO-41 (plastic) where DO-35 (glass) was; band the same way.',
    );
    expect(action('1N4148', 'LED-red')).toBe(
      'Another case, 5 mm, round: flat side and short leg (cathode) where the band was.',
    );
    expect(action('LED-red', '1N4148')).toBe(
      'Another case, DO-35 (glass): band (cathode) where the flat side was.',
    );
    expect(action('1N4148', '2N3904 base-emitter')).toContain('anode B and C, cathode E');
    expect(action('1N4148', 'BAT54')).toContain('needs an adapter');
  });

  it('puts a single op-amp on an adapter, and names the pins in which a converter differs', () => {
    expect(action('RC4558', 'TL072')).toBe('Same footprint, notch the same way.');
    for (const single of ['NE5534', 'TL071', 'LM741', 'LM308A', 'OP07E']) {
      expect(action('RC4558', single)).toBe(
        `${single} is single: two of them on an adapter for a dual place.`,
      );
      expect(fits('RC4558', single)).toBe(false);
    }
    expect(action('RC4558', 'TL072H')).toContain('needs an adapter: SO-8');
    expect(action('TC1044S', 'MAX1044')).toBe('Same footprint, notch the same way.');
    expect(action('TC1044S', 'ICL7660')).toContain('pin 1 is not connected, was BOOST');
    expect(action('TC1044S', 'LT1054')).toContain('pin 1 is FB/SHDN, was BOOST; pin 6 is VREF, was LV');
  });

  it('leaves the adapter of a single op-amp for another single one, and names the pins that differ', () => {
    // Pins 1, 5 and 8: Intersil 741; TL071 and OP07 from memory.
    expect(action('LM741', 'TL071')).toBe('Same footprint, notch the same way.');
    expect(fits('LM741', 'TL071')).toBe(true);
    expect(action('LM741', 'OP07E')).toBe(
      'Notch the same way, but pin 5 is not connected, was offset; pin 8 is offset, was not connected: check what the board does there.',
    );
    expect(action('TL072H', 'TL072')).toBe('Goes into the place without the adapter, notch the same way.');
    expect(action('LM741', 'RC4558')).toBe('Dual: goes into the place without the adapter.');
  });

  it('is no change for an end of the spread of the same type', () => {
    for (const type of ['TL072H', 'BAT54', 'TL072', 'LM741', '1N4148', '2N3904'])
      expect([type, action(type, `${type} low`).startsWith('Same footprint')]).toEqual([type, true]);
  });

  it('says that it does not know', () => {
    expect(action('J201', '2N5952')).toBe('Pins of 2N5952 not known: look at its datasheet.');
    expect(action('J201', 'no type')).toBe('Pins of no type not known: look at its datasheet.');
    expect(footprintText(footprintOf('D9E')!)).toContain('pins not known, look at its datasheet');
    expect(footprintOf('D9E')!.notes.join()).toContain('may mark the anode');
  });

  it('warns of heat for every germanium type', () => {
    for (const { type, family } of CATALOGUE.filter(({ kind }) => kind === 'diode' || kind === 'pnp')) {
      const isGermanium = /germanium/i.test(family) || /^(AC128|OC44) /.test(type);
      expect(footprintOf(type)!.notes.join().includes('Germanium'), type).toBe(isGermanium);
    }
  });
});

describe('the legs of a build', () => {
  it('stand in the lines of a comparison, one for each swapped type', () => {
    const swapped = withPart(withPart(soft, 'Q1', { type: 'BC550C' }), 'R4', { value: '2k2' });
    expect(pinLines(soft, swapped)).toEqual([
      'Q1: BC550C has its legs C B E, 2N5088 E B C: turn it round, flat side the other way.',
    ]);
    expect(pinLines(soft, withPart(soft, 'D1', { type: '1N914', fit: 'open' }))).toEqual([]);
  });

  it('stand in the parts list, and the case of what is bought by value', () => {
    const rows = orderRows(soft);
    expect(rows.find(({ value }) => value === '2N5088')!.package).toBe(
      'TO-92, flat side to you, legs down: E B C',
    );
    expect(rows.find(({ kind }) => kind === 'resistor')!.package).toMatch(/^axial/);
  });
});
