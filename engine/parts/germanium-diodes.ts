import type { DatasheetPoint, DiodeEntry, PartStatus } from './catalogue-entry.ts';
import { estimatedCurve, estimatedLeak, leakPoint, typicalCurve } from './curve-points.ts';
import { forwardPoint, germaniumCard } from './model-card.ts';

/*
 * In a feedback loop these carry 10 to 65 uA, and clip from there on: a published card whose saturation current is
 * twenty microamperes shunts the loop with a few kiloohms at rest, where a measured piece has half a megohm. So each
 * is fitted to forward voltages from 10 uA up and to one reverse current, as a junction with a leak beside it
 * (tests/reference/fit_diodes.py). Only what a document or a measured piece says has a source; the rest is an
 * estimate with a range, by class: a point contact has n near 1 and 20 to 90 ohm, a gold bond 3 to 10 ohm.
 */

const POINT_CONTACT = 'germanium point-contact diode';
const GOLD_BONDED = 'gold-bonded germanium diode';
/** Estimated spread of the forward voltage from piece to piece, V: two published 1N34A cards differ by 40 mV at 1 mA. */
const HALF_V = 0.04;

const PIECE_34A = 'one measured piece, DO-35 (dvhx, measured diode curves, 1N34A_DO35)';
const JEDEC_34A = 'JEDEC-era 1N34A sheet, from memory';
const SECOND_CARD = 'second published model card 1N34A';
const OA81_SHEET = "OA81 sheet as quoted by Richi's Lab";
const OA91_SHEET = 'OA91 sheet, from memory';
const AA112_CARDS = 'two published model cards AA112';
const D18_CARD = 'published model card D18';
const JEDEC_270 = 'JEDEC-era 1N270 sheet, from memory';
const MAKER = 'Contemporary Maker, "Germanium Diode - Testing and Analysis"';
const D20_TABLE = 'elektrouzel.ru, D20';
const NTE_SHEET = 'NTE109 sheet';

/** What most of the types share: nothing but the class is known. */
const BY_CLASS = 'fit to an estimate from memory of its class; no sheet, card or measured piece at hand';

interface Germanium {
  readonly type: string;
  readonly title?: string;
  readonly status?: PartStatus;
  /** I_S A, n, R_S Ω, zero-bias capacitance F, leak S. */
  readonly card: Parameters<typeof germaniumCard>;
  readonly source?: string;
  readonly limits: readonly DatasheetPoint[];
}

function germanium({ type, title, status, card, source, limits }: Germanium): DiodeEntry {
  return {
    type,
    kind: 'diode',
    family: 'germanium',
    title: title ?? POINT_CONTACT,
    status: status ?? 'obsolete',
    data: germaniumCard(...card),
    dataSource: source ?? BY_CLASS,
    limits,
    knownMisses: [],
  };
}

type Four = readonly [number, number, number, number];

/** A type of which only a class is known: voltages at 10 uA to 10 mA and the reverse current at 1.5 V are estimates. */
const byClass = (volts: Four, leakA: number): readonly DatasheetPoint[] => [
  ...estimatedCurve(volts, HALF_V),
  estimatedLeak(leakA),
];

