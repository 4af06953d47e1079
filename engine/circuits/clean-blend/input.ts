import { stage } from '../circuit.ts';
import { capacitor, opamp, resistor } from '../part-spec.ts';

/** Op-amp follower; after it the signal splits into the clean paths and the clipped path. */
export const inputStage = stage({
  id: 'input',
  title: 'Input buffer and split',
  ports: { in: [0, 8], out: [27, 9], supply: 'flags', bias: 'flags', ground: 'flags' },
  parts: {
    R1: resistor('2M2', {
      at: [7, 11],
      turn: 90,
      labels: 'left',
      role: 'Keeps the input at ground, so that plugging in does not pop.',
    }),
    C1: capacitor('100n', {
      at: [11, 8],
      role: 'Keeps the bias off the guitar; with R2 sets the lowest note let in.',
    }),
    R2: resistor('1M', {
      at: [15, 12],
      turn: 90,
      labels: 'left',
      role: 'Biases the buffer; most of the load that the pickup sees.',
    }),
    U1A: opamp('U1', { at: [20, 9], role: 'Follows the guitar and feeds all paths.' }),
  },
  wires: [
    ['in', 'R1.1', 'C1.1'],
    { name: 'buffer input', pins: ['C1.2', 'R2.1', 'U1A.plus'] },
    { name: 'buffered', pins: ['U1A.out', 'U1A.minus', 'out'] },
    ['R2.2', 'bias'],
    ['U1A.positive', 'supply'],
    ['R1.2', 'U1A.negative', 'ground'],
  ],
});
