import type { JunctionThermal } from '../devices/junction.ts';
import type { DiodeEntry } from './catalogue-entry.ts';
import { fitJunction } from './junction-fit.ts';

/*
 * Published LED cards put the knee too soft: 222 mV for each tenfold current in the red card, 274 in the
 * green and 445 in the blue, where about 120 mV is seen on real ones (common practice, no source). At 10 uA the
 * red card drops 1.12 V and clips softly from there on, so these are fitted to datasheet points instead.
 */
const VOLTS_PER_DECADE = 0.12;
const SLOPE_SOURCE = 'slope 120 mV a decade is common practice, no source';

/** 5 mm types, VR = 0, 1 MHz; from memory of Vishay sheets. The published cards have 2.97 pF. */
const CAPACITANCE_F = 50e-12;
const CAPACITANCE_SOURCE = 'capacitance from memory';

const VISHAY_83012 = 'Vishay 83012 rev 2.3';
const VISHAY_83030 = 'Vishay 83030 rev 1.9';
const VISHAY_YELLOW_GREEN = 'Vishay TLHY640x; 83043';
const INFRARED = 'Vishay TSUS and TSAL types, from memory';
const BLUE_TYPICAL = 'typical of blue types, from memory';

const LOW_CURRENT = {
  quantity: 'forwardVoltageV',
  typical: 1.9,
  maximum: 2.4,
  at: { forwardA: 2e-3 },
  source: VISHAY_83030,
} as const;

/*
 * Gap that the carriers climb, eV, extrapolated from 300 K to 0 K along its slope there (0.45 meV/K, 0.14 eV), since
 * dV/dT = (V − E_g − 3·V_T)/T holds with that one. Photon energies of 635, 565 and 585 nm; GaAs, 1.42 eV, in the
 * infrared; in the nitrides the barrier of GaN, 3.42 eV. All from memory: real emitters fall by 1 to 3 mV/K.
 */
const GAP_EV = { red: 2.09, green: 2.33, yellow: 2.26, infrared: 1.56, nitride: 3.56 } as const;

function emitterOf(energyGapEv: number): JunctionThermal {
  return { by: 'gap', energyGapEv, saturationExponent: 3 };
}

