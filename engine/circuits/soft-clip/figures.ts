import { cornerFigure as corner, type PartFigure } from '../part-figure.ts';

const BIAS_DIVIDER = { supply: 'V1', upper: 'R15', lower: 'R16' } as const;

/** Figures of the soft-clip circuit in the order of the signal. */
export const softClipFigures: readonly PartFigure[] = [
  {
    name: 'load on the pickup at 1 kHz',
    formula: 'parallel resistance',
    parts: ['R1', 'R2'],
    resistors: ['R1', 'R2'],
    seenAt: 'in',
  },
  corner('bass corner of the input', ['R2'], 'C1', { from: 'in', to: 'base', passband: 'above' }),
  {
    name: 'current of the input buffer',
    formula: 'follower current',
    parts: ['R3'],
    ...BIAS_DIVIDER,
    emitter: 'R3',
  },
  corner('bass corner into the gain stage', ['R5'], 'C2', {
    from: 'buffered',
    to: 'gain input',
    passband: 'above',
  }),
  corner('bass corner of the gain stage', ['R4'], 'C3', {
    from: 'gain input',
    to: 'clipped',
    passband: 'above',
  }),
  {
    name: 'highest gain',
    formula: 'non-inverting gain',
    parts: ['VR1', 'R4'],
    feedback: ['R6', 'VR1'],
    toGround: 'R4',
    transfer: { from: 'gain input', to: 'clipped', knobs: { gain: 1 } },
  },
  {
    name: 'lowest gain',
    formula: 'non-inverting gain',
    parts: ['R6', 'R4'],
    feedback: ['R6'],
    toGround: 'R4',
    transfer: { from: 'gain input', to: 'clipped', knobs: { gain: 0 } },
  },
  corner('treble corner at full gain', ['VR1', 'R6'], 'C4', {
    from: 'gain input',
    to: 'clipped',
    passband: 'below',
    knobs: { gain: 1 },
  }),
  {
    name: 'forward drop at 1 mA (lower half)',
    formula: 'forward voltage',
    parts: ['D1', 'D4'],
    diodes: ['D1', 'D4'],
    at: { switch: 'clipping', positions: { symmetric: ['D1', 'D4'], asymmetric: ['D1', 'D4'] } },
  },
  {
    name: 'forward drop at 1 mA (upper half)',
    formula: 'forward voltage',
    parts: ['D2', 'D3', 'D5'],
    diodes: ['D2', 'D3', 'D5'],
    at: { switch: 'clipping', positions: { symmetric: ['D2'], asymmetric: ['D2', 'D3', 'D5'] } },
  },
  corner('treble corner ahead of the tone control', ['R7'], 'C5', {
    from: 'clipped',
    to: 'tone input',
    passband: 'below',
  }),
  corner('corner of the tone control, tone knob up', ['R9'], 'C6', {
    from: 'tone input',
    to: 'toned',
    passband: 'above',
    knobs: { tone: 1 },
  }),
  corner('bass corner into the output knob', ['VR3', 'R11'], 'C7', {
    from: 'toned',
    to: 'R11.1',
    passband: 'above',
  }),
  {
    name: 'level at full output',
    formula: 'divider',
    parts: ['R11', 'VR3'],
    upper: 'R11',
    lower: 'VR3',
    transfer: { from: 'R11.1', to: 'level', knobs: { output: 1 } },
  },
  corner('bass corner into the output buffer', ['R12'], 'C8', {
    from: 'level',
    to: 'output base',
    passband: 'above',
  }),
  {
    name: 'current of the output buffer',
    formula: 'follower current',
    parts: ['R13'],
    ...BIAS_DIVIDER,
    emitter: 'R13',
  },
  corner('bass corner of the output', ['R14', 'R18'], 'C9', {
    from: 'output emitter',
    to: 'out',
    passband: 'above',
  }),
  corner('corner of the supply filter', ['R17'], 'C11', {
    from: 'dc',
    to: 'supply',
    passband: 'below',
  }),
  { name: 'bias', formula: 'divided supply', parts: ['R15', 'R16', 'V1'], ...BIAS_DIVIDER },
  {
    name: 'corner of the bias filter',
    formula: 'corner',
    parts: ['C10', 'R15', 'R16'],
    resistors: ['R15', 'R16'],
    joined: 'in parallel',
    capacitors: ['C10'],
    transfer: { from: 'supply', to: 'bias', passband: 'below' },
  },
];
