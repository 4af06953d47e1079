import { describe, expect, it } from 'vitest';
import { GROUND } from '../../engine/devices/node.ts';
import { hasNetlistSolver } from '../reference/netlist-solver.ts';
import { referenceAnswer, solverErrorDb } from '../reference/solver-trial.ts';
import { AMPLIFIER, network, opamp, resistor, source } from './small-networks.ts';

describe('an op-amp whose rate jumps within a step', () => {
  // So slow that a sine of 6 V and 9.7 kHz, up to 0.37 V/µs, drives it from one slew rate to the other: a triangle.
  const slow = { ...AMPLIFIER, gainBandwidthHz: 4e6, slewVPerS: 0.2e6 };
  const follower = network([
    source('vcc', 15),
    source('vee', -15),
    opamp('U1', ['in', 'out', 'out', 'vcc', 'vee'], slow),
    resistor('R1', 'out', GROUND, 10e3),
  ]);
  const input = { kind: 'sine', place: 9700, peakV: 6, seconds: 0.02 } as const;

  // Turning in the middle of a step it erred by -21 and -29 dB.
  it.skipIf(!hasNetlistSolver())('turns at the moment at which the netlist solver turns', () => {
    const answer = referenceAnswer(follower, input);
    expect(solverErrorDb(follower, input, 8, answer).errorDb).toBeLessThan(-38);
    expect(solverErrorDb(follower, input, 16, answer).errorDb).toBeLessThan(-47);
  });
});
