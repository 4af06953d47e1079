import { ratioToDb } from '../../units/decibels.ts';
import { cornerHz, type PartFigure, parallelOhms } from '../part-figure.ts';

/** Base to emitter of a silicon transistor at a fraction of a milliampere; common practice, no source. */
const BASE_EMITTER_V = 0.6;

/** Figures of the soft-clip circuit, each from the formula of its few parts with the rest of the circuit ideal. */
export const softClipFigures: readonly PartFigure[] = [
  {
    name: 'load on the pickup',
    unit: 'Ω',
    parts: ['R1', 'R2'],
    of: ({ ohms }) => parallelOhms(ohms('R1'), ohms('R2')),
  },
  {
    name: 'lowest frequency let in',
    unit: 'Hz',
    parts: ['C1', 'R2'],
    of: ({ ohms, farads }) => cornerHz(ohms('R2'), farads('C1')),
  },
  {
    name: 'current of the input follower',
    unit: 'A',
    parts: ['R3'],
    of: ({ ohms, volts }) =>
      ((volts('V1') * ohms('R16')) / (ohms('R15') + ohms('R16')) - BASE_EMITTER_V) / ohms('R3'),
  },
  {
    name: 'lowest frequency into the gain stage',
    unit: 'Hz',
    parts: ['C2', 'R5'],
    of: ({ ohms, farads }) => cornerHz(ohms('R5'), farads('C2')),
  },
  {
    name: 'bass corner of the gain stage',
    unit: 'Hz',
    parts: ['C3', 'R4'],
    of: ({ ohms, farads }) => cornerHz(ohms('R4'), farads('C3')),
  },
  {
    name: 'highest gain',
    unit: 'dB',
    parts: ['VR1', 'R4'],
    of: ({ ohms }) => ratioToDb(1 + (ohms('R6') + ohms('VR1')) / ohms('R4')),
  },
  {
    name: 'least gain',
    unit: 'dB',
    parts: ['R6', 'R4'],
    of: ({ ohms }) => ratioToDb(1 + ohms('R6') / ohms('R4')),
  },
  {
    name: 'treble corner at full gain',
    unit: 'Hz',
    parts: ['C4', 'VR1', 'R6'],
    of: ({ ohms, farads }) => cornerHz(ohms('R6') + ohms('VR1'), farads('C4')),
  },
  {
    name: 'clipping level below the bias, at 1 mA',
    unit: 'V',
    parts: ['D1'],
    of: ({ forwardV, position }) =>
      position('clipping') === 'lifted' ? Number.POSITIVE_INFINITY : forwardV('D1'),
  },
  {
    name: 'clipping level above the bias, at 1 mA',
    unit: 'V',
    parts: ['D2', 'D3'],
    of: ({ forwardV, position }) =>
      ({ symmetric: forwardV('D2'), asymmetric: forwardV('D2') + forwardV('D3') })[position('clipping')] ??
      Number.POSITIVE_INFINITY,
  },
  {
    name: 'corner of the low-pass ahead of the tone control',
    unit: 'Hz',
    parts: ['C5', 'R7'],
    of: ({ ohms, farads }) => cornerHz(ohms('R7'), farads('C5')),
  },
  {
    name: 'corner of the tone control at its ends',
    unit: 'Hz',
    parts: ['C6', 'R9'],
    of: ({ ohms, farads }) => cornerHz(ohms('R9'), farads('C6')),
  },
  {
    name: 'lowest frequency into the output potentiometer',
    unit: 'Hz',
    parts: ['C7', 'VR3', 'R11'],
    of: ({ ohms, farads }) => cornerHz(ohms('R11') + ohms('VR3'), farads('C7')),
  },
  {
    name: 'level at full output',
    unit: 'dB',
    parts: ['R11', 'VR3'],
    of: ({ ohms }) => ratioToDb(ohms('VR3') / (ohms('VR3') + ohms('R11'))),
  },
  {
    name: 'lowest frequency into the output follower',
    unit: 'Hz',
    parts: ['C8', 'R12'],
    of: ({ ohms, farads }) => cornerHz(ohms('R12'), farads('C8')),
  },
  {
    name: 'current of the output follower',
    unit: 'A',
    parts: ['R13'],
    of: ({ ohms, volts }) =>
      ((volts('V1') * ohms('R16')) / (ohms('R15') + ohms('R16')) - BASE_EMITTER_V) / ohms('R13'),
  },
  {
    name: 'lowest frequency let out',
    unit: 'Hz',
    parts: ['C9', 'R14', 'R18'],
    of: ({ ohms, farads }) => cornerHz(ohms('R14') + ohms('R18'), farads('C9')),
  },
  {
    name: 'corner above which the supply is filtered',
    unit: 'Hz',
    parts: ['C11', 'R17'],
    of: ({ ohms, farads }) => cornerHz(ohms('R17'), farads('C11')),
  },
  {
    name: 'bias',
    unit: 'V',
    parts: ['R15', 'R16', 'V1'],
    of: ({ ohms, volts }) => (volts('V1') * ohms('R16')) / (ohms('R15') + ohms('R16')),
  },
  {
    name: 'corner above which the bias is held',
    unit: 'Hz',
    parts: ['C10', 'R15', 'R16'],
    of: ({ ohms, farads }) => cornerHz(parallelOhms(ohms('R15'), ohms('R16')), farads('C10')),
  },
];