const PUBLISHED_AND_MEASURED: readonly DiodeEntry[] = [
  germanium({
    type: '1N34A',
    status: 'often faked',
    card: [25.7e-9, 1.0026, 15.8, 0.8e-12, 650e-9],
    source: `fit to ${PIECE_34A}; the leak is an estimate; capacitance of the published model card`,
    limits: [
      ...typicalCurve([0.155, 0.215, 0.291, 0.492], PIECE_34A),
      forwardPoint(5e-3, { typical: 0.394 }, PIECE_34A),
      forwardPoint(20e-3, { typical: 0.645 }, PIECE_34A),
      forwardPoint(5e-3, { maximum: 1 }, JEDEC_34A),
      estimatedLeak(1e-6),
      leakPoint(10, { maximum: 30e-6 }, JEDEC_34A),
    ],
  }),
  germanium({
    type: 'AA112',
    card: [445.4e-9, 1.3871, 61.3, 1.2e-12, 369e-9],
    source: `fit between ${AA112_CARDS}; at 10 uA and backwards an estimate`,
    limits: [
      forwardPoint(0.1e-3, { minimum: 0.169, maximum: 0.207 }, AA112_CARDS),
      forwardPoint(1e-3, { minimum: 0.324, maximum: 0.367 }, AA112_CARDS),
      forwardPoint(10e-3, { minimum: 0.817, maximum: 1.127 }, AA112_CARDS),
      ...estimatedCurve([0.12, undefined, undefined, undefined], HALF_V),
      estimatedLeak(1e-6),
    ],
  }),
  germanium({
    type: 'OA91',
    card: [441.6e-9, 1.3551, 69.9, 1.326e-12, 505e-9],
    source: `fit to typical 1.05 V at 10 mA (${OA91_SHEET}) and estimates below; the published card is not used, since it would leak 19 uA at any small voltage`,
    limits: [
      forwardPoint(0.1e-3, { minimum: 0.1, maximum: 0.25 }, OA91_SHEET),
      forwardPoint(10e-3, { minimum: 0.65, typical: 1.05, maximum: 1.9 }, OA91_SHEET),
      ...estimatedCurve([0.12, undefined, 0.35, undefined], HALF_V),
      estimatedLeak(1.2e-6),
    ],
  }),
  germanium({
    type: '1N34A second card',
    title: `${POINT_CONTACT}, a published card`,
    status: 'often faked',
    card: [0.2e-6, 1.3, 7, 0.5e-12],
    source: SECOND_CARD,
    limits: [
      ...estimatedCurve([0.14, 0.205, 0.285, 0.43], HALF_V),
      forwardPoint(5e-3, { maximum: 1 }, JEDEC_34A),
      leakPoint(1.5, { minimum: 0.1e-6, typical: 0.3e-6, maximum: 3e-6 }, 'estimate'),
      leakPoint(10, { maximum: 30e-6 }, JEDEC_34A),
    ],
  }),
  germanium({
    type: 'OA81',
    card: [76.47e-9, 1.0565, 69.9, 1e-12, 139e-9],
    source: `fit to ${OA81_SHEET}; at 10 uA and 1 mA an estimate; its leak at 75 °C taken to 25 °C by half for each 10 K`,
    limits: [
      forwardPoint(0.1e-3, { typical: 0.2 }, OA81_SHEET),
      forwardPoint(30e-3, { typical: 2.45, maximum: 3.3 }, OA81_SHEET),
      ...estimatedCurve([0.135, undefined, 0.33, 1.03], HALF_V),
      leakPoint(1.5, { minimum: 0.07e-6, typical: 0.28e-6, maximum: 1e-6 }, 'estimate'),
      leakPoint(100, { typical: 14e-6 }, `${OA81_SHEET}: 450 uA at 75 °C`),
    ],
  }),
  germanium({
    type: 'OA95',
    card: [1.163e-6, 1.3331, 63.8, 1.326e-12],
    source: "fit to 0.125 V at 50 uA, from a meter's circuit diagram (suessbrich.info), and estimates",
    limits: [
      forwardPoint(50e-6, { typical: 0.125 }, "a meter's circuit diagram (suessbrich.info)"),
      ...estimatedCurve([0.085, 0.148, 0.3, 0.95], HALF_V),
      estimatedLeak(1.1e-6),
    ],
  }),
  germanium({
    type: '1N695',
    title: GOLD_BONDED,
    card: [164.2e-9, 1.1095, 5.48, 1e-12, 891e-9],
    source: `fit to one measured piece, 0.252 V at 0.8 mA (${MAKER}), and estimates`,
    limits: [
      forwardPoint(0.8e-3, { typical: 0.252 }, MAKER),
      forwardPoint(0.1, { maximum: 1 }, `sheet as quoted by ${MAKER}`),
      ...estimatedCurve([0.12, 0.18, 0.258, 0.38], HALF_V),
      estimatedLeak(1.5e-6),
    ],
  }),
  germanium({
    type: 'D18',
    card: [647.8e-9, 1.4778, 21.2, 0.67e-12, 235e-9],
    source: `fit to within 5 % of ${D18_CARD} from 0.1 mA on, with an estimate at 10 uA; the card's 4 uA of saturation current is not used`,
    limits: [
      ...typicalCurve([undefined, 0.183, 0.324, 0.605], D18_CARD),
      ...estimatedCurve([0.115, undefined, undefined, undefined], HALF_V),
      estimatedLeak(1e-6),
    ],
  }),
  germanium({
    type: 'D20',
    card: [513.6e-9, 1.4584, 27.8, 0.5e-12, 658e-9],
    source: `${BY_CLASS}, but for the limits of ${D20_TABLE}`,
    limits: [
      ...byClass([0.12, 0.19, 0.32, 0.65], 1.5e-6),
      forwardPoint(20e-3, { maximum: 1 }, D20_TABLE),
      leakPoint(10, { maximum: 100e-6 }, D20_TABLE),
      { quantity: 'capacitanceF', maximum: 0.5e-12, at: { reverseV: 3 }, source: D20_TABLE },
    ],
  }),
  germanium({
    type: 'NTE109',
    title: GOLD_BONDED,
    status: 'current',
    card: [240.8e-9, 1.0957, 2.72, 1e-12, 840e-9],
    source: `${BY_CLASS}, but for the limits of ${NTE_SHEET}`,
    limits: [
      ...byClass([0.11, 0.165, 0.24, 0.33], 1.5e-6),
      forwardPoint(0.2, { maximum: 1 }, NTE_SHEET),
      leakPoint(50, { maximum: 100e-6 }, NTE_SHEET),
    ],
  }),
];

