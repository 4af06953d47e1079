import {
  biasFigures,
  cornerFigure,
  dividerFigure,
  gainFigure,
  loadFigure,
  type PartFigure,
  seriesCornerFigure,
} from '../part-figure.ts';

/** Base to emitter of a silicon transistor at a fraction of a milliampere; common practice, no source. */
const BASE_EMITTER_V = 0.6;

/** Figures of the soft-clip circuit, each from the formula of its few parts with the rest of the circuit ideal. */
export const softClipFigures: readonly PartFigure[] = [
  loadFigure('load on the pickup', 'R1', 'R2'),
  cornerFigure('lowest frequency let in', 'R2', 'C1'),
  {
    name: 'current of the input follower',
    unit: 'A',
    parts: ['R3'],
    of: ({ ohms, volts }) =>
      ((volts('V1') * ohms('R16')) / (ohms('R15') + ohms('R16')) - BASE_EMITTER_V) / ohms('R3'),
  },
  cornerFigure('lowest frequency into the gain stage', 'R5', 'C2'),
  cornerFigure('bass corner of the gain stage', 'R4', 'C3'),
  gainFigure('highest gain', ['R6', 'VR1'], 'R4'),
  gainFigure('least gain', ['R6'], 'R4'),
  seriesCornerFigure('treble corner at full gain', ['VR1', 'R6'], 'C4'),
  {
    name: 'forward drop at 1 mA (lower half)',
    unit: 'V',
    isThermal: true,
    parts: ['D1'],
    of: ({ forwardV, position }) =>
      position('clipping') === 'lifted' ? Number.POSITIVE_INFINITY : forwardV('D1'),
  },
  {
    name: 'forward drop at 1 mA (upper half)',
    unit: 'V',
    isThermal: true,
    parts: ['D2', 'D3'],
    of: ({ forwardV, position }) =>
      ({ symmetric: forwardV('D2'), asymmetric: forwardV('D2') + forwardV('D3') })[position('clipping')] ??
      Number.POSITIVE_INFINITY,
  },
  cornerFigure('corner of the low-pass ahead of the tone control', 'R7', 'C5'),
  cornerFigure('corner of the tone control at its ends', 'R9', 'C6'),
  seriesCornerFigure('lowest frequency into the output potentiometer', ['VR3', 'R11'], 'C7'),
  dividerFigure('level at full output', 'R11', 'VR3'),
  cornerFigure('lowest frequency into the output follower', 'R12', 'C8'),
  {
    name: 'current of the output follower',
    unit: 'A',
    parts: ['R13'],
    of: ({ ohms, volts }) =>
      ((volts('V1') * ohms('R16')) / (ohms('R15') + ohms('R16')) - BASE_EMITTER_V) / ohms('R13'),
  },
  seriesCornerFigure('lowest frequency let out', ['R14', 'R18'], 'C9'),
  cornerFigure('corner above which the supply is filtered', 'R17', 'C11'),
  ...biasFigures('R15', 'R16', 'C10'),
];
