import type { DiodeData } from '../devices/diode.ts';
import type { DatasheetPoint, DiodeEntry, PartStatus } from './catalogue-entry.ts';
import { estimatedCurve, LEAK_TEST_V, leakPoint, typicalCurve } from './curve-points.ts';
import { card, forwardPoint } from './model-card.ts';

const NXP_FAIRCHILD = 'NXP 1N4148/1N4448, 2004-08-10; Fairchild 1N/FDLL914 to 4448, 2002, rev B';
const SHEET_1S1588 = 'maicommon.ciao.jp, which quotes the 1S1588 sheet';
const MA150_SHEET = 'MA150 class, from memory';

/*
 * Small switching diodes are one class with one curve: the published cards of 1N4148, 1N914 and 1N914B differ by 48 mV
 * at 1 mA, two measured pieces by 23 mV, and no sheet tells the types apart at pedal currents. So all have the NXP card,
 * which lies within 15 mV of both pieces up to 1 mA, and the tool finds no difference that only cards make.
 */
const SWITCHING_CARD = card(4.352e-9, 1.906, 0.6458, 0.7048e-12);
const CLASS_SOURCE = 'NXP model card 1N4148/1N4448: one curve for the class, between two measured pieces';
const PIECE_4148 = 'one measured piece (dvhx, measured diode curves, 1N4148)';
const PIECE_914B = 'one measured piece (dvhx, measured diode curves, 1N914B)';

const SILICON_SWITCHING: readonly DatasheetPoint[] = [
  forwardPoint(10e-3, { maximum: 1 }, NXP_FAIRCHILD),
  leakPoint(20, { maximum: 25e-9 }, NXP_FAIRCHILD),
  leakPoint(LEAK_TEST_V, { maximum: 25e-9 }, NXP_FAIRCHILD),
  { quantity: 'reverseVoltageV', maximum: 100, at: {}, source: NXP_FAIRCHILD },
  { quantity: 'recoverySeconds', maximum: 4e-9, at: {}, source: NXP_FAIRCHILD },
  { quantity: 'capacitanceF', maximum: 4e-12, at: { reverseV: 0 }, source: NXP_FAIRCHILD },
];
/** For types of which no piece was measured. */
const CLASS_CURVE: readonly DatasheetPoint[] = typicalCurve(
  [0.3875, 0.4945, 0.6065, 0.7445],
  'mean of two measured pieces of the class, 1N4148 and 1N914B (dvhx, measured diode curves)',
);
/** 1N4448 and 1N914B. */
const TIGHT: readonly DatasheetPoint[] = [
  forwardPoint(5e-3, { minimum: 0.62, maximum: 0.72 }, NXP_FAIRCHILD),
  forwardPoint(0.1, { maximum: 1 }, NXP_FAIRCHILD),
];

const DIODES_4001 = 'Diodes DS28002 rev E-2';
const CARD_BAV21 = 'published model card BAV21 (NXP)';

/** One sheet for 1N4001 to 1N4007 and one curve: their published cards differ by 18 mV, within the spread of pieces. */
const RECTIFIER_CARD: DiodeData = {
  ...card(14.11e-9, 1.984, 0.03389, 25.89e-12),
  charge: { builtInV: 0.3245, transitSeconds: 5.7e-6 },
};
const RECTIFIER_CHARGE = 'built-in voltage 0.3245 V and transit time 5.7 us of the card, from memory';
const RECTIFIER: readonly DatasheetPoint[] = [
  ...estimatedCurve([0.337, 0.455, 0.573, 0.692], 0.03),
  forwardPoint(1, { maximum: 1 }, DIODES_4001),
  forwardPoint(1, { maximum: 1.1 }, 'Vishay 1N4001 to 1N4007'),
  { quantity: 'reverseCurrentA', maximum: 5e-6, at: {}, source: DIODES_4001 },
  leakPoint(LEAK_TEST_V, { maximum: 5e-6 }, DIODES_4001),
];

interface Silicon {
  readonly type: string;
  readonly title: string;
  readonly status?: PartStatus;
  readonly data?: DiodeData;
  readonly source?: string;
  readonly limits: readonly DatasheetPoint[];
}

/** A small switching diode, unless it says otherwise. */
function silicon({ type, title, status, data, source, limits }: Silicon): DiodeEntry {
  return {
    type,
    kind: 'diode',
    family: 'silicon',
    title,
    status: status ?? 'current',
    data: data ?? SWITCHING_CARD,
    dataSource: source ?? CLASS_SOURCE,
    limits,
    knownMisses: [],
  };
}

const SWITCHING = 'silicon switching diode';

