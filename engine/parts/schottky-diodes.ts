import type { DatasheetPoint, DiodeEntry, PartStatus } from './catalogue-entry.ts';
import { estimatedCurve, leakPoint, typicalCurve } from './curve-points.ts';
import { forwardPoint, schottkyCard } from './model-card.ts';

/*
 * Sheets of small Schottky diodes give the most that a piece may drop, and few give a typical figure. Where there is
 * none, the typical curve is an estimate a little below those limits, with a range; the data is fitted to it
 * (tests/reference/fit_diodes.py). Backwards they have what the saturation current of the forward fit gives.
 */

const BAR28 = 'ST BAR28 (same class as 1N5711), Nov 1994';
const BAT46 = 'ST BAT46 series, July 2006 rev 4, tables 3 and 4';
const BAT48 = 'ST BAT47/BAT48, Aug 1999 Ed 1A';
const BAT42 = 'ST BAT42/BAT43, Oct 2001 Ed 1C';
const BAT41 = 'ST Doc ID 12633 rev 2';
const BAT85 = 'Philips BAT85, 1996 Mar 20';
const SD101 = 'Vishay 85629 rev 1.6';
const IRF_1N5817 = 'IRF PD-20646 rev B';
const SHEET_A06 = '1N5817 to 1N5819 sheet, version A06';
const PIECES_5819 = 'three measured pieces of 1N5819 (dvhx, measured diode curves)';
const CARD_5817 = 'onsemi model cards 1N5817 to 1N5819';
const PIECE_60P = 'one measured piece (dvhx, measured diode curves, 1N60P)';
const SECOND_60P = 'a second measured piece (dvhx, measured diode curves, 1N60P_short)';
const SHEET_1N60 = 'sheet "1N60 Small Signal Schottky Diode, 40 V"';
const PIECE_BAT43 = 'one measured piece, perhaps not a BAT43 (dvhx, measured diode curves)';
const FROM_MEMORY = 'sheet, from memory';

/** Estimated spread of the forward voltage from piece to piece, V: ST allows the BAT41 50 mV above typical at 1 mA. */
const HALF_V = 0.04;

interface Schottky {
  readonly type: string;
  readonly title: string;
  readonly status?: PartStatus;
  /** I_S A, n, R_S Ω, zero-bias capacitance F, leak S. */
  readonly card: Parameters<typeof schottkyCard>;
  readonly source: string;
  readonly limits: readonly DatasheetPoint[];
}

function schottky({ type, title, status, card, source, limits }: Schottky): DiodeEntry {
  return {
    type,
    kind: 'diode',
    family: 'Schottky',
    title,
    status: status ?? 'current',
    data: schottkyCard(...card),
    dataSource: source,
    limits,
    knownMisses: [],
  };
}

const SMALL = 'small-signal Schottky diode';
const RECTIFIER_SOURCE = `fit to ${PIECES_5819}, and to 0.42 V typical at 1 A and 12 uA typical at 20 V (${IRF_1N5817}); the cards of the three types have one forward curve too; capacitance: ${CARD_5817}`;
const ESTIMATED = 'fit to an estimated typical curve below the limits of the sheet';

/** One forward curve for 1N5817 to 1N5819, as in their model cards; what is allowed differs. */
const rectifier = (mostAt1A: number, mostAt3A: number): readonly DatasheetPoint[] => [
  ...typicalCurve([undefined, 0.136, 0.198, 0.26], PIECES_5819),
  ...estimatedCurve([0.076, undefined, undefined, undefined], HALF_V),
  forwardPoint(1, { typical: 0.42, maximum: mostAt1A }, `${SHEET_A06}; typical ${IRF_1N5817}`),
  forwardPoint(3, { maximum: mostAt3A }, SHEET_A06),
  leakPoint(20, { typical: 12e-6, maximum: 1e-3 }, `${SHEET_A06}; typical ${IRF_1N5817}`),
  leakPoint(1.5, { minimum: 0.5e-6, typical: 1.5e-6, maximum: 20e-6 }, 'estimate'),
];

const sd101 = (volts: readonly [number, number, number, number], mostAt1mA: number) => [
  ...estimatedCurve(volts, HALF_V),
  forwardPoint(1e-3, { maximum: mostAt1mA }, SD101),
  leakPoint(1.5, { maximum: 0.2e-6 }, `SD101 ${FROM_MEMORY}`),
];

