import type { OpampEntry } from './catalogue-entry.ts';
import { supplyLimit } from './supply-limit.ts';

const ROHM = 'ROHM BA4558';
const TI_4558 = 'TI SLOS073H, 2024';
const TI_4558_OLD = 'older TI RC4558 sheet, from memory';
const TI_5532 = 'TI SLOS075 (NE5532), from memory';
const TI_358 = 'TI SLOS068V';
const TI_358_OLD = 'TI SLOS068, from memory';

export const BIPOLAR_OPAMPS: readonly OpampEntry[] = [
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
