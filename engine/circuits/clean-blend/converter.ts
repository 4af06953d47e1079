import { stage } from '../circuit.ts';
import { converter, diode, electrolytic, switchPart } from '../part-spec.ts';

/** The rails that the converter makes of the supply for the later stages, as it is soldered: see NOTES.md on its model. */
export const converterStage = stage({
  id: 'converter',
  title: 'Converter and rails',
  ports: {
    supply: 'flags',
    ground: 'flags',
    doubled: [33, 1, 'up'],
    inverted: [36, 19, 'right'],
    high: [53, 7, 'right'],
    low: [53, 11, 'right'],
  },
  parts: {
    U3: converter(
      'TC1044S',
      { doubler: { capacitor: 'C17', diode: 'D3' }, inverter: { capacitor: 'C18' } },
      {
        at: [11, 12],
        role: 'Pumps the supply up to the doubled rail and down to the negative one. Its ripple is not part of the sound here.',
        job: 'converter',
      },
    ),
    W5: switchPart(
      ['boost', 'supply'],
      { fitted: [['boost', 'supply']], 'not fitted': [] },
      {
        at: [1, 10],
        turn: 180,
        flip: true,
        role: 'Boost link: lets U3 pump faster, above what can be heard (TC1044S: 22.5 kHz instead of 5 kHz). The faster pump also makes its rails a little stiffer.',
      },
    ),
    C17: electrolytic('10u', {
      at: [24, 7],
      turn: 90,
      role: 'Pump capacitor of the doubled rail: the smaller, the more that rail sags under load.',
      job: 'pump capacitor of the doubled rail',
    }),
    C18: electrolytic('10u', {
      at: [18, 12],
      turn: 90,
      role: 'Pump capacitor of the negative rail: the smaller, the more that rail sags under load.',
      job: 'pump capacitor of the negative rail',
    }),
    D3: diode('1N4148', {
      at: [20, 4],
      role: 'First diode of the doubler: the rail loses its forward drop.',
      job: 'first doubler diode',
    }),
    D4: diode('1N4148', {
      at: [28, 4],
      role: 'Second diode of the doubler: the rail loses its forward drop.',
      job: 'second doubler diode',
    }),
    C13: electrolytic('22u', {
      at: [33, 7],
      turn: 90,
      role: 'Reservoir of the doubled rail.',
      job: 'reservoir capacitor of the doubled rail',
    }),
    C14: electrolytic('22u', {
      at: [24, 18],
      turn: 270,
      role: 'Reservoir of the negative rail.',
      job: 'reservoir capacitor of the negative rail',
    }),
    W1: switchPart(
      ['high', 'low', 'supply', 'doubled', 'inverted', 'ground'],
      {
        single: [
          ['high', 'supply'],
          ['low', 'ground'],
        ],
        doubled: [
          ['high', 'doubled'],
          ['low', 'ground'],
        ],
        'doubled and negative': [
          ['high', 'doubled'],
          ['low', 'inverted'],
        ],
      },
      { at: [47, 9], turn: 180, flip: true, role: 'Which rails the summing and treble stages run on.' },
    ),
    W2: switchPart(
      ['ganged'],
      { dual: [], separate: [] },
      { at: [47, 17], role: 'One dual-gang potentiometer for gain and blend, or two of their own.' },
    ),
  },
  wires: [
    ['U3.supply', 'W5.supply', 'D3.anode', 'W1.supply', 'supply'],
    ['U3.boost', 'W5.boost'],
    ['U3.cap-plus', 'C17.2', 'C18.1'],
    ['U3.cap-minus', 'C18.2'],
    ['D3.cathode', 'C17.1', 'D4.anode'],
    ['D4.cathode', 'C13.1', 'W1.doubled', 'doubled'],
    ['U3.inverted', 'C14.2', 'W1.inverted', 'inverted'],
    ['W1.high', 'high'],
    ['W1.low', 'low'],
    ['C13.2', 'C14.1', 'W1.ground', 'W2.ganged', 'ground'],
  ],
});
