import type { DiodeEntry } from './catalogue-entry.ts';
import { card } from './model-card.ts';

const OA91_SHEET = 'OA91 datasheet, from memory';
const GERMANIUM_SHEET = 'JEDEC-era 1N34A sheet, from memory';

export const GERMANIUM_DIODES: readonly DiodeEntry[] = [
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
