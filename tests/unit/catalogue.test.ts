import { describe, expect, it } from 'vitest';
import { buildParts } from '../../engine/builds/build.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import {
  findBjt,
  findConverter,
  findDiode,
  findFet,
  findOpamp,
  findTransistor,
  PartTypeError,
  typesOf,
} from '../../engine/parts/catalogue.ts';
import { NOT_MODELLED } from '../../engine/parts/not-modelled.ts';

const KINDS = ['diode', 'npn', 'pnp', 'nJfet', 'pJfet', 'nMosfet', 'opamp', 'converter'] as const;

function problem(find: () => unknown): PartTypeError {
  try {
    find();
  } catch (error) {
    if (error instanceof PartTypeError) return error;
  }
  throw new Error('expected a PartTypeError');
}

describe('the catalogue of parts', () => {
  it('finds a part by its type, whatever the case and the spaces', () => {
    expect(findDiode('1n4148').type).toBe('1N4148');
    expect(findDiode('led red').type).toBe('LED-red');
    expect(findOpamp(' TL 072 ').type).toBe('TL072');
    expect(findTransistor('j201')).toMatchObject({ type: 'J201', kind: 'nJfet' });
    expect(findTransistor('AC128').kind).toBe('pnp');
  });

  it('refuses an unknown type and names similar types', () => {
    const error = problem(() => findDiode('1N4184'));
    expect(error.type).toBe('1N4184');
    expect(error.near[0]).toBe('1N4148');
    expect(error.message).toMatch(/^"1N4184" is not a diode in the catalogue; near to it: 1N4148/);
  });

  it('suggests types that contain the typed text', () => {
    expect(problem(() => findOpamp('4558')).near).toEqual(['RC4558', 'BA4558', 'NJM4558']);
    expect(problem(() => findBjt('1815')).near).toContain('2SC1815');
  });

  it('suggests nothing where no type is similar', () => {
    const error = problem(() => findDiode('a potato'));
    expect(error.near).toEqual([]);
    expect(error.message).toBe('"a potato" is not a diode in the catalogue.');
  });

  it('keeps the kinds of transistors separate', () => {
    expect(() => findBjt('J201')).toThrow(/not a bipolar transistor/);
    expect(() => findFet('2N3904')).toThrow(/not a field-effect transistor/);
    expect(() => findDiode('')).toThrow(PartTypeError);
  });

  it('lists the types of every kind, each type once, and finds each of them', () => {
    const all = KINDS.flatMap((kind) => typesOf(kind));
    expect(new Set(all).size).toBe(all.length);
    expect(all.length).toBeGreaterThanOrEqual(80);
    for (const type of typesOf('converter')) expect(findConverter(type).type).toBe(type);
    for (const type of typesOf('diode')) expect(findDiode(type).type).toBe(type);
    for (const type of typesOf('opamp')) expect(findOpamp(type).type).toBe(type);
    for (const kind of ['npn', 'pnp', 'nJfet', 'pJfet', 'nMosfet'] as const) {
      for (const type of typesOf(kind)) expect(findTransistor(type)).toMatchObject({ type, kind });
    }
  });

  it('has the parts that builders use most', () => {
    expect(typesOf('diode')).toEqual(
      expect.arrayContaining(['1N4148', '1N914', '1N4001', '1N34A', '1N5711', 'BAT46', '1N5817', 'LED-red']),
    );
    expect(typesOf('opamp')).toEqual(
      expect.arrayContaining(['RC4558', 'BA4558', 'TL072', 'NE5532', 'LM358', 'TLC2262']),
    );
    expect(typesOf('npn')).toEqual(
      expect.arrayContaining(['2N3904', '2N5088', 'BC549C', 'MPSA18', '2SC1815']),
    );
    expect(typesOf('nMosfet')).toEqual(['2N7000', 'BS170']);
  });

  it('says for every kind of part in the circuits what the model leaves out', () => {
    const kinds = [
      ...new Set([...CIRCUITS.values()].flatMap((circuit) => buildParts(circuit).map(({ kind }) => kind))),
    ];
    expect(kinds).toContain('capacitor');
    for (const kind of kinds) expect(NOT_MODELLED[kind].length).toBeGreaterThan(0);
  });
});
