import type { JunctionThermal } from '../devices/junction.ts';
import type { JunctionCharge } from '../devices/junction-charge.ts';
import type { DatasheetPoint, DiodeEntry } from './catalogue-entry.ts';
import { estimatedCurve, leakPoint, typicalCurve } from './curve-points.ts';
import { card, forwardPoint } from './model-card.ts';

/*
 * Fitted to measured pieces where there are some (tests/reference/fit_diodes.py), since published cards of a
 * distributor's library put the knee too soft: 222 mV for each tenfold current in the red one, 274 in the green and
 * 445 in the blue, where pieces have 80 to 120 mV.
 */
const HP = 'HP low-current LED lamps, 5964-9371';
const VISHAY_83012 = 'Vishay 83012 rev 2.3';
const VISHAY_83030 = 'Vishay 83030 rev 1.9';
const VISHAY_YELLOW = 'Vishay TLHY640x; 83043';
const VISHAY_GREEN = 'Vishay VLMV3100';
const BLUE_SHEET = 'WW05A3SBQ4-N version 1.0';
const INFRARED = 'Vishay TSUS and TSAL types, from memory';
const MEASURED = 'dvhx, measured diode curves';
const RED_PIECES = `two measured pieces (${MEASURED})`;
const GREEN_PIECE = `one measured piece (${MEASURED}, LED_GREEN)`;
const BLUE_PIECES = `three measured pieces (${MEASURED})`;
const WHITE_PIECE = `one measured piece (${MEASURED}, LED_WHITE)`;
const CAPACITANCE = 'capacitance from memory';
const RED_CARD = 'published model card APT1608SURCK';
const GREEN_CARD = 'published model card of a GaP lamp';

/** Estimated spread of the forward voltage from piece to piece, V. */
const HALF_V = 0.1;

/*
 * Gap that the carriers climb, eV, extrapolated from 300 K to 0 K along its slope there (0.45 meV/K, 0.14 eV), since
 * dV/dT = (V − E_g − 3·V_T)/T holds with that one. Photon energies of 635, 605, 565 and 585 nm; GaAs, 1.42 eV, in the
 * infrared; in the nitrides between the photon's 2.64 eV and the barrier of GaN, 3.42 eV. All from memory: real emitters fall by 1 to 3 mV/K.
 */
const GAP_EV = { red: 2.09, orange: 2.19, green: 2.33, yellow: 2.26, infrared: 1.56, nitride: 3.3 } as const;

/**
 * Built-in voltage, V: the photon's energy less 0.3 eV, an estimate. Transit time, s: "speed of response" of lamps, 90 ns (red,
 * yellow) and 500 ns (green), and a rise in 800 ns (infrared), from memory; 30 ns of the nitrides is an estimate.
 */
const CHARGE = {
  red: [1.65, 90e-9],
  orange: [1.75, 90e-9],
  yellow: [1.8, 90e-9],
  green: [1.9, 500e-9],
  infrared: [1.1, 360e-9],
  nitride: [2.4, 30e-9],
} as const;

function chargeOf(gap: keyof typeof CHARGE): JunctionCharge {
  const [builtInV, transitSeconds] = CHARGE[gap];
  return { builtInV, transitSeconds };
}

interface Led {
  readonly type: string;
  readonly title: string;
  readonly gap: keyof typeof GAP_EV;
  /** I_S A, n, R_S Ω, capacitance F. */
  readonly card: Parameters<typeof card>;
  readonly source: string;
  readonly limits: readonly DatasheetPoint[];
}

/** At zero bias, over all colours: no sheet at hand tells them apart. */
const CAPACITANCE_RANGE = {
  lowF: 15e-12,
  highF: 100e-12,
  source: 'typical figures in datasheets of LEDs, from memory',
};

function led({ type, title, gap, card: numbers, source, limits }: Led): DiodeEntry {
  const thermal: JunctionThermal = { by: 'gap', energyGapEv: GAP_EV[gap], saturationExponent: 3 };
  return {
    type,
    kind: 'diode',
    family: 'LED',
    title,
    status: 'current',
    data: { ...card(...numbers), charge: chargeOf(gap), thermal },
    dataSource: source,
    capacitanceRange: CAPACITANCE_RANGE,
    limits,
    knownMisses: [],
  };
}

/** 5 V at 50 uA at least: no more than that flows at 1.5 V. */
const BREAKDOWN = leakPoint(1.5, { maximum: 50e-6 }, `${HP}: 5 V at 50 uA at least`);
const UNKNOWN_LEAK = leakPoint(1.5, { maximum: 50e-6 }, 'estimate');

