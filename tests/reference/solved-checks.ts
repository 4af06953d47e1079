import { expect } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import type { Render } from './error-db.ts';
import type { KnobVectors, PresetVectors, Tracks } from './vectors.ts';

/** The engine's names for the reference's names. */
export interface NodeNames {
  /** Net of the engine for each node of the reference with another name. */
  readonly nets: Readonly<Record<string, string>>;
  /** Nodes that a switch can leave unconnected, so that the engine has no net for them. */
  readonly looseNodes: readonly string[];
}

type Solved = PresetVectors | KnobVectors;

/** The two parts of every potentiometer's resistance in ohms. */
export function expectTracks(network: Network, tracks: Tracks): void {
  const byRef = new Map(network.primitives.map((primitive) => [primitive.ref, primitive]));
  for (const [ref, track] of Object.entries(tracks)) {
    expect(byRef.get(`${ref} ccw`)).toMatchObject({ ohms: expect.closeTo(track.ccwWiperOhms, 6) });
    expect(byRef.get(`${ref} cw`)).toMatchObject({ ohms: expect.closeTo(track.wiperCwOhms, 6) });
  }
}

/** DC voltages within 1 µV: both solve the same algebraic equations, each to better than a nanovolt. */
export function expectRest(network: Network, { operatingPointV }: Solved, names: NodeNames): void {
  const { volts } = operatingPoint(network);
  for (const [node, expected] of Object.entries(operatingPointV)) {
    const own = volts.get(names.nets[node] ?? node);
    if (own === undefined) expect(names.looseNodes).toContain(node);
    else expect(Math.abs(own - expected), node).toBeLessThan(1e-6);
  }
}

/** A gain of −120 dB: with the output at 0, the corner described below changes part of the remaining −95 dB. */
const GAIN_FLOOR = 1e-6;

/**
 * Small-signal response within 0.001 dB and 0.01 degrees: two derivations of the reference differ by 4e-4 dB
 * where an op-amp's supply current has its corner.
 */
export function expectResponse(network: Network, { response }: Solved): void {
  const own = new FrequencyResponse(network);
  response.frequenciesHz.forEach((hz, index) => {
    const { decibels, phaseDegrees } = own.at(hz, network.output);
    const expectedDb = response.magnitudeDb[index]!;
    const rise = decibels - expectedDb;
    const turn = phaseDegrees - response.phaseDeg[index]!;
    const turned = turn - 360 * Math.round(turn / 360);
    const apart =
      10 ** (Math.max(decibels, expectedDb) / 20) *
      Math.hypot((rise * Math.LN10) / 20, (turned * Math.PI) / 180);
    if (apart < GAIN_FLOOR) return;
    expect(Math.abs(rise), `${hz} Hz`).toBeLessThan(1e-3);
    expect(Math.abs(turned), `${hz} Hz`).toBeLessThan(1e-2);
  });
}

/** The network, played from rest; every sample must converge. */
export function rendererOf(network: Network, interpreted = false): Render {
  return (inputV, sampleRateHz) => {
    const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz, interpreted }));
    const outputV = new Float64Array(inputV.length);
    simulator.process(inputV, outputV, inputV.length);
    expect(simulator.failures).toBe(0);
    expect(simulator.resets).toBe(0);
    return outputV;
  };
}
