import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it, vi } from 'vitest';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { netsOf, networkOf } from '../../engine/builds/network-of-build.ts';
import { newerCircuit, newerCircuitText } from '../../engine/builds/newer-circuit.ts';
import { type BundledCircuits, inNewestWords, revisionOf } from '../../engine/circuits/bundled-circuits.ts';
import { type Circuit, isSameCircuit } from '../../engine/circuits/circuit.ts';
import { circuitDocument, parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { isSameButWords } from '../../engine/circuits/circuit-words.ts';
import { BUNDLED, CIRCUITS } from '../../engine/circuits/circuits.ts';
import { sayNewer } from '../../engine/cli/options.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { withNewerSoftClip } from '../made-up-revision.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const FOLDER = new URL('../../presets/circuits/', import.meta.url);

/** The kept documents, by file name. */
function keptDocuments(): ReadonlyMap<string, unknown> {
  return new Map(
    readdirSync(FOLDER).map((name) => [name, JSON.parse(readFileSync(new URL(name, FOLDER), 'utf8'))]),
  );
}

/** The reasons for which builds of these circuits would no longer sound as before, each with what to do. */
function revisionProblems(bundled: BundledCircuits, kept: ReadonlyMap<string, unknown>): readonly string[] {
  return [...bundled.newest.values()].flatMap(({ id, revision }) =>
    Array.from({ length: revision }, (_, index) => index + 1).flatMap((each) => {
      const name = `${id}.revision-${each}.json`;
      const document = kept.get(name);
      const circuit = revisionOf(bundled, id, each);
      if (document === undefined) return [`${name} is not kept: write it with "circuit --print ${id}".`];
      if (!circuit) return [`${name} is not in the list of older revisions: import it in circuits.ts.`];
      const isKept = JSON.stringify(document) === JSON.stringify(circuitDocument(circuit));
      return isKept ? [] : [`${id} is not as ${name} keeps it: raise its revision and keep both.`];
    }),
  );
}

const MADE_UP = withNewerSoftClip();
const FILE = {
  format: 'cliplead-build',
  version: 2,
  circuit: 'soft-clip',
  revision: 3,
  title: 'Mine',
  parts: { D1: 'OA91', R11: '22k' },
  knobs: { gain: 0.8 },
  aliases: { R18: 'R99', R4: 'R7' },
};
const text = JSON.stringify(FILE);

describe('the circuits of the bench', () => {
  it('are the same as the kept document of each of their revisions', () => {
    expect(revisionProblems(BUNDLED, keptDocuments())).toEqual([]);
  });

  it('may not change without a new revision, and may not have a new revision without the document of the old one', () => {
    const kept = keptDocuments();
    const { newest, older } = MADE_UP;
    const forgotten = older.filter(({ id, revision }) => id !== 'soft-clip' || revision !== 3);
    expect(revisionProblems({ newest, older: forgotten }, kept)).toEqual([
      'soft-clip.revision-3.json is not in the list of older revisions: import it in circuits.ts.',
      'soft-clip.revision-4.json is not kept: write it with "circuit --print soft-clip".',
    ]);
    const changed = { ...newest.get('soft-clip')!, revision: 3 };
    expect(revisionProblems({ newest: new Map([['soft-clip', changed]]), older: forgotten }, kept)).toEqual([
      'soft-clip is not as soft-clip.revision-3.json keeps it: raise its revision and keep both.',
    ]);
    const both = new Map([...kept, ['soft-clip.revision-4.json', circuitDocument(newest.get('soft-clip')!)]]);
    expect(revisionProblems(MADE_UP, both)).toEqual([]);
  });

  it('give every part a job, but for parts of a bypass that other circuits do not have', () => {
    const jobless = [...CIRCUITS.values()].flatMap(({ stages }) =>
      stages
        .filter(({ id }) => id !== 'transistor-bypass')
        .flatMap(({ parts }) => Object.entries(parts))
        .filter(([, { kind, job }]) => kind !== 'switch' && job === undefined),
    );
    expect(jobless).toEqual([]);
  });

  it('are printed as documents that can be read', async () => {
    for (const [id, circuit] of CIRCUITS) {
      const { out } = await cliplead('circuit', '--print', id);
      const printed = parseCircuit(JSON.parse(out)).circuit;
      expect(printed && isSameCircuit(printed, circuit)).toBe(true);
    }
    const { code, err } = await cliplead('circuit', '--print', 'soft');
    expect([code, err.trim()]).toEqual([
      2,
      `cliplead: --print soft: there is no such circuit. Choose one of ${[...CIRCUITS.keys()].join(', ')}.`,
    ]);
  });
});

describe('a build of revision 1 of a bundled circuit', () => {
  // The output itself is compared with SciPy in tests/reference: soft-plain-revision-1 and clean-plain-revision-1.
  it.each([
    ['soft-plain', ['C3', 'C5', 'C6']],
    ['clean-plain', ['C4', 'C7']],
  ])('opens on its own circuit: %s, with the legs at the bias', (name, legs) => {
    const [first, second] = [presetBuild(`${name}-revision-1`), presetBuild(name)];
    expect([first.circuit.revision, second.circuit.revision]).toEqual([1, name === 'soft-plain' ? 3 : 4]);
    for (const leg of legs) {
      expect(netsOf(first)(`${leg}.2`), leg).toBe('bias');
      expect(netsOf(second)(`${leg}.2`), leg).toBe('0');
    }
  });

  it('is offered the newest revision: what it changes, and the places that come in', () => {
    expect(newerCircuitText(newerCircuit(presetBuild('soft-plain-revision-1'))!)).toBe(
      'This build uses revision 1 of Soft clip. Revision 3 is available. Changes: D7 1N4001 added; C13 100n added; new places, jumpered or not fitted: R19, C12, D4, R20, R21, D5, R22, D6, R23, D8; C5, C6, C3 rewired.',
    );
    const clean = newerCircuit(presetBuild('clean-plain-revision-1'))!;
    expect(clean.changes[0]).toBe('C5 100p becomes 2n7');
    expect(clean.changes.at(-1)).toBe('C7, C4, D1, D2, R7, R8, D3 rewired');
  });

  it('sounds as a preset of the newest revision after the offer is taken, but for its title', () => {
    for (const name of ['soft-plain', 'clean-plain']) {
      const { build } = newerCircuit(presetBuild(`${name}-revision-1`))!;
      expect(networkOf(build, NOMINAL_TEMPERATURE_K)).toEqual(
        networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K),
      );
    }
  });
});

