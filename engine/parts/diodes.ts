import type { DiodeData } from '../network/network.ts';
import type { DatasheetPoint, DiodeEntry } from './catalogue-entry.ts';
import { LEDS } from './leds.ts';

/** Model card: saturation current A, emission coefficient, series resistance Ω, zero-bias capacitance F. */
function card(
  saturationCurrentA: number,
  emissionCoefficient: number,
  seriesOhms: number,
  zeroBiasCapacitanceF: number,
): DiodeData {
  return { saturationCurrentA, emissionCoefficient, seriesOhms, zeroBiasCapacitanceF };
}

const NXP_FAIRCHILD = 'NXP 1N4148/1N4448, 2004-08-10; Fairchild 1N/FDLL914 to 4448, 2002, rev B';

const SILICON_SWITCHING: readonly DatasheetPoint[] = [
  { quantity: 'forwardVoltageV', maximum: 1, at: { forwardA: 10e-3 }, source: NXP_FAIRCHILD },
  { quantity: 'reverseCurrentA', maximum: 25e-9, at: { reverseV: 20 }, source: NXP_FAIRCHILD },
  { quantity: 'reverseVoltageV', maximum: 100, at: {}, source: NXP_FAIRCHILD },
  { quantity: 'recoverySeconds', maximum: 4e-9, at: {}, source: NXP_FAIRCHILD },
  { quantity: 'capacitanceF', maximum: 4e-12, at: { reverseV: 0 }, source: NXP_FAIRCHILD },
];

const RECTIFIER: readonly DatasheetPoint[] = [
  { quantity: 'forwardVoltageV', maximum: 1, at: { forwardA: 1 }, source: 'Diodes DS28002 rev E-2' },
  { quantity: 'forwardVoltageV', maximum: 1.1, at: { forwardA: 1 }, source: 'Vishay 1N4001 to 1N4007' },
  { quantity: 'reverseCurrentA', maximum: 5e-6, at: {}, source: 'Diodes DS28002 rev E-2' },
];

const SILICON: readonly DiodeEntry[] = [
  {
    type: '1N4148',
    kind: 'diode',
    family: 'silicon',
    title: 'silicon switching diode',
    status: 'current',
    data: card(2.52e-9, 1.752, 0.568, 4e-12),
    dataSource: 'onsemi model card 1N4148',
    limits: [
      ...SILICON_SWITCHING,
      // Typical curve, which the limits leave wide open.
      {
        quantity: 'forwardVoltageV',
        typical: 0.62,
        at: { forwardA: 1e-3 },
        source: "makers' curves, from memory",
      },
      {
        quantity: 'forwardVoltageV',
        typical: 0.72,
        at: { forwardA: 10e-3 },
        source: "makers' curves, from memory",
      },
    ],
    knownMisses: [],
  },
  {
    type: '1N914',
    kind: 'diode',
    family: 'silicon',
    title: 'silicon switching diode',
    status: 'current',
    data: card(2.52e-9, 1.752, 0.568, 4e-12),
    dataSource: 'onsemi model card 1N914, the same as 1N4148',
    limits: SILICON_SWITCHING,
    knownMisses: [],
  },
  {
    type: '1N914B',
    kind: 'diode',
    family: 'silicon',
    title: 'silicon switching diode',
    status: 'current',
    data: card(5e-9, 2, 0.8622, 0.868e-12),
    dataSource: 'Fairchild model card 1N914B',
    limits: [
      {
        quantity: 'forwardVoltageV',
        minimum: 0.62,
        maximum: 0.72,
        at: { forwardA: 5e-3 },
        source: NXP_FAIRCHILD,
      },
      { quantity: 'forwardVoltageV', maximum: 1, at: { forwardA: 0.1 }, source: NXP_FAIRCHILD },
    ],
    knownMisses: [],
  },
  {
    type: '1N4001',
    kind: 'diode',
    family: 'silicon',
    title: 'silicon rectifier, 1 A',
    status: 'current',
    data: card(14.11e-9, 1.984, 0.03389, 25.89e-12),
    dataSource: 'published model card 1N4001',
    limits: RECTIFIER,
    knownMisses: [],
  },
  {
    type: '1N4007',
    kind: 'diode',
    family: 'silicon',
    title: 'silicon rectifier, 1 A',
    status: 'current',
    data: card(7.02767e-9, 1.80803, 0.03415, 10e-12),
    dataSource: 'onsemi model card 1N4007',
    limits: RECTIFIER,
    knownMisses: [],
  },
];

const OA91_SHEET = 'OA91 datasheet, from memory';
const GERMANIUM_SHEET = 'JEDEC-era 1N34A sheet, from memory';

