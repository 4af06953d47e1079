import { MOSFET_THRESHOLD_V_PER_K } from '../devices/field-effect.ts';
import type { FetEntry } from './catalogue-entry.ts';
import { card } from './model-card.ts';

const VISHAY_7000 = 'Vishay 70226 rev F';

const MIT_LANG = 'MIT, "Jeff Lang\'s model of a 2N7000" (K 0.138 A/V2, threshold 2.0 V)';
const TYPICAL_2V1 = 'Electronics Notes, "2N7000 MOSFET Data"; front page of Vishay 70226 rev F';

/**
 * MOSFET cards write the channel as (K_P/2)·u², JFET cards and the network as β·u²: β is half of K_P.
 * The source resistance of the card (0.75 Ω) is left out: at pedal currents it is below a millivolt.
 */
const KP_2N7000_A_PER_V2 = 0.138;
const KP_BS170_A_PER_V2 = 0.1233;

/** Current at which sheets measure the threshold, A. */
export const THRESHOLD_TEST_A = 1e-3;

/** Fall of the channel's voltage, V/K. */
const CHANNEL_THERMAL = { by: 'breakdown', voltsPerK: MOSFET_THRESHOLD_V_PER_K } as const;
/** Below the threshold the current falls tenfold for each 100 mV, an estimate; the square law alone ends there. */
const CHANNEL_SOURCE = `channel as a diode: fit to the typical threshold at 1 mA, the square law at 10 mA and an estimated 100 mV a decade below`;

export const MOSFETS: readonly FetEntry[] = [
  {
    type: '2N7000',
    kind: 'nMosfet',
    family: 'MOSFET',
    title: 'N-channel MOSFET, small signal',
    status: 'current',
    data: {
      betaAPerV2: KP_2N7000_A_PER_V2 / 2,
      thresholdV: 2,
      lambdaPerV: 0,
      gateSaturationCurrentA: 0,
    },
    dataSource: `${MIT_LANG}; ${CHANNEL_SOURCE}; body diode: published model card, whose threshold of 1.6 V is half a volt below the typical one`,
    // The card's junction; it names no emission coefficient (1 by default) and no resistance but the source's.
    bodyDiode: {
      saturationCurrentA: 0.04e-12,
      emissionCoefficient: 1,
      seriesOhms: 0.75,
      zeroBiasCapacitanceF: 50e-12,
    },
    channelDiode: { ...card(1.617e-24, 1.6968, 17.9, 0), thermal: CHANNEL_THERMAL },
    limits: [
      {
        quantity: 'gateThresholdV',
        minimum: 0.8,
        maximum: 3,
        at: { drainA: THRESHOLD_TEST_A },
        source: VISHAY_7000,
      },
      { quantity: 'gateThresholdV', typical: 2.1, at: { drainA: THRESHOLD_TEST_A }, source: TYPICAL_2V1 },
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
      thresholdV: 1.973,
      lambdaPerV: 0,
      gateSaturationCurrentA: 0,
    },
    dataSource: `published model card BS170, from memory (Kp 0.1233 A/V2), but for the threshold: typical 2.1 V at 1 mA (${VISHAY_7000}); ${CHANNEL_SOURCE}`,
    // Saturation current, source resistance and capacitance of the card; from memory too.
    bodyDiode: {
      saturationCurrentA: 1e-15,
      emissionCoefficient: 1,
      seriesOhms: 1.572,
      zeroBiasCapacitanceF: 35e-12,
    },
    channelDiode: { ...card(7.267e-27, 1.5112, 20.7, 0), thermal: CHANNEL_THERMAL },
    limits: [
      {
        quantity: 'gateThresholdV',
        minimum: 0.8,
        typical: 2.1,
        maximum: 3,
        at: { drainA: THRESHOLD_TEST_A },
        source: VISHAY_7000,
      },
    ],
    knownMisses: [],
  },
];
