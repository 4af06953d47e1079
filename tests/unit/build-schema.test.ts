import { readFileSync } from 'node:fs';
import { Ajv2020, type AnySchema } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { circuitDocument } from '../../engine/circuits/circuit-file.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { presetNames, presetText } from '../../engine/cli/preset-files.ts';
import { POT_LAWS } from '../../engine/units/taper.ts';

interface BuildSchema {
  readonly properties: {
    readonly circuit: { readonly anyOf: readonly [{ readonly enum: readonly string[] }] };
    readonly bypass: { readonly enum: readonly string[] };
  };
  readonly $defs: {
    readonly setting: { readonly properties: { readonly law: { readonly enum: readonly string[] } } };
  };
}

const text = readFileSync(new URL('../../presets/build.schema.json', import.meta.url), 'utf8');
const schema = JSON.parse(text) as BuildSchema;
const circuitText = readFileSync(new URL('../../presets/circuit.schema.json', import.meta.url), 'utf8');
const isValid = new Ajv2020({ strict: true, strictTuples: false })
  .addSchema(JSON.parse(circuitText) as AnySchema, 'circuit.schema.json')
  .compile(JSON.parse(text) as AnySchema);

const accepts = (file: unknown): boolean => {
  try {
    parseBuildFile(JSON.stringify(file));
    return true;
  } catch {
    return false;
  }
};

describe('the JSON Schema of build files', () => {
  it('names the circuits, tapers and kinds of bypass of the code', () => {
    expect([...schema.properties.circuit.anyOf[0].enum].sort()).toEqual([...CIRCUITS.keys()].sort());
    expect([...schema.$defs.setting.properties.law.enum].sort()).toEqual([...POT_LAWS].sort());
    const kinds = new Set([...CIRCUITS.values()].flatMap(({ bypass }) => bypass.kinds));
    expect([...schema.properties.bypass.enum].sort()).toEqual([...kinds].sort());
  });

  it('accepts every preset', () => {
    expect(presetNames().length).toBeGreaterThanOrEqual(10);
    for (const name of presetNames()) {
      isValid(JSON.parse(presetText(name)!));
      expect(isValid.errors, name).toBeNull();
    }
  });

  it('accepts every preset as it is written, with all parts of its circuit', () => {
    for (const name of presetNames()) {
      isValid(JSON.parse(serialiseBuild(parseBuildFile(presetText(name)!))));
      expect(isValid.errors, name).toBeNull();
    }
  });

  const point = { currentA: 1e-4, voltageV: 0.215 };
  const measured = {
    name: 'my OA91',
    kind: 'diode',
    like: 'OA91',
    forward: [{ currentA: 1e-5, voltageV: 0.155 }, point],
    reverse: { currentA: 1e-6, voltageV: 1.5 },
  };
  const transistor = { name: 'Q one', kind: 'npn', like: '2N5088', collectorA: 1e-3, currentGain: 400 };
  const jfet = { name: 'J', kind: 'nJfet', like: 'J201', zeroBiasDrainA: 6e-4, cutoffV: 0.7 };
  const good = { format: 'cliplead-build', version: 1, circuit: 'soft-clip' };
  it.each([
    ['a minimal file', good, true],
    ['a part as text', { ...good, parts: { R4: '10k' } }, true],
    ['a part as an object', { ...good, parts: { D2: { type: '1N4148', count: 2 } } }, true],
    ['an unknown key', { ...good, colour: 'grey' }, false],
    ['an unknown key of a part', { ...good, parts: { R4: { value: '10k', maker: 'x' } } }, false],
    ['a revision', { ...good, version: 2, revision: 1 }, true],
    ['a whole circuit', { ...good, version: 2, circuit: circuitDocument(CIRCUITS.get('soft-clip')!) }, true],
    ['a circuit without stages', { ...good, version: 2, circuit: { format: 'cliplead-circuit' } }, false],
    ['a newer version', { ...good, version: 3 }, false],
    ['another format', { ...good, format: 'something' }, false],
    ['an unknown circuit', { ...good, circuit: 'toaster' }, false],
    ['a knob past its end', { ...good, knobs: { gain: 1.5 } }, false],
    ['seven diodes in a string', { ...good, parts: { D2: { type: '1N4148', count: 7 } } }, false],
    ['a fit that is none', { ...good, parts: { R4: { value: '10k', fit: 'loose' } } }, false],
    ['a part that is a number', { ...good, parts: { R4: 4700 } }, false],
    ['what was there at the start', { ...good, start: { title: 'Plain', parts: { D1: '1N4148' } } }, true],
    ['a start that is a text', { ...good, start: 'soft-plain' }, false],
    ['an unknown key of a start', { ...good, start: { knobs: { gain: 0 } } }, false],
    ['a measured diode', { ...good, pieces: [measured], parts: { D1: 'my OA91' } }, true],
    ['a measured transistor', { ...good, pieces: [transistor], parts: { Q1: 'Q one' } }, true],
    ['a measured JFET', { ...good, pieces: [jfet] }, true],
    ['a piece with one point', { ...good, pieces: [{ ...measured, forward: [point] }] }, true],
    ['a piece without a point', { ...good, pieces: [{ ...measured, forward: [] }] }, false],
    ['a room of a piece', { ...good, pieces: [{ ...measured, roomC: 19.5 }] }, true],
    ['a guessed type', { ...good, pieces: [{ ...measured, isLikeGuessed: true }] }, true],
    ['a guess that is a number', { ...good, pieces: [{ ...measured, isLikeGuessed: 1 }] }, false],
    ['a room that is too hot', { ...good, pieces: [{ ...transistor, roomC: 90 }] }, false],
    ['a current at cutoff', { ...good, pieces: [{ ...jfet, cutoffA: 1e-6, drainV: 9 }] }, true],
    ['a drain voltage that is none', { ...good, pieces: [{ ...jfet, drainV: 0 }] }, false],
    [
      'a negative voltage of a piece',
      { ...good, pieces: [{ ...measured, forward: [{ ...point, voltageV: -0.1 }, point] }] },
      false,
    ],
    [
      'a piece without a type that it is like',
      { ...good, pieces: [{ ...measured, like: undefined }] },
      false,
    ],
    ['a name of a piece with a comma', { ...good, pieces: [{ ...measured, name: 'a, b' }] }, false],
    ['a fit with a number missing', { ...good, pieces: [{ ...measured, fit: { seriesOhms: 1 } }] }, false],
    ['a piece of a kind that is none', { ...good, pieces: [{ ...measured, kind: 'opamp' }] }, false],
    ['pieces that are no list', { ...good, pieces: measured }, false],
    ['a bypass that is none', { ...good, bypass: 'sometimes' }, false],
  ])('agrees with the code on %s', (_, file, expected) => {
    expect(isValid(file)).toBe(expected);
    expect(accepts(file)).toBe(expected);
  });
});
