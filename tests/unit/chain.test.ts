import { describe, expect, it } from 'vitest';
import { clippingLevelOf } from '../../engine/analysis/clipping-level.ts';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { netVolts } from '../../engine/analysis/net-volts.ts';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { unityOf } from '../../engine/analysis/unity.ts';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import { loudnessReadings } from '../../engine/audio/programme-loudness.ts';
import type { Build } from '../../engine/builds/build.ts';
import {
  type Chain,
  type ChainPedal,
  netsOfNode,
  networkOfChain,
  nodeInChain,
  placeIn,
  USUAL_PATCH_METRES,
} from '../../engine/builds/chain.ts';
import { CABLE_FARADS_PER_METRE, USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { probedNode } from '../../engine/builds/probe-nets.ts';
import { loadedNetwork, networkWithin, surroundingsText } from '../../engine/builds/surroundings.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { compose } from '../../engine/network/compose.ts';
import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { network, resistor } from './small-networks.ts';

const K = NOMINAL_TEMPERATURE_K;
const HZ = [50, 200, 1000, 3000, 8000] as const;
const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');
/** Its input is neither buffered nor of a high impedance. */
const lifted = presetBuild('soft-lifted');

const pedal = (build: Build, cableMetres = USUAL_PATCH_METRES, isOn = true): ChainPedal => ({
  build,
  isOn,
  cableMetres,
});
const chainOf = (...pedals: readonly ChainPedal[]): Chain => ({ pedals });
const off = (build: Build, cableMetres = 0.3) => pedal({ ...build, bypass: 'true' }, cableMetres, false);

/** Complex numbers as [re, im]. */
type Complex = readonly [number, number];
const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];
const over = (z: Complex, [c, d]: Complex): Complex => times(z, [c / (c * c + d * d), -d / (c * c + d * d)]);
const minus = ([a, b]: Complex, [c, d]: Complex): Complex => [a - c, b - d];
const plus = ([a, b]: Complex, [c, d]: Complex): Complex => [a + c, b + d];
const decibels = ([a, b]: Complex) => 10 * Math.log10(a * a + b * b);

function gain(of: Network, hz: number, net = of.output): Complex {
  const found = new FrequencyResponse(of).at(hz, net);
  const size = 10 ** (found.decibels / 20);
  const angle = (found.phaseDegrees * Math.PI) / 180;
  return [size * Math.cos(angle), size * Math.sin(angle)];
}

/** A network between a resistor before its input and one at its output. */
function between(own: Network, seriesOhms: number, loadOhms: number): Network {
  const source = network([resistor('source', 'in', 'out', seriesOhms)]);
  const load = network([resistor('load', 'in', GROUND, loadOhms)]);
  return compose(
    [
      { id: 'source', network: source },
      { id: '', network: own },
      { id: 'load', network: load },
    ],
    [
      [
        { unit: 'source', net: 'out' },
        { unit: '', net: own.input },
      ],
      [
        { unit: '', net: own.output },
        { unit: 'load', net: 'in' },
      ],
    ],
    { input: { unit: 'source', net: 'in' }, output: { unit: '', net: own.output } },
  ).network;
}

const PROBE_OHMS = 100e3;
const OPEN_OHMS = 1e12;

/** From what a known resistance in series takes: Z/(Z + R) = g. */
function inputOhms(of: Network, hz: number): Complex {
  const g = gain(between(of, PROBE_OHMS, OPEN_OHMS), hz, 'source:out');
  return over(times([PROBE_OHMS, 0], g), minus([1, 0], g));
}

/** From what a known load takes: R/(R + Z) = loaded/open. */
function outputOhms(of: Network, hz: number): Complex {
  const g = over(gain(between(of, 1e-3, PROBE_OHMS), hz), gain(of, hz));
  return minus(over([PROBE_OHMS, 0], g), [PROBE_OHMS, 0]);
}

/** Two-ports in a row, after Thévenin: H = H1·Z/(Z + Z_out1)·H2 with Z = Z_in2 beside the cable. */
function inRow(first: Network, second: Network, cableFarads: number, hz: number): Complex {
  const seen = inputOhms(second, hz);
  const admittance = plus(over([1, 0], seen), [0, 2 * Math.PI * hz * cableFarads]);
  const load = over([1, 0], admittance);
  const share = over(load, plus(load, outputOhms(first, hz)));
  return times(times(gain(first, hz), share), gain(second, hz));
}

