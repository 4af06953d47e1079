import { stage } from '../circuit.ts';
import { capacitor, opamp, resistor } from '../part-spec.ts';

/** Op-amp follower; after it the signal splits into the clean paths and the clipped path. */
export const inputStage = stage({
  id: 'input',
  title: 'Input buffer and split',
  ports: { in: [0, 8], out: [39, 9], supply: 'flags', bias: 'flags', ground: 'flags' },
  parts: {
    R1: resistor('2M2', {
      at: [7, 11],
      turn: 90,
      labels: 'left',
      role: 'Keeps the input at ground, so that plugging in does not pop.',
      job: 'input pull-down resistor',
    }),
    R21: resistor('1k', {
      at: [11, 8],
      fit: 'bridged',
      role: 'With C15 keeps radio signals out. Usually jumpered.',
      job: 'input filter resistor',
    }),
    C15: capacitor('100p', {
      at: [15, 11],
      turn: 90,
      fit: 'open',
      role: 'With R21, or with the pickup, rolls off the top of the treble. Usually not fitted.',
      job: 'input filter capacitor',
    }),
    C1: capacitor('100n', {
      at: [21, 8],
      role: 'Keeps the bias off the guitar; with R2 sets the bass corner of the input.',
      job: 'input coupling capacitor',
    }),
    R2: resistor('1M', {
      at: [27, 12],
      turn: 90,
      labels: 'left',
      role: 'Biases the input buffer; most of the load that the pickup sees.',
      job: 'input bias resistor',
    }),
    U1A: opamp('U1', {
      at: [32, 9],
      role: 'Input buffer: loads the guitar little and feeds all paths.',
      job: 'input buffer',
    }),
  },
  wires: [
    ['in', 'R1.1', 'R21.1'],
    ['R21.2', 'C15.1', 'C1.1'],
    { name: 'buffer input', pins: ['C1.2', 'R2.1', 'U1A.plus'] },
    { name: 'buffered', pins: ['U1A.out', 'U1A.minus', 'out'] },
    ['R2.2', 'bias'],
    ['U1A.positive', 'supply'],
    ['R1.2', 'C15.2', 'U1A.negative', 'ground'],
  ],
});
