import type { DatasheetPoint, DiodeEntry } from './catalogue-entry.ts';
import { card, forwardPoint } from './model-card.ts';

const NXP_FAIRCHILD = 'NXP 1N4148/1N4448, 2004-08-10; Fairchild 1N/FDLL914 to 4448, 2002, rev B';
const MA150_SHEET = 'MA150 class, from memory';

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

export const SILICON_DIODES: readonly DiodeEntry[] = [
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
  {
    type: '1N4448',
    kind: 'diode',
    family: 'silicon',
    title: 'silicon switching diode, as 1N4148 with a tighter voltage',
    status: 'current',
    data: card(4.352e-9, 1.906, 0.6458, 0.7048e-12),
    dataSource: 'NXP model card 1N4148, which stands for both types (one sheet for the two)',
    limits: [
      forwardPoint(5e-3, { minimum: 0.62, maximum: 0.72 }, NXP_FAIRCHILD),
      forwardPoint(0.1, { maximum: 1 }, NXP_FAIRCHILD),
      { quantity: 'reverseCurrentA', maximum: 25e-9, at: { reverseV: 20 }, source: NXP_FAIRCHILD },
      { quantity: 'reverseVoltageV', maximum: 100, at: {}, source: NXP_FAIRCHILD },
      { quantity: 'capacitanceF', maximum: 4e-12, at: { reverseV: 0 }, source: NXP_FAIRCHILD },
    ],
    knownMisses: [],
  },
  {
    type: 'MA150',
    kind: 'diode',
    family: 'silicon',
    title: 'small-signal silicon diode, low capacitance',
    status: 'obsolete',
    data: card(4.352e-9, 1.906, 0.6458, 0.7048e-12),
    dataSource: 'NXP model card 1N4148, taken for its class: no card of its own is known',
    limits: [
      forwardPoint(0.1, { maximum: 1.2 }, MA150_SHEET),
      { quantity: 'capacitanceF', maximum: 2e-12, at: { reverseV: 0 }, source: MA150_SHEET },
    ],
    knownMisses: [],
  },
];
