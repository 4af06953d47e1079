import type { FetEntry } from './catalogue-entry.ts';

const VISHAY_J201 = 'Vishay 70233 rev G';
const ONSEMI_5457 = 'onsemi 2N5457/D rev 3';
const GATE_SOURCE = 'gate saturation current from memory';

export const JFETS: readonly FetEntry[] = [
  {
    type: 'J201',
    kind: 'nJfet',
    family: 'JFET',
    title: 'N-channel JFET, low cut-off voltage',
    status: 'often faked',
    data: {
      betaAPerV2: 1.621e-3,
      thresholdV: -0.6,
      lambdaPerV: 2.236e-3,
      gateSaturationCurrentA: 114.5e-15,
    },
    dataSource: `published model card J201; ${GATE_SOURCE}`,
    limits: [
      { quantity: 'gateCutoffV', minimum: -1.5, maximum: -0.3, at: {}, source: VISHAY_J201 },
      { quantity: 'zeroBiasDrainA', minimum: 0.2e-3, at: {}, source: VISHAY_J201 },
      { quantity: 'transconductanceS', minimum: 0.5e-3, at: {}, source: VISHAY_J201 },
    ],
    knownMisses: [],
  },
  {
    type: '2N5457',
    kind: 'nJfet',
    family: 'JFET',
    title: 'N-channel JFET, general purpose',
    status: 'obsolete',
    data: {
      betaAPerV2: 1.125e-3,
      thresholdV: -1.372,
      lambdaPerV: 2.3e-3,
      gateSaturationCurrentA: 181.3e-15,
    },
    dataSource: `published model card 2N5457; ${GATE_SOURCE}`,
    limits: [
      {
        quantity: 'zeroBiasDrainA',
        minimum: 1e-3,
        typical: 3e-3,
        maximum: 5e-3,
        at: {},
        source: ONSEMI_5457,
      },
      // The sheet's "max" is the largest magnitude.
      { quantity: 'gateCutoffV', minimum: -6, at: {}, source: ONSEMI_5457 },
    ],
    knownMisses: [],
  },
  {
    type: '2N5952',
    kind: 'nJfet',
    family: 'JFET',
    title: 'N-channel JFET, medium cut-off voltage',
    status: 'obsolete',
    data: {
      betaAPerV2: 1.314e-3,
      thresholdV: -2.021,
      lambdaPerV: 4e-3,
      gateSaturationCurrentA: 33.57e-15,
    },
    dataSource: `published model card 2N5952; ${GATE_SOURCE}`,
    limits: [],
    knownMisses: [],
  },
];
