import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { type Circuit, stage } from '../../engine/circuits/circuit.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { resistor as resistorSpec } from '../../engine/circuits/part-spec.ts';
import { softClip } from '../../engine/circuits/soft-clip/soft-clip.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { checkNetwork } from '../../engine/solver/network-check.ts';
import { NetworkError, type NetworkProblem } from '../../engine/solver/network-error.ts';
import { strongComponents } from '../../engine/solver/strong-components.ts';
import { presetBuild } from '../preset-build.ts';
import {
  bipolar,
  capacitor,
  diode,
  fieldEffect,
  network,
  opamp,
  resistor,
  source,
} from './small-networks.ts';

const OPAMP = {
  gainBandwidthHz: 3e6,
  slewVPerS: 1.7e6,
  openLoopGain: 1e5,
  headroomHighV: 1,
  headroomLowV: 1,
  inputBiasA: 0,
  quiescentA: 0,
};
const JUNCTION = {
  saturationCurrentA: 1e-9,
  emissionCoefficient: 1.8,
  seriesOhms: 1,
  zeroBiasCapacitanceF: 0,
};
const BJT = { saturationCurrentA: 1e-14, forwardBeta: 200, reverseBeta: 2, earlyV: 100 };
const MOSFET = { betaAPerV2: 0.1, thresholdV: 1.6, lambdaPerV: 0, gateSaturationCurrentA: 0 };
const divider = [resistor('R1', 'in', 'out', 1e3), resistor('R2', 'out', GROUND, 1e3)];

function problemsOf(circuit: Network): readonly NetworkProblem[] {
  try {
    checkNetwork(circuit);
  } catch (error) {
    if (error instanceof NetworkError) return error.problems;
    throw error;
  }
  return [];
}
const refsOf = ({ primitives }: Network) => primitives.map(({ ref }) => ref);

