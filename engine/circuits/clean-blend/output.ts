import { stage } from '../circuit.ts';
import { capacitor, pot, resistor } from '../part-spec.ts';

/** High-pass and output level. */
export const outputStage = stage({
  id: 'output',
  title: 'Output level',
  ports: { in: [0, 6], out: [26, 9], ground: 'flags' },
  parts: {
    C10: capacitor('1u', {
      at: [4, 6],
      role: 'Keeps the bias off the output knob; with VR3 sets the bass corner of the output.',
      job: 'output knob coupling capacitor',
    }),
    R16: resistor('560R', {
      at: [10, 6],
      role: 'Keeps the capacitance of a long cable off the op-amp.',
      job: 'output knob series resistor',
    }),
    VR3: pot('10k', 'audio-15', { at: [16, 9], role: 'Output level.', job: 'output knob' }),
    R17: resistor('100k', {
      at: [20, 12],
      turn: 90,
      role: 'Keeps the output at ground, so that plugging in does not pop.',
      job: 'output pull-down resistor',
    }),
  },
  wires: [
    ['in', 'C10.1'],
    ['C10.2', 'R16.1'],
    ['R16.2', 'VR3.cw'],
    ['VR3.wiper', 'R17.1', 'out'],
    ['VR3.ccw', 'R17.2', 'ground'],
  ],
});