describe('a build of an older revision', () => {
  const build = parseBuildFile(text, MADE_UP);

  it.each([
    ['version 2', 3, FILE],
    ['version 1, which names none', 1, { ...FILE, version: 1, revision: undefined }],
  ])('opens with that revision and sounds as it did: a file of %s', (_, revision, file) => {
    const before = parseBuildFile(JSON.stringify(file));
    const opened = parseBuildFile(JSON.stringify(file), MADE_UP);
    expect(opened.circuit.revision).toBe(revision);
    expect(networkOf(opened, NOMINAL_TEMPERATURE_K)).toEqual(networkOf(before, NOMINAL_TEMPERATURE_K));
    expect(opened).toEqual(before);
  });

  it('is saved with that revision in the file, and opens with it', () => {
    const saved = serialiseBuild(build, MADE_UP);
    expect(JSON.parse(saved).circuit).toMatchObject({ id: 'soft-clip', revision: 3 });
    expect(parseBuildFile(saved, MADE_UP)).toEqual(build);
    expect(newerCircuit(parseBuildFile(saved, MADE_UP), MADE_UP)).toEqual(newerCircuit(build, MADE_UP));
  });

  it('is offered the newer revision, with a list of its changes', () => {
    const offer = newerCircuit(build, MADE_UP)!;
    expect(newerCircuitText(offer)).toBe(
      'This build uses revision 3 of Soft clip. Revision 4 is available. Changes: R4 4k7 becomes 5k6; R18 100R removed; R30 470k added; C9 rewired.',
    );
  });

  it('keeps its own swaps, knobs and names, and takes everything else from the newer revision', () => {
    const { build: renewed } = newerCircuit(build, MADE_UP)!;
    const { D1, R11, R4, R30, R18 } = renewed.parts;
    expect([D1, R11, R4, R30, R18]).toEqual([
      { type: 'OA91' },
      { value: '22k' },
      { value: '5k6' },
      { value: '470k' },
      undefined,
    ]);
    expect(renewed).toMatchObject({ title: 'Mine', knobs: { gain: 0.8 }, aliases: { R4: 'R7' } });
    expect(Object.keys(renewed.aliases!)).toEqual(['R4']);
    expect(JSON.parse(serialiseBuild(renewed, MADE_UP))).toMatchObject({ circuit: 'soft-clip', revision: 4 });
    expect(newerCircuit(renewed, MADE_UP)).toBeUndefined();
    expect(() => networkOf(renewed, NOMINAL_TEMPERATURE_K)).not.toThrow();
  });

  it('keeps a value of its own where the newer revision has another value', () => {
    const swapped = { ...build, parts: { ...build.parts, R4: { value: '3k3' } } };
    expect(newerCircuit(swapped, MADE_UP)!.build.parts['R4']).toEqual({ value: '3k3' });
  });

  it('is not offered for a builder’s own circuit, which does not change', () => {
    const own = { ...build, circuit: { ...build.circuit, title: 'Soft clip of my own' } };
    expect(newerCircuit(own, MADE_UP)).toBeUndefined();
    expect(newerCircuit(presetBuild('soft-plain'))).toBeUndefined();
  });

  it('is refused where its revision does not exist', () => {
    const later = JSON.stringify({ ...FILE, revision: 5 });
    expect(() => parseBuildFile(later, MADE_UP)).toThrow(
      'Revision 5 of Soft clip is not known here; the newest is 4. Update the bench.',
    );
  });

  it('is reported on the error output of the command line', () => {
    const said: string[] = [];
    const write = vi.spyOn(process.stderr, 'write').mockImplementation((line) => said.push(String(line)) > 0);
    sayNewer('mine.json', build, MADE_UP);
    sayNewer('soft-plain', presetBuild('soft-plain'));
    write.mockRestore();
    expect(said).toHaveLength(1);
    expect(said[0]).toMatch(
      /^"?mine\.json"?: This build uses revision 3 of Soft clip.*R4 4k7 becomes 5k6.*\.\n$/,
    );
  });
});