export const SILICON_DIODES: readonly DiodeEntry[] = [
  silicon({
    type: '1N4148',
    title: SWITCHING,
    limits: [
      ...typicalCurve([0.387, 0.501, 0.618, 0.758], PIECE_4148),
      forwardPoint(5e-3, { typical: 0.711 }, PIECE_4148),
      ...SILICON_SWITCHING,
    ],
  }),
  silicon({ type: '1N914', title: SWITCHING, limits: [...CLASS_CURVE, ...SILICON_SWITCHING] }),
  silicon({
    type: '1N914B',
    title: `${SWITCHING}, as 1N914 with a tighter voltage`,
    limits: [...typicalCurve([0.388, 0.488, 0.595, 0.731], PIECE_914B), ...TIGHT, ...SILICON_SWITCHING],
  }),
  silicon({
    type: '1N4001',
    title: 'silicon rectifier, 1 A, 50 V',
    data: RECTIFIER_CARD,
    source: `published model card 1N4001; ${RECTIFIER_CHARGE}`,
    limits: RECTIFIER,
  }),
  silicon({
    type: '1N4007',
    title: 'silicon rectifier, 1 A, 1000 V',
    data: { ...RECTIFIER_CARD, zeroBiasCapacitanceF: 20e-12 },
    source: `published model card 1N4001: one curve for 1N4001 to 1N4007; capacitance 20 pF from memory; ${RECTIFIER_CHARGE}`,
    limits: RECTIFIER,
  }),
  silicon({
    type: '1N4448',
    title: `${SWITCHING}, as 1N4148 with a tighter voltage`,
    limits: [...CLASS_CURVE, ...TIGHT, ...SILICON_SWITCHING],
  }),
  silicon({
    type: 'MA150',
    title: 'small-signal silicon diode, low capacitance',
    status: 'obsolete',
    limits: [
      ...CLASS_CURVE,
      forwardPoint(0.1, { maximum: 1.2 }, MA150_SHEET),
      leakPoint(LEAK_TEST_V, { maximum: 25e-9 }, 'estimate'),
      { quantity: 'capacitanceF', maximum: 2e-12, at: { reverseV: 0 }, source: MA150_SHEET },
    ],
  }),
  silicon({
    type: '1S1588',
    title: SWITCHING,
    status: 'obsolete',
    limits: [
      ...CLASS_CURVE,
      forwardPoint(0.1, { maximum: 1.3 }, SHEET_1S1588),
      leakPoint(30, { maximum: 0.5e-6 }, SHEET_1S1588),
      leakPoint(LEAK_TEST_V, { maximum: 0.5e-6 }, SHEET_1S1588),
      { quantity: 'capacitanceF', maximum: 3e-12, at: { reverseV: 0 }, source: SHEET_1S1588 },
      { quantity: 'recoverySeconds', maximum: 4e-9, at: {}, source: SHEET_1S1588 },
    ],
  }),
  silicon({
    type: '1S2473',
    title: SWITCHING,
    status: 'obsolete',
    limits: [...CLASS_CURVE, leakPoint(LEAK_TEST_V, { maximum: 0.5e-6 }, 'estimate')],
  }),
  silicon({
    type: '1S2076A',
    title: SWITCHING,
    status: 'obsolete',
    limits: [...CLASS_CURVE, leakPoint(LEAK_TEST_V, { maximum: 0.1e-6 }, 'estimate')],
  }),
  silicon({
    type: 'BAW62',
    title: SWITCHING,
    status: 'obsolete',
    limits: [
      ...CLASS_CURVE,
      forwardPoint(0.1, { maximum: 1 }, 'BAW62 sheet, from memory'),
      leakPoint(LEAK_TEST_V, { maximum: 25e-9 }, 'BAW62 sheet, from memory'),
      { quantity: 'reverseVoltageV', maximum: 75, at: {}, source: 'NXP BAW62, 1996 Sep 17' },
      { quantity: 'recoverySeconds', maximum: 4e-9, at: {}, source: 'NXP BAW62, 1996 Sep 17' },
    ],
  }),
  silicon({
    type: 'BAV21',
    title: 'small silicon diode for high voltage, 200 V',
    data: card(21.91e-9, 2.233, 1.5, 1.03e-12),
    source: `${CARD_BAV21}; 1.5 ohm stand for its high injection up to 10 mA`,
    limits: [
      ...typicalCurve([undefined, 0.487, 0.62, undefined], CARD_BAV21),
      ...estimatedCurve([0.355, undefined, undefined, 0.767], 0.03),
      { quantity: 'reverseVoltageV', maximum: 200, at: {}, source: 'Philips BAV18 to BAV21, 1996 Apr 19' },
      { quantity: 'recoverySeconds', maximum: 50e-9, at: {}, source: 'Philips BAV18 to BAV21, 1996 Apr 19' },
      leakPoint(LEAK_TEST_V, { maximum: 100e-9 }, 'BAV21 sheet, from memory'),
    ],
  }),
  silicon({
    type: '1N456A',
    title: 'small silicon diode with low leakage',
    data: { ...SWITCHING_CARD, zeroBiasCapacitanceF: 6e-12 },
    source: 'estimate: the curve of the switching diodes; capacitance from memory',
    limits: [
      ...CLASS_CURVE,
      forwardPoint(0.1, { maximum: 1 }, '1N456A sheet, from memory'),
      leakPoint(25, { maximum: 25e-9 }, '1N456A sheet, from memory'),
      leakPoint(LEAK_TEST_V, { maximum: 25e-9 }, '1N456A sheet, from memory'),
    ],
  }),
];