describe('a chain of two pedals', () => {
  it.each([
    ['soft-plain into clean-plain', soft, clean],
    [
      'clean-plain at full output into soft-lifted',
      { ...clean, knobs: { ...clean.knobs, output: 1 } },
      lifted,
    ],
  ])('%s has the response of its parts, each with the load that the next shows', (_, first, second) => {
    const both = networkOfChain(chainOf(pedal(first, 10), pedal(second)), K);
    const [one, two] = [networkOf(first, K), networkOf(second, K)];
    for (const hz of HZ) {
      const expected = inRow(one, two, 10 * CABLE_FARADS_PER_METRE, hz);
      expect(decibels(gain(both, hz)), `${hz} Hz`).toBeCloseTo(decibels(expected), 4);
    }
  });

  it('has a first output that is loaded by less than 0.1 dB where a follower drives the next input', () => {
    const both = networkOfChain(chainOf(pedal(soft, 0), pedal(clean)), K);
    for (const hz of HZ) {
      const product = times(gain(networkOf(soft, K), hz), gain(networkOf(clean, K), hz));
      expect(Math.abs(decibels(gain(both, hz)) - decibels(product))).toBeLessThan(0.1);
    }
  });

  it('leaves every pedal its own supply: its DC voltages are those that it has alone', () => {
    const chain = chainOf(pedal(soft), pedal(clean));
    chain.pedals.forEach(({ build }, position) => {
      const place = placeIn(chain, position);
      const alone = netVolts(build, networkOf(build, K), 'on');
      const chained = netVolts(build, networkOfChain(chain, K), place);
      expect(Object.keys(chained).length).toBeGreaterThan(15);
      for (const [net, volts] of Object.entries(chained)) expect(volts, net).toBeCloseTo(alone[net]!, 6);
    });
  });

  it('keeps the blocks of the pedals apart where a coupling network with known ends parts them', () => {
    const blocksOf = (of: Network) => compileCircuit(of, { sampleRateHz: 768_000, interpreted: true }).blocks;
    const largest = (of: Network) => Math.max(...blocksOf(of).map(({ devices }) => devices.length));
    const [a, b] = [networkOf(soft, K), networkOf(clean, K)];
    const both = networkOfChain(chainOf(pedal(soft), pedal(clean)), K);
    expect(largest(both)).toBeLessThanOrEqual(Math.max(largest(a), largest(b)) + 1);
  });
});

describe('a pedal that is off', () => {
  it('with true bypass leaves the chain without it, and with its cable', () => {
    const three = networkOfChain(chainOf(pedal(clean, 2), off(soft, 5), pedal(lifted)), K);
    const two = networkOfChain(chainOf(pedal(clean, 7), pedal(lifted)), K);
    for (const hz of HZ) expect(decibels(gain(three, hz))).toBeCloseTo(decibels(gain(two, hz)), 8);
  });

  it('is a wire also at either end and where all are off', () => {
    const wires = networkOfChain(chainOf(off(soft), off(clean), off(soft)), K);
    expect(gain(wires, 1000)).toEqual([1, 0]);
    const ends = networkOfChain(chainOf(off(soft), pedal(clean), off(soft)), K);
    expect(decibels(gain(ends, 1000))).toBeCloseTo(decibels(gain(networkOf(clean, K), 1000)), 3);
  });

  it('stays in the path with a buffered bypass', () => {
    const kept = { ...soft, bypass: 'buffered' } as const;
    const chain = chainOf(pedal(kept, 0.3, false), pedal(clean));
    const transistors = networkOfChain(chain, K).primitives.filter(({ origin: { unit, ref } }) => {
      return unit === '1' && ref.startsWith('Q');
    });
    expect(transistors.length).toBeGreaterThan(0);
  });
});