export const SCHOTTKY_DIODES: readonly DiodeEntry[] = [
  schottky({
    type: '1N5711',
    title: `${SMALL}, 70 V`,
    card: [2.355e-9, 1.084, 25, 1.6e-12],
    source: `${ESTIMATED} of its class (${BAR28}); the published card is not used, since it drops 20 mV more than that sheet allows`,
    limits: [
      ...estimatedCurve([0.235, 0.3, 0.389, 0.678], HALF_V),
      forwardPoint(1e-3, { maximum: 0.41 }, BAR28),
      forwardPoint(15e-3, { maximum: 1 }, BAR28),
      { quantity: 'capacitanceF', maximum: 2e-12, at: { reverseV: 0 }, source: BAR28 },
      leakPoint(1.5, { maximum: 0.2e-6 }, `BAR28 ${FROM_MEMORY}`),
    ],
  }),
  schottky({
    type: '1N5817',
    title: 'Schottky rectifier, 1 A, 20 V',
    card: [637.1e-9, 1.0393, 0.0365, 190e-12, 568e-9],
    source: RECTIFIER_SOURCE,
    limits: [
      ...rectifier(0.45, 0.75),
      { quantity: 'capacitanceF', typical: 110e-12, at: { reverseV: 5 }, source: IRF_1N5817 },
    ],
  }),
  schottky({
    type: '1N5818',
    title: 'Schottky rectifier, 1 A, 30 V',
    card: [0.6371e-6, 1.0393, 0.0365, 160e-12, 0.568e-6],
    source: RECTIFIER_SOURCE,
    limits: rectifier(0.55, 0.875),
  }),
  schottky({
    type: '1N5819',
    title: 'Schottky rectifier, 1 A, 40 V',
    card: [0.6371e-6, 1.0393, 0.0365, 110e-12, 0.568e-6],
    source: RECTIFIER_SOURCE,
    limits: rectifier(0.6, 0.9),
  }),
  schottky({
    type: 'BAT46',
    title: `${SMALL}, 100 V`,
    card: [94.37e-9, 1.1942, 1.57, 10e-12],
    source: `${ESTIMATED} (${BAT46}); the card of the BAT46WJ, with 35 pF, is not used`,
    limits: [
      ...estimatedCurve([0.15, 0.21, 0.28, 0.38], HALF_V),
      forwardPoint(0.1e-3, { maximum: 0.25 }, BAT46),
      forwardPoint(10e-3, { maximum: 0.45 }, BAT46),
      forwardPoint(0.25, { maximum: 1 }, BAT46),
      { quantity: 'capacitanceF', typical: 10e-12, at: { reverseV: 0 }, source: BAT46 },
      leakPoint(1.5, { maximum: 0.5e-6 }, BAT46),
      leakPoint(50, { maximum: 2e-6 }, BAT46),
    ],
  }),
  schottky({
    type: 'BAT54',
    title: `${SMALL}, 30 V`,
    card: [0.1e-6, 1, 2.2, 12e-12],
    source: 'published model card BAT54',
    limits: [
      ...estimatedCurve([0.12, 0.18, 0.24, 0.32], HALF_V),
      forwardPoint(0.1e-3, { maximum: 0.24 }, `BAT54 ${FROM_MEMORY}`),
      forwardPoint(10e-3, { maximum: 0.4 }, `BAT54 ${FROM_MEMORY}`),
      leakPoint(1.5, { maximum: 2e-6 }, `BAT54 ${FROM_MEMORY}`),
    ],
  }),
  schottky({
    type: 'BAT41',
    title: `${SMALL}, 100 V, high forward voltage`,
    card: [2.168e-9, 1.1882, 1.68, 4e-12],
    source: `fit to 0.40 V typical at 1 mA (${BAT41}) and an estimated slope of 70 mV a decade; capacitance: estimate above its 3 pF at 1 V`,
    limits: [
      forwardPoint(1e-3, { typical: 0.4, maximum: 0.45 }, BAT41),
      forwardPoint(0.2, { maximum: 1 }, BAT41),
      ...estimatedCurve([0.26, 0.33, undefined, 0.49], HALF_V),
      leakPoint(1.5, { maximum: 0.1e-6 }, BAT41),
      leakPoint(50, { maximum: 0.1e-6 }, BAT41),
    ],
  }),
  schottky({
    type: 'BAT42',
    title: `${SMALL}, 30 V`,
    card: [44.98e-9, 1.0653, 2.14, 9e-12],
    source: `${ESTIMATED} (${BAT42}); capacitance: estimate above its 7 pF at 1 V`,
    limits: [
      ...estimatedCurve([0.15, 0.21, 0.28, 0.36], HALF_V),
      forwardPoint(10e-3, { maximum: 0.4 }, BAT42),
      forwardPoint(50e-3, { maximum: 0.65 }, BAT42),
      forwardPoint(0.2, { maximum: 1 }, BAT42),
      leakPoint(1.5, { maximum: 0.5e-6 }, BAT42),
      leakPoint(25, { maximum: 0.5e-6 }, BAT42),
    ],
  }),
  schottky({
    type: 'BAT43',
    title: `${SMALL}, 30 V`,
    card: [33.12e-9, 1.0394, 2.15, 9e-12],
    source: `fit to the middle of 0.26 to 0.33 V at 2 mA (${BAT42}) and estimates; capacitance: estimate above its 7 pF at 1 V`,
    limits: [
      forwardPoint(2e-3, { minimum: 0.26, maximum: 0.33 }, BAT42),
      forwardPoint(15e-3, { maximum: 0.45 }, BAT42),
      forwardPoint(0.2, { maximum: 1 }, BAT42),
      ...estimatedCurve([0.155, 0.215, 0.275, 0.365], HALF_V),
      leakPoint(1.5, { maximum: 0.5e-6 }, BAT42),
      leakPoint(25, { maximum: 0.5e-6 }, BAT42),
      forwardPoint(10e-3, { minimum: 0.2, maximum: 0.45 }, `0.285 V of ${PIECE_BAT43}; range an estimate`),
    ],
  }),
  schottky({
    type: 'BAT48',
    title: `${SMALL}, 40 V`,
    card: [93.13e-9, 1.056, 1.01, 20e-12],
    source: `${ESTIMATED} (${BAT48})`,
    limits: [
      ...estimatedCurve([0.13, 0.19, 0.25, 0.33], HALF_V),
      forwardPoint(0.1e-3, { maximum: 0.25 }, BAT48),
      forwardPoint(1e-3, { maximum: 0.3 }, BAT48),
      forwardPoint(10e-3, { maximum: 0.4 }, BAT48),
      forwardPoint(0.2, { maximum: 0.75 }, BAT48),
      { quantity: 'capacitanceF', typical: 20e-12, at: { reverseV: 0 }, source: BAT48 },
      leakPoint(1.5, { maximum: 1e-6 }, BAT48),
      leakPoint(20, { maximum: 5e-6 }, BAT48),
    ],
  }),
  schottky({
    type: 'BAT85',
    title: `${SMALL}, 30 V`,
    card: [31.73e-9, 1.0098, 2.09, 10e-12],
    source: `${ESTIMATED} (${BAT85}); capacitance: the sheet's most at 1 V`,
    limits: [
      ...estimatedCurve([0.15, 0.21, 0.275, 0.35], HALF_V),
      forwardPoint(0.1e-3, { maximum: 0.24 }, BAT85),
      forwardPoint(1e-3, { maximum: 0.32 }, BAT85),
      forwardPoint(10e-3, { maximum: 0.4 }, BAT85),
      forwardPoint(30e-3, { maximum: 0.5 }, BAT85),
      forwardPoint(0.1, { maximum: 0.8 }, BAT85),
      { quantity: 'capacitanceF', maximum: 10e-12, at: { reverseV: 1 }, source: BAT85 },
      leakPoint(1.5, { maximum: 2e-6 }, BAT85),
      leakPoint(25, { maximum: 2e-6 }, BAT85),
    ],
  }),
  schottky({
    type: '1N6263',
    title: `${SMALL}, 60 V`,
    card: [2.355e-9, 1.084, 25, 2e-12],
    source: `estimate: the curve of the 1N5711, whose class it is`,
    limits: [
      ...estimatedCurve([0.235, 0.3, 0.389, 0.678], HALF_V),
      forwardPoint(1e-3, { maximum: 0.41 }, `1N6263 ${FROM_MEMORY}`),
      forwardPoint(15e-3, { maximum: 1 }, `1N6263 ${FROM_MEMORY}`),
      leakPoint(1.5, { maximum: 0.2e-6 }, `1N6263 ${FROM_MEMORY}`),
    ],
  }),
  schottky({
    type: 'SD101A',
    title: `${SMALL}, 60 V`,
    card: [1.136e-9, 1.0494, 20.6, 2e-12],
    source: `${ESTIMATED} (${SD101}); capacitance from memory`,
    limits: sd101([0.245, 0.315, 0.39, 0.64], 0.41),
  }),
  schottky({
    type: 'SD101B',
    title: `${SMALL}, 50 V`,
    card: [1.644e-9, 1.0495, 20.6, 2.1e-12],
    source: `${ESTIMATED} (${SD101}); capacitance from memory`,
    limits: sd101([0.235, 0.305, 0.38, 0.63], 0.4),
  }),
  schottky({
    type: 'SD101C',
    title: `${SMALL}, 40 V`,
    card: [2.376e-9, 1.0495, 20.6, 2.2e-12],
    source: `${ESTIMATED} (${SD101}); capacitance from memory`,
    limits: sd101([0.225, 0.295, 0.37, 0.62], 0.39),
  }),
  schottky({
    type: '1N60P',
    title: `${SMALL}, sold as germanium: it is none`,
    status: 'often faked',
    card: [21.06e-9, 1, 3.65, 2e-12],
    source: `fit to ${PIECE_60P}; another piece under the same number is 80 mV lower (${SECOND_60P}); capacitance an estimate`,
    limits: [
      ...typicalCurve([0.163, 0.219, 0.28, 0.373], PIECE_60P),
      forwardPoint(20e-3, { typical: 0.43 }, PIECE_60P),
      forwardPoint(1e-3, { minimum: 0.2, maximum: 0.32 }, `${SHEET_1N60} (0.32 V); ${SECOND_60P}`),
      leakPoint(1.5, { maximum: 1e-6 }, 'estimate'),
    ],
  }),
];