export const LEDS: readonly DiodeEntry[] = [
  {
    type: 'LED-red',
    kind: 'diode',
    family: 'LED',
    title: 'red LED, 5 mm',
    status: 'current',
    // The two points leave nothing for a series resistance, so that of the published card is used; each point
    // is missed by 10 mV.
    data: fitJunction({
      voltsPerDecade: VOLTS_PER_DECADE,
      seriesOhms: 0.042,
      zeroBiasCapacitanceF: CAPACITANCE_F,
      thermal: emitterOf(GAP_EV.red),
      points: [
        { currentA: 20e-3, voltageV: 2 },
        { currentA: 2e-3, voltageV: 1.9 },
      ],
    }),
    dataSource: `fit to ${VISHAY_83012}, VF 2.0 V typ at 20 mA, and ${VISHAY_83030}, 1.9 V typ at 2 mA; ${SLOPE_SOURCE}; ${CAPACITANCE_SOURCE}`,
    limits: [
      {
        quantity: 'forwardVoltageV',
        typical: 2,
        maximum: 3,
        at: { forwardA: 20e-3 },
        source: VISHAY_83012,
      },
      LOW_CURRENT,
    ],
    knownMisses: [],
  },
  {
    type: 'LED-green',
    kind: 'diode',
    family: 'LED',
    title: 'green LED, 5 mm',
    status: 'current',
    // Series resistance from the two points, after the slope: (0.5 − 0.12) V / 18 mA.
    data: fitJunction({
      voltsPerDecade: VOLTS_PER_DECADE,
      seriesOhms: 21,
      zeroBiasCapacitanceF: CAPACITANCE_F,
      thermal: emitterOf(GAP_EV.green),
      points: [
        { currentA: 20e-3, voltageV: 2.4 },
        { currentA: 2e-3, voltageV: 1.9 },
      ],
    }),
    dataSource: `fit to ${VISHAY_YELLOW_GREEN}, VF 2.4 V typ at 20 mA, and ${VISHAY_83030}, 1.9 V typ at 2 mA; ${SLOPE_SOURCE}; ${CAPACITANCE_SOURCE}`,
    limits: [
      {
        quantity: 'forwardVoltageV',
        typical: 2.4,
        maximum: 3,
        at: { forwardA: 20e-3 },
        source: VISHAY_YELLOW_GREEN,
      },
      LOW_CURRENT,
    ],
    knownMisses: [],
  },
  {
    type: 'LED-blue',
    kind: 'diode',
    family: 'LED',
    title: 'blue LED, 5 mm',
    status: 'current',
    data: fitJunction({
      voltsPerDecade: VOLTS_PER_DECADE,
      seriesOhms: 12,
      zeroBiasCapacitanceF: CAPACITANCE_F,
      thermal: emitterOf(GAP_EV.nitride),
      points: [{ currentA: 20e-3, voltageV: 3.2 }],
    }),
    dataSource: `fit to VF 3.2 V at 20 mA (${BLUE_TYPICAL}); series resistance 12 ohm and ${SLOPE_SOURCE}; ${CAPACITANCE_SOURCE}`,
    limits: [
      {
        quantity: 'forwardVoltageV',
        typical: 3.2,
        maximum: 4,
        at: { forwardA: 20e-3 },
        source: BLUE_TYPICAL,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'LED-yellow',
    kind: 'diode',
    family: 'LED',
    title: 'yellow LED, 5 mm: the curve of the green one',
    status: 'current',
    // One sheet for both colours gives the same voltage; the series resistance is that found for green.
    data: fitJunction({
      voltsPerDecade: VOLTS_PER_DECADE,
      seriesOhms: 21,
      zeroBiasCapacitanceF: CAPACITANCE_F,
      thermal: emitterOf(GAP_EV.yellow),
      points: [{ currentA: 20e-3, voltageV: 2.4 }],
    }),
    dataSource: `fit to ${VISHAY_YELLOW_GREEN}, VF 2.4 V typ at 20 mA; series resistance as for green; ${SLOPE_SOURCE}; ${CAPACITANCE_SOURCE}`,
    limits: [
      {
        quantity: 'forwardVoltageV',
        typical: 2.4,
        maximum: 3,
        at: { forwardA: 20e-3 },
        source: VISHAY_YELLOW_GREEN,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'LED-white',
    kind: 'diode',
    family: 'LED',
    title: 'white LED, 5 mm: a blue one under phosphor',
    status: 'current',
    data: fitJunction({
      voltsPerDecade: VOLTS_PER_DECADE,
      seriesOhms: 12,
      zeroBiasCapacitanceF: CAPACITANCE_F,
      thermal: emitterOf(GAP_EV.nitride),
      points: [{ currentA: 20e-3, voltageV: 3.2 }],
    }),
    dataSource: `that of the blue LED, VF 3.2 V at 20 mA (${BLUE_TYPICAL}); ${SLOPE_SOURCE}; ${CAPACITANCE_SOURCE}`,
    limits: [
      {
        quantity: 'forwardVoltageV',
        typical: 3.2,
        maximum: 4,
        at: { forwardA: 20e-3 },
        source: BLUE_TYPICAL,
      },
    ],
    knownMisses: [],
  },
  {
    type: 'LED-infrared',
    kind: 'diode',
    family: 'LED',
    title: 'infrared LED, 5 mm',
    status: 'current',
    // Series resistance from the two points, after the slope: (0.15 − 0.12·log10(5)) V / 80 mA.
    data: fitJunction({
      voltsPerDecade: VOLTS_PER_DECADE,
      seriesOhms: 0.83,
      zeroBiasCapacitanceF: CAPACITANCE_F,
      thermal: emitterOf(GAP_EV.infrared),
      points: [
        { currentA: 20e-3, voltageV: 1.2 },
        { currentA: 0.1, voltageV: 1.35 },
      ],
    }),
    dataSource: `fit to VF 1.2 V at 20 mA and 1.35 V at 100 mA (${INFRARED}); ${SLOPE_SOURCE}; ${CAPACITANCE_SOURCE}`,
    limits: [
      { quantity: 'forwardVoltageV', typical: 1.2, at: { forwardA: 20e-3 }, source: INFRARED },
      {
        quantity: 'forwardVoltageV',
        typical: 1.35,
        maximum: 1.6,
        at: { forwardA: 0.1 },
        source: INFRARED,
      },
    ],
    knownMisses: [],
  },
];
