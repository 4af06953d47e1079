import type { Circuit } from '../circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { cornerFigure as corner } from '../part-figure.ts';
import { transistorSupplyStage } from '../transistor-supply.ts';
import { trebleBoosterStage } from './booster.ts';

/** One germanium transistor that amplifies treble most; minus at ground, so that it shares a supply with other pedals. */
export const trebleBooster: Circuit = {
  id: 'treble-booster',
  revision: 2,
  title: 'Germanium treble booster',
  stages: [footswitchInStage, trebleBoosterStage, footswitchOutStage, transistorSupplyStage],
  packages: {},
  knobs: [{ ref: 'VR1', name: 'output', start: 0.5 }],
  switches: [{ ref: 'SW1', name: 'range', start: 'treble' }],
  rails: ['supply'],
  clippingNet: 'collector',
  clippingDiodes: [],
  roles: { level: 'output', supply: 'V1' },
  figures: [
    {
      name: 'load on the pickup at 1 kHz',
      formula: 'parallel resistance',
      parts: ['R2', 'R3', 'C1'],
      resistors: ['R2', 'R3'],
      seenAt: 'in',
    },
    corner('corner above which the boost is full', ['R2', 'R3'], 'C1', {
      from: 'in',
      to: 'base',
      passband: 'above',
    }),
    {
      name: 'collector voltage',
      formula: 'voltage at rest',
      parts: ['R5', 'R4', 'R2', 'R3'],
      net: 'collector',
    },
    { name: 'emitter voltage', formula: 'voltage at rest', parts: ['R4', 'R2', 'R3'], net: 'emitter' },
    { name: 'highest gain', formula: 'gain', parts: ['R5', 'R4'], transfer: { from: 'in', to: 'collector' } },
    corner('bass corner of the emitter', ['R4'], 'C3', { from: 'base', to: 'collector', passband: 'above' }),
    corner('lowest frequency let out', ['VR1'], 'C4', {
      from: 'collector',
      to: 'boosted',
      passband: 'above',
    }),
    corner('corner above which the supply is filtered', ['R17'], 'C11', {
      from: 'dc',
      to: 'supply',
      passband: 'below',
    }),
  ],
  bypass: { kinds: ['true'], footswitch: ['S1A', 'S1B'] },
};