const GERMANIUM: readonly DiodeEntry[] = [
  {
    type: '1N34A',
    kind: 'diode',
    family: 'germanium',
    title: 'germanium point-contact diode',
    status: 'often faked',
    data: card(2.6e-6, 1.6, 6.5, 0.8e-12),
    dataSource: 'published model card 1N34A (a second card lies 27 to 57 mV higher from 10 mA to 0.1 mA)',
    limits: [
      { quantity: 'forwardVoltageV', maximum: 1, at: { forwardA: 5e-3 }, source: GERMANIUM_SHEET },
      { quantity: 'reverseCurrentA', maximum: 30e-6, at: { reverseV: 10 }, source: GERMANIUM_SHEET },
    ],
    knownMisses: [],
  },
  {
    type: 'AA112',
    kind: 'diode',
    family: 'germanium',
    title: 'germanium point-contact diode',
    status: 'obsolete',
    data: card(1.2e-6, 1.4, 80, 1.2e-12),
    dataSource: 'published model card AA112',
    limits: [],
    knownMisses: [],
  },
  {
    type: 'OA91',
    kind: 'diode',
    family: 'germanium',
    title: 'germanium point-contact diode',
    status: 'obsolete',
    data: card(19.43e-6, 2.986, 65.98, 1.326e-12),
    dataSource: 'published model card OA91',
    limits: [
      {
        quantity: 'forwardVoltageV',
        minimum: 0.1,
        maximum: 0.25,
        at: { forwardA: 0.1e-3 },
        source: OA91_SHEET,
      },
      {
        quantity: 'forwardVoltageV',
        minimum: 0.65,
        maximum: 1.9,
        at: { forwardA: 10e-3 },
        source: OA91_SHEET,
      },
    ],
    knownMisses: [],
  },
];

const BAR28 = 'ST BAR28 (same class as 1N5711), Nov 1994';
const BAT46 = 'ST BAT46 series, tables 3 and 4';
const IRF_1N5817 = 'IRF PD-20646 rev B';

const SCHOTTKY: readonly DiodeEntry[] = [
  {
    type: '1N5711',
    kind: 'diode',
    family: 'Schottky',
    title: 'small-signal Schottky diode',
    status: 'current',
    data: card(19.7e-9, 1.51, 6.27, 1.8e-12),
    dataSource: 'published model card 1N5711',
    limits: [
      { quantity: 'forwardVoltageV', maximum: 0.41, at: { forwardA: 1e-3 }, source: BAR28 },
      { quantity: 'forwardVoltageV', maximum: 1, at: { forwardA: 15e-3 }, source: BAR28 },
      { quantity: 'capacitanceF', maximum: 2e-12, at: { reverseV: 0 }, source: BAR28 },
    ],
    knownMisses: [
      {
        quantity: 'forwardVoltageV',
        at: { forwardA: 1e-3 },
        sheetSays: 0.41,
        dataGives: 0.4294,
        note: 'The model card drops 0.429 V at 1 mA, where the datasheet of its class allows 0.41 V at most.',
      },
    ],
  },
  {
    type: '1N5817',
    kind: 'diode',
    family: 'Schottky',
    title: 'Schottky rectifier, 1 A',
    status: 'current',
    data: card(31.7e-6, 1.373, 0.051, 190e-12),
    dataSource: 'onsemi model card 1N5817',
    limits: [
      {
        quantity: 'forwardVoltageV',
        typical: 0.42,
        maximum: 0.45,
        at: { forwardA: 1 },
        source: IRF_1N5817,
      },
      { quantity: 'capacitanceF', typical: 110e-12, at: { reverseV: 5 }, source: IRF_1N5817 },
    ],
    knownMisses: [],
  },
  {
    type: 'BAT46',
    kind: 'diode',
    family: 'Schottky',
    title: 'small-signal Schottky diode',
    status: 'current',
    data: card(0.1703e-6, 1.06, 1.3, 35e-12),
    dataSource: 'published model card BAT46',
    limits: [
      { quantity: 'forwardVoltageV', maximum: 0.25, at: { forwardA: 0.1e-3 }, source: BAT46 },
      { quantity: 'forwardVoltageV', maximum: 0.45, at: { forwardA: 10e-3 }, source: BAT46 },
      { quantity: 'forwardVoltageV', maximum: 1, at: { forwardA: 0.25 }, source: BAT46 },
      { quantity: 'capacitanceF', typical: 10e-12, at: { reverseV: 0 }, source: BAT46 },
      { quantity: 'capacitanceF', typical: 6e-12, at: { reverseV: 1 }, source: BAT46 },
    ],
    knownMisses: [
      {
        quantity: 'capacitanceF',
        at: { reverseV: 0 },
        sheetSays: 10e-12,
        dataGives: 35e-12,
        note: 'The model card has 35 pF at 0 V, where the datasheet says 10 pF.',
      },
    ],
  },
  {
    type: 'BAT54',
    kind: 'diode',
    family: 'Schottky',
    title: 'small-signal Schottky diode',
    status: 'current',
    data: card(0.1e-6, 1, 2.2, 12e-12),
    dataSource: 'published model card BAT54',
    limits: [],
    knownMisses: [],
  },
];

/** Every diode that can be fitted, in the order in which they are offered. */
export const DIODES: readonly DiodeEntry[] = [...SILICON, ...GERMANIUM, ...SCHOTTKY, ...LEDS];
