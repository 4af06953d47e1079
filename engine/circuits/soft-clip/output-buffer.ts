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
      role: 'Keeps the bias of the output buffer off the output knob.',
      job: 'output buffer coupling capacitor',
    }),
    R12: resistor('510k', {
      at: [8, 5],
      turn: 90,
      labels: 'left',
      role: 'Biases the base.',
      job: 'output buffer bias resistor',
    }),
    Q2: npn('2N5088', { at: [12, 8], role: 'Output buffer: drives the cable.', job: 'output buffer' }),
    R13: resistor('10k', {
      at: [13, 13],
      turn: 90,
      role: 'Sets the current of the output buffer.',
      job: 'output buffer load resistor',
    }),
    C9: electrolytic('10u', {
      at: [22, 10],
      role: 'Keeps DC off the cable.',
      job: 'output coupling capacitor',
    }),
    R18: resistor('100R', {
      at: [28, 10],
      role: 'Keeps the capacitance of a long cable off the output buffer.',
      job: 'output series resistor',
    }),
    R14: resistor('100k', {
      at: [32, 13],
      turn: 90,
      role: 'Keeps the output at ground, so that plugging in does not pop.',
      job: 'output pull-down resistor',
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
