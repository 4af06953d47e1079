import { stage } from '../circuit.ts';
import { electrolytic, resistor, supply } from '../part-spec.ts';

/** The 9 V supply with its filter, and half of it as bias for every stage. */
export const supplyStage = stage({
  id: 'supply',
  title: 'Supply and bias',
  ports: { supply: [28, 2, 'right'], bias: [28, 8, 'right'], ground: 'flags' },
  parts: {
    V1: supply('9V', { at: [2, 8], turn: 90, role: 'Battery or regulated mains adapter.' }),
    R17: resistor('10R', {
      at: [6, 2],
      role: 'With C11 keeps hum and the load of other pedals off the supply.',
    }),
    C11: electrolytic('100u', {
      at: [10, 8],
      turn: 90,
      role: 'Holds the supply steady while the stages draw current.',
    }),
    R15: resistor('10k', {
      at: [22, 4],
      turn: 90,
      labels: 'left',
      role: 'Upper half of the divider that makes the bias.',
    }),
    R16: resistor('10k', {
      at: [22, 10],
      turn: 90,
      labels: 'left',
      role: 'Lower half of the divider that makes the bias.',
    }),
    C10: electrolytic('47u', {
      at: [25, 10],
      turn: 90,
      role: 'Holds the bias steady against the clipping current.',
    }),
  },
  wires: [
    { name: 'dc', pins: ['V1.plus', 'R17.1'] },
    ['R17.2', 'C11.1', 'R15.1', 'supply'],
    ['R15.2', 'R16.1', 'C10.1', 'bias'],
    ['V1.minus', 'C11.2', 'R16.2', 'C10.2', 'ground'],
  ],
});
