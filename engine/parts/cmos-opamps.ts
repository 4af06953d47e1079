import type { OpampEntry } from './catalogue-entry.ts';
import { supplyLimit } from './supply-limit.ts';

const TI_2262 = 'TI SLOS177D';
const TI_2262_MEMORY = 'TI SLOS177, from memory';
const TI_2272 = 'TI SLOS190 (TLC2272), from memory';
const MICROCHIP_6002 = 'Microchip MCP6002 sheet, from memory';

export const CMOS_OPAMPS: readonly OpampEntry[] = [
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
      commonMode: { headroomHighV: 0.8, headroomLowV: -0.3, reverses: false },
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
  {
    type: 'TLC2272',
    kind: 'opamp',
    family: 'CMOS',
    title: 'dual rail-to-rail CMOS op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 16,
    data: {
      gainBandwidthHz: 2.18e6,
      slewVPerS: 3.6e6,
      openLoopGain: 35e3,
      headroomHighV: 0.02,
      headroomLowV: 0.02,
      inputBiasA: 1e-12,
      quiescentA: 1.1e-3,
      commonMode: { headroomHighV: 0.8, headroomLowV: -0.3, reverses: false },
    },
    dataSource: `${TI_2272}; gain into 10 k`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 2.18e6, at: { supplyV: 10 }, source: TI_2272 },
      { quantity: 'slewVPerS', typical: 3.6e6, at: { supplyV: 10 }, source: TI_2272 },
      { quantity: 'openLoopGain', typical: 35e3, at: { supplyV: 10 }, source: TI_2272 },
      { quantity: 'inputBiasA', typical: 1e-12, at: { supplyV: 10 }, source: TI_2272 },
      { quantity: 'quiescentA', typical: 1.1e-3, at: { supplyV: 10 }, source: TI_2272 },
      supplyLimit(16, TI_2272),
    ],
    knownMisses: [],
  },
  {
    type: 'MCP6002',
    kind: 'opamp',
    family: 'CMOS',
    title: 'dual rail-to-rail CMOS op-amp for 6 V: not for 9 V',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 7,
    data: {
      gainBandwidthHz: 1e6,
      slewVPerS: 0.6e6,
      openLoopGain: 4e5,
      headroomHighV: 0.025,
      headroomLowV: 0.025,
      inputBiasA: 1e-12,
      quiescentA: 0.1e-3,
    },
    dataSource: `${MICROCHIP_6002}: works from 1.8 to 6 V, and is destroyed above 7 V`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 1e6, at: { supplyV: 5.5 }, source: MICROCHIP_6002 },
      { quantity: 'slewVPerS', typical: 0.6e6, at: { supplyV: 5.5 }, source: MICROCHIP_6002 },
      { quantity: 'openLoopGain', typical: 4e5, at: { supplyV: 5.5 }, source: MICROCHIP_6002 },
      { quantity: 'inputBiasA', typical: 1e-12, at: { supplyV: 5.5 }, source: MICROCHIP_6002 },
      { quantity: 'quiescentA', typical: 0.1e-3, at: { supplyV: 5.5 }, source: MICROCHIP_6002 },
      supplyLimit(7, MICROCHIP_6002),
    ],
    knownMisses: [],
  },
];
