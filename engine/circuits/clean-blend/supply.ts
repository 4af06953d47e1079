import { stage } from '../circuit.ts';
import { converter, diode, electrolytic, resistor, supply, switchPart } from '../part-spec.ts';

/** 9 V, its bias, and the rails that the converter makes of it for the later stages. */
export const supplyStage = stage({
  id: 'supply',
  title: 'Supply, bias and converter',
  ports: {
    supply: [28, 2, 'right'],
    bias: [28, 8, 'right'],
    ground: 'flags',
    doubled: [30, 16, 'up'],
    inverted: [26, 27, 'right'],
    high: [46, 20, 'right'],
    low: [46, 24, 'right'],
  },
  parts: {
    V1: supply('9V', { at: [2, 8], turn: 90, role: 'Battery or regulated mains adapter.' }),
    R18: resistor('10R', {
      at: [6, 2],
      role: 'With C11 keeps hum and the converter’s pulses off the supply.',
    }),
    C11: electrolytic('100u', {
      at: [10, 8],
      turn: 90,
      role: 'Holds the supply steady while the stages draw current.',
    }),
    R19: resistor('10k', {
      at: [22, 4],
      turn: 90,
      labels: 'left',
      role: 'Upper half of the divider that makes the bias.',
    }),
    R20: resistor('10k', {
      at: [22, 10],
      turn: 90,
      labels: 'left',
      role: 'Lower half of the divider that makes the bias.',
    }),
    C12: electrolytic('47u', {
      at: [25, 10],
      turn: 90,
      role: 'Holds the bias steady against the clipping current.',
    }),
    U3: converter('TC1044S', {
      at: [10, 21],
      role: 'Pumps the supply up to the doubled rail and down to the negative one.',
    }),
    D3: diode('1N4148', {
      at: [18, 19],
      role: 'First diode of the doubler; the rail loses its forward voltage.',
    }),
    D4: diode('1N4148', {
      at: [24, 19],
      role: 'Second diode of the doubler; the rail loses its forward voltage.',
    }),
    C13: electrolytic('22u', { at: [28, 22], turn: 90, role: 'Reservoir of the doubled rail.' }),
    C14: electrolytic('22u', { at: [18, 26], turn: 270, role: 'Reservoir of the negative rail.' }),
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
      { at: [40, 22], turn: 180, flip: true, role: 'Which rails the summing and treble stages run on.' },
    ),
    W2: switchPart(
      ['ganged'],
      { dual: [], separate: [] },
      { at: [40, 30], role: 'One dual-gang potentiometer for gain and blend, or two of their own.' },
    ),
  },
  wires: [
    { name: 'dc', pins: ['V1.plus', 'R18.1'] },
    ['R18.2', 'C11.1', 'R19.1', 'U3.supply', 'W1.supply', 'supply'],
    ['R19.2', 'R20.1', 'C12.1', 'bias'],
    ['U3.doubled', 'D3.anode'],
    ['D3.cathode', 'D4.anode'],
    ['D4.cathode', 'C13.1', 'W1.doubled', 'doubled'],
    ['U3.inverted', 'C14.2', 'W1.inverted', 'inverted'],
    ['W1.high', 'high'],
    ['W1.low', 'low'],
    ['V1.minus', 'C11.2', 'R20.2', 'C12.2', 'C13.2', 'C14.1', 'W1.ground', 'W2.ganged', 'ground'],
  ],
});
