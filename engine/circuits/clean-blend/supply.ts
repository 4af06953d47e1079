import { stage } from '../circuit.ts';
import { converter, diode, electrolytic, resistor, supply, switchPart } from '../part-spec.ts';

/** 9 V, its bias, and the rails that the converter makes of it for the later stages. */
export const supplyStage = stage({
  id: 'supply',
  title: 'Supply, bias and converter',
  ports: {
    supply: [14, 2],
    bias: [18, 8],
    ground: [18, 24],
    doubled: [30, 4],
    inverted: [30, 16],
    high: [38, 4],
    low: [38, 16],
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
    R19: resistor('10k', { at: [14, 5], turn: 90, role: 'Upper half of the divider that makes the bias.' }),
    R20: resistor('10k', { at: [14, 11], turn: 90, role: 'Lower half of the divider that makes the bias.' }),
    C12: electrolytic('47u', {
      at: [17, 11],
      turn: 90,
      role: 'Holds the bias steady against the clipping current.',
    }),
    U3: converter('TC1044S', {
      at: [22, 10],
      role: 'Pumps the supply up to the doubled rail and down to the negative one.',
    }),
    D3: diode('1N4148', {
      at: [26, 4],
      role: 'First diode of the doubler; the rail loses its forward voltage.',
    }),
    D4: diode('1N4148', {
      at: [29, 4],
      role: 'Second diode of the doubler; the rail loses its forward voltage.',
    }),
    C13: electrolytic('22u', { at: [32, 8], turn: 90, role: 'Reservoir of the doubled rail.' }),
    C14: electrolytic('22u', { at: [32, 20], turn: 270, role: 'Reservoir of the negative rail.' }),
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
      { at: [36, 10], role: 'Which rails the summing and treble stages run on.' },
    ),
    W2: switchPart(
      ['ganged'],
      { dual: [], separate: [] },
      { at: [36, 22], role: 'One dual-gang potentiometer for gain and blend, or two of their own.' },
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
