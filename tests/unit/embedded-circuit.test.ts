import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { startingBuild } from '../../engine/builds/build.ts';
import { BuildError } from '../../engine/builds/build-error.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { figuresOf, figureValue } from '../../engine/builds/part-figures.ts';
import { revisionOf } from '../../engine/circuits/bundled-circuits.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { BUNDLED, CIRCUITS } from '../../engine/circuits/circuits.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { circuitDrawing } from '../../engine/drawing/stage-drawing.ts';

/** A circuit that is not in the code: a coupling capacitor into a follower, and a volume control. */
const DOCUMENT = {
  format: 'cliplead-circuit',
  version: 1,
  id: 'plain-follower',
  revision: 3,
  title: 'Plain follower',
  stages: [
    {
      id: 'follower',
      title: 'Follower',
      ports: { in: [0, 8], out: [30, 8], ground: 'flags' },
      parts: {
        V1: { kind: 'supply', value: '9V', at: [2, 14], turn: 90, role: 'Battery.' },
        C1: {
          kind: 'capacitor',
          value: '10n',
          polarised: false,
          at: [4, 8],
          role: 'Keeps DC off the input.',
        },
        R1: { kind: 'resistor', value: '1M', at: [8, 4], turn: 90, role: 'Upper half of the divider.' },
        R2: { kind: 'resistor', value: '1M', at: [8, 12], turn: 90, role: 'Lower half of the divider.' },
        Q1: { kind: 'npn', type: '2N5088', at: [13, 8], role: 'Follows the input.' },
        R3: { kind: 'resistor', value: '10k', at: [14, 13], turn: 90, role: 'Sets the current.' },
        C2: {
          kind: 'capacitor',
          value: '10u',
          polarised: true,
          at: [20, 10],
          role: 'Keeps DC off the output.',
        },
        VR1: { kind: 'pot', value: '100k', law: 'linear', at: [26, 12], role: 'Level.' },
      },
      wires: [
        ['in', 'C1.1'],
        { name: 'base', pins: ['C1.2', 'R1.2', 'R2.1', 'Q1.base'] },
        { name: 'dc', pins: ['V1.plus', 'R1.1', 'Q1.collector'] },
        { name: 'emitter', pins: ['Q1.emitter', 'R3.1', 'C2.1'] },
        ['C2.2', 'VR1.cw'],
        ['VR1.wiper', 'out'],
        ['V1.minus', 'R2.2', 'R3.2', 'VR1.ccw', 'ground'],
      ],
    },
  ],
  packages: {},
  knobs: [{ ref: 'VR1', name: 'level', start: 1 }],
  switches: [],
  rails: [],
  bypass: { kinds: ['true'], bufferedNet: 'emitter', inputStages: ['follower'] },
  clippingNet: 'emitter',
  clippingDiodes: [],
  roles: { level: 'level', supply: 'V1' },
  figures: [
    {
      name: 'lowest frequency let in',
      formula: 'corner',
      parts: ['C1', 'R1', 'R2'],
      resistors: ['R1', 'R2'],
      joined: 'in parallel',
      capacitors: ['C1'],
    },
  ],
};

const parsed = parseCircuit(structuredClone(DOCUMENT));
const circuit = parsed.circuit!;

describe('a circuit that comes with its build', () => {
  it('has no problem', () => {
    expect(parsed.problems).toBeUndefined();
  });

  it('is played and drawn, and has figures, like a bundled one', () => {
    const build = startingBuild(circuit);
    const response = new FrequencyResponse(networkOf(build, NOMINAL_TEMPERATURE_K));
    // An emitter follower: unity gain, less the emitter's own V_T/I_E of 70 ohm against 9.1k.
    expect(response.at(1000, 'out').decibels).toBeCloseTo(20 * Math.log10(9091 / (9091 + 70)), 1);
    const [corner] = figuresOf(build, 'C1');
    // 1/(2π·500k·10n)
    expect(figureValue(build, corner!, NOMINAL_TEMPERATURE_K)).toBeCloseTo(31.83, 2);
    const [drawing] = circuitDrawing(circuit);
    expect(drawing!.parts.map(({ ref }) => ref).sort()).toEqual(
      Object.keys(DOCUMENT.stages[0]!.parts).sort(),
    );
  });

  it('is written into the build file, and is read from it', () => {
    const build = { ...startingBuild(circuit), title: 'Mine' };
    const text = serialiseBuild(build);
    expect(JSON.parse(text).circuit).toMatchObject({ format: 'cliplead-circuit', id: 'plain-follower' });
    const again = parseBuildFile(text);
    expect(again).toEqual(build);
    expect(isSameCircuit(again.circuit, circuit)).toBe(true);
  });

  it('is named in the file by id and revision if it is a bundled one', () => {
    const file = JSON.parse(serialiseBuild(startingBuild(CIRCUITS.get('soft-clip')!)));
    expect([file.version, file.circuit, file.revision]).toEqual([2, 'soft-clip', 3]);
  });

  it('is refused with the places of its problems in the build file', () => {
    const file = JSON.parse(serialiseBuild(startingBuild(circuit)));
    file.circuit.stages[0].parts.R1.value = 'much';
    file.circuit.roles.level = 'volume';
    let problems: BuildError['problems'] = [];
    try {
      parseBuildFile(JSON.stringify(file));
    } catch (error) {
      if (error instanceof BuildError) problems = error.problems;
    }
    expect(problems.map(({ path }) => path)).toEqual([
      'circuit.stages[0].parts.R1.value',
      'circuit.roles.level',
    ]);
  });

  it('is refused where it cannot be drawn: a part between two others, without room for a wire', () => {
    const file = JSON.parse(serialiseBuild(startingBuild(circuit)));
    const { parts } = file.circuit.stages[0];
    for (const ref of ['R1', 'R2', 'Q1', 'C2']) parts[ref].at = parts.C1.at;
    expect(() => parseBuildFile(JSON.stringify(file))).toThrow(/cannot be drawn.*farther apart/);
  });

  it('is not taken for the bundled circuit with the same id if the two differ', () => {
    const other = structuredClone(CIRCUITS.get('soft-clip')!);
    const changed = { ...other, title: 'Another' };
    expect(isSameCircuit(other, CIRCUITS.get('soft-clip')!)).toBe(true);
    expect(isSameCircuit(changed, other)).toBe(false);
    expect(parseBuildFile(serialiseBuild(startingBuild(changed))).circuit).toEqual(changed);
  });

  it('opens from files of version 1, which name a circuit without a revision', () => {
    const build = parseBuildFile(
      JSON.stringify({ format: 'cliplead-build', version: 1, circuit: 'clean-blend', parts: { R4: '3k3' } }),
    );
    expect(build.circuit).toBe(revisionOf(BUNDLED, 'clean-blend', 1));
    expect(build.parts['R4']).toEqual({ value: '3k3' });
  });

  it('is refused where the file names a revision that does not exist', () => {
    const file = { format: 'cliplead-build', version: 2, circuit: 'soft-clip', revision: 99 };
    expect(() => parseBuildFile(JSON.stringify(file))).toThrow(/Revision 99 of Soft clip/);
  });
});
