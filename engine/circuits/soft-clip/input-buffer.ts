import { stage } from '../circuit.ts';
import { capacitor, npn, resistor } from '../part-spec.ts';

/** Emitter follower: a high input impedance for the pickup, a low one for the stages behind. */
export const inputBufferStage = stage({
  id: 'input',
  title: 'Input buffer',
  ports: {
    in: [0, 8],
    out: [34, 10],
    buffered: [32, 8, 'up'],
    supply: 'flags',
    bias: 'flags',
    ground: 'flags',
  },
  parts: {
    R1: resistor('1M', {
      at: [2, 11],
      turn: 90,
      role: 'Keeps the input at ground, so that plugging in does not pop.',
      job: 'input pull-down resistor',
    }),
    R19: resistor('1k', {
      at: [7, 8],
      fit: 'bridged',
      role: 'With C12 keeps radio signals out. Usually jumpered.',
      job: 'input filter resistor',
    }),
    C12: capacitor('100p', {
      at: [11, 11],
      turn: 90,
      fit: 'open',
      role: 'With R19, or with the pickup, rolls off the top of the treble. Usually not fitted.',
      job: 'input filter capacitor',
    }),
    C1: capacitor('22n', {
      at: [16, 8],
      role: 'Keeps the bias off the guitar; with R2 sets the bass corner of the input.',
      job: 'input coupling capacitor',
    }),
    R2: resistor('510k', {
      at: [20, 5],
      turn: 90,
      labels: 'left',
      role: 'Biases the base; most of the load that the pickup sees.',
      job: 'input bias resistor',
    }),
    Q1: npn('2N5088', {
      at: [24, 8],
      role: 'Input buffer: loads the guitar little and drives the gain stage.',
      job: 'input buffer',
    }),
    R3: resistor('10k', {
      at: [25, 13],
      turn: 90,
      role: 'Sets the current of the input buffer.',
      job: 'input buffer load resistor',
    }),
  },
  wires: [
    ['in', 'R1.1', 'R19.1'],
    ['R19.2', 'C12.1', 'C1.1'],
    { name: 'base', pins: ['C1.2', 'R2.2', 'Q1.base'] },
    ['R2.1', 'bias'],
    ['Q1.collector', 'supply'],
    { name: 'buffered', pins: ['Q1.emitter', 'R3.1', 'out', 'buffered'] },
    ['R1.2', 'C12.2', 'R3.2', 'ground'],
  ],
});