const BY_THEIR_CLASS: readonly DiodeEntry[] = [
  germanium({
    type: '1N270',
    title: GOLD_BONDED,
    status: 'current',
    card: [386.1e-9, 1.122, 2.74, 0.8e-12, 1.08e-6],
    limits: [
      ...byClass([0.1, 0.155, 0.23, 0.325], 2e-6),
      forwardPoint(0.2, { maximum: 1 }, JEDEC_270),
      leakPoint(50, { maximum: 100e-6 }, JEDEC_270),
    ],
  }),
  germanium({
    type: '1N60',
    title: `${POINT_CONTACT}; what is sold under this number is often a Schottky diode, see 1N60P`,
    status: 'often faked',
    card: [139e-9, 1.0559, 54.5, 1e-12, 908e-9],
    limits: [
      ...byClass([0.12, 0.18, 0.3, 0.85], 1.5e-6),
      forwardPoint(4e-3, { maximum: 1 }, '1N60 sheet, from memory'),
      leakPoint(10, { maximum: 40e-6 }, '1N60 sheet, from memory'),
    ],
  }),
  germanium({
    type: 'D9E',
    card: [316.2e-9, 1.2605, 18.6, 1e-12, 1.12e-6],
    limits: [
      ...byClass([0.12, 0.18, 0.28, 0.53], 2e-6),
      forwardPoint(30e-3, { maximum: 1 }, 'D9 sheet, from memory'),
    ],
  }),
  germanium({
    type: 'D9B',
    card: [314.1e-9, 1.2647, 5.77, 1e-12, 1.12e-6],
    limits: [
      ...byClass([0.12, 0.18, 0.27, 0.4], 2e-6),
      forwardPoint(90e-3, { maximum: 1 }, 'D9 sheet, from memory'),
    ],
  }),
  germanium({
    type: 'D9K',
    card: [234.9e-9, 1.1921, 9.1, 1e-12, 1.18e-6],
    limits: [
      ...byClass([0.12, 0.18, 0.27, 0.42], 2e-6),
      forwardPoint(60e-3, { maximum: 1 }, 'D9 sheet, from memory'),
    ],
  }),
  germanium({
    type: 'OA47',
    title: GOLD_BONDED,
    card: [179.8e-9, 1.0473, 5.41, 2e-12, 880e-9],
    limits: byClass([0.11, 0.17, 0.24, 0.35], 1.5e-6),
  }),
  germanium({
    type: 'OA79',
    card: [482.2e-9, 1.41, 93.8, 1e-12, 1.01e-6],
    limits: byClass([0.12, 0.19, 0.38, 1.3], 2e-6),
  }),
  germanium({
    type: 'OA85',
    card: [433.4e-9, 1.3024, 61.2, 1e-12, 244e-9],
    limits: byClass([0.115, 0.175, 0.33, 0.95], 0.8e-6),
  }),
  germanium({
    type: 'OA90',
    card: [431.7e-9, 1.3525, 59.9, 1e-12, 1.04e-6],
    source: `${BY_CLASS}; two published cards are not used, since they would leak 54 and 120 uA at any small voltage`,
    limits: byClass([0.12, 0.18, 0.34, 0.95], 2e-6),
  }),
  germanium({
    type: 'AA118',
    card: [546.1e-9, 1.4634, 67.9, 1e-12, 102e-9],
    limits: byClass([0.12, 0.19, 0.36, 1.05], 0.7e-6),
  }),
  germanium({
    type: 'AA119',
    card: [633.1e-9, 1.515, 82.2, 1e-12, 578e-9],
    limits: byClass([0.12, 0.19, 0.38, 1.2], 1.5e-6),
  }),
  germanium({
    type: 'AA143',
    title: GOLD_BONDED,
    card: [149.1e-9, 1.0849, 10.8, 1e-12, 567e-9],
    limits: byClass([0.12, 0.18, 0.26, 0.42], 1e-6),
  }),
  germanium({
    type: 'AAZ15',
    title: GOLD_BONDED,
    card: [187.7e-9, 1.0569, 4.26, 2e-12, 875e-9],
    limits: byClass([0.11, 0.17, 0.24, 0.34], 1.5e-6),
  }),
  germanium({
    type: '1N100',
    title: GOLD_BONDED,
    card: [112.5e-9, 1.0273, 7.73, 0.8e-12, 592e-9],
    limits: [
      ...byClass([0.12, 0.18, 0.25, 0.38], 1e-6),
      forwardPoint(20e-3, { maximum: 1 }, '1N100 sheet, from memory'),
    ],
  }),
  germanium({
    type: '1N191',
    card: [152.1e-9, 1.1584, 41.8, 0.8e-12, 1.23e-6],
    limits: [
      ...byClass([0.13, 0.19, 0.31, 0.75], 2e-6),
      forwardPoint(5e-3, { maximum: 1 }, '1N191 sheet, from memory'),
    ],
  }),
  germanium({
    type: '1N277',
    title: GOLD_BONDED,
    card: [165e-9, 1.0711, 5.61, 0.8e-12, 890e-9],
    limits: [
      ...byClass([0.115, 0.175, 0.25, 0.36], 1.5e-6),
      forwardPoint(0.1, { maximum: 1 }, '1N277 sheet, from memory'),
    ],
  }),
  germanium({
    type: '1N295',
    card: [153.8e-9, 1.1587, 51.8, 0.8e-12, 1.23e-6],
    limits: byClass([0.13, 0.19, 0.32, 0.85], 2e-6),
  }),
  germanium({
    type: '1S188',
    card: [139e-9, 1.0559, 54.5, 1e-12, 908e-9],
    limits: byClass([0.12, 0.18, 0.3, 0.85], 1.5e-6),
  }),
  germanium({
    type: 'GD507A',
    title: `${GOLD_BONDED} for pulses`,
    card: [117.9e-9, 1.0369, 6.57, 0.8e-12, 588e-9],
    limits: [
      ...byClass([0.12, 0.18, 0.25, 0.37], 1e-6),
      forwardPoint(5e-3, { maximum: 0.5 }, 'GD507A sheet, from memory'),
    ],
  }),
];

/** Types with a sheet, card or measured piece first, then those of which only the class is known. */
export const GERMANIUM_DIODES: readonly DiodeEntry[] = [...PUBLISHED_AND_MEASURED, ...BY_THEIR_CLASS];
