import type { Circuit } from '../circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { transistorSupplyStage } from '../transistor-supply.ts';
import { fuzzFigures } from './figures.ts';
import { siliconFuzzStage } from './silicon.ts';

/** Two silicon NPN transistors that bias each other, and clip by themselves. */
export const siliconFuzz: Circuit = {
  id: 'silicon-fuzz',
  revision: 1,
  title: 'Silicon fuzz',
  stages: [footswitchInStage, siliconFuzzStage, footswitchOutStage, transistorSupplyStage],
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
