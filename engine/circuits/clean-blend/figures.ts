import { ratioToDb } from '../../units/decibels.ts';
import { cornerHz, type PartFigure, parallelOhms } from '../part-figure.ts';

/** Figures of the clean-blend circuit, each from the formula of its few parts with the rest of the circuit ideal. */
export const cleanBlendFigures: readonly PartFigure[] = [
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
    name: 'bass corner of what is clipped, bass knob down',
    unit: 'Hz',
    parts: ['C2', 'R3'],
    of: ({ ohms, farads }) => cornerHz(ohms('R3'), farads('C2')),
  },
  {
    name: 'bass corner of what is clipped, bass knob up',
    unit: 'Hz',
    parts: ['C3', 'R3', 'C2'],
    of: ({ ohms, farads }) => cornerHz(ohms('R3'), farads('C2') + farads('C3')),
  },
  {
    name: 'bass corner of the gain stage',
    unit: 'Hz',
    parts: ['C4', 'R4'],
    of: ({ ohms, farads }) => cornerHz(ohms('R4'), farads('C4')),
  },
  {
    name: 'highest gain',
    unit: 'dB',
    parts: ['VR1A', 'R4'],
    of: ({ ohms }) => ratioToDb(1 + (ohms('R5') + ohms('VR1A')) / ohms('R4')),
  },
  {
    name: 'least gain',
    unit: 'dB',
    parts: ['R5', 'R4'],
    of: ({ ohms }) => ratioToDb(1 + ohms('R5') / ohms('R4')),
  },
  {
    name: 'treble corner at full gain',
    unit: 'Hz',
    parts: ['C5', 'VR1A', 'R5'],
    of: ({ ohms, farads }) => cornerHz(ohms('R5') + ohms('VR1A'), farads('C5')),
  },
  {
    name: 'lowest frequency into the diodes',
    unit: 'Hz',
    parts: ['C6', 'R7', 'R6'],
    of: ({ ohms, farads }) => cornerHz(ohms('R6') + ohms('R7'), farads('C6')),
  },
  {
    name: 'clipping level above the bias, at 1 mA',
    unit: 'V',
    parts: ['D1'],
    of: ({ forwardV }) => forwardV('D1'),
  },
  {
    name: 'clipping level below the bias, at 1 mA',
    unit: 'V',
    parts: ['D2'],
    of: ({ forwardV }) => forwardV('D2'),
  },
  {
    name: 'share of the clipped path',
    unit: 'dB',
    parts: ['R8', 'R12'],
    of: ({ ohms }) => ratioToDb(ohms('R12') / ohms('R8')),
  },
  {
    name: 'largest share of the clean path',
    unit: 'dB',
    parts: ['R9', 'R12'],
    of: ({ ohms }) => ratioToDb(ohms('R12') / ohms('R9')),
  },
  {
    name: 'smallest share of the clean path',
    unit: 'dB',
    parts: ['VR1B', 'R9', 'R12'],
    of: ({ ohms }) => ratioToDb(ohms('R12') / (ohms('R9') + ohms('VR1B'))),
  },
  {
    name: 'corner below which the clean lows pass',
    unit: 'Hz',
    parts: ['C7', 'R10', 'R11'],
    of: ({ ohms, farads }) => cornerHz(parallelOhms(ohms('R10'), ohms('R11')), farads('C7')),
  },
  {
    name: 'share of the clean lows',
    unit: 'dB',
    parts: ['R11', 'R10', 'R12'],
    of: ({ ohms }) => ratioToDb(ohms('R12') / (ohms('R10') + ohms('R11'))),
  },
  {
    name: 'treble corner of the sum',
    unit: 'Hz',
    parts: ['C8', 'R12'],
    of: ({ ohms, farads }) => cornerHz(ohms('R12'), farads('C8')),
  },
  {
    name: 'gain of the treble stage for the lows',
    unit: 'dB',
    parts: ['R13', 'R14'],
    of: ({ ohms }) => ratioToDb(ohms('R14') / ohms('R13')),
  },
  {
    name: 'upper corner of the treble shelf',
    unit: 'Hz',
    parts: ['C9', 'R15'],
    of: ({ ohms, farads }) => cornerHz(ohms('R15'), farads('C9')),
  },
  {
    name: 'lowest frequency let out',
    unit: 'Hz',
    parts: ['C10', 'VR3', 'R16'],
    of: ({ ohms, farads }) => cornerHz(ohms('R16') + ohms('VR3'), farads('C10')),
  },
  {
    name: 'level at full output',
    unit: 'dB',
    parts: ['R16', 'VR3'],
    of: ({ ohms }) => ratioToDb(ohms('VR3') / (ohms('VR3') + ohms('R16'))),
  },
  {
    name: 'corner above which the supply is filtered',
    unit: 'Hz',
    parts: ['C11', 'R18'],
    of: ({ ohms, farads }) => cornerHz(ohms('R18'), farads('C11')),
  },
  {
    name: 'bias',
    unit: 'V',
    parts: ['R19', 'R20', 'V1'],
    of: ({ ohms, volts }) => (volts('V1') * ohms('R20')) / (ohms('R19') + ohms('R20')),
  },
  {
    name: 'corner above which the bias is held',
    unit: 'Hz',
    parts: ['C12', 'R19', 'R20'],
    of: ({ ohms, farads }) => cornerHz(parallelOhms(ohms('R19'), ohms('R20')), farads('C12')),
  },
];
