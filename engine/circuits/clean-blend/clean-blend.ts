import { bufferedBypassStage } from '../buffered-bypass.ts';
import type { Circuit } from '../circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { converterStage } from './converter.ts';
import { cleanBlendFigures } from './figures.ts';
import { gainStage } from './gain.ts';
import { inputStage } from './input.ts';
import { outputStage } from './output.ts';
import { sumStage } from './sum.ts';
import { supplyStage } from './supply.ts';
import { trebleStage } from './treble.ts';

/** Overdrive that adds the clean signal to a hard-clipped one, on rails that a converter doubles. */
export const cleanBlend: Circuit = {
  id: 'clean-blend',
  revision: 4,
  title: 'Clean blend',
  stages: [
    footswitchInStage,
    inputStage,
    gainStage,
    sumStage,
    trebleStage,
    outputStage,
    bufferedBypassStage('clean'),
    footswitchOutStage,
    supplyStage,
    converterStage,
  ],
  packages: {
    U1: { type: 'TL072', role: 'Dual op-amp on the supply: buffer and gain stage.' },
    U2: { type: 'TL072', role: 'Dual op-amp on the doubled rails: summing and treble.' },
  },
  knobs: [
    { ref: 'VR1A', name: 'gain', start: 0.5 },
    {
      ref: 'VR1B',
      name: 'blend',
      start: 0.5,
      gang: { knob: 'gain', switch: 'gain and blend', position: 'dual' },
    },
    { ref: 'VR4', name: 'bass', start: 0.5 },
    { ref: 'VR2', name: 'treble', start: 0.5 },
    { ref: 'VR3', name: 'output', start: 0.6 },
  ],
  switches: [
    { ref: 'W1', name: 'rails', start: 'doubled and negative', isWiring: true },
    { ref: 'W2', name: 'gain and blend', start: 'dual', isWiring: true },
    { ref: 'W3', name: 'clipping', start: 'symmetric', isWiring: true },
    { ref: 'W4', name: 'return of the diodes', start: 'bias', isWiring: true },
    { ref: 'W5', name: 'boost link', start: 'fitted', isWiring: true },
  ],
  rails: ['supply', 'bias', 'doubled', 'inverted'],
  // After R6, where the diodes limit it; without them the op-amp before it clips.
  clippingNet: 'clipped',
  clippingDiodes: ['D1', 'D2', 'D5'],
  roles: { level: 'output', supply: 'V1' },
  figures: cleanBlendFigures,
  bypass: { kinds: ['true', 'buffered'], footswitch: ['S1A', 'S1B', 'S2'] },
  groups: [
    { name: 'clipping pair', parts: ['D1', 'D2'], isUsual: true },
    { name: 'all clipping diodes', parts: ['D1', 'D2', 'D5'], isUsual: true },
    { name: 'diodes of the doubler', parts: ['D3', 'D4'], isUsual: true },
    { name: 'op-amps', parts: ['U1', 'U2'] },
    { name: 'reservoirs of the rails', parts: ['C13', 'C14'] },
    { name: 'pump capacitors', parts: ['C17', 'C18'] },
    { name: 'divider of the bias', parts: ['R19', 'R20'] },
  ],
};
