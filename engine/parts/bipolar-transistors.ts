import type { BjtEntry } from './catalogue-entry.ts';

/*
 * The network's transistor has one current gain at all currents. It is that at 0.35 mA, what the followers of a pedal
 * carry: the gain of real ones falls towards low currents, by a fifth from 1 to 0.1 mA in the 2N5088. Where a sheet
 * gives typical gains at several currents, that at 0.35 mA follows from 1/β = 1/β0 + c/√I (recombination in the
 * depletion layer, Sah, Noyce & Shockley 1957). Makers' sheets give no typical gain at 0.35 mA itself. Reverse gains are
 * typical values from memory: they matter only in saturation.
 */

const MCC = 'MCC 2N3904';
const ONSEMI_5088 = 'onsemi 2N5088';
const FCI = 'FCI BC546 to BC550';
const MPSA18_SHEET = 'onsemi MPSA18; Motorola MPSA18';
const SEMELAB_2222 = 'Semelab 2N2222A prelim 3/96; General Semiconductor MMBT2222A';
const COMCHIP_3906 = 'Comchip 2N3906-G QW-BTR05 rev A';
const MOTOROLA_3906 = 'Motorola 2N3906 sheet, from memory';
const MOTOROLA_549 = 'Motorola BC549B/D, 1996';
const RECTRON_945 = 'Rectron C945';
const PIECES_945 = 'five measured pieces of one lot, rank Q (audiosite.jp, NEC 2SC945)';
const PIECE_AC128 =
  'model of one measured piece: Holmes, Holters & van Walstijn (DAFx-17), as quoted; paper not read';
const RCA_404 = 'RCA 2N404 sheet, from memory';
const TI_1305 = 'Texas Instruments 2N1305 sheet, from memory';
const PHILIPS_AC = 'Philips AC125 and AC126 sheets, from memory';
/** What no sheet states of alloy-junction transistors of germanium. */
const AS_OC44 =
  'estimate: saturation current near that of a measured OC44, Early voltage and reverse gain between those of a measured OC44 and AC128';
/** Collector current at which the gain is given, A. */
const USE_A = 0.35e-3;
const PHILIPS_108 = 'Philips BC107 to BC109 sheet, from memory';

