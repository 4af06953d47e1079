import { ratioToDb } from '../../units/decibels.ts';
import {
  biasFigures,
  cornerFigure,
  cornerHz,
  dividerFigure,
  gainFigure,
  loadFigure,
  type PartFigure,
  parallelOhms,
  seriesCornerFigure,
} from '../part-figure.ts';

/** Figures of the clean-blend circuit, each from the formula of its few parts with the rest of the circuit ideal. */
export const cleanBlendFigures: readonly PartFigure[] = [
  loadFigure('load on the pickup', 'R1', 'R2'),
  cornerFigure('lowest frequency let in', 'R2', 'C1'),
  cornerFigure('bass corner of what is clipped, bass knob down', 'R3', 'C2'),
  {
    name: 'bass corner of what is clipped, bass knob up',
    unit: 'Hz',
    parts: ['C3', 'R3', 'C2'],
    of: ({ ohms, farads }) => cornerHz(ohms('R3'), farads('C2') + farads('C3')),
  },
  cornerFigure('bass corner of the gain stage', 'R4', 'C4'),
  gainFigure('highest gain', ['R5', 'VR1A'], 'R4'),
  gainFigure('least gain', ['R5'], 'R4'),
  seriesCornerFigure('treble corner at full gain', ['VR1A', 'R5'], 'C5'),
  seriesCornerFigure('lowest frequency into the diodes', ['R7', 'R6'], 'C6'),
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
  cornerFigure('treble corner of the sum', 'R12', 'C8'),
  {
    name: 'gain of the treble stage for the lows',
    unit: 'dB',
    parts: ['R13', 'R14'],
    of: ({ ohms }) => ratioToDb(ohms('R14') / ohms('R13')),
  },
  cornerFigure('upper corner of the treble shelf', 'R15', 'C9'),
  seriesCornerFigure('lowest frequency let out', ['VR3', 'R16'], 'C10'),
  dividerFigure('level at full output', 'R16', 'VR3'),
  cornerFigure('corner above which the supply is filtered', 'R18', 'C11'),
  ...biasFigures('R19', 'R20', 'C12'),
];
