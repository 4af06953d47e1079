import type { FetEntry } from './catalogue-entry.ts';

const VISHAY_J201 = 'Vishay 70233 rev G';
const ONSEMI_5457 = 'onsemi 2N5457/D rev 3';
const VISHAY_7000 = 'Vishay 70226 rev F';
const GATE_SOURCE = 'gate saturation current from memory';

const JFETS: readonly FetEntry[] = [
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

/**
 * MOSFET cards write the channel as (K_P/2)·u², JFET cards and the network as β·u²: β is half of K_P.
 * The source resistance of the card (0.75 Ω) is left out: at pedal currents it is below a millivolt.
 */
const KP_2N7000_A_PER_V2 = 0.17;

const MOSFETS: readonly FetEntry[] = [
  {
    type: '2N7000',
    kind: 'nMosfet',
    family: 'MOSFET',
    title: 'N-channel MOSFET, small signal',
    status: 'current',
    data: {
      betaAPerV2: KP_2N7000_A_PER_V2 / 2,
      thresholdV: 1.6,
      lambdaPerV: 0,
      gateSaturationCurrentA: 0,
    },
    dataSource: 'published model card 2N7000 (Vto 1.6 V, Kp 0.17 A/V2); no channel-length modulation in it',
    // The card's junction; it names no emission coefficient (1 by default) and no resistance but the source's.
    bodyDiode: {
      saturationCurrentA: 0.04e-12,
      emissionCoefficient: 1,
      seriesOhms: 0.75,
      zeroBiasCapacitanceF: 50e-12,
    },
    limits: [
      { quantity: 'gateThresholdV', minimum: 0.8, maximum: 3, at: { drainA: 1e-3 }, source: VISHAY_7000 },
    ],
    knownMisses: [],
  },
];

export const FIELD_EFFECT_TRANSISTORS: readonly FetEntry[] = [...JFETS, ...MOSFETS];
