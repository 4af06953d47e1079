import { describe, expect, it } from 'vitest';
import { namedSetting, namesThere } from '../../engine/builds/measured-names.ts';
import type { MeasuredPart } from '../../engine/builds/measured-parts.ts';

const blue = { name: 'my blue one', kind: 'resistor', like: '10k', value: 9870 } as const;
const film = { name: 'the flat film', kind: 'capacitor', like: '47n', value: 45.1e-9 } as const;
const measured: readonly MeasuredPart[] = [blue, film];
const R4 = { ref: 'R4', kind: 'resistor' } as const;

describe('the name of a measured part that is typed at a place', () => {
  it('puts the part there, in upper or lower case, and keeps what is piggybacked', () => {
    const current = { value: '4k7', piggyback: '47k' };
    for (const text of ['my blue one', ' My Blue ONE ', '9k87 (my blue one)'])
      expect(namedSetting(R4, text, current, measured), text).toEqual({
        value: '9k87',
        piece: 'my blue one',
        piggyback: '47k',
      });
  });

  it('is refused with the part that it names where that cannot stand there', () => {
    expect(() => namedSetting(R4, 'the flat film', {}, measured)).toThrow(
      'R4: "the flat film" is a capacitor, and this place needs a resistor.',
    );
  });

  it('is refused where several parts have it', () => {
    // Files of other programs may have names that differ in their letters only.
    const two = [...measured, { ...blue, name: 'MY BLUE ONE', value: 10_100 }];
    expect(() => namedSetting(R4, 'my blue one', {}, two)).toThrow(
      'R4: 2 measured parts are called "my blue one". Put one there under “Measured parts…”.',
    );
  });

  it('is none where no part has it, and those that can stand there are named', () => {
    expect(namedSetting(R4, 'my red one', {}, measured)).toBeUndefined();
    expect(namesThere(R4, measured)).toBe(' No measured part has that name; you have "my blue one".');
    const many = Array.from({ length: 5 }, (_, index) => ({ ...blue, name: `blue ${index}` }));
    expect(namesThere(R4, many)).toMatch(/you have "blue 0", "blue 1", "blue 2" and 2 more\.$/);
    expect(namesThere({ kind: 'pot' }, measured)).toBe('');
  });
});
