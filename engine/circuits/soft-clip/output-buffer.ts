import { stage } from '../circuit.ts';
import { capacitor, electrolytic, npn, resistor } from '../part-spec.ts';

/** Emitter follower that drives the cable, whatever the output potentiometer's position. */
export const outputBufferStage = stage({
  id: 'output',
  title: 'Output buffer',
  ports: { in: [0, 8], out: [38, 10], supply: 'flags', bias: 'flags', ground: 'flags' },
  parts: {
    C8: capacitor('100n', {
      at: [4, 8],
      role: 'Keeps the bias of the follower off the output potentiometer.',
    }),
    R12: resistor('510k', { at: [8, 5], turn: 90, labels: 'left', role: 'Biases the base.' }),
    Q2: npn('2N5088', { at: [12, 8], role: 'Drives the cable.' }),
    R13: resistor('10k', { at: [13, 13], turn: 90, role: 'Sets the follower’s current.' }),
    C9: electrolytic('10u', { at: [22, 10], role: 'Keeps DC off the cable.' }),
    R18: resistor('100R', { at: [28, 10], role: 'Keeps a long cable’s capacitance off the follower.' }),
    R14: resistor('100k', {
      at: [32, 13],
      turn: 90,
      role: 'Keeps the output at ground, so that plugging in does not pop.',
    }),
  },
  wires: [
    ['in', 'C8.1'],
    { name: 'output base', pins: ['C8.2', 'R12.2', 'Q2.base'] },
    ['R12.1', 'bias'],
    ['Q2.collector', 'supply'],
    { name: 'output emitter', pins: ['Q2.emitter', 'R13.1', 'C9.1'] },
    ['C9.2', 'R18.1'],
    ['R18.2', 'R14.1', 'out'],
    ['R13.2', 'R14.2', 'ground'],
  ],
});
