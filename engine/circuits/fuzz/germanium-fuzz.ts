import type { Circuit } from '../circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { positiveGroundSupplyStage } from '../transistor-supply.ts';
import { fuzzFigures } from './figures.ts';
import { germaniumFuzzStage } from './germanium.ts';

/** The same with germanium PNP transistors and the plus of the supply at ground: all voltages are below it. */
export const germaniumFuzz: Circuit = {
  id: 'germanium-fuzz',
  revision: 1,
  title: 'Germanium fuzz',
  stages: [footswitchInStage, germaniumFuzzStage, footswitchOutStage, positiveGroundSupplyStage],
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
