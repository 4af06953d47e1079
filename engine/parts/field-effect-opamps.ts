import type { OpampEntry } from './catalogue-entry.ts';
import { supplyLimit } from './supply-limit.ts';

const ST_TL072 = 'ST TL072';
const TI_2262 = 'TI SLOS177D';
const TI_2262_MEMORY = 'TI SLOS177, from memory';

export const FIELD_EFFECT_OPAMPS: readonly OpampEntry[] = [
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