describe('a network that cannot be solved', () => {
  it.each<[string, readonly Primitive[], NetworkProblem['code'], string, RegExp]>([
    [
      'a net between capacitors',
      [...divider, capacitor('C1', 'out', 'x', 1e-9), capacitor('C2', 'x', GROUND, 1e-9)],
      'floating-net',
      'x',
      /Net x has no DC path to ground \(only C1 and C2 touch it\)/,
    ],
    [
      'a gate with a capacitor only',
      [
        ...divider,
        capacitor('C1', 'in', 'g', 1e-9),
        fieldEffect('nMosfet', 'Q1', ['out', 'g', GROUND], MOSFET),
      ],
      'floating-net',
      'g',
      /only C1 and Q1 touch it/,
    ],
    [
      'two sources on a net',
      [...divider, source('v', 9), { ...source('v', 5), ref: 'V2' }, resistor('R3', 'v', 'out', 1)],
      'driven-twice',
      'v',
      /Net v is driven by V v and V2 at once/,
    ],
    [
      'a source on the input',
      [...divider, source('in', 9)],
      'driven-twice',
      'in',
      /driven by the input and V in/,
    ],
    [
      'a source across a wire',
      [...divider, source(GROUND, 9)],
      'driven-twice',
      GROUND,
      /driven by ground and V 0/,
    ],
    [
      'two op-amps on a net',
      [
        ...divider,
        source('v', 9),
        opamp('U1', ['in', 'o', 'o', 'v', GROUND], OPAMP),
        opamp('U2', ['out', 'o', 'o', 'v', GROUND], OPAMP),
      ],
      'driven-twice',
      'o',
      /U1 and U2/,
    ],
    [
      'an op-amp without a supply',
      [...divider, resistor('R3', 'v', GROUND, 1e3), opamp('U1', ['in', 'o', 'o', 'v', GROUND], OPAMP)],
      'unpowered',
      'U1',
      /U1 gets no supply: nothing feeds its net v/,
    ],
    [
      'a source that is not referred to ground',
      [...divider, { kind: 'voltageSource', ...ofPart('V1'), nodes: ['out', 'in'], volts: 1 }],
      'unsupported-source',
      'V1',
      /V1 is not referred to ground/,
    ],
    [
      'a base on the input with its emitter on ground',
      [...divider, source('v', 9), bipolar('npn', 'Q1', ['v', 'in', GROUND], BJT)],
      'unlimited-current',
      'Q1',
      /Q1 has a junction directly across the input and ground, and nothing limits its current/,
    ],
    [
      'the input on the base of a PNP at a supply of 4 V',
      [...divider, source('v', 4), bipolar('pnp', 'Q1', [GROUND, 'in', 'v'], BJT)],
      'unlimited-current',
      'Q1',
      /directly across/,
    ],
    [
      "an op-amp's output on the base of a PNP at a supply of 4 V",
      [
        ...divider,
        source('v', 4),
        opamp('U1', ['in', 'o', 'o', 'v', GROUND], OPAMP),
        bipolar('pnp', 'Q1', [GROUND, 'o', 'v'], BJT),
      ],
      'unlimited-current',
      'Q1',
      /directly across/,
    ],
    [
      'a diode without series resistance on the input',
      [...divider, diode('D1', ['in', GROUND], { ...JUNCTION, seriesOhms: 0 })],
      'unlimited-current',
      'D1',
      /across the input and ground/,
    ],
    ['an output on nothing', [resistor('R1', 'in', GROUND, 1e3)], 'no-output', 'out', /output net out/],
  ])('is refused by name: %s', (_, primitives, code, place, message) => {
    const problems = problemsOf(network(primitives));
    const problem = problems.find((candidate) => candidate.code === code);
    expect(problem?.place).toBe(place);
    expect(problem?.message).toMatch(message);
    expect(() => compileCircuit(network(primitives), { sampleRateHz: 48e3 })).toThrow(NetworkError);
  });

  it('is refused with every problem at once', () => {
    const parts = [source('in', 9), capacitor('C1', 'a', 'b', 1e-9), capacitor('C2', 'a', 'b', 1e-9)];
    expect(problemsOf(network(parts)).map(({ place }) => place)).toEqual(['in', 'out', 'a', 'b']);
  });

  it('does not exist where transistors, diodes or op-amp outputs carry the direct current', () => {
    const parts = [
      source('v', 9),
      capacitor('C1', 'in', 'b', 1e-9),
      bipolar('npn', 'Q1', ['v', 'b', 'e'], BJT),
      resistor('R1', 'e', GROUND, 1e3),
      opamp('U1', ['e', 'o', 'o', 'v', GROUND], OPAMP),
      diode('D1', ['o', 'out'], JUNCTION),
    ];
    expect(problemsOf(network(parts))).toEqual([]);
  });
});

describe('a junction between fixed voltages', () => {
  it('is allowed where it has resistance, or cannot conduct', () => {
    const parts = [
      ...divider,
      source('v', 9),
      bipolar('npn', 'Q1', ['v', 'in', 'e'], BJT),
      resistor('R3', 'e', GROUND, 1e3),
      diode('D1', ['in', GROUND], JUNCTION),
    ];
    expect(problemsOf(network(parts))).toEqual([]);
  });
});

describe('pruning', () => {
  it('removes bridged parts and parts with a free end, chain by chain', () => {
    const circuit = network([
      ...divider,
      resistor('R3', 'out', 'a', 1e3),
      diode('D1', ['a', 'b'], JUNCTION),
      capacitor('C1', 'a', 'b', 1e-9),
      resistor('R4', 'out', 'out', 1e3),
      resistor('R5', 'x', 'y', 1e3),
    ]);
    expect(refsOf(pruneNetwork(circuit))).toEqual(['R1', 'R2']);
  });

  it('keeps loops, rails, and everything that leads to a transistor', () => {
    const circuit = network(
      [
        ...divider,
        resistor('R3', 'out', 'rail', 1e3),
        resistor('R4', 'out', 'b', 1e3),
        bipolar('npn', 'Q1', ['out', 'b', GROUND], BJT),
        resistor('R5', 'out', 'a', 1e3),
        capacitor('C1', 'a', 'c', 1e-9),
        resistor('R6', 'c', 'out', 1e3),
      ],
      { rails: ['rail'] },
    );
    expect(refsOf(pruneNetwork(circuit))).toEqual(refsOf(circuit));
  });

  it('leaves a network unchanged that has nothing to remove', () => {
    for (const name of ['soft-plain', 'clean-midlift']) {
      const pruned = pruneNetwork(networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K));
      expect(refsOf(pruneNetwork(pruned))).toEqual(refsOf(pruned));
    }
  });
});

