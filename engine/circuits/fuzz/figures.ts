import { cornerFigure as corner, type PartFigure } from '../part-figure.ts';

/** Figures of both fuzzes in the order of the signal; their parts and nets have the same names. */
export const fuzzFigures: readonly PartFigure[] = [
  {
    name: 'load on the pickup at 1 kHz',
    formula: 'parallel resistance',
    parts: ['R3', 'R2'],
    resistors: ['R3'],
    seenAt: 'in',
  },
  corner('lowest frequency let in at full fuzz', ['R3'], 'C1', {
    from: 'in',
    to: 'base',
    passband: 'above',
    knobs: { fuzz: 1 },
  }),
  corner('lowest frequency let in with the fuzz at zero', ['R3'], 'C1', {
    from: 'in',
    to: 'base',
    passband: 'above',
    knobs: { fuzz: 0 },
  }),
  {
    name: 'voltage of the first collector',
    formula: 'voltage at rest',
    parts: ['R2', 'R3'],
    net: 'first collector',
  },
  {
    name: 'voltage of the second collector',
    formula: 'voltage at rest',
    parts: ['R5', 'R4', 'R3', 'VR1', 'R2'],
    net: 'collector',
  },
  { name: 'voltage of the second emitter', formula: 'voltage at rest', parts: ['R3', 'R2'], net: 'emitter' },
  {
    name: 'gain at full fuzz',
    formula: 'gain',
    parts: ['R5', 'R4', 'R2', 'R3'],
    transfer: { from: 'in', to: 'collector', knobs: { fuzz: 1 } },
  },
  corner('bass corner at full fuzz', ['VR1'], 'C2', {
    from: 'first collector',
    to: 'collector',
    passband: 'above',
    knobs: { fuzz: 1 },
  }),
  corner('lowest frequency let out', ['VR2'], 'C3', { from: 'tap', to: 'fuzzed', passband: 'above' }),
  corner('corner above which the supply is filtered', ['R17'], 'C11', {
    from: 'dc',
    to: 'supply',
    passband: 'below',
  }),
];
