import { readFileSync } from 'node:fs';
import { Ajv2020, type AnySchema } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { BuildError } from '../../engine/builds/build-error.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { MOST_PEDALS } from '../../engine/builds/chain.ts';
import { parseChainFile, serialiseChain } from '../../engine/builds/chain-file.ts';
import { LONGEST_CABLE_METRES } from '../../engine/builds/instrument.ts';
import { chainPresetNames, presetNames, presetText } from '../../engine/cli/preset-files.ts';
import { MOST_CHAIN_CHARACTERS, MOST_TITLE_CHARACTERS } from '../../engine/input/limits.ts';
import { presetBuild } from '../preset-build.ts';

const readSchema = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../presets/${name}`, import.meta.url), 'utf8'));
const schema = readSchema('chain.schema.json');
const isValid = new Ajv2020({ strict: true, strictTuples: false })
  .addSchema(readSchema('circuit.schema.json') as AnySchema, 'circuit.schema.json')
  .addSchema(readSchema('build.schema.json') as AnySchema, 'build.schema.json')
  .compile(schema as AnySchema);

const build = JSON.parse(serialiseBuild(presetBuild('soft-plain'))) as Record<string, unknown>;
const pedal = { build, isOn: true, cableMetres: 0.3 };
const file = { format: 'cliplead-chain', version: 1, title: 'Two', pedals: [pedal, pedal] };

function refusalOf(document: unknown): BuildError {
  try {
    parseChainFile(typeof document === 'string' ? document : JSON.stringify(document));
  } catch (error) {
    if (error instanceof BuildError) return error;
    throw error;
  }
  throw new Error('it was accepted');
}

describe('a chain file', () => {
  it.each(chainPresetNames())(
    'of the bench is read, agrees with the schema, and is written as it was: %s',
    (name) => {
      const text = presetText(name)!;
      const read = parseChainFile(text);
      expect(read.chain.pedals.length).toBeGreaterThan(1);
      isValid(JSON.parse(text));
      expect(isValid.errors).toBeNull();
      expect(parseChainFile(serialiseChain(read))).toEqual(read);
    },
  );

  it('keeps what is off, the cables and the title', () => {
    const pedals = [
      { build: presetBuild('clean-plain'), isOn: false, cableMetres: 2 },
      { build: presetBuild('soft-led'), isOn: true, cableMetres: 0 },
    ];
    const titled = { title: 'Sunday', chain: { pedals } };
    expect(parseChainFile(serialiseChain(titled))).toEqual(titled);
  });

  it('needs neither switch nor cable: a pedal is on, with a patch cable of 0.3 m', () => {
    const { chain } = parseChainFile(JSON.stringify({ ...file, pedals: [{ build }] }));
    expect(chain.pedals).toEqual([
      { build: parseBuildFile(JSON.stringify(build)), isOn: true, cableMetres: 0.3 },
    ]);
  });

  it.each(presetNames())('can be a build file, a chain of one: %s', (name) => {
    const { title, chain } = parseChainFile(presetText(name)!);
    expect(chain.pedals.map((each) => each.build)).toEqual([presetBuild(name)]);
    expect(title).toBe(presetBuild(name).title);
  });

  it('allows as many pedals and as much cable in the schema as in the code', () => {
    const { maxItems, items } = schema.properties.pedals;
    expect(maxItems).toBe(MOST_PEDALS);
    expect(items.properties.cableMetres.maximum).toBe(LONGEST_CABLE_METRES);
    expect(schema.properties.title.maxLength).toBe(MOST_TITLE_CHARACTERS);
  });
});

describe('a chain file is refused whole, in a line that names pedal, part and value:', () => {
  const withPart = (parts: object) => ({
    ...file,
    pedals: [pedal, { ...pedal, build: { ...build, parts } }],
  });

  it.each<[string, unknown, string, string]>([
    [
      'no pedal',
      { ...file, pedals: [] },
      'pedals',
      '"pedals" is a list of 0; it should be a list of 1 to 3 pedals.',
    ],
    [
      'four pedals',
      { ...file, pedals: [pedal, pedal, pedal, pedal] },
      'pedals',
      '"pedals" is a list of 4; it should be a list of 1 to 3 pedals.',
    ],
    [
      'a pedal that is a name',
      { ...file, pedals: ['soft-plain'] },
      'pedals.0',
      'Pedal 1 is "soft-plain"; it should be an object.',
    ],
    [
      'a cable of 31 m',
      { ...file, pedals: [{ ...pedal, cableMetres: 31 }] },
      'pedals.0.cableMetres',
      'Pedal 1: cableMetres is 31; it should be a number from 0 to 30.',
    ],
    [
      'a switch that is a word',
      { ...file, pedals: [{ ...pedal, isOn: 'yes' }] },
      'pedals.0.isOn',
      'Pedal 1: isOn is "yes"; it should be true or false.',
    ],
    [
      'an unknown key',
      { ...file, pedals: [{ ...pedal, gain: 1 }] },
      'pedals.0.gain',
      '"pedals.0.gain" is not known to this version.',
    ],
    [
      'a part that the circuit does not have',
      withPart({ R99: '1k' }),
      'pedals.1.build.parts.R99',
      'Pedal 2: Soft clip has no part R99.',
    ],
    ['a value that is none', withPart({ R4: 'many' }), 'pedals.1.build.parts.R4', 'Pedal 2: R4'],
    [
      'no build',
      { ...file, pedals: [{ isOn: true }] },
      'pedals.0.build',
      'Pedal 1: This is not a build file: it has no JSON object.',
    ],
    [
      'a later version',
      { ...file, version: 2 },
      'version',
      'This chain file is of version 2; this bench reads up to 1. Update it.',
    ],
    [
      'another format',
      { ...file, format: 'other' },
      'format',
      'This is no build or chain file: its format is "other", not "cliplead-build" or "cliplead-chain".',
    ],
    ['no JSON', '{', '', 'This is not a build file: it is not JSON, or not complete.'],
    [
      'a file that is too long',
      ' '.repeat(MOST_CHAIN_CHARACTERS + 1),
      '',
      `This file is ${MOST_CHAIN_CHARACTERS + 1} characters long; a chain file has at most ${MOST_CHAIN_CHARACTERS}.`,
    ],
    [
      'brackets without end',
      '['.repeat(100),
      '',
      'This is not a build file: more than 16 brackets are nested.',
    ],
  ])('%s', (_, document, path, message) => {
    const { problems } = refusalOf(document);
    expect(problems[0]!.path).toBe(path);
    expect(problems[0]!.message.startsWith(message), problems[0]!.message).toBe(true);
  });

  it('all problems of all pedals are collected', () => {
    const bad = { ...pedal, build: { ...build, parts: { R99: '1k' } } };
    const { problems } = refusalOf({ ...file, title: 5, pedals: [bad, { ...bad, isOn: 1 }] });
    expect(problems.map(({ path }) => path)).toEqual([
      'title',
      'pedals.0.build.parts.R99',
      'pedals.1.isOn',
      'pedals.1.build.parts.R99',
    ]);
  });

  it.each([
    { ...file, pedals: [] },
    { ...file, pedals: [pedal, pedal, pedal, pedal] },
    { ...file, pedals: [{ ...pedal, cableMetres: -1 }] },
    { ...file, pedals: [{ ...pedal, isOn: 'yes' }] },
    { ...file, pedals: [{ isOn: true }] },
    { ...file, title: 'x'.repeat(MOST_TITLE_CHARACTERS + 1) },
    { ...file, more: 1 },
  ])('the schema refuses what the code refuses (%#)', (document) => {
    expect(isValid(document)).toBe(false);
    expect(refusalOf(document).problems.length).toBeGreaterThan(0);
  });
});
