import type { OpampEntry } from './catalogue-entry.ts';
import { card } from './model-card.ts';
import { supplyLimit } from './supply-limit.ts';

/*
 * One amplifier to a package: one chip for each stage, on an adapter where the board has a dual.
 */
const TI_5534 = 'TI NE5534 sheet, from memory';
const ST_071 = 'ST TL071, from memory; figures of the TL072, its dual';
const TI_741 = 'TI SNOSC25';
const TI_741_MEMORY = 'TI SNOSC25, from memory';
const NATIONAL_308 = 'National LM108/LM308';
const NATIONAL_308_MEMORY = 'National LM108/LM308, from memory';
const ADI_07 = 'ADI OP07';
const ADI_07_MEMORY = 'ADI OP07, from memory';

export const SINGLE_OPAMPS: readonly OpampEntry[] = [
  {
    type: 'LM741',
    kind: 'opamp',
    family: 'bipolar',
    title: 'single bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 1,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 1e6,
      slewVPerS: 0.5e6,
      openLoopGain: 2e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: 80e-9,
      quiescentA: 1.7e-3,
      commonMode: { headroomHighV: 2, headroomLowV: 2, reverses: false },
    },
    dataSource: `${TI_741}; gain-bandwidth and supply limit from memory`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 1e6, at: { supplyV: 30 }, source: TI_741_MEMORY },
      { quantity: 'slewVPerS', typical: 0.5e6, at: { supplyV: 30 }, source: TI_741 },
      { quantity: 'openLoopGain', typical: 2e5, at: { supplyV: 30 }, source: TI_741 },
      { quantity: 'inputBiasA', typical: 80e-9, at: { supplyV: 30 }, source: TI_741 },
      { quantity: 'swingV', typical: 14, at: { supplyV: 30 }, source: TI_741 },
      { quantity: 'quiescentA', typical: 1.7e-3, at: { supplyV: 30 }, source: TI_741 },
      supplyLimit(36, TI_741_MEMORY),
    ],
    knownMisses: [],
  },
  {
    type: 'LM308A',
    kind: 'opamp',
    family: 'bipolar',
    title: 'single bipolar op-amp with very low bias current, 30 pF fitted',
    status: 'obsolete',
    amplifiersPerPackage: 1,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 1e6,
      slewVPerS: 0.3e6,
      openLoopGain: 3e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: 1.5e-9,
      quiescentA: 0.3e-3,
    },
    inputClamp: card(1e-14, 1, 20, 3e-12),
    dataSource: `${NATIONAL_308}; slew rate, gain-bandwidth (both at the usual 30 pF, and both fall as that grows) and supply limit from memory; the sheet shunts the inputs with diodes, whose I_S, 20 ohm and 3 pF are usual for such junctions`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 1e6, at: { supplyV: 30 }, source: NATIONAL_308_MEMORY },
      { quantity: 'slewVPerS', typical: 0.3e6, at: { supplyV: 30 }, source: NATIONAL_308_MEMORY },
      { quantity: 'openLoopGain', typical: 3e5, at: { supplyV: 30 }, source: NATIONAL_308 },
      { quantity: 'inputBiasA', typical: 1.5e-9, at: { supplyV: 30 }, source: NATIONAL_308 },
      { quantity: 'swingV', typical: 14, at: { supplyV: 30 }, source: NATIONAL_308 },
      { quantity: 'quiescentA', typical: 0.3e-3, at: { supplyV: 30 }, source: NATIONAL_308 },
      supplyLimit(36, NATIONAL_308_MEMORY),
    ],
    knownMisses: [],
  },
  {
    type: 'OP07E',
    kind: 'opamp',
    family: 'bipolar',
    title: 'single precision bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 1,
    maxSupplyV: 44,
    data: {
      gainBandwidthHz: 0.6e6,
      slewVPerS: 0.3e6,
      openLoopGain: 2e5,
      headroomHighV: 2,
      headroomLowV: 2,
      inputBiasA: 1.2e-9,
      quiescentA: 2.5e-3,
    },
    dataSource: `${ADI_07}; gain-bandwidth, slew rate, swing, bias, supply current and limit from memory`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 0.6e6, at: { supplyV: 30 }, source: ADI_07_MEMORY },
      { quantity: 'slewVPerS', typical: 0.3e6, at: { supplyV: 30 }, source: ADI_07_MEMORY },
      { quantity: 'openLoopGain', typical: 2e5, at: { supplyV: 30 }, source: ADI_07 },
      { quantity: 'inputBiasA', maximum: 4e-9, at: { supplyV: 30 }, source: ADI_07 },
      { quantity: 'swingV', typical: 13, at: { supplyV: 30 }, source: ADI_07_MEMORY },
      { quantity: 'quiescentA', typical: 2.5e-3, at: { supplyV: 30 }, source: ADI_07_MEMORY },
      supplyLimit(44, ADI_07_MEMORY),
    ],
    knownMisses: [],
  },
  {
    type: 'NE5534',
    kind: 'opamp',
    family: 'bipolar',
    title: 'single low-noise bipolar op-amp, 22 pF fitted',
    status: 'current',
    amplifiersPerPackage: 1,
    maxSupplyV: 44,
    data: {
      gainBandwidthHz: 10e6,
      slewVPerS: 6e6,
      openLoopGain: 1e5,
      headroomHighV: 2,
      headroomLowV: 2,
      inputBiasA: 500e-9,
      quiescentA: 4e-3,
    },
    inputClamp: card(1e-14, 1, 20, 3e-12),
    dataSource: `${TI_5534}; with 22 pF, since it is not stable at unity gain without a capacitor; diodes between the inputs as in the NE5532`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 10e6, at: { supplyV: 30 }, source: TI_5534 },
      { quantity: 'slewVPerS', typical: 6e6, at: { supplyV: 30 }, source: TI_5534 },
      { quantity: 'inputBiasA', typical: 500e-9, at: { supplyV: 30 }, source: TI_5534 },
      { quantity: 'quiescentA', typical: 4e-3, at: { supplyV: 30 }, source: TI_5534 },
      supplyLimit(44, TI_5534),
    ],
    knownMisses: [],
  },
  {
    type: 'TL071',
    kind: 'opamp',
    family: 'JFET input',
    title: 'single JFET-input op-amp',
    status: 'current',
    amplifiersPerPackage: 1,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 4e6,
      slewVPerS: 16e6,
      openLoopGain: 2e5,
      headroomHighV: 1.5,
      headroomLowV: 1.5,
      inputBiasA: 20e-12,
      quiescentA: 1.4e-3,
      commonMode: { headroomHighV: 0, headroomLowV: 0.9, reverses: true },
    },
    dataSource: ST_071,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 4e6, at: { supplyV: 30 }, source: ST_071 },
      { quantity: 'slewVPerS', typical: 16e6, at: { supplyV: 30 }, source: ST_071 },
      { quantity: 'openLoopGain', typical: 2e5, at: { supplyV: 30 }, source: ST_071 },
      { quantity: 'inputBiasA', typical: 20e-12, at: { supplyV: 30 }, source: ST_071 },
      { quantity: 'swingV', typical: 13.5, at: { supplyV: 30 }, source: ST_071 },
      { quantity: 'quiescentA', typical: 1.4e-3, at: { supplyV: 30 }, source: ST_071 },
      supplyLimit(36, ST_071),
    ],
    knownMisses: [],
  },
];
