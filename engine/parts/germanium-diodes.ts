import type { DiodeEntry } from './catalogue-entry.ts';
import { forwardPoint, germaniumCard } from './model-card.ts';

const OA91_SHEET = 'OA91 datasheet, from memory';
const GERMANIUM_SHEET = 'JEDEC-era 1N34A sheet, from memory';
const JEDEC_270 = 'JEDEC-era 1N270 sheet, from memory';

export const GERMANIUM_DIODES: readonly DiodeEntry[] = [
  {
    type: '1N34A',
    kind: 'diode',
    family: 'germanium',
    title: 'germanium point-contact diode',
    status: 'often faked',
    data: germaniumCard(2.6e-6, 1.6, 6.5, 0.8e-12),
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
    data: germaniumCard(1.2e-6, 1.4, 80, 1.2e-12),
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
    data: germaniumCard(19.43e-6, 2.986, 65.98, 1.326e-12),
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
  {
    type: '1N34A second card',
    kind: 'diode',
    family: 'germanium',
    title: 'germanium point-contact diode, a higher specimen',
    status: 'often faked',
    data: germaniumCard(0.2e-6, 1.3, 7, 0.5e-12),
    dataSource: 'second published model card 1N34A: real ones scatter as the two cards do',
    limits: [
      forwardPoint(5e-3, { maximum: 1 }, GERMANIUM_SHEET),
      { quantity: 'reverseCurrentA', maximum: 30e-6, at: { reverseV: 10 }, source: GERMANIUM_SHEET },
    ],
    knownMisses: [],
  },
  {
    type: '1N270',
    kind: 'diode',
    family: 'germanium',
    title: 'gold-bonded germanium diode',
    status: 'current',
    data: germaniumCard(1e-6, 1.3, 2.5, 0.8e-12),
    dataSource:
      'estimate from memory: about 0.23 V at 1 mA, and 1 V at 200 mA not exceeded; no model card is known',
    limits: [
      forwardPoint(0.2, { maximum: 1 }, JEDEC_270),
      { quantity: 'reverseCurrentA', maximum: 100e-6, at: { reverseV: 50 }, source: JEDEC_270 },
    ],
    knownMisses: [],
  },
  {
    type: '1N60',
    kind: 'diode',
    family: 'germanium',
    title: 'germanium point-contact detector diode',
    status: 'often faked',
    data: germaniumCard(1.5e-6, 1.4, 50, 1e-12),
    dataSource:
      'estimate from memory: about 0.29 V at 1 mA, point-contact resistance about 50 ohm; no model card is known. What is sold as 1N60 is often a Schottky diode',
    limits: [
      forwardPoint(4e-3, { maximum: 1 }, '1N60 sheet, from memory'),
      {
        quantity: 'reverseCurrentA',
        maximum: 40e-6,
        at: { reverseV: 10 },
        source: '1N60 sheet, from memory',
      },
    ],
    knownMisses: [],
  },
  {
    type: 'D9E',
    kind: 'diode',
    family: 'germanium',
    title: 'germanium point-contact diode',
    status: 'obsolete',
    data: germaniumCard(1.5e-6, 1.5, 14, 1e-12),
    dataSource:
      'estimate from memory: about 0.27 V at 1 mA, and 1 V at 30 mA not exceeded; no model card is known',
    limits: [forwardPoint(30e-3, { maximum: 1 }, 'D9 sheet, from memory')],
    knownMisses: [],
  },
];
