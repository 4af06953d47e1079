import type { FetEntry } from './catalogue-entry.ts';

const VISHAY_J201 = 'Vishay 70233 rev G';
const ONSEMI_5457 = 'onsemi 2N5457/D rev 3';
const J113_SHEET = 'J111 to J113 sheet, from memory';
const SHEET_5484 = '2N5484 to 2N5486 sheet, from memory';
const BF245_SHEET = 'Philips BF245 sheet, from memory';
const SHEET_5460 = '2N5460 to 2N5462 sheet, from memory';
const GATE_SOURCE = 'gate saturation current from memory';
/** With I the geometric mean of the zero-bias drain current and g that of the transconductance: β = g²/4I, V_to = −2I/g. */
const P_CHANNEL_FIT = `fit to the geometric means of zero-bias drain current and transconductance (${SHEET_5460}); channel-length modulation and gate as 2N5457`;

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
      betaAPerV2: 0.75e-3,
      thresholdV: -2,
      lambdaPerV: 2.3e-3,
      gateSaturationCurrentA: 181.3e-15,
    },
    dataSource: `fit to the typical zero-bias drain current and transconductance of ${ONSEMI_5457}, 3 mA and 3 mS; channel-length modulation of the published model card; ${GATE_SOURCE}`,
    limits: [
      {
        quantity: 'zeroBiasDrainA',
        minimum: 1e-3,
        typical: 3e-3,
        maximum: 5e-3,
        at: {},
        source: ONSEMI_5457,
      },
      {
        quantity: 'transconductanceS',
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
  {
    type: 'J113',
    kind: 'nJfet',
    family: 'JFET',
    title: 'N-channel JFET, switch',
    status: 'current',
    data: { betaAPerV2: 9.109e-3, thresholdV: -1.382, lambdaPerV: 9.5e-3, gateSaturationCurrentA: 205.2e-15 },
    dataSource: 'published model card J113, from memory',
    limits: [
      { quantity: 'gateCutoffV', minimum: -3, maximum: -0.5, at: {}, source: J113_SHEET },
      { quantity: 'zeroBiasDrainA', minimum: 2e-3, at: { drainV: 15 }, source: J113_SHEET },
    ],
    knownMisses: [],
  },
  {
    type: '2N5484',
    kind: 'nJfet',
    family: 'JFET',
    title: 'N-channel JFET for radio frequencies, low cut-off voltage',
    status: 'obsolete',
    data: { betaAPerV2: 2.01e-3, thresholdV: -1.055, lambdaPerV: 2.3e-3, gateSaturationCurrentA: 181.3e-15 },
    dataSource: `fit to the geometric means of zero-bias drain current and transconductance (${SHEET_5484}); channel-length modulation and gate as 2N5457`,
    limits: [
      { quantity: 'gateCutoffV', minimum: -3, maximum: -0.3, at: {}, source: SHEET_5484 },
      { quantity: 'zeroBiasDrainA', minimum: 1e-3, maximum: 5e-3, at: { drainV: 15 }, source: SHEET_5484 },
      { quantity: 'transconductanceS', minimum: 3e-3, maximum: 6e-3, at: { drainV: 15 }, source: SHEET_5484 },
    ],
    knownMisses: [],
  },
  {
    type: 'BF245A',
    kind: 'nJfet',
    family: 'JFET',
    title: 'N-channel JFET, low cut-off voltage',
    status: 'obsolete',
    data: {
      betaAPerV2: 1.16621e-3,
      thresholdV: -1.7372,
      lambdaPerV: 17.7211e-3,
      gateSaturationCurrentA: 0.2918e-15,
    },
    dataSource: 'published model card BF245A, from memory',
    limits: [
      { quantity: 'gateCutoffV', minimum: -2.2, maximum: -0.4, at: {}, source: BF245_SHEET },
      { quantity: 'zeroBiasDrainA', minimum: 2e-3, maximum: 6.5e-3, at: { drainV: 15 }, source: BF245_SHEET },
      {
        quantity: 'transconductanceS',
        minimum: 3e-3,
        maximum: 6.5e-3,
        at: { drainV: 15 },
        source: BF245_SHEET,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'BF245B',
    kind: 'nJfet',
    family: 'JFET',
    title: 'N-channel JFET, medium cut-off voltage',
    status: 'obsolete',
    data: {
      betaAPerV2: 1.09045e-3,
      thresholdV: -2.3085,
      lambdaPerV: 23.1754e-3,
      gateSaturationCurrentA: 0.2591e-15,
    },
    dataSource: 'published model card BF245B, from memory',
    limits: [
      { quantity: 'gateCutoffV', minimum: -3.8, maximum: -1.6, at: {}, source: BF245_SHEET },
      { quantity: 'zeroBiasDrainA', minimum: 6e-3, maximum: 15e-3, at: { drainV: 15 }, source: BF245_SHEET },
      {
        quantity: 'transconductanceS',
        minimum: 3e-3,
        maximum: 6.5e-3,
        at: { drainV: 15 },
        source: BF245_SHEET,
      },
    ],
    knownMisses: [
      {
        quantity: 'transconductanceS',
        at: { drainV: 15 },
        sheetSays: 6.5e-3,
        dataGives: 6.785e-3,
        note: 'The data has 6.8 mS where the sheet allows 6.5 mS: the resistance in the source is left out.',
      },
    ],
  },
  {
    type: '2N5460',
    kind: 'pJfet',
    family: 'P-channel JFET',
    title: 'P-channel JFET, general purpose, low cut-off voltage',
    status: 'obsolete',
    data: {
      betaAPerV2: 0.4472e-3,
      thresholdV: -2.236,
      lambdaPerV: 2.3e-3,
      gateSaturationCurrentA: 181.3e-15,
    },
    dataSource: P_CHANNEL_FIT,
    limits: [
      { quantity: 'gateCutoffV', minimum: 0.75, maximum: 6, at: {}, source: SHEET_5460 },
      { quantity: 'zeroBiasDrainA', minimum: 1e-3, maximum: 5e-3, at: { drainV: 15 }, source: SHEET_5460 },
      { quantity: 'transconductanceS', minimum: 1e-3, maximum: 4e-3, at: { drainV: 15 }, source: SHEET_5460 },
    ],
    knownMisses: [],
  },
  {
    type: '2N5461',
    kind: 'pJfet',
    family: 'P-channel JFET',
    title: 'P-channel JFET, general purpose, medium cut-off voltage',
    status: 'obsolete',
    data: {
      betaAPerV2: 0.4419e-3,
      thresholdV: -3.098,
      lambdaPerV: 2.3e-3,
      gateSaturationCurrentA: 181.3e-15,
    },
    dataSource: P_CHANNEL_FIT,
    limits: [
      { quantity: 'gateCutoffV', minimum: 1, maximum: 7.5, at: {}, source: SHEET_5460 },
      { quantity: 'zeroBiasDrainA', minimum: 2e-3, maximum: 9e-3, at: { drainV: 15 }, source: SHEET_5460 },
      {
        quantity: 'transconductanceS',
        minimum: 1.5e-3,
        maximum: 5e-3,
        at: { drainV: 15 },
        source: SHEET_5460,
      },
    ],
    knownMisses: [],
  },
  {
    type: '2N5462',
    kind: 'pJfet',
    family: 'P-channel JFET',
    title: 'P-channel JFET, general purpose, high cut-off voltage',
    status: 'obsolete',
    data: { betaAPerV2: 0.375e-3, thresholdV: -4.619, lambdaPerV: 2.3e-3, gateSaturationCurrentA: 181.3e-15 },
    dataSource: P_CHANNEL_FIT,
    limits: [
      { quantity: 'gateCutoffV', minimum: 1.8, maximum: 9, at: {}, source: SHEET_5460 },
      { quantity: 'zeroBiasDrainA', minimum: 4e-3, maximum: 16e-3, at: { drainV: 15 }, source: SHEET_5460 },
      { quantity: 'transconductanceS', minimum: 2e-3, maximum: 6e-3, at: { drainV: 15 }, source: SHEET_5460 },
    ],
    knownMisses: [],
  },
];
