import type { BjtEntry } from './catalogue-entry.ts';

/*
 * The network's transistor has one current gain at all currents. A card's BF stands only beside the leakage
 * and roll-off terms that this model leaves out; where BF alone would leave the datasheet's window, the gain
 * is the geometric mean of that window instead. Reverse gains are typical values from memory: they matter
 * only in saturation.
 */

const MCC = 'MCC 2N3904';
const ONSEMI_5088 = 'onsemi 2N5088';
const FCI = 'FCI BC546 to BC550';
const MPSA18_SHEET = 'Motorola MPSA18 sheet, from memory';
const MOTOROLA_2222 = 'Motorola 2N2222 sheet, from memory';
const MOTOROLA_3906 = 'Motorola 2N3906 sheet, from memory';
const PHILIPS_108 = 'Philips BC107 to BC109 sheet, from memory';

export const BIPOLAR_TRANSISTORS: readonly BjtEntry[] = [
  {
    type: '2N3904',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN',
    status: 'current',
    data: { saturationCurrentA: 1e-14, forwardBeta: 300, reverseBeta: 4, earlyV: 100 },
    dataSource: 'published model card 2N3904; reverse gain from memory',
    limits: [
      { quantity: 'currentGain', minimum: 40, at: { collectorA: 0.1e-3 }, source: MCC },
      { quantity: 'currentGain', minimum: 70, at: { collectorA: 1e-3 }, source: MCC },
      { quantity: 'currentGain', minimum: 100, maximum: 300, at: { collectorA: 10e-3 }, source: MCC },
    ],
    knownMisses: [],
  },
  {
    type: '2N5088',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'high-gain low-noise silicon NPN',
    status: 'current',
    data: { saturationCurrentA: 5.911e-15, forwardBeta: 520, reverseBeta: 1.3, earlyV: 62.37 },
    dataSource: `published model card 2N5088, but for the current gain: geometric mean of ${ONSEMI_5088}, 300 to 900 at 100 uA, since the card's 1122 is above that window without the leakage beside it; reverse gain from memory`,
    limits: [
      {
        quantity: 'currentGain',
        minimum: 300,
        maximum: 900,
        at: { collectorA: 0.1e-3 },
        source: ONSEMI_5088,
      },
      { quantity: 'currentGain', minimum: 350, at: { collectorA: 1e-3 }, source: ONSEMI_5088 },
    ],
    knownMisses: [],
  },
  {
    type: 'BC549C',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'high-gain low-noise silicon NPN',
    status: 'current',
    data: { saturationCurrentA: 7.049e-15, forwardBeta: 493.2, reverseBeta: 2.9, earlyV: 23.89 },
    dataSource: 'published model card BC549C; reverse gain from memory',
    limits: [
      { quantity: 'currentGain', minimum: 420, maximum: 800, at: { collectorA: 2e-3 }, source: FCI },
      {
        quantity: 'baseEmitterV',
        minimum: 0.58,
        typical: 0.66,
        maximum: 0.7,
        at: { collectorA: 2e-3 },
        source: FCI,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'MPSA18',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'very-high-gain low-noise silicon NPN',
    status: 'obsolete',
    data: { saturationCurrentA: 33.58e-15, forwardBeta: 870, reverseBeta: 3, earlyV: 100 },
    dataSource: `published model card MPSA18, but for the current gain: geometric mean of 500 to 1500 (${MPSA18_SHEET}), since the card's 236 is half the least that the sheet allows; reverse gain from memory`,
    limits: [
      { quantity: 'currentGain', minimum: 500, at: { collectorA: 1e-3 }, source: MPSA18_SHEET },
      {
        quantity: 'currentGain',
        minimum: 500,
        maximum: 1500,
        at: { collectorA: 10e-3 },
        source: MPSA18_SHEET,
      },
    ],
    knownMisses: [],
  },
  {
    type: '2SC1815',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN, top of rank GR',
    status: 'often faked',
    data: { saturationCurrentA: 2.04e-15, forwardBeta: 400, reverseBeta: 3, earlyV: 100 },
    dataSource:
      "published model card 2SC1815, but for the Early voltage: the card's 6 V is implausible, 100 V is that of the 2N3904 card; reverse gain from memory",
    limits: [
      {
        quantity: 'currentGain',
        minimum: 200,
        maximum: 400,
        at: { collectorA: 2e-3 },
        source: 'Toshiba 2SC1815, 2003-03-27, rank GR',
      },
    ],
    knownMisses: [],
  },
  {
    type: 'BC547B',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN',
    status: 'current',
    data: { saturationCurrentA: 23.9e-15, forwardBeta: 294.3, reverseBeta: 7.946, earlyV: 63.2 },
    dataSource: 'published model card BC547B, from memory',
    limits: [
      { quantity: 'currentGain', minimum: 200, maximum: 450, at: { collectorA: 2e-3 }, source: FCI },
      {
        quantity: 'baseEmitterV',
        minimum: 0.58,
        typical: 0.66,
        maximum: 0.7,
        at: { collectorA: 2e-3 },
        source: FCI,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'BC108',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN in a metal can, any gain group',
    status: 'obsolete',
    data: { saturationCurrentA: 23.9e-15, forwardBeta: 297, reverseBeta: 7.946, earlyV: 63.2 },
    dataSource: `published model card BC547B, the same transistor in plastic (from memory), but for the current gain: geometric mean of 110 to 800 (${PHILIPS_108})`,
    limits: [
      {
        quantity: 'currentGain',
        minimum: 110,
        maximum: 800,
        at: { collectorA: 2e-3 },
        source: PHILIPS_108,
      },
      {
        quantity: 'baseEmitterV',
        minimum: 0.55,
        typical: 0.62,
        maximum: 0.7,
        at: { collectorA: 2e-3 },
        source: PHILIPS_108,
      },
    ],
    knownMisses: [],
  },
  {
    type: '2N2222',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN for larger currents',
    status: 'current',
    data: { saturationCurrentA: 14.34e-15, forwardBeta: 255.9, reverseBeta: 6.092, earlyV: 74.03 },
    dataSource: 'published model card 2N2222A, from memory',
    limits: [
      { quantity: 'currentGain', minimum: 35, at: { collectorA: 0.1e-3 }, source: MOTOROLA_2222 },
      { quantity: 'currentGain', minimum: 50, at: { collectorA: 1e-3 }, source: MOTOROLA_2222 },
      {
        quantity: 'currentGain',
        minimum: 100,
        maximum: 300,
        at: { collectorA: 0.15 },
        source: MOTOROLA_2222,
      },
    ],
    knownMisses: [],
  },
  {
    type: '2N3906',
    kind: 'pnp',
    family: 'silicon PNP',
    title: 'general-purpose silicon PNP',
    status: 'current',
    data: { saturationCurrentA: 1.41e-15, forwardBeta: 180.7, reverseBeta: 4.977, earlyV: 18.7 },
    dataSource: 'published model card 2N3906, from memory',
    limits: [
      { quantity: 'currentGain', minimum: 60, at: { collectorA: 0.1e-3 }, source: MOTOROLA_3906 },
      { quantity: 'currentGain', minimum: 80, at: { collectorA: 1e-3 }, source: MOTOROLA_3906 },
      {
        quantity: 'currentGain',
        minimum: 100,
        maximum: 300,
        at: { collectorA: 10e-3 },
        source: MOTOROLA_3906,
      },
      {
        quantity: 'baseEmitterV',
        minimum: 0.65,
        maximum: 0.85,
        at: { collectorA: 10e-3 },
        source: MOTOROLA_3906,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'AC128',
    kind: 'pnp',
    family: 'germanium PNP',
    title: 'germanium PNP',
    status: 'obsolete',
    data: { saturationCurrentA: 5e-6, forwardBeta: 90, reverseBeta: 10, earlyV: 40, energyGapEv: 0.67 },
    dataSource:
      'published model card AC128; reverse gain from memory of alloy junctions, which are nearly symmetrical',
    limits: [],
    knownMisses: [],
  },
];
