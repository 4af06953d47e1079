import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import type { Build } from '../../engine/builds/build.ts';
import { netsOf, networkOf } from '../../engine/builds/network-of-build.ts';
import { figureValue, withPart } from '../../engine/builds/part-figures.ts';
import { partsOf } from '../../engine/circuits/circuit.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { CornerTransfer, PartFigure } from '../../engine/circuits/part-figure.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive, VoltageSource } from '../../engine/network/network.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';

/** A corner with the nets between which the network shows it. */
type Corner = Extract<PartFigure, { readonly formula: 'corner' }> & { readonly transfer: CornerTransfer };

const PRESETS = readdirSync(new URL('../../presets/', import.meta.url))
  .filter((file) => /^[a-z-]+\.json$/u.test(file) && !file.startsWith('chain-'))
  .map((file) => file.replace('.json', ''));

const HALF_POWER_DB = 10 * Math.log10(2);
/** How far a whole pedal, measured between its jacks, may be from −3 dB at the corner that a figure states, dB. */
const TOLERANCE_DB = 0.25;

/**
 * Corners of a few hertz, where the bias or the supply is no ground any more and carries signal round the stage, which the
 * figure of the stage leaves out. With both held still the pedal has them too.
 */
const ROUND_THE_RAILS = ['bass corner into the output buffer'];

const isOfSupply = ({ transfer }: Corner) =>
  ['dc', 'supply'].includes(transfer.from) || transfer.to === 'supply';

function cornersOf({ circuit }: Build): readonly Corner[] {
  return circuit.figures.filter(
    (figure): figure is Corner => figure.formula === 'corner' && figure.transfer !== undefined,
  );
}

function nodeOf(build: Build, net: string): string {
  const { netOf } = circuitNets(fittedCircuit(build));
  const pin = netOf.has(net) ? net : [...netOf].find(([, each]) => each === net)![0];
  return netsOf(build)(pin);
}

/** The network with a source of ripple at the plus of its battery, in place of the guitar. */
function withRipple(network: Network): Network {
  const battery = network.primitives.find((each): each is VoltageSource => each.kind === 'voltageSource')!;
  const hot = battery.nodes[0];
  const others = network.primitives.filter((each) => each !== battery);
  const resistor = (ref: string, from: string, to: string): Primitive => ({
    kind: 'resistor',
    ...ofPart(ref),
    nodes: [from, to],
    ohms: 1,
  });
  return {
    ...network,
    input: 'ripple',
    primitives: [
      { ...battery, nodes: ['battery', GROUND] },
      resistor('R901', 'battery', hot),
      resistor('R902', 'ripple', hot),
      resistor('R903', network.input, GROUND),
      ...others,
    ],
  };
}

function scaled(network: Network, refs: readonly string[], times: number): Network {
  const primitives = network.primitives.map((each) =>
    each.kind === 'capacitor' && refs.includes(each.origin.ref)
      ? { ...each, farads: each.farads * times }
      : each,
  );
  return { ...network, primitives };
}

/** What the capacitors of a corner take from the level at its net, dB, at multiples of a frequency. */
function takenAt(build: Build, corner: Corner, hz: readonly number[]): readonly number[] {
  const { transfer, capacitors } = corner;
  const network = networkOf(build, NOMINAL_TEMPERATURE_K);
  const rest = operatingPoint(network);
  const driven = isOfSupply(corner) ? withRipple(network) : network;
  const away = scaled(driven, capacitors, transfer.passband === 'above' ? 1e9 : 1e-9);
  const net = nodeOf(build, transfer.to);
  const [before, after] = [new FrequencyResponse(away, rest), new FrequencyResponse(driven, rest)];
  return hz.map((each) => before.at(each, net).decibels - after.at(each, net).decibels);
}

/** With the capacitors of bias and supply a thousand times as large. */
function withRailsHeld(build: Build): Build {
  const held = [...partsOf(build.circuit)].flatMap(([ref, { part }]) =>
    part.job === 'bias filter capacitor' || part.job === 'supply filter capacitor' ? [ref] : [],
  );
  const parts = Object.fromEntries(held.map((ref) => [ref, { ...build.parts[ref]!, value: '100m' }]));
  return { ...build, parts: { ...build.parts, ...parts } };
}

/** Builds far from the presets, each as a change of any circuit's build. */
const CHANGES: readonly (readonly [string, (build: Build) => Build])[] = [
  ['all knobs but the output nearly at 0', (build) => withKnobs(build, 0.1)],
  ['all knobs but the output at 1', (build) => withKnobs(build, 1)],
  ['R4 100k', (build) => withPart(build, 'R4', { value: '100k' })],
  ['C2 ten times as large', (build) => withPart(build, 'C2', { value: '10u' })],
];

function withKnobs(build: Build, rotation: number): Build {
  const { level } = build.circuit.roles;
  const knobs = Object.entries(build.knobs).map(([name, at]) => [name, name === level ? at : rotation]);
  return { ...build, knobs: Object.fromEntries(knobs) };
}

/** What is wrong with the corners of a build, in words. */
function wrongCorners(build: Build, held: (corner: Corner) => boolean): readonly string[] {
  return cornersOf(build).flatMap((corner) => {
    const turned = { ...build, knobs: { ...build.knobs, ...corner.transfer.knobs } };
    const tried = held(corner) ? withRailsHeld(turned) : turned;
    const hz = figureValue(tried, corner, NOMINAL_TEMPERATURE_K);
    if (!(hz > 1e-3 && hz < 1e6)) return [];
    const [below, at, above] = takenAt(tried, corner, [hz / 2, hz, hz * 2]) as [number, number, number];
    const [inside, outside] = corner.transfer.passband === 'above' ? [above, below] : [below, above];
    if (Math.abs(at - HALF_POWER_DB) < TOLERANCE_DB && inside < at && outside > at) return [];
    return [
      `${corner.name}: ${hz.toFixed(2)} Hz, ${[below, at, above].map((db) => db.toFixed(2)).join(', ')} dB`,
    ];
  });
}

describe('a cutoff frequency on the part card, against the whole pedal driven at its input', () => {
  it.each(PRESETS)('is where the capacitors take 3 dB: %s', (preset) => {
    expect(wrongCorners(presetBuild(preset), ({ name }) => ROUND_THE_RAILS.includes(name))).toEqual([]);
  });

  it.each(CHANGES)('is there in builds far from the presets: %s', (_, change) => {
    for (const preset of ['soft-plain', 'clean-plain', 'cascade-plain', 'treble-plain', 'silicon-fuzz-plain'])
      expect(
        wrongCorners(change(presetBuild(preset)), (corner) => !isOfSupply(corner)),
        preset,
      ).toEqual([]);
  });

  it('is there with what stands before and after: the two clippers of the cascade let in 30 and 46 Hz', () => {
    // 1/(2π·R·100 nF): R is 22 kΩ of the stage, and ahead of it the track of the level knob or the 8.2 kΩ of a collector.
    const build = presetBuild('cascade-plain');
    const letIn = cornersOf(build)
      .filter(({ name }) => /let in .*clipper/u.test(name))
      .map((corner) => Math.round(figureValue(build, corner, NOMINAL_TEMPERATURE_K)));
    expect(letIn).toEqual([30, 46]);
  });
});