describe('nets of a circuit', () => {
  const placement = { at: [0, 0], role: 'A resistor.' } as const;
  const oneStage = (wires: readonly unknown[], ports: Record<string, readonly [number, number]> = {}) => {
    const described = stage({
      id: 'only',
      title: 'Only',
      ports: { in: [0, 0], out: [0, 0], ground: [0, 0], ...ports },
      parts: { R1: resistorSpec('1k', placement), R2: resistorSpec('1k', placement) },
      wires: [],
    });
    return {
      ...softClip,
      stages: [{ ...described, wires: wires as readonly (readonly string[])[] }],
    } as Circuit;
  };
  const good = [
    ['in', 'R1.1'],
    ['R1.2', 'R2.1', 'out'],
    ['R2.2', 'ground'],
  ];

  it('are named ground, input, output, by the name on a wire, or by their first pin', () => {
    const { netOf } = circuitNets(oneStage(good));
    expect([netOf.get('R1.1'), netOf.get('R1.2'), netOf.get('R2.2')]).toEqual(['in', 'out', '0']);
    const soft = circuitNets(fittedCircuit({ circuit: softClip, bypass: 'true' })).netOf;
    expect(soft.get('Q1.base')).toBe('base');
    expect(soft.get('R2.1')).toBe('bias');
    expect(soft.get('U1A.positive')).toBe('supply');
    expect(soft.get('R4.2')).toBe('R4.2');
    expect(soft.get('C3.1')).toBe('R4.2');
    expect(soft.get('S1B.jack')).toBe('out');
  });

  it.each<[string, readonly unknown[], RegExp]>([
    ['a pin that no wire reaches', good.slice(0, 2), /No wire reaches R2\.2/],
    ['a pin that does not exist', [...good, ['R1.3', 'in']], /R1 has no pin "3"/],
    ['a part that does not exist', [...good, ['R9.1', 'in']], /no part R9/],
    ['a port that does not exist', [...good, ['side', 'in']], /no port "side"/],
    [
      'two names on one net',
      [
        { name: 'a', pins: ['R1.2', 'R2.1'] },
        { name: 'b', pins: ['R1.2', 'R2.1'] },
        ['in', 'R1.1'],
        ['R2.2', 'ground'],
        ['in', 'out'],
      ],
      /"a" and "b"/,
    ],
  ])('are refused as an author’s mistake: %s', (_, wires, message) => {
    expect(() => circuitNets(oneStage(wires))).toThrow(RangeError);
    expect(() => circuitNets(oneStage(wires))).toThrow(message);
  });

  it('connect every pin of every circuit', () => {
    for (const circuit of CIRCUITS.values()) expect(circuitNets(circuit).netOf.size).toBeGreaterThan(50);
  });
});

describe('blocks in order', () => {
  it('come after the blocks that they read, and loops stay together', () => {
    // 0 → 1 ⇄ 2 → 3, 4 → 3, and 5 reads itself.
    const components = strongComponents([[1], [2], [1, 3], [], [3], [5]]);
    const place = new Map(components.flatMap((members, index) => members.map((vertex) => [vertex, index])));
    expect(components.map((members) => [...members].sort()).sort()).toEqual([[0], [1, 2], [3], [4], [5]]);
    for (const [from, to] of [
      [0, 1],
      [2, 3],
      [4, 3],
    ] as const)
      expect(place.get(from)!).toBeLessThan(place.get(to)!);
  });
});
