import type { Circuit } from '../circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { cornerFigure as corner } from '../part-figure.ts';
import { transistorSupplyStage } from '../transistor-supply.ts';
import { boosterStage } from './booster.ts';

/** One JFET that amplifies, with a knob for its gain. */
export const jfetBooster: Circuit = {
  id: 'jfet-booster',
  revision: 1,
  title: 'JFET booster',
  stages: [footswitchInStage, boosterStage, footswitchOutStage, transistorSupplyStage],
  packages: {},
  knobs: [
    { ref: 'VR1', name: 'gain', start: 1 },
    { ref: 'VR2', name: 'output', start: 0.6 },
  ],
  switches: [],
  rails: ['supply'],
  clippingNet: 'drain',
  clippingDiodes: [],
  roles: { level: 'output', supply: 'V1' },
  figures: [
    {
      name: 'load on the pickup at 1 kHz',
      formula: 'parallel resistance',
      parts: ['R2', 'R1'],
      resistors: ['R1', 'R2'],
      seenAt: 'in',
    },
    corner('lowest frequency let in', ['R2'], 'C1', { from: 'in', to: 'gate bias', passband: 'above' }),
    { name: 'drain voltage', formula: 'voltage at rest', parts: ['R4', 'R5', 'V1'], net: 'drain' },
    { name: 'source voltage', formula: 'voltage at rest', parts: ['R5'], net: 'source' },
    {
      name: 'highest gain',
      formula: 'gain',
      parts: ['R4', 'R5'],
      transfer: { from: 'in', to: 'drain', knobs: { gain: 1 } },
    },
    {
      name: 'least gain',
      formula: 'gain',
      parts: ['R4', 'R5', 'VR1'],
      transfer: { from: 'in', to: 'drain', knobs: { gain: 0 } },
    },
    corner('bass corner at full gain', ['R5'], 'C2', {
      from: 'gate bias',
      to: 'drain',
      passband: 'above',
      knobs: { gain: 1 },
    }),
    corner('lowest frequency let out', ['VR2'], 'C3', { from: 'drain', to: 'boosted', passband: 'above' }),
    corner('corner above which the supply is filtered', ['R17'], 'C11', {
      from: 'dc',
      to: 'supply',
      passband: 'below',
    }),
  ],
  bypass: { kinds: ['true'], footswitch: ['S1A', 'S1B'] },
};