describe('the names in a chain', () => {
  const chain = chainOf(pedal(soft), off(clean), pedal(lifted));

  it('do not depend on the pedal that is looked at', () => {
    const whole = networkOfChain(chain, K);
    chain.pedals.forEach(({ build }, position) => {
      expect(networkWithin(build, K, { chain: placeIn(chain, position) })).toEqual(whole);
    });
  });

  it('are those of the pedal where it is alone', () => {
    expect(networkOfChain(chainOf(pedal(soft)), K)).toEqual(networkOf(soft, K));
  });

  it('lead from every node to the nets of pedals that it is, and back', () => {
    const { primitives } = pruneNetwork(networkOfChain(chain, K));
    const nodes = new Set(primitives.flatMap(({ nodes }) => [...nodes]));
    nodes.delete(GROUND);
    for (const node of nodes) {
      const nets = netsOfNode(chain, node);
      expect(nets.length, node).toBeGreaterThan(0);
      for (const { position, net } of nets) expect(nodeInChain(chain, position, net)).toBe(node);
    }
    // the output of the first, both ends of the wire, the input of the last
    expect(netsOfNode(chain, '1:out')).toEqual([
      { position: 0, net: 'out' },
      { position: 1, net: 'in' },
      { position: 1, net: 'out' },
      { position: 2, net: 'in' },
    ]);
    expect(netsOfNode(chain, GROUND)).toEqual([]);
    expect(netsOfNode(chain, 'guitar:hot')).toEqual([]);
  });

  it('find the net of a pedal for the probe, and none in a pedal that is a wire', () => {
    const whole = networkOfChain(chain, K);
    const nodeOf = (position: number, net: string) =>
      probedNode(chain.pedals[position]!.build, whole, net, placeIn(chain, position));
    expect(nodeOf(2, 'in')).toBe('1:out');
    expect(nodeOf(2, soft.circuit.clippingNet)).toBe(`3:${soft.circuit.clippingNet}`);
    expect(nodeOf(1, clean.circuit.clippingNet)).toBeUndefined();
    expect(nodeOf(1, 'out')).toBe('1:out');
  });
});

describe('the figures of a pedal in a chain', () => {
  const chain = chainOf(pedal(soft), pedal(clean));

  it('are stated at its own input: a pedal before it does not move where it clips from', () => {
    const alone = clippingLevelOf(clean, K);
    const second = clippingLevelOf(clean, K, { chain: placeIn(chain, 1), instrument: USUAL_INSTRUMENT });
    if (alone.kind !== 'from' || second.kind !== 'from') throw new Error('it should clip');
    expect(second.inputPeakV).toBeCloseTo(alone.inputPeakV, 6);
  });

  it('count what loads it', () => {
    const open = loadedNetwork({ ...clean, knobs: { ...clean.knobs, output: 0.5 } }, K, {});
    const loaded = loadedNetwork({ ...clean, knobs: { ...clean.knobs, output: 0.5 } }, K, {
      chain: placeIn(chainOf(pedal(soft), pedal(clean), pedal(lifted)), 1),
    });
    const net = nodeInChain(chainOf(pedal(clean), pedal(lifted)), 0, 'out');
    expect(decibels(gain(loaded, 1000, net))).toBeLessThan(decibels(gain(open, 1000)) - 0.01);
  });
});

describe('the mark of equal loudness in a chain', () => {
  it('holds ahead of another drive, which takes most of a change of level', () => {
    const first = { ...clean, bypass: 'true' } as const;
    const around = { chain: placeIn(chainOf(pedal(first), pedal(soft)), 0) };
    const { rotation } = unityOf(first, { temperatureK: K, hasStandIn: false, around });
    const phrase = pluckedPhrase({ sampleRateHz: 48_000, peakVolts: 0.3, seed: 1 });
    const [on, off] = [true, false].map((isOn) => {
      const turned = { ...first, knobs: { ...first.knobs, output: rotation! } };
      const network = networkOfChain(chainOf(pedal(turned, 0.3, isOn), pedal(soft)), K);
      const options = { factor: 4, quality: 'low-latency', sampleRateHz: 48_000 } as const;
      return loudnessReadings([renderOffline(network, phrase, options).outputV], 48_000).integratedLufs;
    });
    expect(Math.abs(on! - off!)).toBeLessThan(0.1);
  });
});

describe('a chain in words', () => {
  const chain = chainOf(pedal(clean), off(soft, 2), pedal(lifted));

  it('says what is before and after a pedal', () => {
    expect(surroundingsText({ chain: placeIn(chain, 1) })).toBe(
      'Pedal 2 of 3 (off): before it "Clean under clipped" and 0.3\u00a0m of cable, after it 2\u00a0m of cable and "Diodes lifted". No pickup is before the chain, and its output is left open.',
    );
    expect(surroundingsText({ chain: placeIn(chain, 0), instrument: USUAL_INSTRUMENT })).toBe(
      'Pedal 1 of 3: after it 0.3\u00a0m of cable, "Plain build" (off), 2\u00a0m of cable and "Diodes lifted". Before the chain a single-coil pickup and 6\u00a0m of cable.',
    );
    expect(surroundingsText({ chain: placeIn(chainOf(pedal(soft)), 0) })).toBe(surroundingsText({}));
  });
});
