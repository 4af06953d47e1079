import { Ajv2020, type AnySchema } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { circuitDocument, circuitProblemText, parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { circuitShape } from '../../engine/circuits/circuit-shape.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { MOST_PROBLEMS } from '../../engine/circuits/document-shape.ts';
import cleanBlend1 from '../../presets/circuits/clean-blend.revision-1.json';
import cleanBlend2 from '../../presets/circuits/clean-blend.revision-2.json';
import softClip1 from '../../presets/circuits/soft-clip.revision-1.json';
import { mutatedDocuments } from './mutated-json.ts';
import { type DrawnSchema, schemaDocuments } from './schema-documents.ts';

// biome-ignore lint/suspicious/noExplicitAny: a changed document has no type of its own.
type Loose = any;

// Kept documents do not change, so the places of their stages and wires do not either.
const soft = (): Loose => structuredClone(softClip1);
const blend = (): Loose => structuredClone(cleanBlend1);
const pumped = (): Loose => structuredClone(cleanBlend2);
const problemsOf = (document: unknown) => parseCircuit(document).problems ?? [];

const PUMP = 'stages[9].parts.U3.pump';
const pumpOf = (document: Loose): Loose => document.stages[9].parts.U3.pump;

const SCHEMA = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  $id: 'cliplead-circuit',
  title: 'Cliplead circuit file',
  description: "A pedal's schematic: stages of parts with pins, places and wires, and the controls on them.",
  ...circuitShape.schema,
};
const SHAPE_CODES = [
  'missing',
  'unknown-key',
  'wrong-type',
  'not-one-of',
  'out-of-range',
  'wrong-length',
  'bad-name',
];

