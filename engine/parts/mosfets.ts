import type { FetEntry } from './catalogue-entry.ts';

const VISHAY_7000 = 'Vishay 70226 rev F';

/**
 * MOSFET cards write the channel as (K_P/2)·u², JFET cards and the network as β·u²: β is half of K_P.
 * The source resistance of the card (0.75 Ω) is left out: at pedal currents it is below a millivolt.
 */
const KP_2N7000_A_PER_V2 = 0.17;
const KP_BS170_A_PER_V2 = 0.1233;

export const MOSFETS: readonly FetEntry[] = [
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
  {
    type: 'BS170',
    kind: 'nMosfet',
    family: 'MOSFET',
    title: 'N-channel MOSFET, small signal',
    status: 'current',
    data: {
      betaAPerV2: KP_BS170_A_PER_V2 / 2,
      thresholdV: 1.824,
      lambdaPerV: 0,
      gateSaturationCurrentA: 0,
    },
    dataSource: 'published model card BS170, from memory (Vto 1.824 V, Kp 0.1233 A/V2)',
    // Saturation current, source resistance and capacitance of the card; from memory too.
    bodyDiode: {
      saturationCurrentA: 1e-15,
      emissionCoefficient: 1,
      seriesOhms: 1.572,
      zeroBiasCapacitanceF: 35e-12,
    },
    limits: [
      {
        quantity: 'gateThresholdV',
        minimum: 0.8,
        typical: 2.1,
        maximum: 3,
        at: { drainA: 1e-3 },
        source: VISHAY_7000,
      },
    ],
    knownMisses: [],
  },
];
