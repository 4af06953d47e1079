import { stage } from '../circuit.ts';
import { capacitor, npn, resistor } from '../part-spec.ts';

/** Emitter follower: a high input impedance for the pickup, a low one for the stages behind. */
export const inputBufferStage = stage({
  id: 'input',
  title: 'Input buffer',
  ports: { in: [0, 8], out: [20, 10], supply: 'flags', bias: 'flags', ground: 'flags' },
  parts: {
    R1: resistor('1M', {
      at: [2, 11],
      turn: 90,
      role: 'Keeps the input at ground, so that plugging in does not pop.',
    }),
    C1: capacitor('22n', {
      at: [6, 8],
      role: 'Keeps the bias off the guitar; with R2 sets the lowest note let in.',
    }),
    R2: resistor('510k', {
      at: [10, 5],
      turn: 90,
      labels: 'left',
      role: 'Biases the base; most of the load that the pickup sees.',
    }),
    Q1: npn('2N5088', { at: [14, 8], role: 'Follows the guitar and drives the gain stage.' }),
    R3: resistor('10k', { at: [15, 13], turn: 90, role: 'Sets the follower’s current.' }),
  },
  wires: [
    ['in', 'R1.1', 'C1.1'],
    { name: 'base', pins: ['C1.2', 'R2.2', 'Q1.base'] },
    ['R2.1', 'bias'],
    ['Q1.collector', 'supply'],
    { name: 'buffered', pins: ['Q1.emitter', 'R3.1', 'out'] },
    ['R1.2', 'R3.2', 'ground'],
  ],
});