describe('a circuit as a document', () => {
  it.each([...CIRCUITS.values()])('is read back from JSON as it was: $id', (circuit) => {
    const text = JSON.stringify(circuitDocument(circuit));
    expect(parseCircuit(JSON.parse(text))).toEqual({ circuit });
  });

  it('is described by the schema beside the presets, word for word', async () => {
    await expect(`${JSON.stringify(SCHEMA, undefined, 2)}\n`).toMatchFileSnapshot(
      '../../presets/circuit.schema.json',
    );
  });

  it.each<[code: string, place: string, change: (document: Loose) => void, document?: () => Loose]>([
    ['not-one-of', 'format', (d) => (d.format = 'another')],
    ['missing', 'title', (d) => delete d.title],
    ['unknown-key', 'colour', (d) => (d.colour = 'grey')],
    ['wrong-type', 'stages[1].parts.R4.value', (d) => (d.stages[1].parts.R4.value = 4700)],
    ['out-of-range', 'knobs[0].start', (d) => (d.knobs[0].start = 1.5)],
    ['wrong-length', 'stages[0].wires[0]', (d) => (d.stages[0].wires[0] = ['in'])],
    ['bad-name', 'stages[0].id', (d) => (d.stages[0].id = 'Input!')],
    ['not-one-of', 'stages[0].parts.R1.kind', (d) => (d.stages[0].parts.R1.kind = 'valve')],
    ['not-one-of', 'stages[1].parts.R4.job', (d) => (d.stages[1].parts.R4.job = 'gain knob')],
    ['not-one-of', 'stages[1].parts.R4.job', (d) => (d.stages[1].parts.R4.job = 4)],
    ['repeated-group', 'groups[1].name', (d) => (d.groups[1].name = 'clipping pair')],
    ['group-part', 'groups[0].parts[1]', (d) => (d.groups[0].parts[1] = 'D99')],
    ['group-part', 'groups[0].parts[1]', (d) => (d.groups[0].parts[1] = 'D1')],
    ['group-part', 'groups[0].parts[1]', (d) => (d.groups[0].parts[1] = 'R4')],
    ['group-part', 'groups[0].parts[1]', (d) => (d.groups[0].parts[1] = 'U1A')],
    ['group-part', 'groups[0].parts[1]', (d) => (d.groups[0].parts[1] = 'SW1')],
    ['unknown-pin', 'stages[1].wires[0]', (d) => d.stages[1].wires[0].push('R5.3')],
    ['unknown-pin', 'stages[1].wires[0]', (d) => d.stages[1].wires[0].push('R99.1')],
    ['unknown-port', 'stages[1].wires[0]', (d) => d.stages[1].wires[0].push('side')],
    ['unreached-pin', 'stages[1].wires', (d) => d.stages[1].wires.splice(4, 1)],
    [
      'two-names',
      'stages[1].wires[6]',
      (d) => (d.stages[1].wires[4] = { name: 'other', pins: ['R4.2', 'C3.1', 'U1A.out'] }),
    ],
    [
      'name-twice',
      'stages[1].wires[6]',
      (d) => (d.stages[1].wires[4] = { name: 'clipped', pins: ['R4.2', 'C3.1'] }),
    ],
    [
      'named-port',
      'stages[0].wires[0]',
      (d) => (d.stages[0].wires[0] = { name: 'guitar', pins: d.stages[0].wires[0] }),
    ],
    ['joined-ports', 'stages', (d) => d.stages[4].wires.push(['supply', 'bias'])],
    ['repeated-stage', 'stages[1].id', (d) => (d.stages[1].id = 'input')],
    [
      'too-large',
      'stages',
      (d) => {
        for (let number = 100; number < 145; number++) d.stages[1].parts[`D${number}`] = d.stages[1].parts.D1;
      },
    ],
    [
      'no-ground',
      'stages',
      (d) => {
        for (const stage of d.stages) delete stage.ports.ground;
      },
    ],
    [
      'lonely-port',
      'stages[0].ports.send',
      (d) => {
        d.stages[0].ports.send = 'flags';
        d.stages[0].wires[0].push('send');
      },
    ],
    ['unwired-port', 'stages[0].ports.send', (d) => (d.stages[0].ports.send = 'flags')],
    ['broken-path', 'stages[1].ports', (d) => delete d.stages[1].ports.out],
    ['unknown-rail', 'rails[2]', (d) => d.rails.push('tube-heater')],
    ['repeated-part', 'stages[3].parts.R4', (d) => (d.stages[3].parts.R4 = d.stages[1].parts.R4)],
    ['bad-value', 'stages[1].parts.R4.value', (d) => (d.stages[1].parts.R4.value = '4.7k')],
    ['bad-value', 'stages[1].parts.R4.value', (d) => (d.stages[1].parts.R4.value = 'much')],
    ['unknown-type', 'stages[1].parts.D1.type', (d) => (d.stages[1].parts.D1.type = '1N9999')],
    ['unknown-type', 'stages[0].parts.Q1.type', (d) => (d.stages[0].parts.Q1.type = '2N7000')],
    ['pump-part', `${PUMP}.doubler.capacitor`, (d) => (pumpOf(d).doubler.capacitor = 'R1'), pumped],
    ['pump-part', `${PUMP}.doubler.diode`, (d) => (pumpOf(d).doubler.diode = 'C17'), pumped],
    ['pump-part', `${PUMP}.inverter.capacitor`, (d) => (pumpOf(d).inverter.capacitor = 'C99'), pumped],
    ['unknown-package', 'stages[1].parts.U1A.package', (d) => (d.stages[1].parts.U1A.package = 'U9')],
    ['unused-package', 'packages.U9', (d) => (d.packages.U9 = d.packages.U1)],
    ['pot-without-knob', 'stages[1].parts.VR1', (d) => d.knobs.shift()],
    ['knob-without-pot', 'knobs[0].ref', (d) => (d.knobs[0].ref = 'R4')],
    ['repeated-control', 'knobs[1].name', (d) => (d.knobs[1].name = 'gain')],
    ['repeated-control', 'knobs[1].ref', (d) => (d.knobs[1].ref = 'VR1')],
    ['switch-without-control', 'stages[1].parts.SW1', (d) => d.switches.shift()],
    ['control-without-switch', 'switches[0].ref', (d) => (d.switches[0].ref = 'R4')],
    ['unknown-position', 'switches[0].start', (d) => (d.switches[0].start = 'sideways')],
    ['repeated-pin', 'stages[1].parts.SW1.pins', (d) => d.stages[1].parts.SW1.pins.push('a')],
    ['no-positions', 'stages[1].parts.SW1.positions', (d) => (d.stages[1].parts.SW1.positions = {})],
    [
      'unknown-pin',
      'stages[1].parts.SW1.positions.symmetric[0]',
      (d) => (d.stages[1].parts.SW1.positions.symmetric[0] = ['a', 'z']),
    ],
    ['gang-unknown-knob', 'knobs[1].gang.knob', (d) => (d.knobs[1].gang.knob = 'volume'), blend],
    ['gang-unknown-knob', 'knobs[1].gang.knob', (d) => (d.knobs[1].gang.knob = 'blend'), blend],
    [
      'gang-of-gang',
      'knobs[2].gang.knob',
      (d) => (d.knobs[2].gang = { ...d.knobs[1].gang, knob: 'blend' }),
      blend,
    ],
    ['unknown-switch', 'knobs[1].gang.switch', (d) => (d.knobs[1].gang.switch = 'none'), blend],
    ['unknown-position', 'knobs[1].gang', (d) => (d.knobs[1].gang.position = 'triple'), blend],
    ['unknown-stage', 'bypass.inputStages[0]', (d) => (d.bypass.inputStages[0] = 'nowhere')],
    ['unknown-net', 'bypass.bufferedNet', (d) => (d.bypass.bufferedNet = 'nowhere')],
    ['bypass-without-buffer', 'bypass.kinds', (d) => delete d.bypass.outputBuffer],
    [
      'unlisted-bypass',
      'stages[0].bypass[1]',
      (d) => {
        d.bypass.kinds = ['true'];
        d.stages[0].bypass = ['true', 'buffered'];
      },
    ],
    [
      'footswitch-with-control',
      'bypass.footswitch[0]',
      (d) => (d.bypass = { kinds: ['true'], footswitch: [d.switches[0].ref] }),
    ],
    ['repeated-bypass', 'bypass.kinds[1]', (d) => (d.bypass.kinds[1] = 'true')],
    ['unknown-net', 'clippingNet', (d) => (d.clippingNet = 'nowhere')],
    ['clipping-diode', 'clippingDiodes[0]', (d) => (d.clippingDiodes[0] = 'R4')],
    ['unknown-knob', 'roles.level', (d) => (d.roles.level = 'volume')],
    ['unknown-supply', 'roles.supply', (d) => (d.roles.supply = 'R4')],
    ['figure-part', 'figures[1].capacitors', (d) => (d.figures[1].capacitors = ['R4'])],
    ['figure-part', 'figures[1].parts', (d) => (d.figures[1].parts = ['R99'])],
  ])('is refused with %s at %s', (code, place, change, document = soft) => {
    const changed = document();
    change(changed);
    const problems = problemsOf(changed);
    const found = problems.find((problem) => problem.code === code && problem.place === place);
    expect(problems.map((problem) => `${problem.code} ${problem.place}`)).toContain(`${code} ${place}`);
    // What is wrong and what to do are two separate sentences.
    expect(found!.problem).toMatch(/^.+\.$/);
    expect(found!.remedy).toMatch(/^.+\.$/);
  });

  it('says which job is meant where one is misspelt', () => {
    const changed = soft();
    changed.stages[1].parts.R4.job = 'gain resistr';
    expect(circuitProblemText(problemsOf(changed)[0]!)).toBe(
      'stages[1].parts.R4.job: stages[1].parts.R4.job is "gain resistr". It should be a job that a resistor can have, such as "gain resistor".',
    );
    changed.stages[1].parts.R4.job = 'gain resistor';
    expect(problemsOf(changed)).toEqual([]);
  });

  it('reports every problem at once, not only the first', () => {
    const changed = soft();
    changed.knobs.shift();
    changed.stages[1].parts.R4.value = 'much';
    changed.roles.level = 'volume';
    expect(new Set(problemsOf(changed).map(({ code }) => code))).toEqual(
      new Set(['bad-value', 'pot-without-knob', 'figure-knob', 'unknown-knob']),
    );
  });

  it('is read, or refused in short lines, whatever was changed in it: 1,000 mutated documents', () => {
    const documents = fc.oneof(mutatedDocuments(soft()), mutatedDocuments(blend()));
    fc.assert(
      fc.property(documents, (document) => {
        const { circuit, problems } = parseCircuit(document);
        expect((circuit === undefined) !== (problems === undefined)).toBe(true);
        expect(problems?.length ?? 0).toBeLessThanOrEqual(MOST_PROBLEMS);
        for (const problem of problems ?? []) {
          // biome-ignore lint/suspicious/noControlCharactersInRegex: none of them may reach a terminal.
          expect(circuitProblemText(problem)).not.toMatch(/[\u0000-\u001f]/);
          expect(circuitProblemText(problem).length).toBeLessThan(700);
        }
        if (circuit) expect(parseCircuit(circuitDocument(circuit))).toEqual({ circuit });
      }),
      { numRuns: 1000 },
    );
  });

  it('has the right shape in the same cases in which the schema accepts it', () => {
    const ajv = new Ajv2020({ strict: true, strictTuples: false });
    const isValid = ajv.compile(SCHEMA as AnySchema);
    const hasShape = (document: unknown) =>
      !problemsOf(document).some(({ code }) => SHAPE_CODES.includes(code));
    const documents = fc.oneof(
      schemaDocuments(circuitShape.schema as DrawnSchema),
      mutatedDocuments(soft()),
      mutatedDocuments(blend()),
    );
    let good = 0;
    fc.assert(
      fc.property(documents, (document) => {
        const expected = isValid(document);
        if (expected) good++;
        expect(hasShape(document)).toBe(expected);
      }),
      { numRuns: 600 },
    );
    expect(good).toBeGreaterThan(150);
  });
});