export const BIPOLAR_TRANSISTORS: readonly BjtEntry[] = [
  {
    type: '2N3904',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN',
    status: 'current',
    data: { saturationCurrentA: 1e-14, forwardBeta: 160, reverseBeta: 4, earlyV: 100 },
    dataSource:
      'published model card 2N3904, but for the current gain: typical at 0.35 mA, from memory, since the card has its 300 at every current; reverse gain from memory',
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
    data: { saturationCurrentA: 5.911e-15, forwardBeta: 580, reverseBeta: 1.3, earlyV: 62.37 },
    dataSource:
      'published model card 2N5088, with the current gain that it gives at 0.35 mA beside its leakage; reverse gain from memory',
    limits: [
      {
        quantity: 'currentGain',
        minimum: 300,
        maximum: 900,
        at: { collectorA: 0.1e-3 },
        source: ONSEMI_5088,
      },
      {
        quantity: 'currentGain',
        typical: 580,
        at: { collectorA: USE_A },
        source: "Fairchild's printed card",
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
    data: { saturationCurrentA: 7.049e-15, forwardBeta: 460, reverseBeta: 2.9, earlyV: 23.89 },
    dataSource: `published model card BC549C, but for the current gain: at 0.35 mA, between the typical 270 at 10 uA and 500 at 2 mA of ${MOTOROLA_549}; reverse gain from memory`,
    limits: [
      { quantity: 'currentGain', minimum: 420, maximum: 800, at: { collectorA: 2e-3 }, source: FCI },
      {
        quantity: 'currentGain',
        minimum: 420,
        typical: 500,
        maximum: 800,
        at: { collectorA: 2e-3 },
        source: MOTOROLA_549,
      },
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
    data: { saturationCurrentA: 20.3e-15, forwardBeta: 1000, reverseBeta: 3, earlyV: 120 },
    dataSource: `second published model card MPSA18, but for the current gain: at 0.35 mA, between the typical 850 at 0.1 mA and 1100 at 1 mA (${MPSA18_SHEET}); the first card's 173 to 205 is less than half of what the sheet allows; reverse gain from memory`,
    limits: [
      {
        quantity: 'currentGain',
        minimum: 500,
        typical: 850,
        at: { collectorA: 0.1e-3 },
        source: MPSA18_SHEET,
      },
      {
        quantity: 'currentGain',
        minimum: 500,
        typical: 1100,
        at: { collectorA: 1e-3 },
        source: MPSA18_SHEET,
      },
      {
        quantity: 'currentGain',
        minimum: 500,
        typical: 1150,
        maximum: 1500,
        at: { collectorA: 10e-3 },
        source: MPSA18_SHEET,
      },
      {
        quantity: 'baseEmitterV',
        typical: 0.6,
        maximum: 0.7,
        at: { collectorA: 1e-3 },
        source: MPSA18_SHEET,
      },
    ],
    knownMisses: [],
  },
  {
    type: '2SC1815',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN, rank GR',
    status: 'often faked',
    data: { saturationCurrentA: 2.04e-15, forwardBeta: 280, reverseBeta: 3, earlyV: 100 },
    dataSource:
      "published model card 2SC1815, but for the current gain, the middle of rank GR (0.95 typical of gain at 2 mA remain at 0.1 mA), and the Early voltage: the card's 6 V is implausible, 100 V is that of the 2N3904 card; reverse gain from memory",
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
    data: { saturationCurrentA: 23.9e-15, forwardBeta: 265, reverseBeta: 7.946, earlyV: 63.2 },
    dataSource: `published model card BC547B, from memory, but for the current gain: at 0.35 mA, between 150 at 10 uA (${MOTOROLA_549}, B) and 290 at 2 mA`,
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
    data: { saturationCurrentA: 14.34e-15, forwardBeta: 150, reverseBeta: 6.092, earlyV: 74.03 },
    dataSource:
      'published model card 2N2222A, from memory, but for the current gain: typical at 0.35 mA, from memory',
    limits: [
      { quantity: 'currentGain', minimum: 35, at: { collectorA: 0.1e-3 }, source: SEMELAB_2222 },
      { quantity: 'currentGain', minimum: 50, at: { collectorA: 1e-3 }, source: SEMELAB_2222 },
      {
        quantity: 'currentGain',
        minimum: 100,
        maximum: 300,
        at: { collectorA: 0.15 },
        source: SEMELAB_2222,
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
      { quantity: 'currentGain', minimum: 60, at: { collectorA: 0.1e-3 }, source: COMCHIP_3906 },
      { quantity: 'currentGain', minimum: 80, at: { collectorA: 1e-3 }, source: COMCHIP_3906 },
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
    data: {
      saturationCurrentA: 15e-6,
      forwardBeta: 31,
      reverseBeta: 14.66,
      earlyV: 19.7,
      energyGapEv: 0.67,
      collectorLeak: { saturationA: 7.546e-6, emissionCoefficient: 1.364 },
    },
    dataSource: `reverse gain, Early voltage and leak (7.546 uA, n 1.364) of the ${PIECE_AC128}. Gain and saturation current are those that give its base current at 0.35 to 1 mA, where it loses much to recombination`,
    limits: [
      { quantity: 'baseEmitterV', typical: 0.106, at: { collectorA: 1e-3 }, source: PIECE_AC128 },
      { quantity: 'collectorLeakageA', typical: 8.96e-6, at: {}, source: PIECE_AC128 },
      {
        quantity: 'collectorLeakageA',
        maximum: 10e-6,
        at: { reverseV: 10 },
        source: 'NTE158, the same ratings',
      },
    ],
    knownMisses: [],
  },
  {
    type: 'OC44',
    kind: 'pnp',
    family: 'germanium PNP',
    title: 'germanium PNP, low leakage',
    status: 'obsolete',
    data: {
      saturationCurrentA: 1.423e-6,
      forwardBeta: 153,
      reverseBeta: 20.27,
      earlyV: 8.17,
      energyGapEv: 0.67,
      collectorLeak: { saturationA: 0.2135e-6, emissionCoefficient: 1.258 },
    },
    dataSource: `reverse gain, Early voltage and leak (0.2135 uA, n 1.258) of the ${PIECE_AC128.replace('one measured piece', 'one measured OC44')}; gain at 0.35 mA`,
    limits: [
      { quantity: 'currentGain', typical: 174, at: { collectorA: USE_A }, source: PIECE_AC128 },
      { quantity: 'collectorLeakageA', typical: 0.284e-6, at: {}, source: PIECE_AC128 },
    ],
    knownMisses: [],
  },
  {
    type: '2N404',
    kind: 'pnp',
    family: 'germanium PNP',
    title: 'germanium PNP for switching, low leakage',
    status: 'obsolete',
    data: {
      saturationCurrentA: 2e-6,
      forwardBeta: 80,
      reverseBeta: 15,
      earlyV: 15,
      energyGapEv: 0.67,
      collectorLeak: { saturationA: 1e-6, emissionCoefficient: 1.3 },
    },
    dataSource: `gain and leak: estimate within the limits; the rest ${AS_OC44}`,
    limits: [
      { quantity: 'currentGain', minimum: 30, at: { collectorA: 12e-3 }, source: RCA_404 },
      { quantity: 'collectorLeakageA', maximum: 5e-6, at: { reverseV: 12 }, source: RCA_404 },
    ],
    knownMisses: [],
  },
  {
    type: '2N1305',
    kind: 'pnp',
    family: 'germanium PNP',
    title: 'germanium PNP for switching',
    status: 'obsolete',
    data: {
      saturationCurrentA: 3e-6,
      forwardBeta: 90,
      reverseBeta: 15,
      earlyV: 15,
      energyGapEv: 0.67,
      collectorLeak: { saturationA: 2e-6, emissionCoefficient: 1.3 },
    },
    dataSource: `gain: geometric mean of its bounds; leak: estimate within its limit; the rest ${AS_OC44}`,
    limits: [
      { quantity: 'currentGain', minimum: 40, maximum: 200, at: { collectorA: 10e-3 }, source: TI_1305 },
      { quantity: 'collectorLeakageA', maximum: 6e-6, at: { reverseV: 25 }, source: TI_1305 },
    ],
    knownMisses: [],
  },
  {
    type: 'AC125',
    kind: 'pnp',
    family: 'germanium PNP',
    title: 'germanium PNP for audio',
    status: 'obsolete',
    data: {
      saturationCurrentA: 5e-6,
      forwardBeta: 110,
      reverseBeta: 15,
      earlyV: 15,
      energyGapEv: 0.67,
      collectorLeak: { saturationA: 4e-6, emissionCoefficient: 1.3 },
    },
    dataSource: `gain: typical 125 at 2 mA (${PHILIPS_AC}), less at 0.35 mA: estimate; leak: estimate within its limit; the rest ${AS_OC44}`,
    limits: [
      { quantity: 'currentGain', minimum: 80, maximum: 170, at: { collectorA: 2e-3 }, source: PHILIPS_AC },
      { quantity: 'collectorLeakageA', maximum: 10e-6, at: { reverseV: 10 }, source: PHILIPS_AC },
    ],
    knownMisses: [],
  },
  {
    type: 'AC126',
    kind: 'pnp',
    family: 'germanium PNP',
    title: 'germanium PNP for audio, high gain',
    status: 'obsolete',
    data: {
      saturationCurrentA: 5e-6,
      forwardBeta: 155,
      reverseBeta: 15,
      earlyV: 15,
      energyGapEv: 0.67,
      collectorLeak: { saturationA: 4e-6, emissionCoefficient: 1.3 },
    },
    dataSource: `gain: typical 180 at 2 mA (${PHILIPS_AC}), less at 0.35 mA: estimate; leak: estimate within its limit; the rest ${AS_OC44}`,
    limits: [
      { quantity: 'currentGain', minimum: 130, maximum: 300, at: { collectorA: 2e-3 }, source: PHILIPS_AC },
      { quantity: 'collectorLeakageA', maximum: 10e-6, at: { reverseV: 10 }, source: PHILIPS_AC },
    ],
    knownMisses: [],
  },
  {
    type: '2N5089',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'very-high-gain low-noise silicon NPN',
    status: 'current',
    data: { saturationCurrentA: 5.911e-15, forwardBeta: 740, reverseBeta: 1.3, earlyV: 62.37 },
    dataSource: `published model card 2N5088, whose sheet it shares, but for the current gain: geometric mean of 400 to 1200 at 0.1 mA (${ONSEMI_5088}), and a fifth of the way that the 2N5088 goes to 1 mA; reverse gain from memory`,
    limits: [
      {
        quantity: 'currentGain',
        minimum: 400,
        maximum: 1200,
        at: { collectorA: 0.1e-3 },
        source: ONSEMI_5088,
      },
      { quantity: 'currentGain', minimum: 450, at: { collectorA: 1e-3 }, source: ONSEMI_5088 },
    ],
    knownMisses: [],
  },
  {
    type: '2SC945',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'general-purpose silicon NPN, rank Q',
    status: 'often faked',
    data: { saturationCurrentA: 20e-15, forwardBeta: 215, reverseBeta: 3, earlyV: 99 },
    dataSource: `current gain: ${PIECES_945}, about 1 mA; Early voltage: one of them; saturation current and reverse gain from memory`,
    limits: [
      { quantity: 'currentGain', minimum: 204, maximum: 234, at: { collectorA: 1e-3 }, source: PIECES_945 },
      { quantity: 'currentGain', minimum: 130, maximum: 400, at: { collectorA: 1e-3 }, source: RECTRON_945 },
      { quantity: 'currentGain', minimum: 40, at: { collectorA: 0.1e-3 }, source: RECTRON_945 },
    ],
    knownMisses: [],
  },
  {
    type: 'BC550C',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'high-gain low-noise silicon NPN, 45 V',
    status: 'current',
    data: { saturationCurrentA: 7.049e-15, forwardBeta: 460, reverseBeta: 2.9, earlyV: 23.89 },
    dataSource: `that of the BC549C: one sheet for both (${MOTOROLA_549})`,
    limits: [
      {
        quantity: 'currentGain',
        minimum: 420,
        typical: 500,
        maximum: 800,
        at: { collectorA: 2e-3 },
        source: MOTOROLA_549,
      },
      {
        quantity: 'baseEmitterV',
        minimum: 0.55,
        typical: 0.62,
        maximum: 0.7,
        at: { collectorA: 2e-3 },
        source: MOTOROLA_549,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'MPSA13',
    kind: 'npn',
    family: 'silicon NPN',
    title: 'silicon NPN Darlington: two transistors in one case',
    status: 'current',
    data: { saturationCurrentA: 1e-14, forwardBeta: 100, reverseBeta: 4, earlyV: 100 },
    driver: { saturationCurrentA: 1e-14, forwardBeta: 100, reverseBeta: 4, earlyV: 100 },
    dataSource:
      'two transistors with the saturation current of the 2N3904 card and a gain of 100 each, an estimate: no sheet gives a gain below 10 mA; the resistor that some makers have inside is left out',
    limits: [
      {
        quantity: 'currentGain',
        minimum: 5000,
        at: { collectorA: 10e-3 },
        source: 'MCC MPSA13; Rectron MPSA13',
      },
      {
        quantity: 'currentGain',
        minimum: 10000,
        at: { collectorA: 100e-3 },
        source: 'MCC MPSA13; Rectron MPSA13',
      },
      { quantity: 'baseEmitterV', maximum: 2, at: { collectorA: 100e-3 }, source: 'MCC MPSA13' },
    ],
    knownMisses: [],
  },
];
