import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it, vi } from 'vitest';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { netsOf, networkOf } from '../../engine/builds/network-of-build.ts';
import { newerCircuit, newerCircuitText } from '../../engine/builds/newer-circuit.ts';
import { type BundledCircuits, revisionOf } from '../../engine/circuits/bundled-circuits.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { circuitDocument, parseCircuit } from '../../engine/circuits/circuit-file.ts';
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
  revision: 2,
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
    const forgotten = older.filter(({ id, revision }) => id !== 'soft-clip' || revision !== 2);
    expect(revisionProblems({ newest, older: forgotten }, kept)).toEqual([
      'soft-clip.revision-2.json is not in the list of older revisions: import it in circuits.ts.',
      'soft-clip.revision-3.json is not kept: write it with "circuit --print soft-clip".',
    ]);
    const changed = { ...newest.get('soft-clip')!, revision: 2 };
    expect(revisionProblems({ newest: new Map([['soft-clip', changed]]), older: forgotten }, kept)).toEqual([
      'soft-clip is not as soft-clip.revision-2.json keeps it: raise its revision and keep both.',
    ]);
    const both = new Map([...kept, ['soft-clip.revision-3.json', circuitDocument(newest.get('soft-clip')!)]]);
    expect(revisionProblems(MADE_UP, both)).toEqual([]);
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
      'cliplead: --print soft: there is no such circuit. Choose one of soft-clip, clean-blend.',
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
    expect([first.circuit.revision, second.circuit.revision]).toEqual([1, 2]);
    for (const leg of legs) {
      expect(netsOf(first)(`${leg}.2`), leg).toBe('bias');
      expect(netsOf(second)(`${leg}.2`), leg).toBe('0');
    }
  });

  it('is offered revision 2: what it changes, and the places that come in', () => {
    expect(newerCircuitText(newerCircuit(presetBuild('soft-plain-revision-1'))!)).toBe(
      'This build uses revision 1 of Soft clip. Revision 2 is available. Changes: D7 1N4001 added; C13 100n added; new places, jumpered or not fitted: R19, C12, D4, R20, R21, D5, R22, D6, R23, D8; C5, C6, C3 rewired.',
    );
    const clean = newerCircuit(presetBuild('clean-plain-revision-1'))!;
    expect(clean.changes[0]).toBe('C5 100p becomes 2n7');
    expect(clean.changes.at(-1)).toBe('C7, C4, D1, D2, R7, R8, D3 rewired');
  });

  it('sounds as a preset of revision 2 after the offer is taken, but for its title', () => {
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
    ['version 2', 2, FILE],
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
    expect(JSON.parse(saved).circuit).toMatchObject({ id: 'soft-clip', revision: 2 });
    expect(parseBuildFile(saved, MADE_UP)).toEqual(build);
    expect(newerCircuit(parseBuildFile(saved, MADE_UP), MADE_UP)).toEqual(newerCircuit(build, MADE_UP));
  });

  it('is offered the newer revision, with a list of its changes', () => {
    const offer = newerCircuit(build, MADE_UP)!;
    expect(newerCircuitText(offer)).toBe(
      'This build uses revision 2 of Soft clip. Revision 3 is available. Changes: R4 4k7 becomes 5k6; R18 100R removed; R30 470k added; C9 rewired.',
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
    expect(JSON.parse(serialiseBuild(renewed, MADE_UP))).toMatchObject({ circuit: 'soft-clip', revision: 3 });
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
    const later = JSON.stringify({ ...FILE, revision: 4 });
    expect(() => parseBuildFile(later, MADE_UP)).toThrow(
      'Revision 4 of Soft clip is not known here; the newest is 3. Update the bench.',
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
      /^"?mine\.json"?: This build uses revision 2 of Soft clip.*R4 4k7 becomes 5k6.*\.\n$/,
    );
  });
});
