import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { decodeWav, encodeWav } from '../../engine/audio/wav.ts';
import { startingBuild } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { netsOf, networkOf } from '../../engine/builds/network-of-build.ts';
import { figureValue } from '../../engine/builds/part-figures.ts';
import { type Circuit, partsOf } from '../../engine/circuits/circuit.ts';
import { circuitDocument, parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import type { PartSpec } from '../../engine/circuits/part-spec.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import { STAGE_GROUPS, stageListShape, stageShape } from '../../engine/circuits/stages/stage-document.ts';
import { parseStage, stageDocument } from '../../engine/circuits/stages/stage-file.ts';
import { STAGES } from '../../engine/circuits/stages/stage-library.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { findBjt, findFet } from '../../engine/parts/catalogue.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { parseValue } from '../../engine/units/value-code.ts';
import { cliplead } from './command-run.ts';
import { STAGE_CIRCUITS } from './stage-circuits.ts';

// biome-ignore lint/suspicious/noExplicitAny: a changed document has no type of its own.
type Loose = any;

const FOLDER = new URL('../../presets/stages/', import.meta.url);
const folder = mkdtempSync(join(tmpdir(), 'cliplead-stages-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const circuitOf = (document: unknown): Circuit => {
  const { circuit, problems } = parseCircuit(document);
  expect(problems).toBeUndefined();
  return circuit!;
};

/** The result of "1 / (2π · 8 Hz · 1 MΩ)" in SI units. */
function computed(expression: string): number {
  const scales: Readonly<Record<string, number>> = { p: 1e-12, n: 1e-9, µ: 1e-6, m: 1e-3, k: 1e3, M: 1e6 };
  const plain = expression
    .replace(
      /(\d+(?:\.\d+)?) ([pnµmkM]?)(?:Hz|[FΩAV])/gu,
      (_, figure: string, prefix: string) => `(${figure} * ${scales[prefix] ?? 1})`,
    )
    .replace(/2π/gu, '(2 * Math.PI)')
    .replace(/·/gu, '*');
  expect(plain, expression).toMatch(/^[\d.e+\-*/() MathPI]+$/u);
  return Number(new Function(`return ${plain}`)());
}

const startOf = (part: PartSpec): number => {
  if (!('value' in part)) throw new Error(`${part.kind} has no value`);
  return parseValue(part.value, quantityOf(part.kind)!);
};

describe('the stages', () => {
  it('are one document each, in the folder of its group, and every group has one', () => {
    const files = STAGE_GROUPS.flatMap((group) =>
      readdirSync(new URL(group, FOLDER)).map((name) => ({ group, name })),
    );
    expect(STAGES.size).toBeGreaterThanOrEqual(12);
    expect(readdirSync(FOLDER).sort()).toEqual([...STAGE_GROUPS].sort());
    expect(files.map(({ name }) => name).sort()).toEqual([...STAGES.keys()].map((id) => `${id}.json`).sort());
    for (const { group, name } of files) expect(STAGES.get(name.replace('.json', ''))!.group).toBe(group);
    expect(new Set([...STAGES.values()].map(({ group }) => group)).size).toBe(STAGE_GROUPS.length);
  });

  it.each([...STAGES.values()])('are read back from JSON as they were: $id', (stage) => {
    expect(parseStage(JSON.parse(JSON.stringify(stageDocument(stage))))).toEqual({ stage });
  });

  it.each([
    ['stage', stageShape, 'A part of a pedal, drawn as one, with the formulas of its starting values.'],
    ['stage-list', stageListShape, 'A circuit as a list of stages, in the order of the signal.'],
  ] as const)(
    'have the shape that presets/%s.schema.json describes',
    async (name, { schema }, description) => {
      const whole = {
        $schema: 'https://json-schema.org/draft/2020-12/schema',
        $id: `cliplead-${name}`,
        title: `Cliplead ${name} file`,
        description,
        ...schema,
      };
      await expect(`${JSON.stringify(whole, undefined, 2)}\n`).toMatchFileSnapshot(
        `../../presets/${name}.schema.json`,
      );
    },
  );

  it.each([...STAGES.values()])('start with values near those of their formulas: $id', (stage) => {
    // A step of E6 is a factor of 1.47, and rounding to the nearest one at most its root, 21 %.
    const formulas = Object.entries(stage.values).filter(([, text]) => text.includes('='));
    for (const [ref, text] of formulas) {
      for (const [, expression, result] of text
        .replace(/^.*: (?=[^:]*$)/u, '')
        .matchAll(/^(.+) = ([^=]+)$/gu)) {
        const value = computed(expression!);
        expect(computed(result!) / value, `${ref}: ${text}`).toBeCloseTo(1, 1);
        const ratio = startOf(stage.parts[ref]!) / value;
        expect(Math.max(ratio, 1 / ratio), `${ref}: ${text}`).toBeLessThan(1.22);
      }
    }
    // Every resistor and capacitor that carries signal or bias says where its value comes from.
    const valued = Object.entries(stage.parts).filter(
      ([, { kind }]) => kind === 'resistor' || kind === 'capacitor',
    );
    expect(valued.filter(([ref]) => stage.values[ref] === undefined).map(([ref]) => ref)).toEqual([]);
  });

  it.each([...STAGES.values()])('have a job for one part only: $id', ({ parts }) => {
    const jobs = Object.values(parts).flatMap(({ job }) => job ?? []);
    expect(jobs.filter((job, index) => jobs.indexOf(job) !== index)).toEqual([]);
  });

  const withTransistors = [...STAGES.values()].filter(({ parts }) =>
    Object.values(parts).some(({ kind }) => kind === 'npn' || kind === 'nJfet'),
  );

  it.each(withTransistors)('state the voltages that their transistors have at rest: $id', (stage) => {
    // 50 mV is half of the last digit where there is one, and more than the filter of the supply drops.
    const circuit = circuitOf({
      ...STAGE_CIRCUITS.levels,
      stages: [stage.id, 'level', 'filtered-supply', 'divided-bias'].map((id) => ({ stage: id })),
    });
    const build = startingBuild(circuit);
    const { volts } = operatingPoint(networkOf(build, kelvinOf(27)));
    const stated = Object.values(stage.values).flatMap((text) => [
      ...text.matchAll(/(second )?(base|emitter|collector|gate|source|drain) at (\d+(?:\.\d+)?) V/gu),
    ]);
    expect(stated.length).toBeGreaterThan(0);
    for (const [phrase, second, pin, number] of stated) {
      const own = volts.get(netsOf(build)(`Q${second ? 2 : 1}.${pin}`))!;
      expect(Math.abs(own - Number(number)), `${phrase}: ${own}`).toBeLessThan(0.05);
    }
  });

  it('amplify as the square law says: common source', () => {
    // g_m = 2·√(β·I) at the drain current of R3, times R3 beside the 100k of the level knob; the channel's length is left out.
    const build = startingBuild(circuitOf(STAGE_CIRCUITS.boosted));
    const { volts } = operatingPoint(networkOf(build, kelvinOf(27)));
    const amps = (volts.get('supply')! - volts.get('drain')!) / 18e3;
    const transconductance = 2 * Math.sqrt(findFet('J201').data.betaAPerV2 * amps);
    const ohms = 1 / (1 / 18e3 + 1 / 100e3);
    const gain = build.circuit.figures.find(({ name }) => name === 'gain of the stage')!;
    expect(figureValue(build, gain, kelvinOf(27))).toBeCloseTo(20 * Math.log10(transconductance * ohms), 0);
  });

  it.each(withTransistors)('take the current gain that the type has: $id', ({ parts, values }) => {
    for (const [text, gain] of Object.values(values).flatMap((each) => [
      ...each.matchAll(/base current of [\d.]+ mA \/ (\d+)/gu),
    ]))
      for (const part of Object.values(parts).filter((each) => each.kind === 'npn'))
        expect(findBjt((part as { type: string }).type).data.forwardBeta, text).toBe(Number(gain));
  });

  it.each<[code: string, place: string, change: (document: Loose) => void]>([
    ['not-one-of', 'group', (d) => (d.group = 'pedals')],
    ['missing', 'purpose', (d) => delete d.purpose],
    ['unknown-key', 'colour', (d) => (d.colour = 'grey')],
    ['bad-value', 'parts.R1.value', (d) => (d.parts.R1.value = '2.2k')],
    ['unknown-type', 'parts.D1.type', (d) => (d.parts.D1.type = '1N9999')],
    ['unknown-pin', 'wires[0]', (d) => d.wires[0].push('R9.1')],
    ['unreached-pin', 'wires', (d) => d.wires.splice(1, 1)],
    ['named-port', 'wires[0]', (d) => (d.wires[0] = { name: 'input', pins: d.wires[0] })],
    ['broken-path', 'ports', (d) => delete d.ports.out],
    ['unknown-net', 'clipping.net', (d) => (d.clipping.net = 'nowhere')],
    ['clipping-diode', 'clipping.diodes[0]', (d) => (d.clipping.diodes = ['R1'])],
    ['unknown-knob', 'level', (d) => (d.level = 'output')],
    ['unknown-port', 'offers[0]', (d) => (d.offers = ['clean'])],
    ['unknown-part', 'values.R9', (d) => (d.values.R9 = 'common practice')],
    ['figure-part', 'figures[0].parts', (d) => (d.figures[0].parts = ['R9'])],
    ['group-part', 'groups[0].parts[0]', (d) => (d.groups[0].parts[0] = 'D9')],
  ])('are refused with %s at %s', (code, place, change) => {
    const document: Loose = structuredClone(stageDocument(STAGES.get('diodes-to-ground')!));
    change(document);
    const { problems = [] } = parseStage(document);
    expect(problems.map((problem) => `${problem.code} ${problem.place}`)).toContain(`${code} ${place}`);
    for (const { problem, remedy } of problems) expect(`${problem} ${remedy}`).toMatch(/^.+\. .+\.$/u);
  });
});

describe('a circuit made of stages', () => {
  const circuit = circuitOf(STAGE_CIRCUITS.blended);

  it('numbers its parts in the order of the signal, without a clash', () => {
    const refs = [...partsOf(circuit).keys()].filter((ref) => !/^(?:S\d|[RC]101)/u.test(ref));
    for (const letters of ['R', 'C', 'D', 'VR', 'Q']) {
      const own = refs.filter((ref) => new RegExp(`^${letters}\\d`, 'u').test(ref));
      expect(own).toEqual(own.map((_, index) => `${letters}${index + 1}`));
    }
    const count = circuit.stages.reduce((sum, { parts }) => sum + Object.keys(parts).length, 0);
    expect(new Set(partsOf(circuit).keys()).size).toBe(count);
  });

  it('fills the halves of dual op-amps in turn, and says what each package does', () => {
    const amplifiers = [...partsOf(circuit)].flatMap(([ref, { part }]) =>
      part.kind === 'opamp' ? [[ref, part.package]] : [],
    );
    expect(amplifiers).toEqual([
      ['U1A', 'U1'],
      ['U1B', 'U1'],
      ['U2A', 'U2'],
      ['U2B', 'U2'],
    ]);
    expect(circuit.packages).toEqual({
      U1: { type: 'RC4558', role: 'Dual op-amp: op-amp gain and blend.' },
      U2: { type: 'RC4558', role: 'Dual op-amp: treble shelf and buffered bias.' },
    });
  });

  it('gives single op-amps a package each', () => {
    const single = structuredClone(STAGE_CIRCUITS.blended) as Loose;
    single.stages[1].parts = { U1: 'TL071' };
    single.stages[3].parts = { U1: 'TL071' };
    const packages = circuitOf(single).packages;
    expect(Object.values(packages).map(({ type }) => type)).toEqual(['TL071', 'TL071', 'RC4558']);
  });

  it('joins each output to the next input, and ports of one name', () => {
    const { netOf } = circuitNets(circuit);
    const joined = (...pins: string[]) => new Set(pins.map((pin) => netOf.get(pin))).size === 1;
    // Follower to gain and to the blend, gain to diodes, diodes to blend, blend to shelf: read from the documents.
    expect(joined('Q1.source', 'C2.1', 'C7.1')).toBe(true);
    expect(joined('U1A.out', 'C5.1')).toBe(true);
    expect(joined('D1.anode', 'C6.1')).toBe(true);
    expect(joined('U1B.out', 'C9.1')).toBe(true);
    expect(netOf.get('U1A.positive')).toBe('supply');
    expect(netOf.get('Q1.drain')).toBe('supply');
    expect(netOf.get('U2B.out')).toBe('bias');
    expect(circuit.rails).toEqual(['supply', 'bias']);
  });

  it('takes values, names and starts from the list', () => {
    const parts = partsOf(circuit);
    expect([...parts.values()].filter(({ part }) => 'type' in part && part.type === '1N34A')).toHaveLength(2);
    expect(parts.get('R7')!.part).toMatchObject({ kind: 'resistor', value: '1k' });
    const levels = circuitOf(STAGE_CIRCUITS.levels);
    expect(levels.knobs.map(({ name, start }) => [name, start])).toEqual([
      ['level', 0.6],
      ['gain', 0.7],
      ['tone', 0.7],
      ['output', 0.4],
    ]);
    expect(levels.roles).toEqual({ level: 'output', supply: 'V1' });
  });

  it('names controls, nets, figures and stages without a clash where a stage is used twice', () => {
    const twice = structuredClone(STAGE_CIRCUITS.levels) as Loose;
    delete twice.stages[5].knobs;
    const levels = circuitOf(twice);
    expect(levels.knobs.map(({ name }) => name)).toEqual(['level', 'gain', 'tone', 'level 2']);
    expect(levels.roles.level).toBe('level 2');
    expect(levels.stages.map(({ title }) => title)).toContain('Level 2');
    const figures = levels.figures.map(({ name }) => name);
    expect(new Set(figures).size).toBe(figures.length);
    expect(figures).toContain('lowest frequency let in (emitter follower)');
    expect(figures).toContain('lowest frequency let in (output buffer)');
  });

  it('names the parts of a role by their new designators', () => {
    const { part } = partsOf(circuitOf(STAGE_CIRCUITS.levels)).get('C6')!;
    // C1 of the output buffer: "with R2 sets the lowest frequency let in".
    expect(part.role).toMatch(/with R10 sets/u);
    expect(partsOf(circuitOf(STAGE_CIRCUITS.levels)).get('R10')!.part.role).toMatch(
      /^Biases the transistor/u,
    );
  });

  it('names the net that clips where the last stage clips', () => {
    const last = { ...STAGE_CIRCUITS.levels, stages: [...STAGE_CIRCUITS.levels.stages] };
    last.stages.splice(6, 0, { stage: 'transistor-clipper' } as Loose);
    const clipsAt = (bypass: readonly string[]) => {
      const clipper = circuitOf({ ...last, bypass });
      const nets = circuitNets(clipper).netOf;
      // By the document of the stage: at the collector of its transistor, the fifth of the circuit.
      expect(nets.get('Q5.collector')).toBe(clipper.clippingNet);
      return clipper.clippingNet;
    };
    expect(clipsAt(['true'])).toBe('clipped');
    // A buffered bypass has its own name for the net between the last stage and the footswitch.
    expect(clipsAt(['buffered'])).toBe('effect output');
    expect(clipsAt(['true', 'buffered'])).toBe('effect output');
  });

  it('leaves out a port that nobody takes, and takes the clean signal from the first buffer', () => {
    const levels = circuitOf(STAGE_CIRCUITS.levels);
    expect(levels.stages.filter(({ ports }) => 'clean' in ports)).toEqual([]);
    const buffered = circuitOf({ ...STAGE_CIRCUITS.levels, bypass: ['buffered'] });
    expect(buffered.stages.flatMap(({ id, ports }) => ('clean' in ports ? [id] : []))).toEqual([
      'emitter-follower',
      'buffered-bypass',
    ]);
    expect(buffered.bypass).toEqual({ kinds: ['buffered'], footswitch: ['S2'] });
  });

  it('is saved whole in a build file, so that a later stage does not change it', () => {
    const build = parseBuildFile(JSON.stringify(STAGE_CIRCUITS.blended));
    const saved = JSON.parse(serialiseBuild(build));
    expect(saved.circuit).toEqual(JSON.parse(JSON.stringify(circuitDocument(circuit))));
    expect(parseBuildFile(JSON.stringify(saved))).toEqual(build);
  });

  it.each<[code: string, place: string, change: (document: Loose) => void]>([
    ['unknown-stage', 'stages[2].stage', (d) => (d.stages[2].stage = 'diode-ladder')],
    ['unknown-key', 'stages[2].value', (d) => (d.stages[2].value = '1k')],
    ['unknown-part', 'stages[2].parts.R9', (d) => (d.stages[2].parts.R9 = '1k')],
    ['unknown-knob', 'stages[5].knobs.output', (d) => (d.stages[5].knobs = { output: { start: 1 } })],
    ['unknown-switch', 'stages[5].switches.mode', (d) => (d.stages[5].switches = { mode: { start: 'on' } })],
    ['bad-value', 'stages[2].parts.R1', (d) => (d.stages[2].parts.R1 = '1000')],
    ['unknown-type', 'stages[2].parts.D1', (d) => (d.stages[2].parts.D1 = '1N9999')],
    ['no-level', 'stages', (d) => d.stages.splice(5, 1)],
    ['no-supply', 'stages', (d) => d.stages.splice(6, 1)],
    ['two-supplies', 'stages', (d) => d.stages.push({ stage: 'protected-supply' })],
    ['bypass-without-buffer', 'bypass', (d) => (d.stages[0] = { stage: 'level' })],
    [
      'no-clean-signal',
      'stages[3]',
      (d) => {
        d.stages[0] = { stage: 'level' };
        delete d.bypass;
      },
    ],
    // A buffer behind the blend would lead the signal round.
    ['no-clean-signal', 'stages[2]', (d) => d.stages.splice(4, 0, ...d.stages.splice(0, 1))],
    ['not-one-of', 'bypass[0]', (d) => (d.bypass = ['transistor-switched'])],
  ])('is refused with %s at %s', (code, place, change) => {
    const document: Loose = structuredClone(STAGE_CIRCUITS.blended);
    change(document);
    const { problems = [] } = parseCircuit(document);
    expect(problems.map((problem) => `${problem.code} ${problem.place}`)).toContain(`${code} ${place}`);
    for (const { problem, remedy } of problems) expect(`${problem} ${remedy}`).toMatch(/^.+\. .+\.$/u);
  });

  it('has its problems at the place in the list, by the designators of the stage', () => {
    const list = (change: object) => ({
      format: 'cliplead-circuit',
      version: 1,
      id: 'own',
      revision: 1,
      title: 'Own',
      stages: [
        { stage: 'op-amp-buffer' },
        { stage: 'op-amp-boost', ...change },
        { stage: 'level' },
        { stage: 'filtered-supply' },
        { stage: 'divided-bias' },
      ],
    });
    const first = (change: object) => {
      const [problem] = parseCircuit(list(change)).problems ?? [];
      return `${problem?.place}: ${problem?.problem}`;
    };
    expect(first({ parts: { R1: '4k7k' } })).toMatch(/^stages\[1\]\.parts\.R1: /);
    expect(first({ jobs: { R1: 'none' } })).toMatch(
      /^stages\[1\]\.jobs\.R1: stages\[1\]\.jobs\.R1 is "none"/,
    );
    expect(first({ parts: { U1: 'XX999' } })).toMatch(/^stages\[1\]\.parts\.U1: .*not an op-amp/);
  });

  it('needs no line of code: a file of ids is checked, measured and played by the command line', async () => {
    const path = join(folder, 'own.circuit.json');
    const stages = ['op-amp-buffer', 'level', 'filtered-supply', 'divided-bias'].map((stage) => ({ stage }));
    const own = { format: 'cliplead-circuit', version: 1, id: 'own', revision: 1, title: 'Own', stages };
    writeFileSync(path, JSON.stringify(own));
    expect((await cliplead('circuit', '--check', path)).out).toContain('a circuit, no problem found.');
    // The track of 100 kΩ has 32 % below the wiper at 0.6 (two slopes that meet at 15 %), with 1 MΩ across it.
    const lower = 1 / (1 / 32e3 + 1 / 1e6);
    const gainDb = 20 * Math.log10(lower / (lower + 68e3));
    const response = await cliplead('response', '--build', path, '--frequencies', '1000', '--json');
    const [point] = (JSON.parse(response.out) as { points: { decibels: number }[] }).points;
    expect(point!.decibels).toBeCloseTo(gainDb, 2);
    const sine = Float64Array.from({ length: 4800 }, (_, n) => 0.1 * Math.sin((2 * Math.PI * n) / 48));
    const [input, output] = [join(folder, 'in.wav'), join(folder, 'out.wav')];
    writeFileSync(input, encodeWav({ sampleRateHz: 48_000, channels: [sine] }));
    await cliplead('render', '--build', path, '--in', input, '--out', output);
    const [played] = decodeWav(readFileSync(output)).channels;
    expect(Math.max(...played!.slice(2400, 4320)) / 0.1).toBeCloseTo(10 ** (gainDb / 20), 2);
  });
});
