import type { ClassBOutput, OpampEntry } from './catalogue-entry.ts';
import { card } from './model-card.ts';
import { supplyLimit } from './supply-limit.ts';

const TI_4559 = 'TI SLOS074A, Dec 2024 (RC4559, its class)';
const NJM_4559 = 'NJM4559 sheet, from memory';
const ROHM_4560 = 'ROHM BA4560 (its class)';
const ROHM_4560Y = 'ROHM BA4560Yxxx-M rev 001 (its class)';
const NJM_4560 = 'NJM4560 sheet, from memory';
const TOSHIBA_75558 = 'TA75558 sheet, from memory';
const ROHM = 'ROHM BA4558';
const TI_4558 = 'TI SLOS073H, 2024';
const TI_4558_OLD = 'older TI RC4558 sheet, from memory';
const TI_358 = 'TI SLOS068V';
const TI_358_OLD = 'TI SLOS068, from memory';
const NJM_4558 = 'NJM4558 sheet, from memory';
const MC_1458 = 'MC1458 sheet, from memory';

/*
 * The sheet's schematic, from memory: a Darlington pair sources, one PNP sinks, nothing biases the two, and 50 µA (12
 * at least) are sunk in class A. A resistor stands for these, 50 µA at half of 9 V, since the sheet's current source
 * also gives way near the rail. I_S 1e-14 A is usual for such junctions; 25 Ω senses the current to be limited.
 */
const CLASS_B_358: ClassBOutput = {
  sourcing: 2,
  junction: card(1e-14, 1, 12.5, 0),
  classAOhms: 90e3,
};

export const GENERAL_PURPOSE_OPAMPS: readonly OpampEntry[] = [
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
    type: 'NJM4558',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 3e6,
      slewVPerS: 1e6,
      openLoopGain: 1e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: -25e-9,
      quiescentA: 1.75e-3,
    },
    dataSource: NJM_4558,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 3e6, at: { supplyV: 30 }, source: NJM_4558 },
      { quantity: 'slewVPerS', typical: 1e6, at: { supplyV: 30 }, source: NJM_4558 },
      { quantity: 'openLoopGain', typical: 1e5, at: { supplyV: 30 }, source: NJM_4558 },
      { quantity: 'inputBiasA', typical: 25e-9, at: { supplyV: 30 }, source: NJM_4558 },
      { quantity: 'swingV', typical: 14, at: { supplyV: 30 }, source: NJM_4558 },
      { quantity: 'quiescentA', typical: 1.75e-3, at: { supplyV: 30 }, source: NJM_4558 },
      supplyLimit(36, NJM_4558),
    ],
    knownMisses: [],
  },
  {
    type: 'MC1458',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual bipolar op-amp, two of LM741',
    status: 'obsolete',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 1e6,
      slewVPerS: 0.5e6,
      openLoopGain: 2e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: 80e-9,
      quiescentA: 1.15e-3,
      commonMode: { headroomHighV: 2, headroomLowV: 2, reverses: false },
    },
    dataSource: MC_1458,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 1e6, at: { supplyV: 30 }, source: MC_1458 },
      { quantity: 'slewVPerS', typical: 0.5e6, at: { supplyV: 30 }, source: MC_1458 },
      { quantity: 'openLoopGain', typical: 2e5, at: { supplyV: 30 }, source: MC_1458 },
      { quantity: 'inputBiasA', typical: 80e-9, at: { supplyV: 30 }, source: MC_1458 },
      { quantity: 'swingV', typical: 14, at: { supplyV: 30 }, source: MC_1458 },
      { quantity: 'quiescentA', typical: 1.15e-3, at: { supplyV: 30 }, source: MC_1458 },
      supplyLimit(36, MC_1458),
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
    classBOutput: CLASS_B_358,
    dataSource: `${TI_358}; input bias and supply current ${TI_358_OLD}; crossover of its output stage from the schematic in ${TI_358_OLD}`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 0.7e6, at: { supplyV: 30 }, source: TI_358 },
      { quantity: 'slewVPerS', typical: 0.3e6, at: { supplyV: 30 }, source: TI_358 },
      { quantity: 'openLoopGain', typical: 1e5, at: { supplyV: 30 }, source: TI_358 },
      { quantity: 'inputBiasA', typical: 20e-9, at: {}, source: TI_358_OLD },
      supplyLimit(32, TI_358_OLD),
    ],
    knownMisses: [],
  },
  {
    type: 'NJM4559',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 4e6,
      slewVPerS: 2e6,
      openLoopGain: 1e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: -40e-9,
      quiescentA: 1.65e-3,
    },
    dataSource: `${TI_4559}; slew rate, gain, swing at light load and supply current ${NJM_4559}`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 4e6, at: { supplyV: 30 }, source: TI_4559 },
      { quantity: 'inputBiasA', typical: 40e-9, at: { supplyV: 30 }, source: TI_4559 },
      { quantity: 'slewVPerS', typical: 2e6, at: { supplyV: 30 }, source: NJM_4559 },
      { quantity: 'quiescentA', typical: 1.65e-3, at: { supplyV: 30 }, source: NJM_4559 },
      { quantity: 'slewVPerS', minimum: 1.5e6, at: { supplyV: 30 }, source: 'TI SLOS074, June 1988' },
      supplyLimit(36, NJM_4559),
    ],
    knownMisses: [],
  },
  {
    type: 'NJM4560',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual bipolar op-amp, fast',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 10e6,
      slewVPerS: 4e6,
      openLoopGain: 1e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: -50e-9,
      quiescentA: 1.5e-3,
    },
    dataSource: `${ROHM_4560}; supply current ${ROHM_4560Y}; gain ${NJM_4560}`,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 10e6, at: { supplyV: 30 }, source: ROHM_4560 },
      { quantity: 'slewVPerS', typical: 4e6, at: { supplyV: 30 }, source: ROHM_4560 },
      { quantity: 'inputBiasA', typical: 50e-9, at: { supplyV: 30 }, source: ROHM_4560 },
      { quantity: 'swingV', typical: 14, at: { supplyV: 30 }, source: ROHM_4560 },
      { quantity: 'quiescentA', typical: 1.5e-3, at: { supplyV: 30 }, source: ROHM_4560Y },
      supplyLimit(36, NJM_4560),
    ],
    knownMisses: [],
  },
  {
    type: 'TA75558',
    kind: 'opamp',
    family: 'bipolar',
    title: 'dual bipolar op-amp',
    status: 'current',
    amplifiersPerPackage: 2,
    maxSupplyV: 36,
    data: {
      gainBandwidthHz: 3e6,
      slewVPerS: 1e6,
      openLoopGain: 1e5,
      headroomHighV: 1,
      headroomLowV: 1,
      inputBiasA: -60e-9,
      quiescentA: 1.6e-3,
    },
    dataSource: TOSHIBA_75558,
    limits: [
      { quantity: 'gainBandwidthHz', typical: 3e6, at: { supplyV: 30 }, source: TOSHIBA_75558 },
      { quantity: 'slewVPerS', typical: 1e6, at: { supplyV: 30 }, source: TOSHIBA_75558 },
      { quantity: 'inputBiasA', typical: 60e-9, at: { supplyV: 30 }, source: TOSHIBA_75558 },
      { quantity: 'quiescentA', typical: 1.6e-3, at: { supplyV: 30 }, source: TOSHIBA_75558 },
      supplyLimit(36, TOSHIBA_75558),
    ],
    knownMisses: [],
  },
];