/** Measured in a made-up way: the file gets its fit when it is read. */
const PIECE = {
  kind: 'npn',
  name: 'mine',
  like: '2N5088',
  collectorA: 1e-3,
  currentGain: 300,
};

// biome-ignore lint/suspicious/noExplicitAny: a changed document has no type of its own.
type Loose = any;

/** Circuits whose revision 3 differs from revision 2 in words alone. */
const WITH_WORDS_CHANGED = ['soft-clip', 'clean-blend'] as const;

describe('a revision with other words and drawing alone', () => {
  /** A file of revision 2, which differs from revision 3 in words, with all that a builder can add. */
  const own = {
    ...FILE,
    revision: 2,
    parts: {
      D1: 'OA91',
      R4: '3k3',
      C3: { value: '47n', dielectric: 'X7R-small' },
      D5: { type: 'LED-red' },
      Q1: 'mine',
    },
    switches: { clipping: 'asymmetric' },
    bypass: 'buffered',
    aliases: { R18: 'R99' },
    groups: [{ name: 'both corners', parts: ['C3', 'C6'] }],
    pieces: [PIECE],
    start: { title: 'Before', parts: { D1: '1N4148' } },
  };

  /** Revision 2 as it opened before there was a revision 3. */
  const alone: BundledCircuits = {
    newest: new Map(WITH_WORDS_CHANGED.map((id) => [id, revisionOf(BUNDLED, id, 2)!])),
    older: BUNDLED.older.filter(({ revision }) => revision === 1),
  };

  it.each(WITH_WORDS_CHANGED)('has the network of the one before in every position: %s', (id) => {
    const [before, after] = [revisionOf(BUNDLED, id, 2)!, revisionOf(BUNDLED, id, 3)!];
    expect(isSameButWords(before, after)).toBe(true);
    expect(isSameCircuit(before, after)).toBe(false);
  });

  it('takes over a build without a question, and the build loses nothing', () => {
    const [before, after] = [alone, BUNDLED].map((each) => parseBuildFile(JSON.stringify(own), each));
    expect([before!.circuit.revision, after!.circuit.revision]).toEqual([2, 3]);
    expect({ ...after, circuit: undefined }).toEqual({ ...before, circuit: undefined });
    expect(after!.pieces).toHaveLength(1);
    expect(networkOf(after!, NOMINAL_TEMPERATURE_K)).toEqual(networkOf(before!, NOMINAL_TEMPERATURE_K));
    expect(newerCircuit(after!)).toBeUndefined();
    expect(JSON.parse(serialiseBuild(after!))).toMatchObject({ circuit: 'soft-clip', revision: 3 });
  });

  it('takes over a build whose file holds the whole document of the one before', () => {
    const held = {
      ...own,
      circuit: circuitDocument(revisionOf(BUNDLED, 'soft-clip', 2)!),
      revision: undefined,
    };
    expect(parseBuildFile(JSON.stringify(held)).circuit.revision).toBe(3);
  });

  it('does not take over a builder’s own circuit, not even one with other words', () => {
    const document = { ...circuitDocument(revisionOf(BUNDLED, 'soft-clip', 2)!), title: 'My soft clip' };
    const held = { ...own, circuit: document, revision: undefined };
    expect(parseBuildFile(JSON.stringify(held)).circuit).toMatchObject({
      revision: 2,
      title: 'My soft clip',
    });
  });

  it('comes silently on the way to one that changes parts, which is offered', () => {
    const build = parseBuildFile(JSON.stringify(own), MADE_UP);
    expect(build.circuit.revision).toBe(3);
    expect(newerCircuit(build, MADE_UP)!.build.circuit.revision).toBe(4);
  });

  it.each<[what: string, change: (circuit: Loose) => void]>([
    ['a value', (circuit) => (circuit.stages[2].parts.R4.value = '5k6')],
    ['a part', (circuit) => delete circuit.stages[2].parts.C4],
    ['a place that is fitted at the start', (circuit) => delete circuit.stages[2].parts.D4.fit],
    ['a wire', (circuit) => circuit.stages[2].wires.pop()],
    ['the name of a net', (circuit) => (circuit.stages[2].wires[1].name = 'another')],
    ['a port', (circuit) => delete circuit.stages[1].ports.buffered],
    ['the type of a package', (circuit) => (circuit.packages.U1.type = 'TL072')],
    ['a knob', (circuit) => (circuit.knobs[0].start = 0.4)],
    ['a position of a switch', (circuit) => (circuit.switches[0].start = 'lifted')],
    ['a group', (circuit) => circuit.groups.pop()],
    ['the diodes that clip', (circuit) => circuit.clippingDiodes.pop()],
    ['the bypass', (circuit) => circuit.bypass.kinds.pop()],
  ])('is not one that changes %s', (_, change) => {
    const [before, after] = [
      CIRCUITS.get('soft-clip')!,
      structuredClone(CIRCUITS.get('soft-clip')!) as Loose,
    ];
    change(after);
    expect(isSameButWords(before, after)).toBe(false);
    const bundled = { newest: new Map([['soft-clip', { ...after, revision: 4 }]]), older: [before] };
    expect(inNewestWords(bundled, before)).toBe(before);
  });

  it.each<[what: string, change: (circuit: Loose) => void]>([
    ['a role', (circuit) => (circuit.stages[2].parts.R4.role = 'Another.')],
    ['a job', (circuit) => delete circuit.stages[2].parts.R4.job],
    ['a title', (circuit) => (circuit.stages[2].title = 'Another')],
    ['a figure', (circuit) => (circuit.figures[0].name = 'another')],
    ['the place of a symbol', (circuit) => (circuit.stages[2].parts.R4.at = [1, 2])],
    ['the place of a port', (circuit) => (circuit.stages[2].ports.in = [1, 2])],
  ])('may change %s', (_, change) => {
    const [before, after] = [
      CIRCUITS.get('soft-clip')!,
      structuredClone(CIRCUITS.get('soft-clip')!) as Loose,
    ];
    change(after);
    const bundled = {
      newest: new Map([['soft-clip', { ...after, revision: 4 } as Circuit]]),
      older: [before],
    };
    expect(inNewestWords(bundled, before).revision).toBe(4);
  });
});
