import { bufferedBypassStage } from '../buffered-bypass.ts';
import type { Circuit } from '../circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { transistorBypassStage } from '../transistor-bypass.ts';
import { softClipFigures } from './figures.ts';
import { gainStage } from './gain.ts';
import { inputBufferStage } from './input-buffer.ts';
import { outputBufferStage } from './output-buffer.ts';
import { supplyStage } from './supply.ts';
import { toneStage } from './tone.ts';

/** Overdrive with its clipping diodes in the feedback of a gain stage, on a single 9 V supply. */
export const softClip: Circuit = {
  id: 'soft-clip',
  revision: 3,
  title: 'Soft clip',
  stages: [
    footswitchInStage,
    inputBufferStage,
    gainStage,
    toneStage,
    transistorBypassStage,
    outputBufferStage,
    bufferedBypassStage('buffered'),
    footswitchOutStage,
    supplyStage,
  ],
  packages: { U1: { type: 'RC4558', role: 'Dual op-amp: gain stage and tone stage.' } },
  knobs: [
    { ref: 'VR1', name: 'gain', start: 0.5 },
    { ref: 'VR2', name: 'tone', start: 0.5 },
    { ref: 'VR3', name: 'output', start: 0.6 },
  ],
  switches: [{ ref: 'SW1', name: 'clipping', start: 'symmetric' }],
  rails: ['supply', 'bias'],
  // The op-amp's output: diodes across its feedback limit it; without them its own swing does.
  clippingNet: 'clipped',
  clippingDiodes: ['D1', 'D2', 'D3', 'D4', 'D5'],
  roles: { level: 'output', supply: 'V1' },
  figures: softClipFigures,
  bypass: {
    kinds: ['true', 'buffered', 'transistor-switched'],
    footswitch: ['S1A', 'S1B', 'S2', 'S3'],
  },
  groups: [
    { name: 'clipping pair', parts: ['D1', 'D2'], isUsual: true },
    { name: 'all clipping diodes', parts: ['D1', 'D2', 'D3', 'D4', 'D5'], isUsual: true },
    { name: 'asymmetric string', parts: ['D2', 'D3', 'D5'] },
    { name: 'transistors', parts: ['Q1', 'Q2'], isUsual: true },
    { name: 'bypass transistors', parts: ['Q101', 'Q102'], isUsual: true },
    { name: 'gate diodes', parts: ['D101', 'D102'], isUsual: true },
    { name: 'divider of the bias', parts: ['R15', 'R16'] },
  ],
};
