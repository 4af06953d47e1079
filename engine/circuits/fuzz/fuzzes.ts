import type { Circuit, Stage } from '../circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { positiveGroundSupplyStage, transistorSupplyStage } from '../transistor-supply.ts';
import { fuzzFigures } from './figures.ts';
import { germaniumFuzzStage } from './germanium.ts';
import { siliconFuzzStage } from './silicon.ts';

/** Two silicon NPN transistors that bias each other, and clip by themselves. */
export const siliconFuzz = fuzz('silicon-fuzz', 1, 'Silicon fuzz', [siliconFuzzStage, transistorSupplyStage]);

/** The same with germanium PNP transistors and the plus of the supply at ground: all voltages are below it. */
export const germaniumFuzz = fuzz('germanium-fuzz', 2, 'Germanium fuzz', [
  germaniumFuzzStage,
  positiveGroundSupplyStage,
]);

/** Their parts and nets have the same names. */
function fuzz(
  id: string,
  revision: number,
  title: string,
  [stage, supply]: readonly [Stage, Stage],
): Circuit {
  return {
    id,
    revision,
    title,
    stages: [footswitchInStage, stage, footswitchOutStage, supply],
    packages: {},
    knobs: [
      { ref: 'VR1', name: 'fuzz', start: 1 },
      { ref: 'VR2', name: 'output', start: 0.6 },
    ],
    switches: [],
    rails: ['supply'],
    clippingNet: 'collector',
    clippingDiodes: [],
    roles: { level: 'output', supply: 'V1' },
    figures: fuzzFigures,
    bypass: { kinds: ['true'], footswitch: ['S1A', 'S1B'] },
    groups: [{ name: 'transistors', parts: ['Q1', 'Q2'] }],
  };
}
