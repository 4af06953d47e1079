import type { DiodeEntry } from './catalogue-entry.ts';
import { fitJunction } from './junction-fit.ts';
import { forwardPoint, SCHOTTKY_THERMAL, schottkyCard } from './model-card.ts';

const BAR28 = 'ST BAR28 (same class as 1N5711), Nov 1994';
const BAT46 = 'ST BAT46 series, tables 3 and 4';
const BAT41 = 'ST Doc ID 12633 rev 2';
const BAT85 = 'BAT85 sheet, from memory';
const IRF_1N5817 = 'IRF PD-20646 rev B';

export const SCHOTTKY_DIODES: readonly DiodeEntry[] = [
  {
    type: '1N5711',
    kind: 'diode',
    family: 'Schottky',
    title: 'small-signal Schottky diode',
    status: 'current',
    data: schottkyCard(19.7e-9, 1.51, 6.27, 1.8e-12),
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
    data: schottkyCard(31.7e-6, 1.373, 0.051, 190e-12),
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
    data: schottkyCard(0.1703e-6, 1.06, 1.3, 35e-12),
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
    data: schottkyCard(0.1e-6, 1, 2.2, 12e-12),
    dataSource: 'published model card BAT54',
    limits: [],
    knownMisses: [],
  },
  {
    type: 'BAT41',
    kind: 'diode',
    family: 'Schottky',
    title: 'small-signal Schottky diode, high voltage',
    status: 'current',
    data: fitJunction({
      voltsPerDecade: 0.07,
      seriesOhms: 2,
      zeroBiasCapacitanceF: 3e-12,
      points: [{ currentA: 1e-3, voltageV: 0.4 }],
      thermal: SCHOTTKY_THERMAL,
    }),
    dataSource: `fit to ${BAT41}, VF 0.40 V typ at 1 mA; slope 70 mV a decade, series resistance and capacitance from memory`,
    limits: [
      forwardPoint(1e-3, { typical: 0.4, maximum: 0.45 }, BAT41),
      forwardPoint(0.2, { maximum: 1 }, BAT41),
    ],
    knownMisses: [],
  },
  {
    type: 'BAT85',
    kind: 'diode',
    family: 'Schottky',
    title: 'small-signal Schottky diode',
    status: 'current',
    data: schottkyCard(0.2117e-6, 1.016, 2.637, 11.16e-12),
    dataSource: 'published model card BAT85, from memory',
    limits: [
      forwardPoint(0.1e-3, { maximum: 0.24 }, BAT85),
      forwardPoint(1e-3, { maximum: 0.32 }, BAT85),
      forwardPoint(10e-3, { maximum: 0.4 }, BAT85),
      forwardPoint(0.1, { maximum: 0.8 }, BAT85),
      { quantity: 'capacitanceF', maximum: 10e-12, at: { reverseV: 1 }, source: BAT85 },
    ],
    knownMisses: [],
  },
];