export const LEDS: readonly DiodeEntry[] = [
  led({
    type: 'LED-red',
    title: 'red LED, 5 mm',
    gap: 'red',
    card: [47.34e-21, 1.8459, 3.47, 35e-12],
    source: `fit to ${RED_PIECES}, 10 uA to 10 mA; capacitance: ${RED_CARD}`,
    limits: [
      ...typicalCurve([1.572, 1.69, 1.8, 1.94], RED_PIECES),
      forwardPoint(2e-3, { typical: 1.8, maximum: 2 }, HP),
      forwardPoint(2e-3, { typical: 1.9, maximum: 2.4 }, VISHAY_83030),
      forwardPoint(20e-3, { typical: 2, maximum: 3 }, VISHAY_83012),
      BREAKDOWN,
    ],
  }),
  led({
    type: 'LED-green',
    title: 'green LED of the old kind (GaP), 5 mm',
    gap: 'green',
    card: [65.04e-24, 1.6142, 0.203, 19e-12],
    source: `fit to ${GREEN_PIECE}, moved 47 mV down to meet 1.8 V (${HP}) and 1.9 V (${VISHAY_83030}) typical at 2 mA; capacitance: ${GREEN_CARD}`,
    limits: [
      ...typicalCurve([1.697, 1.8, 1.89, 1.99], GREEN_PIECE),
      forwardPoint(2e-3, { typical: 1.8, maximum: 2.2 }, HP),
      forwardPoint(2e-3, { typical: 1.9, maximum: 2.4 }, VISHAY_83030),
      forwardPoint(20e-3, { typical: 2.2, maximum: 3 }, VISHAY_GREEN),
      BREAKDOWN,
    ],
  }),
  led({
    type: 'LED-blue',
    title: 'blue LED, 5 mm',
    gap: 'nitride',
    card: [128.9e-36, 1.4, 24.1, 50e-12],
    source: `fit to ${BLUE_PIECES}, 10 uA to 10 mA; ${CAPACITANCE}`,
    limits: [
      ...typicalCurve([2.417, 2.49, 2.595, 2.9], BLUE_PIECES),
      forwardPoint(20e-3, { typical: 3.2, maximum: 4 }, BLUE_SHEET),
      leakPoint(1.5, { maximum: 50e-6 }, BLUE_SHEET),
      leakPoint(5, { maximum: 50e-6 }, BLUE_SHEET),
    ],
  }),
  led({
    type: 'LED-yellow',
    title: 'yellow LED, 5 mm',
    gap: 'yellow',
    card: [171.8e-21, 1.9769, 4.53, 35e-12],
    source: `fit to 1.9 V typical at 2 mA (${HP}; another maker has 2.4 V, ${VISHAY_83030}) and estimates; ${CAPACITANCE}`,
    limits: [
      forwardPoint(2e-3, { typical: 1.9, maximum: 2.5 }, HP),
      forwardPoint(20e-3, { typical: 2.4, maximum: 3 }, VISHAY_YELLOW),
      ...estimatedCurve([1.62, 1.74, 1.86, 2.02], HALF_V),
      BREAKDOWN,
    ],
  }),
  led({
    type: 'LED-white',
    title: 'white LED, 5 mm: a blue one under phosphor',
    gap: 'nitride',
    card: [55.68e-36, 1.4, 18, 50e-12],
    source: `fit to ${WHITE_PIECE}, 10 uA to 10 mA; ${CAPACITANCE}`,
    limits: [
      ...typicalCurve([2.447, 2.52, 2.62, 2.87], WHITE_PIECE),
      leakPoint(1.5, { maximum: 50e-6 }, `${BLUE_SHEET}, a blue one`),
    ],
  }),
  led({
    type: 'LED-infrared',
    title: 'infrared LED, 5 mm',
    gap: 'infrared',
    card: [186.8e-18, 1.4057, 1.17, 50e-12],
    source: `fit to VF 1.2 V at 20 mA and 1.35 V at 100 mA (${INFRARED}) and estimates below; ${CAPACITANCE}`,
    limits: [
      ...estimatedCurve([0.9, 0.98, 1.065, 1.16], HALF_V),
      forwardPoint(20e-3, { typical: 1.2 }, INFRARED),
      forwardPoint(0.1, { typical: 1.35, maximum: 1.6 }, INFRARED),
      UNKNOWN_LEAK,
    ],
  }),
  led({
    type: 'LED-orange',
    title: 'orange LED, 5 mm',
    gap: 'orange',
    card: [420.2e-21, 1.9962, 2.3, 35e-12],
    source: `estimate between red and yellow; ${CAPACITANCE}`,
    limits: [...estimatedCurve([1.59, 1.71, 1.83, 1.97], HALF_V), UNKNOWN_LEAK],
  }),
  led({
    type: 'LED-green-InGaN',
    title: 'green LED of the bright kind (InGaN), 5 mm',
    gap: 'nitride',
    card: [6.9e-33, 1.4, 23.5, 50e-12],
    source: `fit to estimates, 2.45 V at 1 mA; ${CAPACITANCE}`,
    limits: [...estimatedCurve([2.27, 2.35, 2.45, 2.75], HALF_V), UNKNOWN_LEAK],
  }),
  led({
    type: 'LED-UV',
    title: 'ultraviolet LED, 5 mm: do not look into it',
    gap: 'nitride',
    card: [32.25e-33, 1.6791, 20.1, 50e-12],
    source: `fit to estimates, 2.87 V at 1 mA; ${CAPACITANCE}`,
    limits: [...estimatedCurve([2.65, 2.75, 2.87, 3.15], HALF_V), UNKNOWN_LEAK],
  }),
];
