import type { DatasheetPoint, OpampEntry } from './catalogue-entry.ts';

/*
 * Headroom is what the swing at light load leaves of the supply: ±14 V of ±15 V is 1 V at either end.
 * Input bias is positive where it flows into the pin: NPN inputs and the gates of P-channel JFETs take
 * current, PNP inputs (4558, LM358) give it. Quiescent current is that of one amplifier.
 */

const ROHM = 'ROHM BA4558';
const TI_4558 = 'TI SLOS073H, 2024';
const TI_4558_OLD = 'older TI RC4558 sheet, from memory';
const ST_TL072 = 'ST TL072';
const TI_5532 = 'TI SLOS075 (NE5532), from memory';
const TI_358 = 'TI SLOS068V';
const TI_358_OLD = 'TI SLOS068, from memory';
const TI_2262 = 'TI SLOS177D';
const TI_2262_MEMORY = 'TI SLOS177, from memory';

function supplyLimit(maximum: number, source: string): DatasheetPoint {
  return { quantity: 'supplyV', maximum, at: {}, source };
}

const BIPOLAR: readonly OpampEntry[] = [
  {
    type: 'RC4558',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 4e6,
      slewVPerS: 1.7e6,
      openLoopGain: 1e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: -150e-9,
      quiescentA: 1.25e-3,
    },
    dataSource: `gain-bandwidth ${TI_4558} (older sheets: 3 MHz, from memory); slew rate, bias and supply current ${TI_4558_OLD}; gain and swing ${ROHM}`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 4e6, at: { supplyV: 30 }, source: TI_4558 },
      { quantity: 'slewVPerS', typical: 1.7e6, at: { supplyV: 30 }, source: TI_4558_OLD },
      { quantity: 'quiescentA', typical: 1.25e-3, at: { supplyV: 30 }, source: TI_4558_OLD },
      supplyLimit(36, `${ROHM}, same class`),
    ],
    knownMisses: [],
  },
  {
    type: 'BA4558',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 2e6,
      slewVPerS: 1e6,
      openLoopGain: 1e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: -60e-9,
      quiescentA: 1.5e-3,
    },
    dataSource: `${ROHM}; gain-bandwidth and supply current from memory`,
    limits: [
      { quantity: 'openLoopGain', typical: 1e5, at: { supplyV: 30 }, source: ROHM },
      { quantity: 'slewVPerS', typical: 1e6, at: { supplyV: 30 }, source: ROHM },
      { quantity: 'inputBiasA', typical: 60e-9, at: { supplyV: 30 }, source: ROHM },
      { quantity: 'swingV', typical: 14, at: { supplyV: 30 }, source: ROHM },
      supplyLimit(36, ROHM),
    ],
    knownMisses: [],
  },
  {
    type: 'NE5532',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual low-noise bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 44,
    data: {
      gainBandwidthHz: 10e6,
      slewVPerS: 9e6,
      openLoopGain: 1e5,
      headroomHighV: 2,
      headroomLowV: 2,
      inputBiasA: 200e-9,
      quiescentA: 4e-3,
    },
    dataSource: TI_5532,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 10e6, at: { supplyV: 30 }, source: TI_5532 },
      { quantity: 'slewVPerS', typical: 9e6, at: { supplyV: 30 }, source: TI_5532 },
      { quantity: 'inputBiasA', typical: 200e-9, at: { supplyV: 30 }, source: TI_5532 },
      { quantity: 'quiescentA', typical: 4e-3, at: { supplyV: 30 }, source: TI_5532 },
      supplyLimit(44, TI_5532),
    ],
    knownMisses: [],
  },
  {
    type: 'LM358',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual single-supply bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 32,
    data: {
      gainBandwidthHz: 0.7e6,
      slewVPerS: 0.3e6,
      openLoopGain: 1e5,
      headroomHighV: 1.5,
      headroomLowV: 5e-3,
      inputBiasA: -20e-9,
      quiescentA: 0.35e-3,
    },
    dataSource: `${TI_358}; input bias and supply current ${TI_358_OLD}`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 0.7e6, at: { supplyV: 30 }, source: TI_358 },
      { quantity: 'slewVPerS', typical: 0.3e6, at: { supplyV: 30 }, source: TI_358 },
      { quantity: 'openLoopGain', typical: 1e5, at: { supplyV: 30 }, source: TI_358 },
      { quantity: 'inputBiasA', typical: 20e-9, at: {}, source: TI_358_OLD },
      supplyLimit(32, TI_358_OLD),
    ],
    knownMisses: [],
  },
];

const FIELD_EFFECT_INPUT: readonly OpampEntry[] = [
  {
    type: 'TL072',
    kind: 'opamp',
    family: 'JFET input',
    title: 'dual JFET-input op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 4e6,
      slewVPerS: 16e6,
      openLoopGain: 2e5,
      headroomHighV: 1.5,
      headroomLowV: 1.5,
      inputBiasA: 20e-12,
      quiescentA: 1.4e-3,
    },
    dataSource: `${ST_TL072} (TI SLOS080D has 13 V/us)`,
    limits: [
      { quantity: 'gainBandwidthHz', minimum: 2.5e6, typical: 4e6, at: { supplyV: 30 }, source: ST_TL072 },
      { quantity: 'slewVPerS', minimum: 8e6, typical: 16e6, at: { supplyV: 30 }, source: ST_TL072 },
      { quantity: 'slewVPerS', typical: 13e6, at: { supplyV: 30 }, source: 'TI SLOS080D, 1996' },
      { quantity: 'openLoopGain', typical: 2e5, at: { supplyV: 30 }, source: ST_TL072 },
      { quantity: 'inputBiasA', typical: 20e-12, at: { supplyV: 30 }, source: ST_TL072 },
      { quantity: 'swingV', typical: 13.5, at: { supplyV: 30 }, source: ST_TL072 },
      { quantity: 'quiescentA', typical: 1.4e-3, at: { supplyV: 30 }, source: ST_TL072 },
      supplyLimit(36, 'ST TL072, from memory'),
    ],
    knownMisses: [
      {
        quantity: 'slewVPerS',
        at: { supplyV: 30 },
        sheetSays: 13e6,
        dataGives: 16e6,
        note: "The data follows ST's 16 V/us; TI's older sheet has 13 V/us.",
      },
    ],
  },
  {
    type: 'TLC2262',
    kind: 'opamp',
    family: 'CMOS',
    title: 'dual rail-to-rail CMOS op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 16,
    data: {
      gainBandwidthHz: 0.71e6,
      slewVPerS: 0.55e6,
      openLoopGain: 1.7e5,
      headroomHighV: 0.02,
      headroomLowV: 0.02,
      inputBiasA: 1e-12,
      quiescentA: 200e-6,
    },
    dataSource: `${TI_2262}; gain-bandwidth, slew rate, gain, bias and headroom from memory`,
    limits: [
      { quantity: 'quiescentA', typical: 200e-6, at: {}, source: TI_2262 },
      { quantity: 'gainBandwidthHz', typical: 0.71e6, at: {}, source: TI_2262_MEMORY },
      { quantity: 'slewVPerS', typical: 0.55e6, at: {}, source: TI_2262_MEMORY },
      supplyLimit(16, TI_2262_MEMORY),
    ],
    knownMisses: [],
  },
];

/** Every op-amp that can be fitted, in the order in which they are offered. */
export const OPAMPS: readonly OpampEntry[] = [...BIPOLAR, ...FIELD_EFFECT_INPUT];
