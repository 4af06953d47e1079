import { describe, expect, it } from 'vitest';
import { GROUND } from '../../engine/devices/node.ts';
import { AMPLIFIER, network, opamp, resistor, run, source } from './small-networks.ts';

const RATE_HZ = 384_000;
const HEADROOM_V = 2;

/** An op-amp whose positive pin is halfway between 9 V and the input, driven to one of its limits. */
const sagging = (plusV: number) =>
  network([
    source('vcc', 9),
    resistor('R1', 'vcc', 'pin', 10),
    resistor('R2', 'in', 'pin', 10),
    source('plus', plusV),
    source('half', 2),
    opamp('U1', ['plus', 'half', 'out', 'pin', GROUND], {
      ...AMPLIFIER,
      headroomHighV: HEADROOM_V,
      headroomLowV: HEADROOM_V,
      quiescentA: 1e-6,
    }),
    resistor('RL', 'out', GROUND, 100e3),
  ]);

describe('an op-amp whose supply sags below its headrooms', () => {
  // dx/dt = ±S − (S/0.1 V)·q(±(x − mid)) is zero 0.1 V and half of q's knee of 0.1 V from the middle.
  it.each([
    [4, 0.15],
    [0, -0.15],
  ])(
    'has its output in the middle, where its two limits meet, with %d V at its input',
    (plusV, offMiddleV) => {
      const settled = (inV: number) =>
        run(sagging(plusV), RATE_HZ, new Float64Array(400).fill(inV)).output.at(-1)!;
      // 3 V on the pin leave limits of 1 V and 2 V, so both are at 1.5 V.
      expect(settled(-3)).toBeCloseTo(1.5 + offMiddleV, 2);
      // 7 V leave both their places.
      expect(settled(5)).toBeCloseTo(plusV > 2 ? 7 - HEADROOM_V + offMiddleV : HEADROOM_V + offMiddleV, 2);
    },
  );
});
